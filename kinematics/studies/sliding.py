"""The parts of a corner whose top mount slides, at every place of it and every sample there.

Where the top only carries the damper, sliding it moves coilover and tower and nothing else: the
wheel's motion is solved once. The mount is then one more body that moves straight, and a batch of
(place, sample) is a motion of one row.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import msgspec
import numpy as np
import numpy.typing as npt

from kinematics.clearance.grid import MOVING, PLACED, SHIFTED, STILL, Placing
from kinematics.clearance.joints import trimmed
from kinematics.errors import ClearstrokeError
from kinematics.motion import Motion, move
from kinematics.project.model import CHASSIS, Coilover, PointOnLine, Project
from kinematics.shapes.build import Builder
from kinematics.shapes.mount import TOP_MOUNT
from kinematics.shapes.pairs import JointBall
from kinematics.shapes.pieces import Block, Mesh, Part, Piece, poses
from kinematics.shapes.poses import Poses
from kinematics.studies.asking import Asked, go_on
from kinematics.studies.study import Setting

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
Pair = tuple[int, int]

MOUNT = "top mount"


def steers_the_wheel(project: Project) -> bool:
    """Whether moving the top moves the wheel too, as a strut's does. ``project`` unfolded."""
    coilover = project.coilover
    if coilover is None:
        raise ClearstrokeError("This corner has no coilover, so there is no top mount to move.")
    return any(
        isinstance(joint, PointOnLine) and joint.point == coilover.top.point
        for joint in project.joints.values()
    )


def goes_along(project: Project, with_tower: bool | None) -> bool:
    """Whether the tower goes along with the mount: as asked, else as the tower itself says."""
    if with_tower is not None:
        return with_tower
    return project.tower is None or project.tower.moves_with_top


@dataclass(frozen=True, eq=False)
class Term:
    """One affected pair, or some pieces of the part of it that stands still.

    pair : its number among the affected. part, pieces : of that part these alone, by number; all
    where there is no such part. cut_at (places,) : where the top's ball may cut them; None: none.
    """

    pair: int
    part: int = -1
    pieces: tuple[int, ...] = ()
    cut_at: Bools | None = None

    @property
    def rough(self) -> bool:
        """Whether it comes out too low, maybe, where it is not cut."""
        return self.cut_at is not None

    def of(self, part: int) -> tuple[int, ...] | None:
        """Which pieces of a part are meant, None for all."""
        return self.pieces if part == self.part else None


