"""Where the top mount must sit so that the damper's stroke is shared as wanted."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import numpy as np

from kinematics.errors import ClearstrokeError
from kinematics.motion import corner
from kinematics.motion.limits import STOP_SOLID, limits
from kinematics.motion.linkage import damper_length
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from kinematics.statics.elements import of_coilover


@dataclass(frozen=True)
class TopPlace:
    """Where the top bearing must sit.

    along : how far to move it up the coilover's own line at set-up height (mm, negative down).
    xyz : its new place, as the project has its points. length : eye to eye at set-up height (mm).
    bump, droop : wheel travel either way that it then has (mm, droop negative).
    """

    along: float
    xyz: tuple[float, float, float]
    length: float
    bump: float
    droop: float


def stroke_ends(project: Project) -> tuple[float, float]:
    """Damper lengths at full bump and full droop: what its own stops leave, eye to eye, mm."""
    coilover = unfold(project).coilover
    if coilover is None:
        raise ClearstrokeError("This corner has no coilover, so it has no stroke to share.")
    stops = [e for e in of_coilover(coilover) if e.kind != "spring"]
    shut = max(stop.ends_at for stop in stops if stop.way > 0)
    return shut, min(stop.ends_at for stop in stops if stop.way < 0)


def top_for_share(project: Project, bump_share: float) -> TopPlace:
    """Move the top along the coilover so that ``bump_share`` of the wheel's travel is bump.

    By root-finding on the true travel to either end, for any arrangement: a strut, whose motion
    the top takes part in, is moved and solved again. ``bump_share`` is between 0 and 1. Raises
    ClearstrokeError where it is not, or the stroke can't be shared so.
    """
    if not 0.0 < bump_share < 1.0:
        raise ClearstrokeError("The share of bump should be between 0 and 1, such as 0.5.")
    from scipy.optimize import brentq  # slow to import

    project = msgspec.structs.replace(unfold(project), travel=None)
    shut, open_ = stroke_ends(project)
    length = damper_length(corner(project))
    hair = 1e-3 * (open_ - shut)
    low, high = shut - length + hair, open_ - length - hair

    def over(along: float) -> float:
        droop, bump = _travels(project, along)
        return bump / (bump - droop) - bump_share

    if over(low) > 0.0 or over(high) < 0.0:
        raise ClearstrokeError("The stroke can't be shared so: the links end the travel first.")
    along = float(brentq(over, low, high, xtol=1e-6))
    droop, bump = _travels(project, along)
    coilover = project.coilover
    assert coilover is not None
    return TopPlace(
        along, moved_top(project, along).points[coilover.top.point], length + along, bump, droop
    )


def moved_top(project: Project, along: float) -> Project:
    """The project with its top bearing moved up the coilover's line by so many mm."""
    coilover = project.coilover
    assert coilover is not None
    foot, top = (np.asarray(project.points[e.point]) for e in (coilover.foot, coilover.top))
    x, y, z = (top + along * (top - foot) / np.linalg.norm(top - foot)).tolist()
    return msgspec.structs.replace(
        project, points={**project.points, coilover.top.point: (x, y, z)}
    )


def _travels(project: Project, along: float) -> tuple[float, float]:
    found = limits(corner(moved_top(project, along)))
    bump = [limit.travel for limit in found.bump if limit.ends or limit.cause == STOP_SOLID]
    return found.low, min(bump, default=found.high)
