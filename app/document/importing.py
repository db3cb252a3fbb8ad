"""Files dropped on the window: a project opens, a mesh is asked about and becomes a scan."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import numpy as np
from PySide6.QtCore import QEventLoop, QMimeData, Qt, QTimer
from PySide6.QtWidgets import (
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QProgressDialog,
    QPushButton,
    QVBoxLayout,
)

from app.entry import Chooser
from app.look.type import font
from kinematics.errors import ClearstrokeError
from kinematics.project.basics import CHASSIS
from kinematics.project.furnish import add_scan, free_name
from kinematics.project.names import bodies_of
from kinematics.project.structure import Scan
from kinematics.shapes.scan import MM, ScanMesh, read_scan, scan_of

if TYPE_CHECKING:
    from app.window.window import Window

Made = TypeVar("Made")
MESHES = (".stl", ".obj", ".ply")
PROJECT = ".json"
SOON = 300  # ms of reading before it is told
LIKELY = (40.0, 4000.0)  # mm: what is on a corner is about this long


def dropped(data: QMimeData) -> list[Path]:
    """The files of a drop that can be taken: projects and meshes."""
    paths = [Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()]
    return [p for p in paths if p.suffix.lower() in (*MESHES, PROJECT)]


def take(window: Window, data: QMimeData) -> None:
    """Open the project dropped, or bring in the meshes."""
    paths = dropped(data)
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
        mesh = aside(window, f"Reading {path.name}...", lambda: read_scan(path, "mm"))
        if mesh is None:
            return False
        if document.path is None:
            window.notice.say("Save the project first: a scan lies beside its file.")
            if not window.actions_.save_as():
                return False
        assert document.path is not None
        card = ScanCard(path.name, mesh, bodies_of(document.project), window)
        chosen = card.ask()
        if chosen is None:
            return False
        folder = document.path.parent
        made, name = add_scan(document.project, _beside(path, folder), *chosen)
        spec = made.parts[name]
        assert isinstance(spec, Scan)
        # Mesh and search tree are remembered, so that the edit needn't wait for them.
        words = f"Bringing in {path.name}..."
        if aside(window, words, lambda: scan_of(spec, folder).surface.tree) is None:
            return False
        document.edit(made, f"bring in {name}", strict=True)
    except ClearstrokeError as error:
        document.said.emit(str(error))
        return False
    except OSError as error:
        document.said.emit(f'"{path.name}" can\'t be copied beside the project: {error.strerror}.')
        return False
    window.actions_.select(name)
    window.describe.show_part(name)
    window.notice.say(" ".join(mesh.notes) or f"{name}: a scan, carried by the {chosen[1]}.")
    return True


def aside(window: Window, words: str, work: Callable[[], Made]) -> Made | None:
    """What ``work`` makes beside the screen's thread, so that the view goes on; None if stopped.

    Raises what it does.
    """
    found: list[Made | Exception] = []

    def run() -> None:
        try:
            found.append(work())
        except Exception as error:
            found.append(error)  # raised where it was asked for

    worker = threading.Thread(target=run, name="scan", daemon=True)
    told = QProgressDialog(words, "Stop", 0, 0, window)
    told.setWindowTitle("Scan")
    told.setWindowModality(Qt.WindowModality.WindowModal)
    told.setMinimumDuration(SOON)
    wait, look = QEventLoop(), QTimer(interval=10)
    look.timeout.connect(lambda: None if worker.is_alive() else wait.quit())
    told.canceled.connect(wait.quit)
    worker.start()
    look.start()
    wait.exec()
    look.stop()
    stopped = told.wasCanceled()
    told.close()
    told.deleteLater()
    if stopped:
        return None
    (made,) = found
    if isinstance(made, Exception):
        raise made
    return made


def _beside(path: Path, folder: Path) -> str:
    """The file's name in the project's folder, where it is copied unless it lies there."""
    if path.parent.resolve() == folder.resolve():
        return path.name
    taken = {p.stem for p in folder.iterdir()}
    target = folder / f"{free_name(taken, path.stem)}{path.suffix}"
    shutil.copyfile(path, target)
    return target.name


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


class ScanCard(QDialog):
    """Which unit a mesh file is in and what carries it; its size in that unit is shown."""

    def __init__(self, name: str, mesh: ScanMesh, bodies: Sequence[str], window: Window) -> None:
        super().__init__(window)
        self.mesh = mesh
        theme = window.theme
        s, p = theme.scale, theme.palette
        self.setWindowTitle(f"Bring in {name}")
        self.unit, self.body = Chooser(theme), Chooser(theme)
        self.unit.addItems(list(MM))
        self.unit.setCurrentText(likely_unit(mesh))
        self.unit.setAccessibleName("Unit of the file")
        self.body.addItems([CHASSIS, *(b for b in bodies if b != CHASSIS)])
        self.body.setAccessibleName("What carries it")
        self.told = QLabel()
        title, notes = QLabel(f"Bring in {name}"), QLabel(" ".join(mesh.notes))
        title.setFont(font(18 * s, 600))
        notes.setWordWrap(True)
        notes.setVisible(bool(mesh.notes))
        form = QFormLayout()
        form.setHorizontalSpacing(round(16 * s))
        form.setVerticalSpacing(round(8 * s))
        for words, editor in (
            ("The file is in", self.unit),
            ("So it is", self.told),
            ("Carried by", self.body),
        ):
            label = QLabel(words)
            label.setFont(font(15 * s, 500))
            form.addRow(label, editor)
        for label in (self.told, notes):
            label.setFont(font(15 * s, 500))
        buttons = QHBoxLayout()
        buttons.addStretch(1)
        for words, call in (("Cancel", self.reject), ("Bring it in", self.accept)):
            button = QPushButton(words)
            button.setFont(font(15 * s, 500, False))
            button.clicked.connect(call)
            button.setDefault(words != "Cancel")
            buttons.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(*(round(20 * s) for _ in range(4)))
        column.setSpacing(round(14 * s))
        column.addWidget(title)
        column.addLayout(form)
        column.addWidget(notes)
        column.addLayout(buttons)
        self.setStyleSheet(
            f"QDialog {{ background: {p.sheet}; }} QLabel {{ color: {p.ink}; }}"
            f"QPushButton {{ background: {p.sheet}; color: {p.dye}; border: 1.5px solid {p.dye};"
            " border-radius: 8px; padding: 4px 14px; }"
            f"QPushButton:default {{ background: {p.dye}; color: {p.on_dye}; }}"
            f"QPushButton:hover, QPushButton:focus {{ background: {p.wash}; color: {p.dye}; }}"
        )
        self.unit.currentTextChanged.connect(self._show_size)
        self._show_size(self.unit.currentText())

    def _show_size(self, unit: str) -> None:
        self.told.setText(size_words(self.mesh, unit))

    def ask(self) -> tuple[str, str] | None:
        """Unit and carrier as chosen; None if given up."""
        if self.exec() != QDialog.DialogCode.Accepted:
            return None
        return self.unit.currentText(), self.body.currentText()
