"""The planes in which the top mount's places are looked at, and how each lies on the screen."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from PySide6.QtCore import QPointF, QRectF

FORE, INWARD, UP = 0, 1, 2
REACHES = (40.0, 60.0, 100.0, 160.0, 250.0, 400.0)
"""mm from the middle to the edge of what is looked at."""
BEYOND = 8.0  # mm: a mount nearer to the edge than this is looked at with more about it

Spot3 = tuple[float, float, float]
"""Forward, inward and up, mm, from where the mount first stood."""


@dataclass(frozen=True)
class Plane:
    """Two of the three ways a mount can go. rows : up the picture; columns : across it.

    edges : what lies at its top, bottom, towards plus and towards minus of the columns. third :
    the way it is looked along, and what more and less of it are called.
    """

    key: str
    words: str
    rows: int
    columns: int
    third: int
    edges: tuple[str, str, str, str]
    apart: tuple[str, str]
    mirrored: bool = False

    def turned(self, out: float) -> float:
        """1 where more of the columns' way lies to the right, -1 where it lies to the left."""
        return -out if self.mirrored else out

    def flat(self, at: Spot3) -> tuple[float, float]:
        """Up the picture and across it, of a place."""
        return at[self.rows], at[self.columns]

    def place(self, flat: tuple[float, float], level: float) -> Spot3:
        """The place at so much up the picture and across it, in the plane at a level."""
        made = [0.0, 0.0, 0.0]
        made[self.rows], made[self.columns], made[self.third] = flat[0], flat[1], level
        return made[0], made[1], made[2]


ABOVE = Plane(
    "above", "from above", FORE, INWARD, UP, ("front", "rear", "middle", "outside"),
    ("higher", "lower"),
)  # fmt: skip
SIDE = Plane(
    "side", "from the side", UP, FORE, INWARD, ("up", "down", "front", "rear"),
    ("further inboard", "further outboard"), mirrored=True,
)  # fmt: skip
BEHIND = Plane(
    "behind", "from behind", UP, INWARD, FORE, ("up", "down", "middle", "outside"),
    ("further forward", "further rearward"),
)  # fmt: skip
PLANES = {plane.key: plane for plane in (ABOVE, SIDE, BEHIND)}


@dataclass(frozen=True)
class Wanted:
    """What the builder wants to see: a plane, and how far it lies from the mount as it stands, mm
    (up, inward or forward)."""

    plane: Plane = ABOVE
    level: float = 0.0


@dataclass(frozen=True)
class Frame:
    """Where places of a plane come to lie in a picture."""

    field: QRectF
    reach: float
    turned: float

    @property
    def per(self) -> float:
        """Picture units a mm."""
        return self.field.width() / 2 / self.reach

    def spot(self, row: float, column: float) -> QPointF:
        """Where a place is drawn."""
        middle = self.field.center()
        return QPointF(middle.x() + column * self.per * self.turned, middle.y() - row * self.per)

    def offset(self, at: QPointF) -> tuple[float, float]:
        """The place at a point of the picture."""
        middle = self.field.center()
        return (middle.y() - at.y()) / self.per, (at.x() - middle.x()) / self.per * self.turned

    def box(self, rows: tuple[float, float], columns: tuple[float, float]) -> QRectF:
        """A range of places as drawn."""
        return QRectF(self.spot(rows[0], columns[0]), self.spot(rows[1], columns[1])).normalized()


def reach_for(at: Spot3) -> float:
    """How far about its first place a mount is looked at, mm, so that it lies well within."""
    far = max(abs(x) for x in at) + BEYOND
    return next((reach for reach in REACHES if reach >= far), ceil(far / 400.0) * 400.0)
