"""Style sheets that the rooms beside the view have in common."""

from __future__ import annotations

from app.look.palette import Palette


def room_sheet(p: Palette, *names: str) -> str:
    """A room's ground, its scroll bar and its buttons; more may be written behind it.

    names : the widgets' classes that bear the ground, besides what a scroll area holds.
    """
    ground = ", ".join((*names, "QScrollArea", "QScrollArea > QWidget > QWidget"))
    return (
        f"{ground} {{ background: {p.sheet}; }}{scroll_bar(p)}"
        f"QPushButton {{ background: {p.sheet}; color: {p.dye}; border: 1.5px solid {p.dye};"
        " border-radius: 8px; padding: 4px 10px; }"
        f"QPushButton:hover, QPushButton:focus {{ background: {p.wash}; }}"
        f"QPushButton:disabled {{ color: {p.ink3}; border-color: {p.hair}; }}"
    )


def scroll_bar(p: Palette) -> str:
    """A narrow bar without arrows."""
    return (
        f"QScrollBar:vertical {{ background: {p.sheet}; width: 10px; margin: 0; }}"
        f"QScrollBar::handle:vertical {{ background: {p.hair}; border-radius: 4px;"
        " min-height: 30px; margin: 1px; }"
        "QScrollBar::add-line:vertical, QScrollBar::sub-line:vertical { height: 0; }"
        "QScrollBar::add-page:vertical, QScrollBar::sub-page:vertical { background: none; }"
    )
