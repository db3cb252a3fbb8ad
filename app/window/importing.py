"""Files dropped on the window: a project opens, a mesh is asked about and becomes a scan."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QMimeData
from PySide6.QtWidgets import (
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
)

from app.document.aside import aside
from app.entry import Chooser
from app.look import numbers
from app.look.sheets import dialog_sheet
from app.look.type import font
from kinematics.errors import ClearstrokeError
from kinematics.project.basics import CHASSIS
from kinematics.project.files import copy_beside, reason
from kinematics.project.furnish import add_scan, free_name
from kinematics.project.names import bodies_of
from kinematics.shapes.scan import MM, ScanMesh, read_scan

if TYPE_CHECKING:
    from app.window.window import Window

MESHES = (".stl", ".obj", ".ply")
PROJECT = ".json"
LIKELY = (40.0, 4000.0)  # mm: what is on a corner is about this long


def files_of(data: QMimeData) -> list[Path]:
    """The files of a drop."""
    return [Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()]


def dropped(data: QMimeData) -> list[Path]:
    """The files of a drop that can be taken: projects and meshes."""
    return [p for p in files_of(data) if p.suffix.lower() in (*MESHES, PROJECT)]


def take(window: Window, data: QMimeData) -> None:
    """Open the project dropped, or bring in the meshes; say what else can't be taken."""
    paths = dropped(data)
    if not paths:
        for path in files_of(data)[:1]:
            window.notice.say(
                f'"{path.name}" is neither a project (.corner.json) nor a scan (STL, OBJ or PLY).'
            )
    projects = [p for p in paths if p.suffix.lower() == PROJECT]
    if projects:
        window.actions_.open_path(projects[0])
        return
    for path in paths:
        bring_in(window, path)


def bring_in(window: Window, path: Path) -> bool:
    """Ask for unit and carrier of a mesh, lay it beside the project and add it: one undo step."""
    document = window.document
    if document.project is None:
        return False
    try:
        mesh = aside(window, f"Reading {path.name}...", lambda *_: read_scan(path, "mm"))
        if mesh is None:
            return False
        if document.path is None:
            window.notice.say("Save the project first: a scan lies beside its file.")
            if not window.actions_.save_as():
                return False
        assert document.path is not None
        chosen = ScanCard(path.name, mesh, bodies_of(document.project), window).ask()
        name = None if chosen is None else _brought(window, path, *chosen)
    except ClearstrokeError as error:
        document.said.emit(str(error))
        return False
    except OSError as error:
        document.said.emit(f'"{path.name}" can\'t be copied beside the project: {reason(error)}.')
        return False
    if chosen is None or name is None:
        return False
    window.actions_.select(name)
    window.describe.show_part(name)
    window.notice.say(" ".join([*mesh.notes, *_drawn_words(window, name, chosen[1])]))
    return True


def _brought(window: Window, path: Path, unit: str, body: str) -> str | None:
    """A mesh laid beside the project and taken up as a scan of this name; None if stopped."""
    document = window.document
    assert document.project is not None
    assert document.path is not None
    beside, done = document.path, False
    words = f"Copying {path.name}..."
    laid = aside(window, words, lambda *_: Laid.beside(path, beside), Laid.take_back)
    if laid is None:
        return None
    try:
        made, name = add_scan(document.project, laid.name, unit, body)
        done = document.edit(made, f"bring in {name}", strict=True)
    finally:
        if not done:
            laid.take_back()
    return name if done else None


def _drawn_words(window: Window, name: str, body: str) -> list[str]:
    """How the scan is shown: where it is carried, or how much of it is drawn."""
    project, piece = window.document.project, window.scene.pieces.get(name)
    if project is None or piece is None:
        return []
    if not piece.mesh.off:
        return [f"{name}: a scan, carried by the {body}."]
    off = f"{numbers.length(piece.mesh.off, project.units)} {project.units}"
    return [
        f"{name} is checked with all its {len(piece.skin.faces):,} triangles, and drawn with "
        f"{len(piece.mesh.faces):,}, at most {off} off."
    ]


@dataclass(frozen=True)
class Laid:
    """A file lying in the project's folder by this name; ``copied`` there, or there before."""

    name: str
    copied: Path | None = None

    @classmethod
    def beside(cls, path: Path, project: Path) -> Laid:
        """The file in the folder of a project's file, copied unless it lies there already.

        Raises `OSError`.
        """
        folder = project.parent
        if path.parent.resolve() == folder.resolve():
            return cls(path.name)
        taken = {p.stem for p in folder.iterdir()}
        target = folder / f"{free_name(taken, path.stem)}{path.suffix}"
        laid = cls(target.name, target)
        try:
            copy_beside(path, target, project)
        except OSError:
            laid.take_back()
            raise
        return laid

    def take_back(self) -> None:
        """As if it had never been copied."""
        if self.copied is not None:
            with suppress(OSError):
                self.copied.unlink()


