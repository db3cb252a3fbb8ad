"""One more reading: what kind, between which points; the value is typed in the table."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from app.entry import Chooser
from app.look.theme import Theme
from app.look.type import font
from app.survey.bench import Bench
from kinematics.project.survey import (
    AcrossReading,
    DistanceReading,
    HeightReading,
    HubReading,
    LeanReading,
    LevelReading,
    OffsetReading,
    PartReading,
    RailReading,
    Reading,
    StackReading,
    WheelReading,
)
from kinematics.project.unfold import unfold

Make = Callable[[list[str]], Reading]
_FACES = ("plate", "bearing", "shoulder", "hat")


KINDS: dict[str, tuple[tuple[str | tuple[str, ...], ...], Make]] = {
    "Distance": (("point", "point"), lambda a: DistanceReading(between=(a[0], a[1]))),
    "Between marks on the floor": (
        ("point", "point"),
        lambda a: DistanceReading(between=(a[0], a[1]), plumbed=True),
    ),
    "Link or damper, eye to eye": (("part",), lambda a: PartReading(of=a[0])),
    "Out from the centre string": (
        ("point",),
        lambda a: OffsetReading(point=a[0], string="centre", way="out"),
    ),
    "From the axle string": (
        ("point", ("front", "rear")),
        lambda a: OffsetReading(point=a[0], string="axle", way=cast(Any, a[1])),
    ),
    "Height above the floor": (("point",), lambda a: HeightReading(point=a[0])),
    "Height above a point": (
        ("point", "point"),
        lambda a: HeightReading(point=a[0], above=a[1]),
    ),
    "Square off a rail": (
        ("point", "point", "point"),
        lambda a: RailReading(point=a[0], rail=(a[1], a[2])),
    ),
    "Across the car": (("point",), lambda a: AcrossReading(point=a[0])),
    "From the hub face": (
        ("point", ("out", "front", "up")),
        lambda a: HubReading(point=a[0], way=cast(Any, a[1])),
    ),
    "Mount stack": (
        (_FACES, _FACES),
        lambda a: StackReading(between=cast(Any, (a[0], a[1]))),
    ),
    "Level between two points": (("point", "point"), lambda a: LevelReading(line=(a[0], a[1]))),
    "Body on its stands": (
        (("nose up", "left side up"),),
        lambda a: LeanReading(which=cast(Any, a[0])),
    ),
    "Wheel": (
        (("camber", "toe"),),
        lambda a: WheelReading(which=cast(Any, a[0])),
    ),
}


class Add(QWidget):
    """A row of choices and a button."""

    def __init__(self, theme: Theme, bench: Bench, put: Callable[[Reading], object]) -> None:
        super().__init__()
        self.theme, self.bench, self.put = theme, bench, put
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        self.kind = Chooser(theme)
        self.kind.addItems(list(KINDS))
        self.kind.setMinimumContentsLength(17)
        self.kind.setAccessibleName("Kind of reading to add")
        self.choices = [Chooser(theme) for _ in range(3)]
        row.addWidget(self.kind)
        for number, choice in enumerate(self.choices):
            choice.setAccessibleName(f"Choice {number + 1} of the reading to add")
            choice.setMinimumContentsLength(9)
            row.addWidget(choice, 1)
        self.button = QPushButton("Add reading")
        self.button.clicked.connect(self.add)
        row.addWidget(self.button)
        self.kind.currentTextChanged.connect(lambda _: self.renew())
        theme.changed.connect(self.dress)
        self.dress()

    def dress(self) -> None:
        """Type of the theme."""
        self.button.setFont(font(14 * self.theme.scale, 500))

    def renew(self) -> None:
        """Offer the points and parts there are."""
        project = self.bench.project
        if project is None:
            return
        asked, _ = KINDS[self.kind.currentText()]
        parts = [*unfold(project).links, *(["damper"] if project.coilover is not None else [])]
        for number, choice in enumerate(self.choices):
            choice.setVisible(number < len(asked))
            if number >= len(asked):
                continue
            what = asked[number]
            wanted = list(project.points) if what == "point" else parts
            if isinstance(what, tuple):
                wanted = list(what)
            if [choice.itemText(i) for i in range(choice.count())] != wanted:
                choice.clear()
                choice.addItems(wanted)
                if number and what == asked[number - 1]:
                    choice.setCurrentIndex(min(number, len(wanted) - 1))

    def reading(self) -> Reading:
        """The reading as chosen, without a value."""
        asked, make = KINDS[self.kind.currentText()]
        return make([choice.currentText() for choice in self.choices[: len(asked)]])

    def add(self) -> None:
        """Hand it over."""
        self.put(self.reading())
