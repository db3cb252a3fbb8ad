"""Everything that pushes or pulls along a line between two points, as one kind of thing.

A spring, a bump stop, a droop stop, a strap, a damper shut or pulled right out: each acts between
two points, meets at one length, follows a force curve, and may be solid at another length. Where
and in which order they act then needs no special cases.

Lengths of the coilover are eye centre to eye centre. The damper's ``open`` and ``closed`` are
taken with spring and bump stop off.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from kinematics.errors import ProjectError
from kinematics.project import coils
from kinematics.project.equipment import InnerSpring
from kinematics.project.loads import OutsideStop, Strap
from kinematics.project.model import (
    BumpStop,
    Coilover,
    DroopStop,
    End,
    Project,
    Spring,
)
from kinematics.statics.curves import (
    Floats,
    ForceCurve,
    linear,
    parallel,
    series,
    shifted,
    through,
)

Kind = Literal["spring", "soft", "hard"]

RIGID = ForceCurve(np.zeros(1), np.zeros(1), np.inf)

#: Share of its force when solid that a rubber bump stop gives at shares of its squash, and that
#: force. Taken when no curve is typed: common practice, no source.
ASSUMED_SQUASH = (0.0, 0.25, 0.5, 0.75, 0.9, 1.0)
ASSUMED_SHARE = (0.0, 0.05, 0.14, 0.36, 0.65, 1.0)
ASSUMED_SOLID_FORCE = 6000.0


@dataclass(frozen=True)
class Element:
    """A push (``way`` +1, shortening squashes it) or a pull (-1, lengthening stretches it).

    name : as the builder calls it. ends : the two points it acts between. meets : length (mm) at
    which it starts to act. curve : its force against squash. kind : ``spring``, a ``soft`` stop
    or a ``hard`` one. assumed : its curve is the usual one, not the builder's. chosen : squash
    taken as full bump, when that is less than solid.
    """

    name: str
    ends: tuple[End, End]
    way: int
    meets: float
    curve: ForceCurve
    kind: Kind
    assumed: bool = False
    chosen: float | None = None

    @property
    def ends_at(self) -> float:
        """Length (mm) taken as the end of travel: solid, or the squash chosen as full bump."""
        return self.solid_at if self.chosen is None else self.meets - self.way * self.chosen

    @property
    def solid_at(self) -> float:
        """Length (mm) past which it does not go; infinite or minus infinite if it always gives."""
        if np.isfinite(self.curve.last_rate):
            return -self.way * np.inf
        return self.meets - self.way * float(self.curve.squash[-1])

    def squash(self, length: Floats) -> Floats:
        """How far it is squashed, or stretched, at a length between its ends; mm."""
        return self.way * (self.meets - length)

    def push(self, length: Floats) -> Floats:
        """Force on its ends, apart positive, N; infinite past its solid length."""
        return self.way * self.curve.at(self.squash(length))

    def rate(self, length: Floats) -> Floats:
        """How fast ``push`` grows as the length shrinks, N/mm."""
        return self.curve.rate(self.squash(length))

    def energy(self, length: Floats) -> Floats:
        """Work stored in it, N mm."""
        return self.curve.energy(self.squash(length))


def elements(project: Project) -> tuple[Element, ...]:
    """All the springs and stops of a project, the coilover's first.

    A spring whose force can't be known (no free length, or neither a rate nor a curve nor coils)
    is left out. Raises ProjectError for a force curve that does not rise.
    """
    found: list[Element] = []
    if project.coilover is not None:
        found += of_coilover(project.coilover)
    found += [_outside(name, stop) for name, stop in project.stops.items()]
    found += [_strap(name, strap) for name, strap in project.straps.items()]
    return tuple(found)


def of_coilover(coilover: Coilover) -> list[Element]:
    """The coilover's spring, bump stop, droop stop, strap, and the damper's own two ends."""
    ends = (coilover.foot, coilover.top)
    found: list[Element] = []
    if coilover.spring is not None:
        curve = spring_curve(coilover.spring)
        if curve is not None:
            rest = spring_free(coilover.spring) + seats(coilover.spring)
            found.append(Element("spring", ends, 1, rest, curve, "spring"))
    if coilover.bump_stop is not None:
        stop = coilover.bump_stop
        meets = coilover.closed + stop.packer + stop.free
        curve, assumed = stop_curve(stop, "coilover.bump_stop.curve")
        chosen = stop.full_squash
        found.append(Element("bump stop", ends, 1, meets, curve, "soft", assumed, chosen))
    found.append(Element("damper closed", ends, 1, coilover.closed, RIGID, "hard"))
    if coilover.droop_stop is not None:
        droop = coilover.droop_stop
        meets = coilover.open - (droop.free - droop.solid)
        curve, assumed = stop_curve(droop, "coilover.droop_stop.curve")
        found.append(Element("droop stop", ends, -1, meets, curve, "soft", assumed))
    found.append(Element("damper open", ends, -1, coilover.open, RIGID, "hard"))
    if coilover.droop_strap is not None:
        found.append(Element("strap", ends, -1, coilover.droop_strap, RIGID, "hard"))
    return found


def seats(spring: Spring) -> float:
    """What the coilover's length exceeds the room for its spring by, mm."""
    return spring.seat_from_foot + spring.end_from_top


