"""Menus in our own look: a sheet with an edge, the line under the hand washed with its colour."""

from __future__ import annotations

from PySide6.QtWidgets import QMenu, QWidget

from app.look.theme import Theme
from app.look.type import font
from app.told import told


@told
class Menu(QMenu):
    """A menu below what asked for it; menus within it look alike."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        s, p = theme.scale, theme.palette
        self.setFont(font(15 * s, 500, False))
        edge, high, side = round(6 * s), round(6 * s), round(26 * s)
        self.setStyleSheet(
            f"QMenu {{ background: {p.sheet}; color: {p.ink}; border: 1px solid {p.ink3};"
            f" padding: {edge}px; }}"
            f"QMenu::item {{ padding: {high}px {side}px; border-radius: {edge}px; }}"
            f"QMenu::item:selected {{ background: {p.wash}; color: {p.dye}; }}"
            f"QMenu::item:disabled {{ color: {p.ink3}; background: {p.sheet}; }}"
            f"QMenu::separator {{ height: 1px; background: {p.hair}; margin: {edge}px; }}"
        )

    def addMenu(self, *args: object) -> QMenu:  # type: ignore[override]
        """As the toolkit's, with this menu's type."""
        made: QMenu = super().addMenu(*args)  # type: ignore[call-overload]
        made.setFont(self.font())
        return made
