"""How a map of the mount's places lies on paper: which way is up, right and through it."""

from __future__ import annotations

from dataclasses import dataclass

from kinematics.findings.phrases import Units
from kinematics.project.model import Project
from kinematics.studies.top_map import TopMap
from kinematics.units import show_plain


@dataclass(frozen=True)
class Lie:
    """One of the planes as it is drawn.

    seen : where it is looked at from. rows, columns : what more of either is called. right : 1
    where greater offsets of the columns lie to the right, -1 where they lie to the left. told :
    the sign by which these offsets are told. away : how far the plane lies from the mount as it
    stands, mm, by sign of ``ways``.
    """

    seen: str
    rows: str
    columns: str
    right: float
    told: float
    away: float
    ways: tuple[str, str]

    def spot(self, row: float, column: float) -> tuple[float, float]:
        """Right and up, mm, of offsets of the mount."""
        return self.right * column + 0.0, row

    def words(self, units: Units) -> str:
        """'seen from above', and how far off the mount that is."""
        if abs(self.away) < 0.05:
            return self.seen
        way = self.ways[0] if self.away > 0.0 else self.ways[1]
        return f"{self.seen}, {show_plain(abs(self.away), units)} {way}"


def lie_of(plan: TopMap, project: Project) -> Lie:
    """How a map of that project lies: from the side it is looked at from outside the car."""
    out = 1.0 if project.side == "left" else -1.0
    if plan.plane == "along":
        return Lie("seen from the side", "up", "forward", -out, 1.0, -out * plan.level,
                   ("inboard", "outboard"))  # fmt: skip
    if plan.plane == "across":
        return Lie("seen from behind", "up", "inboard", -1.0, -out, plan.level,
                   ("forward", "rearward"))  # fmt: skip
    return Lie("seen from above", "forward", "inboard", -1.0, -out, plan.height, ("up", "down"))
