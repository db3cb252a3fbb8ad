"""What stands behind the readings: datums, how the body stood, positions, the other side."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
from PySide6.QtWidgets import QFileDialog, QInputDialog, QMenu, QWidget

from app.look.menu import Menu
from app.look.theme import Theme
from app.survey.bench import Bench
from kinematics.errors import EntryError, ProjectError
from kinematics.project import files
from kinematics.project.survey import Position, Stands, Survey
from kinematics.survey import survey
from kinematics.survey.built import left_against_right
from kinematics.survey.standing import STANCE
from kinematics.units import read_degrees, read_length, show_length

WORDS = {
    "nose_up_deg": "Nose up",
    "left_up_deg": "Left side up",
    "turned_deg": "Nose left of the centre string",
    "forward": "Ahead of the axle string",
    "left": "Left of the centre string",
    "lifted": "Above set-up height",
}
FOUND = "found from the readings"


class More:
    """Builds the menu and carries out what is chosen in it."""

    def __init__(
        self,
        theme: Theme,
        bench: Bench,
        owner: QWidget,
        row: Callable[[], int],
        do: Callable[[Any], None],
    ) -> None:
        self.theme = theme
        self.bench, self.owner, self.row, self.do = bench, owner, row, do
        self.compared = ""

    def menu(self) -> QMenu:
        """The menu as things now stand."""
        menu = Menu(self.theme, self.owner)
        self._datums(menu.addMenu("Held as they stand"))
        self._stands(menu.addMenu("How the body stood"))
        self._hub(menu.addMenu("Middle of the hub's face"))
        self._position(menu)
        menu.addSeparator()
        height = self._project().setup_wheel_z
        shown = "as measured" if height is None else show_length(height, self._units())
        menu.addAction(f"Hub height at set-up: {shown}…").triggered.connect(
            lambda: self.do(self.ask_setup)
        )
        menu.addAction("Compare with the other side…").triggered.connect(
            lambda: self.do(self.ask_other)
        )
        menu.aboutToHide.connect(menu.deleteLater)
        return menu

    def _project(self) -> Any:
        project = self.bench.project
        if project is None:
            raise ProjectError("No project is open.")
        return project

    def _survey(self) -> Survey:
        return self._project().survey or Survey()

    def _units(self) -> Any:
        return self.bench.units

    def _take(self, what: str, **changes: Any) -> None:
        """The survey with something changed, as one undo step."""
        made = msgspec.structs.replace(self._survey(), **changes)
        project = msgspec.structs.replace(self._project(), survey=made)
        files.dumps(project)
        self.bench.document.edit(project, what, strict=True)

    # --- datums -----------------------------------------------------------------------------

    def _datums(self, menu: QMenu) -> None:
        held = self._survey().datums
        for name in self._project().points:
            axes = held.get(name, "")
            sub = menu.addMenu(f"{name}: {axes}" if axes else name)
            for axis, words in zip("xyz", ("x forward", "y left", "z up"), strict=True):
                action = sub.addAction(words)
                action.setCheckable(True)
                action.setChecked(axis in axes)
                action.triggered.connect(
                    lambda _=False, n=name, a=axis: self.do(lambda: self.hold(n, a))
                )

    def hold(self, name: str, axis: str) -> None:
        """Hold a coordinate of a point as it stands, or let it go."""
        datums: dict[str, Any] = dict(self._survey().datums)
        axes = datums.pop(name, "")
        kept = "".join(a for a in "xyz" if (a in axes) != (a == axis))
        if kept:
            datums[name] = kept
        self._take(f"hold {name}", datums=datums)

    # --- stands -----------------------------------------------------------------------------

    def _stands(self, menu: QMenu) -> None:
        stands = self._survey().stands
        for key in STANCE:
            value = getattr(stands, key)
            if value is None:
                shown = FOUND
            else:
                shown = f"{value:g}°" if key.endswith("deg") else show_length(value, self._units())
            menu.addAction(f"{WORDS[key]}: {shown}…").triggered.connect(
                lambda _=False, k=key: self.do(lambda: self.ask_stand(k))
            )

    def ask_stand(self, key: str) -> None:
        """Ask for one of the six, and take it."""
        hint = f"{WORDS[key]} ({'degrees' if key.endswith('deg') else self._units()});"
        text = self._ask(f"{hint} leave it empty to have it {FOUND}")
        if text is not None:
            self.stand(key, text)

    def stand(self, key: str, text: str) -> None:
        """How the body stood in one respect; nothing typed: found from the readings."""
        value = None
        if text.strip():
            degrees = key.endswith("deg")
            value = read_degrees(text) if degrees else read_length(text, self._units())
            if degrees and abs(value) > 90:
                raise EntryError(f'"{text.strip()}" is too steep for a car on stands.')
        stands: Stands = msgspec.structs.replace(self._survey().stands, **{key: value})
        self._take("say how the body stood", stands=stands)

    # --- hub, positions, set-up -------------------------------------------------------------

    def _hub(self, menu: QMenu) -> None:
        now = self._survey().hub_face
        for name in self._project().points:
            action = menu.addAction(name)
            action.setCheckable(True)
            action.setChecked(name == now)
            action.triggered.connect(
                lambda _=False, n=name: self.do(
                    lambda: self._take("name the hub's face", hub_face=n)
                )
            )

    def _position(self, menu: QMenu) -> None:
        row = self.row()
        sub = menu.addMenu("The chosen reading was taken")
        sub.setEnabled(0 <= row < len(self.bench.readings))
        if not sub.isEnabled():
            return
        reading = self.bench.readings[row]
        for name, words in [
            ("", "where the points are"),
            *((p, p) for p in self._survey().positions),
        ]:
            action = sub.addAction(words)
            action.setCheckable(True)
            action.setChecked(reading.position == name)
            action.triggered.connect(lambda _=False, n=name: self.do(lambda: self.place(row, n)))
        sub.addAction("in another position…").triggered.connect(
            lambda: self.do(lambda: self.ask_place(row))
        )
        sub.addSeparator()
        other = sub.addAction("on the other side of the car")
        other.setCheckable(True)
        other.setChecked(reading.other_side)
        other.triggered.connect(
            lambda on: self.do(
                lambda: self.bench.change(row, "say which side it was", other_side=bool(on))
            )
        )

    def ask_place(self, row: int) -> None:
        """Ask for a position's name, and say the reading was taken there."""
        text = self._ask("What do you call that position? Give its hub height as a reading too.")
        if text is not None and text.strip():
            self.place(row, text.strip())

    def place(self, row: int, name: str) -> None:
        """Say in which position a reading was taken; a new name is a new position."""
        kept = self._survey()
        positions = dict(kept.positions)
        if name:
            positions.setdefault(name, Position())
        group = "as_built" if self.bench.after else "readings"
        readings = list(self.bench.readings)
        readings[row] = msgspec.structs.replace(readings[row], position=name)
        self._take(
            "say where a reading was taken", **{group: tuple(readings), "positions": positions}
        )

    def ask_setup(self) -> None:
        """Ask for the hub's height at set-up, and take it."""
        text = self._ask(
            f"Hub height over the car's own axes at set-up ({self._units()}); empty: as measured"
        )
        if text is not None:
            self.setup(text)

    def setup(self, text: str) -> None:
        """The hub's height at set-up; nothing typed: the height it was measured at."""
        height = read_length(text, self._units()) if text.strip() else None
        project = msgspec.structs.replace(self._project(), setup_wheel_z=height)
        files.dumps(project)
        self.bench.document.edit(project, "say the set-up height", strict=True)

    # --- the other side ---------------------------------------------------------------------

    def ask_other(self) -> None:
        """Ask for the other side's project, and compare."""
        name, _ = QFileDialog.getOpenFileName(
            self.owner, "Compare with", "", "Clearstroke projects (*.corner.json)"
        )
        if name:
            self.compare(Path(name))

    def compare(self, path: Path) -> None:
        """Say how far each point is from its twin on the other side."""
        found = self.bench.found
        if found is None:
            raise ProjectError("There are no readings here to compare with.")
        other = survey(files.read(path))
        units = self._units()
        said = [
            f"{m.point} {show_length(m.length, units)}"
            for m in left_against_right(found, other)
            if m.sure
        ]
        told = "; ".join(said) if said else "no point differs by more than the tapes allow"
        self.compared = f"Against {other.original.title}: {told}."
        self.bench.renewed.emit()

    def _ask(self, words: str) -> str | None:
        text, taken = QInputDialog.getText(self.owner, "Measure", words)
        return text if taken else None
