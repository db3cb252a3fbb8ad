"""What besides clearance decides whether a place of the top mount will do, place by place.

Joints and their angles, the spring from loose to coil-bound, what is left of the damper, and camber
and toe where the mount holds the wheel: each over the place's own travel, as a full check of the
corner with its mount there finds it at the same positions.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from enum import IntEnum
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from kinematics.project.model import Project
from kinematics.statics import sprung
from kinematics.statics.elements import seats

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

ROUNDING = 1e-6
"""mm and rad: what is past a limit by less than this is at it."""


class Stands(IntEnum):
    """Whether a corner stands at set-up height with its mount at a place, and why not."""

    YES = 0
    PULLED_OUT = 1
    """The damper, or a strap, would have to be longer than it gets."""
    SHUT = 2
    """The damper would have to be shorter than its stop, or it itself, lets it be."""
    NO_FIT = 3
    """A strut can't be put together with its links."""


class SpringState(IntEnum):
    """The spring over a place's own travel, best first."""

    UNKNOWN = -1
    CAPTIVE = 0
    """Squashed at every position."""
    IN_LIP = 1
    """Unsquashed at full droop, but by less than the lip that keeps it in place."""
    LOOSE = 2
    """It hangs loose at full droop."""
    TIGHT = 3
    """Less than the safe gap is left between its coils at full bump."""
    BOUND = 4
    """Coil-bound before full bump."""


@dataclass(frozen=True, slots=True)
class Swivel:
    """One limit of one joint: the point, the member that swivels there, by angle or by twist."""

    point: str
    member: str
    kind: Literal["angle", "twist"]


@dataclass(frozen=True, eq=False)
class Limits:
    """What every place of a map comes to besides clearance: arrays over places, (ny, nx) each.

    stands : `Stands` by number; all else is NaN, -1 or UNKNOWN where it is not YES.
    joint_left : angle left, rad, of the joint that uses most of its limit, negative past it; NaN
    where no joint has a limit. joint : its number in ``joints``, -1 for none; ``joint_travel`` and
    ``joint_rack`` say where in the motion, mm. spring : `SpringState` by number. spring_squash :
    what the spring is still squashed by where it is longest, mm, negative where it is loose by so
    much. spring_left : room above its shortest safe length where it is shortest, mm, negative
    below. spring_spare : the less of what it has before it hangs loose past its lip and before it
    is too tight, mm. NaN where free length and coils are not known. damper : its length at set-up
    height, mm. damper_left : of it at the ends of the travel that was asked for, mm, negative where
    it can't go so far; 0 where it makes an end itself. meets : travel at which the bump stop meets,
    mm, NaN for none or none within reach. camber, toe : change at set-up height from now,
    rad, 0 where the mount does not hold the wheel.
    """

    joints: tuple[Swivel, ...]
    stands: Ints
    joint_left: Array
    joint: Ints
    joint_travel: Array
    joint_rack: Array
    spring: Ints
    spring_squash: Array
    spring_left: Array
    spring_spare: Array
    damper: Array
    damper_left: Array
    meets: Array
    camber: Array
    toe: Array

    @property
    def binds(self) -> Bools:
        """Where a joint is past its limit."""
        return self.joint_left < -ROUNDING

    @property
    def spring_wrong(self) -> Bools:
        """Where the spring hangs loose, is too tight or coil-bound."""
        return self.spring >= SpringState.LOOSE

    @property
    def short(self) -> Bools:
        """Where the damper can't go as far as the travel that was asked for."""
        return self.damper_left < -ROUNDING

    @property
    def wrong(self) -> Bools:
        """Where the corner can't stand, or joints, spring or damper are past a limit."""
        stands = np.asarray(self.stands == Stands.YES)
        return ~stands | self.binds | self.spring_wrong | self.short

    @property
    def spare(self) -> Array:
        """The least left of all these, negative where one is past its limit; NaN where none stands.

        Degrees of joints and mm of spring and damper alike: for its sign and where that changes.
        """
        free = np.where(np.abs(self.damper_left) <= ROUNDING, np.inf, self.damper_left)
        least = np.fmin(np.fmin(np.degrees(self.joint_left), self.spring_spare), free)
        return np.where(self.stands == Stands.YES, np.fmin(least, np.inf), np.nan)

    def shaped(self, shape: tuple[int, int]) -> Limits:
        """The same with its arrays reshaped."""
        return self.each(lambda values: values.reshape(shape))

    def each(self, change: Callable[[npt.NDArray[Any]], npt.NDArray[Any]]) -> Limits:
        """The same with every array changed alike by a function."""
        arrays: dict[str, Any] = {
            f.name: change(getattr(self, f.name)) for f in fields(self) if f.name != "joints"
        }
        return replace(self, **arrays)


@dataclass(frozen=True, eq=False)
class SpringUse:
    """The spring's state and, mm, what `Limits` says of it, (n,) each."""

    state: Ints
    squash: Array
    left: Array
    spare: Array


def spring_use(project: Project, longest: Array, shortest: Array) -> SpringUse:
    """The spring of a coilover between its longest and shortest lengths (n,), eye to eye, mm.

    As the facts of `kinematics.statics.spring_facts` have it.
    """
    unknown = np.full(longest.shape, np.nan)
    coilover = project.coilover
    sheet = None if coilover is None else sprung.sheet(coilover)
    if coilover is None or coilover.spring is None or sheet is None:
        return SpringUse(np.full(longest.shape, -1), unknown, unknown, unknown)
    off, lip = seats(coilover.spring), coilover.spring.locating_lip
    squash = unknown if sheet.free is None else sheet.free - (longest - off)
    least = sheet.least_room
    left = unknown if least is None else shortest - off - least
    gaps = 0.0 if least is None or sheet.solid is None else least - sheet.solid - sheet.helper_flat
    state = np.full(longest.shape, int(SpringState.UNKNOWN))
    for held, worse in (
        (np.isfinite(squash), SpringState.CAPTIVE),
        (squash < 0.0, SpringState.IN_LIP),
        (squash < -lip - ROUNDING, SpringState.LOOSE),
        (left < -ROUNDING, SpringState.TIGHT),
        (left <= min(-gaps, -ROUNDING), SpringState.BOUND),
    ):
        state[held] = worse
    return SpringUse(state, squash, left, np.fmin(squash + lip, left))


def worse_limits(a: Limits, b: Limits) -> Limits:
    """The worse of two rack positions, place by place; set-up figures are those of the first."""
    joint = (b.joint_left < a.joint_left) | (np.isnan(a.joint_left) & ~np.isnan(b.joint_left))

    def of(name: str) -> npt.NDArray[Any]:
        return np.asarray(np.where(joint, getattr(b, name), getattr(a, name)))

    return replace(
        a,
        stands=np.where(a.stands == Stands.YES, b.stands, a.stands),
        joint_left=of("joint_left"),
        joint=of("joint"),
        joint_travel=of("joint_travel"),
        joint_rack=of("joint_rack"),
        spring=np.maximum(a.spring, b.spring),
        spring_squash=np.fmin(a.spring_squash, b.spring_squash),
        spring_left=np.fmin(a.spring_left, b.spring_left),
        spring_spare=np.fmin(a.spring_spare, b.spring_spare),
        damper_left=np.fmin(a.damper_left, b.damper_left),
        meets=np.fmin(a.meets, b.meets),
    )
