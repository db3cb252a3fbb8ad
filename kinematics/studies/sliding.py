"""Clearances while the top mount slides: any mount position at any travel, in one batch.

Where the top only carries the damper, sliding it moves coilover and tower and nothing else: the
wheel's motion is solved once. The mount is then one more body that moves straight, and a batch of
(offset, travel) is a motion of one row.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import msgspec
import numpy as np
import numpy.typing as npt

from kinematics.clearance import Joint, clearances
from kinematics.errors import ClearstrokeError
from kinematics.motion import Motion, move
from kinematics.project.model import CHASSIS, Coilover, PointOnLine, Project
from kinematics.shapes.build import Builder
from kinematics.shapes.pieces import Mesh, Part, Piece, Ring, Rod
from kinematics.shapes.poses import Poses
from kinematics.studies.study import TOLERANCE, Setting

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]

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
class Sliding:
    """A corner whose top mount slides, over the poses of one motion of its wheel.

    motion : poses (nz, 1) or (nz, ns), picked from by number. with_tower : the tower goes along.
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
            [k for k, (i, j) in enumerate(pairs) if moved[i] != moved[j]], dtype=np.intp
        )

    @cached_property
    def reach(self) -> float:
        """Greatest way of any point of coilover and tower, per mm of the mount's.

        A point y up the damper's line and r beside it moves by at most (y + r) / L of the mount's
        way, L the least length; the tower by all of it.
        """
        widest = max(self.coilover.body_diameter, *self._spring_sizes) / 2
        return 1.0 + widest / self.coilover.closed

    @property
    def _spring_sizes(self) -> tuple[float, float]:
        spring = self.coilover.spring
        return (0.0, 0.0) if spring is None else (spring.outside, spring.seat_outside or 0.0)

    def clearance(self, pair: int, poses: Ints, offset: Array) -> Array:
        """Certified clearances (n,) of one pair at poses (n,) with the mount moved by (n, 3) mm."""
        batch = self._batch(poses, offset)
        i, j = self.setting.pairs.checked[pair]
        two = tuple(
            _shifted(part, offset) if self._goes_along(part) else part
            for part in self._builder.some(batch, (i, j))
        )
        found = clearances(
            two,
            [(0, 1)],
            grid=(1, len(poses)),
            tol=TOLERANCE,
            joints=self._joints(batch, i, j, offset),
            threads=1,
        )
        return np.asarray(found.low[0, 0])

    def _joints(self, batch: Motion, i: int, j: int, offset: Array) -> list[Joint]:
        """What is left out about the joints of two parts; the top's goes with the mount."""
        top = self.coilover.top
        at_top = np.asarray(self.setting.unfolded.points[top.point])
        carry = Poses(batch).carry
        found = []
        for joint in self.setting.pairs.joints:
            if (joint.a, joint.b) == (i, j):
                centre = carry(joint.at.body, joint.at.xyz[None])[:, 0]
                if joint.at.body == top.body and np.array_equal(joint.at.xyz, at_top):
                    centre = centre + offset
                found.append(Joint(0, 1, centre, joint.radius))
        return found

    def _batch(self, poses: Ints, offset: Array) -> Motion:
        """The poses picked, as one row, with the mount as a body of its own."""
        count = len(poses)
        still = np.broadcast_to(np.eye(3)[:, :, None], (3, 3, count))
        motion = self.motion
        return replace(
            motion,
            travel=np.zeros(1),
            rack=np.zeros(count),
            bodies=(*motion.bodies, MOUNT),
            state=motion.state.reshape(1, -1)[:, poses],
            closure=motion.closure.reshape(1, -1)[:, poses],
            solved=motion.solved.take(poses),
            flat_rotation=np.concatenate([motion.flat_rotation[..., poses], still[None]]),
            flat_position=np.concatenate([motion.flat_position[..., poses], offset.T[None]]),
        )

    @cached_property
    def _sliding(self) -> Coilover:
        top = msgspec.structs.replace(self.coilover.top, body=MOUNT)
        return msgspec.structs.replace(self.coilover, top=top)

    @cached_property
    def _builder(self) -> Builder:
        project = msgspec.structs.replace(self.setting.unfolded, coilover=self._sliding)
        return Builder(project, self.setting.folder)

    @cached_property
    def _parts(self) -> Sequence[Part]:
        return self.setting.builder(move(self.setting.linkage, [0.0]))

    def _goes_along(self, part: Part) -> bool:
        return self.with_tower and part.kind == "tower" and part.body == CHASSIS


def _shifted(part: Part, offset: Array) -> Part:
    """A part that stands still, moved by (n, 3) mm."""
    return replace(part, pieces=tuple(_moved(piece, offset) for piece in part.pieces), sagitta=())


def _moved(piece: Piece, offset: Array) -> Piece:
    if isinstance(piece, Ring):
        axis = np.broadcast_to(piece.axis, offset.shape)
        return replace(piece, centre=piece.centre + offset, axis=np.ascontiguousarray(axis))
    if isinstance(piece, Rod):
        return replace(piece, ends=piece.ends + offset[:, None])
    if isinstance(piece, Mesh):
        turn = np.broadcast_to(piece.rotation, (len(offset), 3, 3))
        return replace(piece, rotation=turn, position=piece.position + offset)
    return replace(piece, corners=piece.corners + offset[:, None])
