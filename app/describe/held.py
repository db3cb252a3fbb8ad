"""What stands above the form while the corner doesn't fit together yet: what is one too many."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.describe.draft import Draft, unheld, words
from app.look.theme import Theme
from app.look.type import font

SHOWN = "The view shows it as it last fitted together; this is kept and saved with it."


class Held(QWidget):
    """A card in words; gone while nothing waits."""

    def __init__(self, theme: Theme, give_up: Callable[[], None]) -> None:
        super().__init__()
        self.theme = theme
        self.title, self.detail = QLabel(), QLabel()
        for label in (self.title, self.detail):
            label.setWordWrap(True)
        self.title.setAccessibleName("How the corner is held")
        self.back = QPushButton("Give up")
        self.back.setToolTip("Back to the corner as it last fitted together")
        self.back.clicked.connect(lambda: give_up())
        row = QHBoxLayout()
        row.addWidget(self.title, 1)
        row.addWidget(self.back, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.addLayout(row)
        column.addWidget(self.detail)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        theme.changed.connect(self.dress)
        self.dress()
        self.hide()

    def show_for(self, draft: Draft) -> None:
        """Say what is wrong with what waits; nothing if nothing does."""
        project = draft.project
        found = unheld(project) if draft.waits and project is not None else None
        self.setVisible(draft.waits)
        if found is None:
            self.title.setText("It fits together after all.")
            self.detail.setText("The next change takes it up.")
        elif project is not None:
            title, detail = words(found)
            self.title.setText(f"{title}.")
            apart = "" if project.arrangement is None else " Take the arrangement apart to choose."
            self.detail.setText(f"{detail}{apart} {SHOWN}")

    def dress(self) -> None:
        """Colours and type of the theme."""
        s, p = self.theme.scale, self.theme.palette
        self.title.setFont(font(16 * s, 600, False))
        self.detail.setFont(font(14 * s, 500, False))
        self.back.setFont(font(14 * s, 500, False))
        layout = self.layout()
        assert layout is not None
        layout.setContentsMargins(*(round(v * s) for v in (15, 8, 14, 10)))
        layout.setSpacing(round(3 * s))
        self.setStyleSheet(
            f"Held {{ background: {p.near_wash}; border-left: 5px solid {p.near_fill}; }}"
            f"QLabel {{ color: {p.ink}; background: transparent; }}"
        )
