"""A corner on the bench: the gaps that matter, looked at again and again as it is changed.

    bench = Bench(project)
    bench.gaps                                   # every pair as it stands
    bench.tried(changed, bench.troubles)         # those pairs of a changed project, quickly
    bench.checked(changed)                       # every pair of a changed project, in full

What a change leaves alone is not worked out again: how the corner moves, the ends of its travel
and the pairs of parts that stay as they were.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from pathlib import Path

import numpy as np
import numpy.typing as npt

from kinematics.clearance import Clearances, Joint, clearances
from kinematics.motion import Linkage, Motion, MotionError, corner, move
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from kinematics.shapes.build import Builder
from kinematics.shapes.pairs import pairs
from kinematics.shapes.pieces import Part, Piece
from kinematics.studies.movers import moves_alike
from kinematics.studies.near_ends import near_ends
from kinematics.studies.ranges import through_nought
from kinematics.studies.study import TOLERANCE, Setting, reaching, set_up

Array = npt.NDArray[np.float64]
Names = tuple[str, str]

TRAVELS = 81
"""Travel positions of a check; the motion between them is covered too."""
NEAR = 15.0
"""A pair of a changed corner that has so much left over its rule is known well enough, mm."""
FAR = 30.0
"""Positions at which a pair is farther apart than this are looked at roughly at first, mm."""


@dataclass(frozen=True, slots=True)
class Gap:
    """The lowest clearance of a pair over the whole motion, mm, and its rule (NaN: none)."""

    low: float
    rule: float

    @property
    def left(self) -> float:
        """What is left over the rule, or over touching where there is no rule, mm."""
        return self.low if math.isnan(self.rule) else self.low - self.rule


Gaps = Mapping[Names, Gap]


@dataclass(frozen=True, eq=False)
class Meeting:
    """Where a pair is nearest: the point of either part (3,), mm, and where in the motion."""

    point_a: Array
    point_b: Array
    pose: int


def troubles(found: Gaps) -> tuple[Names, ...]:
    """The pairs that touch or break their rule, worst first."""
    wrong = [(gap.left, names) for names, gap in found.items() if gap.left < 0.0]
    return tuple(names for _, names in sorted(wrong))


class Bench:
    """A project as it stands, and quick looks at changed ones. ``folder`` : where scans lie."""

    def __init__(
        self,
        project: Project,
        folder: Path | None = None,
        cancelled: Callable[[], bool] | None = None,
        progress: Callable[[float], None] | None = None,
    ) -> None:
        """Look at every pair as it stands.

        cancelled : asked now and then, then and later; progress : told the share of this that is
        done. Raises Cancelled; ClearstrokeError for a corner that can't be assembled.
        """
        self.project, self.folder, self.cancelled = project, folder, cancelled
        self.setting = set_up(project, folder)
        self.motion = _motion(self.setting.linkage, self.setting.range)
        self.parts = self.setting.builder(self.motion)
        chosen = self.setting.pairs.checked
        self._found = self._measured(
            self.setting, self.motion, self.parts, chosen, progress=progress
        )
        self.gaps: Gaps = _gaps(self.setting, range(len(self.setting.names)), self._found)

    @cached_property
    def troubles(self) -> tuple[Names, ...]:
        """The pairs that touch or break their rule, worst first."""
        return troubles(self.gaps)

    def meeting(self, names: Names) -> Meeting:
        """Where the pair is nearest among the positions looked at."""
        k = self.setting.names.index(names)
        low = self._found.low[k].ravel()
        pose = int(np.argmin(np.where(np.isnan(low), np.inf, low)))
        a, b = (p[k].reshape(-1, 3)[pose] for p in (self._found.point_a, self._found.point_b))
        return Meeting(a, b, pose)

    @cached_property
    def by_name(self) -> Mapping[str, Part]:
        """The parts as they stand, by name."""
        return {part.name: part for part in self.parts}

    def tried(self, project: Project, only: Iterable[Names]) -> Gaps:
        """The gaps of those pairs in a changed project; a pair whose part is gone is left out.

        Raises ClearstrokeError for a corner that can't be assembled.
        """
        return self.changed(project).gaps(only)

    def changed(self, project: Project) -> Look:
        """A changed project, ready for its pairs to be looked at one after another.

        Raises ClearstrokeError for a corner that can't be assembled.
        """
        unfolded = unfold(project)
        linkage = corner(unfolded)
        motion = self._motion_of(unfolded, linkage, near_ends(linkage, self.setting))
        return Look(self, unfolded, linkage, motion, Builder(unfolded, self.folder))

    def checked(self, project: Project) -> tuple[Setting, Gaps]:
        """A changed project set up, and every pair's gap as a full check gives it.

        A pair that has more than `NEAR` left over its rule may be given less than it has.
        Raises ClearstrokeError for a corner that can't be assembled.
        """
        setting = set_up(project, self.folder)
        motion = self._motion_of(setting.unfolded, setting.linkage, setting.range)
        parts = setting.builder(motion)
        every = range(len(setting.names))
        stays = self._stays(parts) if motion is self.motion else set()
        again = [k for k in every if setting.names[k] not in stays]
        chosen = [setting.pairs.checked[k] for k in again]
        new = _gaps(setting, again, self._measured(setting, motion, parts, chosen, FAR))
        near = [k for k in again if new[setting.names[k]].left < NEAR]
        chosen = [setting.pairs.checked[k] for k in near]
        new |= _gaps(setting, near, self._measured(setting, motion, parts, chosen))
        kept = {names: self.gaps[names] for names in setting.names if names in stays}
        return setting, {names: (new | kept)[names] for names in setting.names}

    def _measured(
        self,
        setting: Setting,
        motion: Motion,
        parts: Sequence[Part],
        chosen: Sequence[tuple[int, int]],
        cutoff: float = math.inf,
        progress: Callable[[float], None] | None = None,
    ) -> Clearances:
        return clearances(
            parts,
            chosen,
            grid=motion.shape,
            tol=TOLERANCE,
            joints=setting.joints(motion),
            cutoff=cutoff,
            progress=progress,
            cancelled=self.cancelled,
        )

    def _motion_of(self, unfolded: Project, linkage: Linkage, reach: tuple[float, float]) -> Motion:
        """The corner's own motion where nothing that moves it was changed."""
        if reach == self.setting.range and moves_alike(unfolded, self.setting.unfolded):
            return self.motion
        motion = _motion(linkage, reach)
        if not motion.reached.any():  # nothing could touch, and all would seem right
            raise MotionError("No position of this corner within its travel can be reached.")
        return motion

    def _stays(self, parts: Sequence[Part]) -> set[Names]:
        """The pairs of which both parts are as they were."""
        was = self.by_name
        same = {p.name for p in parts if p.name in was and _alike(p, was[p.name])}
        return {names for names in self.gaps if names[0] in same and names[1] in same}