def spring_free(spring: Spring) -> float:
    """Free length of the stack: the longer of main and inner spring, and helper; mm.

    The main's must be known.
    """
    assert spring.free is not None
    longest = max(spring.free, spring.inner.free) if spring.inner else spring.free
    return longest + (spring.helper.free if spring.helper else 0.0)


def main_and_inner(spring: Spring) -> ForceCurve | None:
    """Force against squash of the main spring and one nested in it, from the longer's free length.

    None where it can't be known.
    """
    if spring.free is None:
        return None
    main = _main_curve(spring)
    if main is None or spring.inner is None:
        return main
    return _nested(main, spring.free, spring.inner)


def spring_curve(spring: Spring) -> ForceCurve | None:
    """Force against squash of main and inner spring and helper; None where it can't be known."""
    main = main_and_inner(spring)
    if main is None or spring.helper is None:
        return main
    helper = spring.helper
    if helper.solid >= helper.free:
        raise ProjectError("coilover.spring.helper: solid must be less than free.")
    return series([main, linear(helper.rate_n_per_mm, helper.free - helper.solid)])


def _nested(main: ForceCurve, free: float, inner: InnerSpring) -> ForceCurve:
    """Main and inner spring on the same seats: the shorter is met later."""
    if inner.solid >= inner.free:
        raise ProjectError("coilover.spring.inner: solid must be less than free.")
    inside = linear(inner.rate_n_per_mm, inner.free - inner.solid)
    longest = max(free, inner.free)
    return parallel([shifted(main, longest - free), shifted(inside, longest - inner.free)])


def _main_curve(spring: Spring) -> ForceCurve | None:
    solid, rate = coils.solid_length(spring), coils.spring_rate(spring)
    if spring.curve is not None:
        return _typed(spring.curve, "coilover.spring.curve", solid=False)
    if rate is None or spring.free is None:
        return None
    if solid is None:
        return linear(rate)
    if solid >= spring.free:
        raise ProjectError(
            "coilover.spring: pressed flat it is no shorter than its free length; check wire, "
            "coils and free length."
        )
    return linear(rate, spring.free - solid)


def stop_curve(stop: BumpStop | DroopStop, path: str) -> tuple[ForceCurve, bool]:
    """A stop's force against squash, solid at its end, and whether it is the assumed one."""
    return _squashed(stop.curve, stop.free - stop.solid, path)


def _squashed(
    points: tuple[tuple[float, float], ...] | None, stroke: float, path: str
) -> tuple[ForceCurve, bool]:
    if stroke < 0.0:
        raise ProjectError(f"{path.rsplit('.', 1)[0]}: its solid height is above its free height.")
    if stroke == 0.0:
        return RIGID, False
    if not points:
        shares = zip(ASSUMED_SQUASH, ASSUMED_SHARE, strict=True)
        return through([(s * stroke, f * ASSUMED_SOLID_FORCE) for s, f in shares], solid=True), True
    typed = _typed(points, path, solid=False)
    inside = typed.squash < stroke
    x = np.append(typed.squash[inside], stroke)
    return ForceCurve(x, np.append(typed.force[inside], typed.at(stroke)), np.inf), False


def _typed(points: tuple[tuple[float, float], ...], path: str, *, solid: bool) -> ForceCurve:
    try:
        return through(points, solid=solid)
    except ValueError as wrong:
        raise ProjectError(f"{path}: {wrong}.") from wrong


def _outside(name: str, stop: OutsideStop) -> Element:
    curve, assumed = _squashed(stop.curve, stop.meets - stop.solid, f"stops.{name}.curve")
    meets = stop.meets + stop.packer
    return Element(name, (stop.on, stop.against), 1, meets, curve, "soft", assumed)


def _strap(name: str, strap: Strap) -> Element:
    return Element(name, strap.ends, -1, strap.length, RIGID, "hard")