def likely_unit(mesh: ScanMesh) -> str:
    """The unit in which a mesh read as mm is about as large as something on a car."""
    low, high = mesh.box
    size = float((high - low).max())
    fitting = [unit for unit, mm in MM.items() if LIKELY[0] <= size * mm <= LIKELY[1]]
    return fitting[0] if fitting else "mm"


def size_words(mesh: ScanMesh, unit: str) -> str:
    """'812 x 403 x 220 mm (32.0 x 15.9 x 8.7 in)' of a mesh read as mm."""
    low, high = mesh.box
    size = (high - low) * MM[unit]
    mm = " x ".join(f"{v:.4g}" for v in size)
    inches = " x ".join(f"{v:.3g}" for v in np.asarray(size) / MM["in"])
    return f"{mm} mm ({inches} in)"


def place_words(mesh: ScanMesh, unit: str) -> str:
    """'x 120, y 640, z 310 mm, as in its file' of the middle of a mesh read as mm."""
    middle = np.asarray(mesh.box).mean(axis=0) * MM[unit]
    x, y, z = (numbers.plain(round(float(v)) + 0.0, 0) for v in middle)
    return f"x {x}, y {y}, z {z} mm, as in its file"


class ScanCard(QDialog):
    """Which unit a mesh file is in and what carries it; its size in that unit is shown."""

    def __init__(self, name: str, mesh: ScanMesh, bodies: Sequence[str], window: Window) -> None:
        super().__init__(window)
        self.mesh, self.theme = mesh, window.theme
        self.setWindowTitle(f"Bring in {name}")
        self.unit, self.body = Chooser(self.theme), Chooser(self.theme)
        self.unit.addItems(list(MM))
        self.unit.setCurrentText(likely_unit(mesh))
        self.unit.setAccessibleName("Unit of the file")
        self.body.addItems([CHASSIS, *(b for b in bodies if b != CHASSIS)])
        self.body.setAccessibleName("What carries it")
        self.told, self.place = QLabel(), QLabel()
        self._lay_out(f"Bring in {name}", " ".join(mesh.notes))
        self.unit.currentTextChanged.connect(self._show_size)
        self._show_size(self.unit.currentText())

    def _lay_out(self, heading: str, noted: str) -> None:
        s = self.theme.scale
        title, notes = QLabel(heading), QLabel(noted)
        title.setFont(font(18 * s, 600))
        notes.setWordWrap(True)
        notes.setVisible(bool(noted))
        form = QFormLayout()
        form.setHorizontalSpacing(round(16 * s))
        form.setVerticalSpacing(round(8 * s))
        for words, editor in (
            ("The file is in", self.unit),
            ("So it is", self.told),
            ("Its middle stands at", self.place),
            ("Carried by", self.body),
        ):
            label = QLabel(words)
            label.setFont(font(15 * s, 500))
            form.addRow(label, editor)
        later = QLabel(
            "It can be turned and moved later: in Describe, or by the square at its middle."
        )
        for label in (self.told, self.place, notes, later):
            label.setFont(font(15 * s, 500))
        column = QVBoxLayout(self)
        column.setContentsMargins(*(round(20 * s) for _ in range(4)))
        column.setSpacing(round(14 * s))
        column.addWidget(title)
        column.addLayout(form)
        column.addWidget(later)
        column.addWidget(notes)
        column.addLayout(self._buttons())
        self.setStyleSheet(dialog_sheet(self.theme.palette))

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.addStretch(1)
        for words, call in (("Cancel", self.reject), ("Bring it in", self.accept)):
            button = QPushButton(words)
            button.setFont(font(15 * self.theme.scale, 500, False))
            button.clicked.connect(call)
            button.setDefault(words != "Cancel")
            row.addWidget(button)
        return row

    def _show_size(self, unit: str) -> None:
        self.told.setText(size_words(self.mesh, unit))
        self.place.setText(place_words(self.mesh, unit))

    def ask(self) -> tuple[str, str] | None:
        """Unit and carrier as chosen; None if given up."""
        taken = self.exec() == QDialog.DialogCode.Accepted
        self.deleteLater()  # the window would keep it
        return (self.unit.currentText(), self.body.currentText()) if taken else None