def _motion(linkage: Linkage, reach: tuple[float, float]) -> Motion:
    rack = linkage.project.rack
    r = np.zeros(1) if rack is None else through_nought(rack.least, rack.most, 5)
    return move(linkage, through_nought(*reach, TRAVELS), r)


def _gaps(setting: Setting, numbers: Sequence[int], found: Clearances) -> dict[Names, Gap]:
    if len(numbers) == 0:
        return {}
    return {
        setting.names[k]: Gap(float(low), float(setting.rule[k]))
        for k, low in zip(numbers, found.worst, strict=True)
    }


@dataclass(frozen=True, eq=False)
class Look:
    """A changed corner over its motion, beside the bench it was changed from: for a few pairs."""

    bench: Bench
    unfolded: Project
    linkage: Linkage
    motion: Motion
    builder: Builder
    _made: dict[int, Part] = field(default_factory=dict)

    def gaps(self, only: Iterable[Names]) -> dict[Names, Gap]:
        """The gaps of those pairs; a pair whose part is gone is left out."""
        number = {part.name: k for k, part in enumerate(self._standing)}
        asked = [names for names in only if names[0] in number and names[1] in number]
        pairs_of = {n: (min(at), max(at)) for n in asked for at in [(number[n[0]], number[n[1]])]}
        known = {names: self.bench.gaps[names] for names in asked if self._stays(pairs_of[names])}
        wanted = [names for names in asked if names not in known]
        lows = self._lowest([pairs_of[names] for names in wanted])
        found = {
            names: Gap(low, self.bench.gaps[names].rule)
            for names, low in zip(wanted, lows, strict=True)
        }
        return {names: (known | found)[names] for names in asked}

    @cached_property
    def _still(self) -> Motion:
        return move(self.linkage, [0.0])

    @cached_property
    def _standing(self) -> tuple[Part, ...]:
        """The parts at set-up height."""
        return self.builder(self._still)

    def _part(self, number: int) -> Part:
        """A part over the motion, made once."""
        if number not in self._made:
            self._made[number] = self.builder.some(self.motion, [number])[0]
        return self._made[number]

    def _stays(self, pair: tuple[int, int]) -> bool:
        """Whether both parts are as they were, and move as they did."""
        if self.motion is not self.bench.motion:
            return False
        was = self.bench.by_name
        mine = map(self._part, pair)
        return all(part.name in was and _alike(part, was[part.name]) for part in mine)

    def _lowest(self, asked: Sequence[tuple[int, int]]) -> list[float]:
        """The lowest clearance of pairs by number, what is joined left out, mm."""
        used = sorted({number for pair in asked for number in pair})
        at = {number: k for k, number in enumerate(used)}
        standing = [self._standing[number] for number in used]
        chosen = pairs(self.unfolded, standing)
        wanted = [(at[a], at[b]) for a, b in asked]
        checked = tuple(pair for pair in dict.fromkeys(wanted) if pair in {*chosen.checked})
        if not checked:
            return [math.inf] * len(asked)
        joints = tuple(j for j in chosen.joints if (j.a, j.b) in checked)
        near = replace(chosen, joints=joints)
        if joints:
            near = replace(near, joints=reaching(near, standing, self._still))
        found = clearances(
            [self._part(number) for number in used],
            checked,
            grid=self.motion.shape,
            tol=TOLERANCE,
            joints=[
                Joint(j.a, j.b, centre, j.radius)
                for j, centre in zip(near.joints, near.centres(self.motion), strict=True)
            ],
            cancelled=self.bench.cancelled,
            threads=1,
        )
        lows = dict(zip(checked, map(float, found.worst), strict=True))
        return [lows.get(pair, math.inf) for pair in wanted]


def _alike(a: Part, b: Part) -> bool:
    """Whether two parts over the same poses are the same."""
    if a is b:
        return True
    return len(a.pieces) == len(b.pieces) and all(map(_same_piece, a.pieces, b.pieces))


def _same_piece(a: Piece, b: Piece) -> bool:
    if a is b:
        return True
    if type(a) is not type(b):
        return False
    for each in fields(a):
        one, other = getattr(a, each.name), getattr(b, each.name)
        if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
            if not np.array_equal(one, other, equal_nan=True):
                return False
        elif one is not other and one != other:
            return False
    return True
