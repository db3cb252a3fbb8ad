"""What a hold asks of the hands that have it."""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import QPointF, SignalInstance

from app.hand.ghost import Ghost
from app.hand.points import Points


class Holder(Protocol):
    """Hands as a hold knows them: how the mount slides, and what is shown and told of a move."""

    way: str
    points: Points
    ghost: Ghost

    @property
    def past(self) -> SignalInstance:
        """Told how far a hand pulls beyond a limit, mm."""

    def tell(self, kind: str, rows: list[tuple[str, str]], at: QPointF) -> None:
        """What is held, what to tell of it and where the pointer is."""
