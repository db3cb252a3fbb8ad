"""The projects opened lately, remembered in the user's settings."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSettings

RECENT = 8


def recent() -> list[Path]:
    """Projects opened lately, newest first, that are still there."""
    stored = QSettings().value("recent", [])
    names = [stored] if isinstance(stored, str) else stored if isinstance(stored, list) else []
    return [Path(str(n)) for n in names if Path(str(n)).is_file()]


def remember(path: Path) -> None:
    """Put a project at the head of the recent ones."""
    kept = [path.resolve(), *(p for p in recent() if p.resolve() != path.resolve())]
    QSettings().setValue("recent", [str(p) for p in kept[:RECENT]])
