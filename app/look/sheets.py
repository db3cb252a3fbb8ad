"""Style sheets that the rooms beside the view have in common."""

from __future__ import annotations

from app.look.palette import Palette
from app.look.type import BODY, CONDENSED

BAR = 10  # px: how wide a scroll bar is


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
        f"QComboBox {{ combobox-popup: 0; }}{list_sheet(p)}"
    )


def list_sheet(p: Palette, owner: str = "QComboBox ") -> str:
    """The list that a choice lets down, like a menu; ``owner``: what it belongs to."""
    return (
        f"{owner}QAbstractItemView {{ background: {p.sheet}; color: {p.ink}; outline: 0;"
        f" border: 1px solid {p.ink3}; padding: 3px; selection-background-color: {p.wash};"
        f" selection-color: {p.dye}; }}"
        f"{owner}QAbstractItemView::item {{ padding: 3px 2px; border-radius: 6px; }}"
        f"{owner}QAbstractItemView::item:selected {{ background: {p.wash}; color: {p.dye}; }}"
    )


def pick_sheet(p: Palette) -> str:
    """Fields, and choices that can be typed; the arrow is painted."""
    return (
        f"QLineEdit, QComboBox {{ background: {p.sheet}; color: {p.ink};"
        f" border: 1.5px solid {p.hair}; border-radius: 6px; padding: 2px 6px; }}"
        "QComboBox::drop-down { border: 0; width: 22px; }"
        f"QLineEdit:focus, QComboBox:focus {{ border-color: {p.dye}; }}"
        "QComboBox QLineEdit { border: 0; padding: 0; }"
    )


def main_button(p: Palette) -> str:
    """For the one thing to do next: filled, where the other buttons are only edged."""
    return (
        f"QPushButton {{ background: {p.dye}; color: {p.on_dye}; border: 1.5px solid {p.dye};"
        " border-radius: 8px; padding: 4px 14px; }"
        f"QPushButton:hover, QPushButton:focus {{ background: {p.dye}; border-color: {p.ink}; }}"
        f"QPushButton:disabled {{ background: {p.sheet}; color: {p.ink3};"
        f" border-color: {p.hair}; }}"
    )


def dialog_sheet(p: Palette) -> str:
    """A question over the window; the button that Enter presses is filled."""
    return (
        f"QDialog {{ background: {p.sheet}; }} QLabel {{ color: {p.ink}; }}"
        f"QPushButton {{ background: {p.sheet}; color: {p.dye}; border: 1.5px solid {p.dye};"
        " border-radius: 8px; padding: 4px 14px; }"
        f"QPushButton:default {{ background: {p.dye}; color: {p.on_dye}; }}"
        f"QPushButton:hover {{ background: {p.wash}; color: {p.dye}; }}"
        f"QPushButton:focus {{ border-color: {p.ink}; }}"
    )


def message_sheet(p: Palette, s: float) -> str:
    """The toolkit's box with a question, dressed alike; its labels take type from here alone."""
    title, body = (f"{round(size * s)}px" for size in (18, 15))
    return (
        f"{dialog_sheet(p)} QPushButton {{ font: 500 {body} '{BODY}'; }}"
        f"QLabel {{ font: 500 {body} '{BODY}'; }}"
        f"QLabel#qt_msgbox_label {{ font: 600 {title} '{CONDENSED}'; }}"
    )


def quiet_button(p: Palette) -> str:
    """For what is seldom wanted: a word without an edge until the hand or the focus is on it."""
    return (
        "QPushButton { background: transparent; border: 1.5px solid transparent;"
        f" border-radius: 8px; padding: 4px 8px; color: {p.dye}; }}"
        f"QPushButton:hover {{ background: {p.wash}; }}"
        f"QPushButton:focus {{ background: {p.wash}; border-color: {p.dye}; }}"
        f"QPushButton:disabled {{ color: {p.ink3}; }}"
    )


def scroll_bar(p: Palette) -> str:
    """A narrow bar without arrows."""
    return (
        f"QScrollBar:vertical {{ background: {p.sheet}; width: {BAR}px; margin: 0; }}"
        f"QScrollBar::handle:vertical {{ background: {p.hair}; border-radius: 4px;"
        " min-height: 30px; margin: 1px; }"
        "QScrollBar::handle:vertical:disabled { background: transparent; }"
        "QScrollBar::add-line:vertical, QScrollBar::sub-line:vertical { height: 0; }"
        "QScrollBar::add-page:vertical, QScrollBar::sub-page:vertical { background: none; }"
    )