@dataclass(frozen=True, eq=False)
class Sliding:
    """A corner whose top mount slides, over the poses of one motion of its wheel.

    motion : poses (nz, 1), picked from by number. with_tower : the tower goes along.
    """

    setting: Setting
    motion: Motion
    with_tower: bool

    def __post_init__(self) -> None:
        if steers_the_wheel(self.setting.unfolded):
            raise ClearstrokeError("Moving this top mount moves the wheel: solve the corner anew.")

    @property
    def coilover(self) -> Coilover:
        """The coilover whose top slides."""
        coilover = self.setting.unfolded.coilover
        assert coilover is not None  # steers_the_wheel has looked
        return coilover

    @cached_property
    def affected(self) -> Ints:
        """Numbers of the pairs that the mount's place can change, (k,)."""
        moved = [self._goes_along(part) or part.body == "coilover" for part in self._parts]
        pairs = self.setting.pairs.checked
        return np.array(
            [k for k, (i, j) in enumerate(pairs) if moved[i] != moved[j]], dtype=np.int64
        )

    def placed(
        self,
        rows: Ints,
        offset: Array,
        chosen: Sequence[Term],
        places: Ints | None = None,
        cut: bool = False,
        cancelled: Asked | None = None,
    ) -> tuple[list[Placing], list[Pair]]:
        """The parts of some terms, and these as pairs of such parts.

        rows (places, samples) : numbers of poses; offset (places, 3) : the mount's moves, mm.
        chosen : from `terms`. places : of all that were moved for, those of rows and offset, if not
        all. cut : what of a part lies near the top's ball is cut about it at every place; else it
        is left whole, and terms that are rough may come out too low.
        Raises Cancelled.
        """
        batch = self._batch(rows, offset, places)
        checked = [self.setting.pairs.checked[self.affected[term.pair]] for term in chosen]
        used = sorted({i for pair in checked for i in pair})
        sliding = [i for i in used if self._mode(self._parts[i]) == PLACED]
        others = [i for i in used if i not in sliding]
        parts = dict(zip(others, self.setting.builder.some(self._row, others), strict=True))
        for i in sliding:  # each takes long: many places, and many poses at each
            go_on(cancelled)
            parts[i] = self._builder.some(batch, [i])[0]
        placings: list[Placing] = []
        number: dict[tuple[int, ...], int] = {}
        terms: list[Pair] = []
        for term, (i, j) in zip(chosen, checked, strict=True):
            go_on(cancelled)
            balls = self._balls_of((i, j))
            ends = []
            for k in (i, j):
                mine = term.of(k)
                key = (k, i, j, *(mine or ())) if balls else (k,)
                if key not in number:
                    number[key] = len(number)
                    held = offset if cut and term.rough else None
                    part = parts[k] if mine is None else _only(parts[k], mine)
                    placings += self._cut(part, balls, batch, held, number[key])
                ends.append(number[key])
            terms.append((ends[0], ends[1]))
        return placings, terms

    def terms(self, offset: Array) -> list[Term]:
        """The affected pairs, those joined at the top as every piece near its ball and the rest.

        offset (places, 3) : everywhere that ball may go, mm.
        """
        found = []
        for n, k in enumerate(self.affected):
            pair = self.setting.pairs.checked[k]
            top = [ball for ball in self._balls_of(pair) if self._at_top(ball)]
            still = [i for i in pair if self._mode(self._parts[i]) == STILL] if top else []
            if not still:
                found.append(Term(n))
                continue
            (i,) = still
            pieces = self._parts[i].pieces
            near = [self._cut_at(piece, top, offset) for piece in pieces]
            far = tuple(m for m, places in enumerate(near) if not places.any())
            found += [Term(n, i, far)] if far else []
            found += [Term(n, i, (m,), at) for m, at in enumerate(near) if at.any()]
        return found

    def _cut_at(self, piece: Piece, balls: Sequence[JointBall], offset: Array) -> Bools:
        """The places at which a ball that goes with the mount may cut a piece that stands still."""
        found = np.zeros(len(offset), dtype=bool)
        if isinstance(piece, Mesh):  # a scan is measured whole
            return found
        corners = getattr(piece, "corners", None)
        for ball in balls:
            if corners is None:  # rods and rings are few
                return ~found
            middle = self._unmoved(ball)[0] + offset
            reach = ball.radius / np.sqrt(3.0) if isinstance(piece, Block) else ball.radius
            reach += getattr(piece, "half", 0.0)
            low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
            found |= np.all((low < middle + reach) & (high > middle - reach), axis=1)
        return found

    def _balls_of(self, pair: Pair) -> list[JointBall]:
        return [ball for ball in self.setting.pairs.joints if (ball.a, ball.b) == pair]

    def _cut(
        self,
        part: Part,
        balls: Sequence[JointBall],
        batch: Motion,
        offset: Array | None,
        number: int,
    ) -> Iterator[Placing]:
        """The part without what lies inside the balls, wherever these are in it.

        offset : where the top's own goes over a part that stands still; None: that is left whole.
        """
        mode = self._mode(part)
        if mode == STILL and offset is not None and any(self._at_top(ball) for ball in balls):
            for m, by in enumerate(offset):
                held = [
                    (self._unmoved(b) + (by if self._at_top(b) else 0.0), b.radius) for b in balls
                ]
                yield Placing(number, trimmed(part, held).pieces, mode, m)
            return
        if mode == STILL:
            balls = [ball for ball in balls if not self._at_top(ball)]
        motion = batch if mode == PLACED else self._row
        cut = trimmed(part, [(self._centre(ball, motion), ball.radius) for ball in balls])
        yield Placing(number, cut.pieces, mode)

    def _unmoved(self, ball: JointBall) -> Array:
        """Where a ball is at every pose of the wheel with the mount where it is now."""
        return np.asarray(Poses(self._row).carry(ball.at.body, ball.at.xyz[None])[:, 0])

    def _centre(self, ball: JointBall, motion: Motion) -> Array:
        """Where a ball is at every pose, (n, 3) or (1, 3); the top's goes with the mount."""
        body = MOUNT if self._at_top(ball) and MOUNT in motion.bodies else ball.at.body
        return np.asarray(Poses(motion).carry(body, ball.at.xyz[None])[:, 0])

    def _at_top(self, ball: JointBall) -> bool:
        """Whether a ball is the one about the top mount."""
        top = self.coilover.top
        at = np.asarray(self.setting.unfolded.points[top.point])
        return ball.at.body == top.body and np.array_equal(ball.at.xyz, at)

    def _mode(self, part: Part) -> int:
        """How a part's pieces are given."""
        if part.body == "coilover":
            return PLACED
        if self._goes_along(part):
            return SHIFTED
        return MOVING if any(poses(piece) > 1 for piece in part.pieces) else STILL

    def _batch(self, rows: Ints, offset: Array, places: Ints | None) -> Motion:
        """The poses of every place's samples, as one row, with the mount as a body of its own."""
        picked = rows.ravel()
        offset, count = np.repeat(offset, rows.shape[1], axis=0), len(picked)
        motion = self.motion
        carrying = {self.coilover.foot.body, *(ball.at.body for ball in self._balls)}
        kept = [k for k, body in enumerate(motion.bodies) if body in carrying]
        still = np.broadcast_to(np.eye(3)[:, :, None], (3, 3, count))
        return replace(
            motion,
            travel=np.zeros(1),
            rack=np.zeros(count),
            bodies=(*(motion.bodies[k] for k in kept), MOUNT),
            state=motion.state.reshape(1, -1)[:, picked],
            closure=motion.closure.reshape(1, -1)[:, picked],
            flat_rotation=np.concatenate(
                [np.take(motion.flat_rotation[kept], picked, axis=-1), still[None]]
            ),
            flat_position=np.concatenate(
                [np.take(motion.flat_position[kept], picked, axis=-1), offset.T[None]]
            ),
        )

    @cached_property
    def _balls(self) -> list[JointBall]:
        """The joints of affected pairs, but the top's own."""
        pairs = {self.setting.pairs.checked[k] for k in self.affected}
        return [
            ball
            for ball in self.setting.pairs.joints
            if (ball.a, ball.b) in pairs and not self._at_top(ball)
        ]

    @cached_property
    def _builder(self) -> Builder:
        top = msgspec.structs.replace(self.coilover.top, body=MOUNT)
        sliding = msgspec.structs.replace(self.coilover, top=top)
        project = msgspec.structs.replace(self.setting.unfolded, coilover=sliding)
        return Builder(project, self.setting.folder)

    @cached_property
    def _row(self) -> Motion:
        """The motion's poses side by side: nothing is asked of what lies between them."""
        count = self.motion.state.size
        return replace(
            self.motion,
            travel=np.zeros(1),
            rack=np.zeros(count),
            state=self.motion.state.reshape(1, -1),
            closure=self.motion.closure.reshape(1, -1),
        )

    @cached_property
    def _parts(self) -> Sequence[Part]:
        return self.setting.builder(move(self.setting.linkage, [0.0]))

    def _goes_along(self, part: Part) -> bool:
        if part.name == TOP_MOUNT:
            return True
        if any(isinstance(piece, Mesh) for piece in part.pieces):  # a scan stays as it was taken
            return False
        return self.with_tower and part.kind == "tower" and part.body == CHASSIS


def _only(part: Part, numbers: tuple[int, ...]) -> Part:
    """Some pieces of a part that stands still."""
    return replace(part, pieces=tuple(part.pieces[m] for m in numbers), sagitta=())
