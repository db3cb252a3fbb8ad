"""A page of the room: parts below each other, scrolled when there are many."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.look.scroll import EDGE, Scroll, right_edge
from app.look.theme import Theme
from app.look.type import font
from app.statics.here import HereNow
from app.statics.panel import Rows
from app.statics.rows import Row
from kinematics.findings.words import Units


class Page(Scroll):
    """One page. ``went`` asks for a travel and a rack, ``wrong`` tells what can't stand."""

    went = Signal(float, float)
    wrong = Signal(str)

    def __init__(self, theme: Theme, now: HereNow) -> None:
        super().__init__()
        self.theme, self.now, self.document = theme, now, now.document
        self._sized: list[tuple[QLabel, float, int]] = []
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.column = QVBoxLayout()
        sheet = QWidget()
        sheet.setLayout(self.column)
        self.setWidget(sheet)
        theme.changed.connect(self.dress)

    @property
    def units(self) -> Units:
        """The project's own."""
        return self.now.units

    def renew(self) -> None:
        """Everything: a new study, or the page is entered."""
        raise NotImplementedError

    def renew_here(self) -> None:
        """What stands at the present position."""

    def do(self, row: Row) -> None:
        """What a clicked row stands for."""
        if row.target is not None:
            self.went.emit(*row.target)

    # --- laying out -------------------------------------------------------------------------

    def rows(self, title: str = "") -> Rows:
        """Rows that answer a click."""
        made = Rows(self.theme, title)
        made.chosen.connect(self.do)
        return made

    def head(self, words: str) -> QLabel:
        """A heading."""
        return self._label(words, 18, 600)

    def words(self, words: str) -> QLabel:
        """A quiet sentence below other things."""
        label = self._label(words, 13, 400)
        label.setWordWrap(True)
        return label

    def line(self, words: str, *parts: QWidget) -> QWidget:
        """A label with fields to its right."""
        made = QWidget()
        row = QHBoxLayout(made)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._label(words, 15, 500), 1)
        for part in parts:
            row.addWidget(part)
        return made

    def stack(self, *parts: QWidget) -> None:
        """Put parts below each other."""
        for part in parts:
            self.column.addWidget(part)
        self.column.addStretch(1)
        self.dress()

    def _label(self, words: str, size: float, weight: int) -> QLabel:
        label = QLabel(words)
        self._sized.append((label, size, weight))
        return label

    def dress(self) -> None:
        """Type and colours of the theme."""
        s, p = self.theme.scale, self.theme.palette
        edge = round(EDGE * s)
        self.column.setContentsMargins(edge, round(6 * s), right_edge(s), edge)
        self.column.setSpacing(round(4 * s))
        for label, size, weight in self._sized:
            label.setFont(font(size * s, weight))
            label.setStyleSheet(f"color: {p.ink2 if size < 14 else p.ink};")
            above = round((10 if size > 15 else 0) * s)
            below = round((6 if size < 14 else 0) * s)
            label.setContentsMargins(0, above, 0, below)
