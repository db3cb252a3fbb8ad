"""Two fixes together: how much less of the one is enough with so much of the other."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.entry import Chooser
from app.look.sheets import main_button
from app.look.theme import Theme
from app.look.type import font
from kinematics.findings.phrases import Units, room
from kinematics.studies.fix import Remedy
from kinematics.studies.fix_pairs import Split

HEADING = "So much of the one, and the least of the other that is enough with it."
NONE = "Even both together don't keep every rule, whatever the amounts."


class PairPanel(QWidget):
    """Two choices and a button. ``asked`` names the two; ``stopped`` when it is to end."""

    asked = Signal(str, str)
    stopped = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.first, self.second = Chooser(theme), Chooser(theme)
        self.heading, self.said = QLabel(HEADING), QLabel("")
        self.start, self.stop = QPushButton("Try them together"), QPushButton("Stop")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for name, chooser in (("first", self.first), ("second", self.second)):
            chooser.setAccessibleName(f"The {name} fix")
            chooser.activated.connect(lambda _: self._choose())
        row = QHBoxLayout()
        row.addWidget(self.start)
        row.addWidget(self.stop)
        row.addStretch(1)
        for widget in (self.heading, self.first, self.second):
            column.addWidget(widget)
        column.addLayout(row)
        column.addWidget(self.said)
        for label in (self.heading, self.said):
            label.setWordWrap(True)
        self.start.clicked.connect(
            lambda: self.asked.emit(self.first.currentText(), self.second.currentText())
        )
        self.stop.clicked.connect(self.stopped.emit)
        self.chosen = False  # by hand; until then the likeliest two stand there
        self.show_share(-1.0)

    def offer(self, names: Sequence[str], likely: Sequence[str] = ()) -> None:
        """The single fixes of the corner, the best first, and the two likeliest together."""
        for k, chooser in enumerate((self.first, self.second)):
            now = chooser.currentText()
            if not self.chosen and len(likely) > k:
                now = likely[k]
            chooser.offer(list(names), now if now in names else "")
            if chooser.currentIndex() < 0 and len(names) > k:
                chooser.setCurrentIndex(k)
        self._may()

    def _choose(self) -> None:
        self.chosen = True
        self._may()

    def _may(self) -> None:
        a, b = self.first.currentText(), self.second.currentText()
        self.start.setEnabled(bool(a and b) and a != b)

    def show_share(self, share: float, left: str = "") -> None:
        """How far it is, and the time left in words; negative when it does not run."""
        self.start.setVisible(share < 0.0)
        self.stop.setVisible(share >= 0.0)
        if share >= 0.0:
            self.say(f"Trying amounts of both together, {share:.0%} done{left}.")
        elif not self.said.text() or self.said.text().startswith("Trying"):
            self.say("")

    def say(self, words: str) -> None:
        """One sentence below the buttons."""
        self.said.setText(words)
        self.said.setVisible(bool(words))

    def dress(self) -> None:
        """Type of the theme."""
        s, p = self.theme.scale, self.theme.palette
        for label in (self.heading, self.said):
            label.setFont(font(13 * s, 500, False))
            label.setStyleSheet(f"color: {p.ink2};")
        self.start.setStyleSheet(main_button(p))
        for button in (self.start, self.stop):
            button.setFont(font(14 * s, 500, False))


def likeliest(remedies: Sequence[Remedy]) -> tuple[str, ...]:
    """Two fixes, of the best first, that put different things right; none where there are none."""
    part = [r for r in remedies if r.fix is not None and r.fix.settles and not r.fix.cures_all]
    for one in part:
        for other in part:
            assert one.fix is not None
            assert other.fix is not None
            if not {*one.fix.settles} & {*other.fix.settles}:
                return one.name, other.name
    return ()


def splits(front: Sequence[Split], first: str, second: str, units: Units) -> tuple[Remedy, ...]:
    """What came of two fixes together, as remedies; those of which none is enough left out."""
    return tuple(
        Remedy(f"{room(split.first, units)} of {first} with {second}", split.fix, None, None,
               count=2)
        for split in front
        if split.fix is not None and math.isfinite(split.second)
    )  # fmt: skip
