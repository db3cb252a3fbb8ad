"""The joint nearest its limit at every place of the top mount, over the place's own travel.

Joints that the mount's place does not touch are looked at once along the motion; those at the
coilover's ends, and all of a strut's corner, at every place. Set-up height at a place is how its
joints are clocked there, as it is for a corner rebuilt with its mount at that place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

import msgspec
import numpy as np
import numpy.typing as npt

from kinematics.motion import Motion
from kinematics.motion.bearings import BearingUse, bearing_uses, limit_of
from kinematics.motion.joint_limits import only_about
from kinematics.motion.positions import Positions, over
from kinematics.project.model import CHASSIS, Ball, Coilover, Hinge, Project, Xyz
from kinematics.studies.place_limits import Swivel

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class JointsLeft:
    """The joints, and of every place (n,): of the one that uses most of its limit the least left,
    rad, its number (-1: none) and the sample."""

    joints: tuple[Swivel, ...]
    left: Array
    joint: Ints
    sample: Ints


def limited(project: Project) -> tuple[str, ...]:
    """The points of an unfolded project whose bearing has a limit of angle or twist."""
    return tuple(
        point
        for point, bearing in project.bearings.items()
        if bearing.twist_limit_deg is not None or limit_of(bearing, point)[0] >= 0.0
    )


def sliding_joints(
    project: Project, motion: Motion, rows: Ints, valid: Bools, offset: Array
) -> JointsLeft:
    """Of a mount that only carries the damper.

    motion : its poses (nz, 1), taken by number: rows (places, samples), of which ``valid`` count.
    offset (places, 3) mm.
    """
    points, coilover = limited(project), project.coilover
    assert coilover is not None
    about = only_about(project, points)
    found = _Least(points, valid)
    flat = over(motion)
    for use in bearing_uses(msgspec.structs.replace(about, coilover=None), flat):
        found.add(use, lambda x: x[1:][rows])
    ends = coilover.foot.point, coilover.top.point
    if set(ends) & set(points):
        alone = msgspec.structs.replace(about, links={}, joints={})
        for use in bearing_uses(alone, _slid(flat, coilover, rows, offset)):
            found.add(use, lambda x: x[1:].T)
    return found.done()


def strut_joints(
    project: Project, motion: Motion, setup: int, valid: Bools, offset: Array
) -> JointsLeft:
    """Of a strut's mount. motion : every place at every sample side by side, places slowest.

    setup : the sample at set-up height.
    """
    found = _Least(limited(project), valid)
    if found.points:
        about = only_about(project, tuple(found.points))
        positions = _stood(about, motion, setup, valid.shape, offset)
        for use in bearing_uses(about, positions):
            found.add(use, lambda x: x[1:].T)
    return found.done()


class _Least:
    """The joint that uses most of its limit so far, and what it has left."""

    def __init__(self, points: Iterable[str], valid: Bools) -> None:
        self.points, self.valid = frozenset(points), valid
        self.joints: list[Swivel] = []
        self.share = np.full(len(valid), np.inf)
        self.left = np.full(len(valid), np.nan)
        self.joint = np.full(len(valid), -1, np.int64)
        self.sample = np.full(len(valid), -1, np.int64)

    def add(self, use: BearingUse, at: Callable[[Array], Array]) -> None:
        """One more. at : from angles over positions, set-up height first, to (places, samples)."""
        if use.point not in self.points:
            return
        for swivel, left, limit in _limits(use):
            here = np.where(self.valid, at(left), np.inf)
            here[np.isnan(here)] = np.inf
            sample = np.argmin(here, axis=1)
            least = here[np.arange(len(here)), sample]
            share = least / max(limit, 1e-9)
            worse = share < self.share
            self.share[worse], self.left[worse] = share[worse], least[worse]
            self.sample[worse], self.joint[worse] = sample[worse], len(self.joints)
            self.joints.append(swivel)

    def done(self) -> JointsLeft:
        return JointsLeft(tuple(self.joints), self.left, self.joint, self.sample)


def _limits(use: BearingUse) -> Iterator[tuple[Swivel, Array, float]]:
    """What is left of every limit over positions, and the limit, rad."""
    if np.isfinite(use.limit):
        yield Swivel(use.point, use.member, "angle"), use.left, use.limit
    if use.twist_left is not None and np.isfinite(use.twist_limit):
        yield Swivel(use.point, use.member, "twist"), use.twist_left, use.twist_limit


@dataclass(frozen=True)
class _Places(Positions):
    """Positions of a corner at many places of its mount: (samples, places, .), set-up first.

    at_setup : of points that differ from place to place, as measured there, by body and name.
    """

    places: int = 0
    frames: Mapping[str, tuple[Array, Array]] | None = None

    def carry(self, body: str, point: str) -> Array:
        """A point as carried by a body, (samples, places, 3)."""
        assert self.frames is not None
        xyz = np.asarray(self.points[point], float)
        on, by = self.shifts.get(point, (body, 0.0))
        if on != body:
            xyz = xyz - by
        if body not in self.frames:
            return np.broadcast_to(xyz, (self.count, self.places, 3))
        rotation, position = self.frames[body]
        return np.asarray((rotation @ xyz[..., None])[..., 0] + position)

    def turned(self, body: str, direction: Array) -> Array:
        """A direction (3,) or (places, 3) at set-up height, turned with a body since."""
        if body not in self.rotation:
            return np.broadcast_to(direction, (self.count, self.places, 3))
        return np.asarray((self.rotation[body] @ direction[..., None])[..., 0])

    def turned_back(self, body: str, directions: Array) -> Array:
        """Directions (samples, places, 3) seen from a body as it stood at set-up height."""
        if body not in self.rotation:
            return directions
        return np.asarray((self.rotation[body].mT @ directions[..., None])[..., 0])


def _slid(flat: Positions, coilover: Coilover, rows: Ints, offset: Array) -> Positions:
    """The coilover's foot at every place's samples, its top moved."""
    numbers = np.concatenate([np.zeros((1, len(rows)), np.int64), rows.T + 1])
    body, top = coilover.foot.body, coilover.top.point
    frames = {}
    if body != CHASSIS:
        frames[body] = flat.rotation[body][numbers], flat.position[body][numbers]
    points = {
        coilover.foot.point: flat.points[coilover.foot.point],
        top: np.asarray(flat.points[top], float) + offset,
    }
    rotation = {name: frame[0] for name, frame in frames.items()}
    return _Places(points, rotation, {}, len(numbers), flat.shifts, len(rows), frames)


def _stood(
    project: Project, motion: Motion, setup: int, shape: tuple[int, int], offset: Array
) -> Positions:
    """A strut's corner at every place, its bodies turned since set-up height there."""
    places, samples = shape
    order = np.concatenate([[setup], np.arange(samples)])
    frames, rotation = {}, {}
    for k, body in enumerate(motion.bodies):
        if body not in _turning(project):
            continue
        turn = motion.flat_rotation[k].reshape(3, 3, places, samples)[..., order]
        at = motion.flat_position[k].reshape(3, places, samples)[..., order]
        turn, at = np.ascontiguousarray(turn.transpose(3, 2, 0, 1)), at.transpose(2, 1, 0)
        frames[body] = turn, at
        rotation[body] = turn @ turn[0].mT
    mechanism = motion.linkage.mechanism
    points: dict[str, Xyz | Array] = {n: motion.xyz[i] for n, i in mechanism.points.items()}
    assert project.coilover is not None
    top = project.coilover.top.point
    points[top] = motion.xyz[mechanism.points[top]] + offset
    return _Places(points, rotation, {}, len(order), mechanism.shifts, places, frames)


def _turning(project: Project) -> set[str]:
    """The bodies between which the joints of an unfolded project are, but the chassis."""
    ends = [end for link in project.links.values() for end in (link.inner, link.outer)]
    if project.coilover is not None:
        ends += [project.coilover.foot, project.coilover.top]
    bodies = {end.body for end in ends}
    for joint in project.joints.values():
        bodies.update(joint.bodies if isinstance(joint, Ball | Hinge) else ())
    held = {b.held_by for b in project.bearings.values() if b.held_by is not None}
    return (bodies | held) - {CHASSIS}
