"""The motion: where every body of the corner is, over a grid of travel and rack."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array, cross_last
from kinematics.motion.bounds import Bounds, bounds
from kinematics.motion.bulge import Finer, bulge, finer
from kinematics.motion.errors import MotionError
from kinematics.motion.giving import rest_rates, settled
from kinematics.motion.linkage import Linkage
from kinematics.motion.rows import Geometry, State
from kinematics.motion.solve import tangents
from kinematics.motion.system import System
from kinematics.motion.twists import Posed, Twist, spread, twists
from kinematics.project.model import Ball, End


class Reach(IntEnum):
    """Whether a pose was reached, or why not."""

    REACHED = 0
    DAMPER_OPEN = 1
    DAMPER_CLOSED = 2
    STRAP = 3
    STRAIGHTENED = 4
    JUMP = 5
    BINDS = 6
    JOINT_ANGLE = 7


REASONS = {
    Reach.REACHED: "",
    Reach.DAMPER_OPEN: "the damper is fully open before it",
    Reach.DAMPER_CLOSED: "the damper is fully closed before it",
    Reach.STRAP: "the droop strap is tight before it",
    Reach.STRAIGHTENED: "the links are straightened out before it and can't be put together there",
    Reach.JUMP: "it could not be shown to be the same way of fitting together",
    Reach.BINDS: "members that just fit at set-up height bind before it",
    Reach.JOINT_ANGLE: "a joint is at the end of its swing before it",
}


@dataclass(frozen=True, eq=False)
class Motion:
    """Poses of all bodies over a grid, travel by rack.

    ``travel`` (nz,) in mm holds the driver's values: wheel travel unless ``by`` says otherwise
    (then damper length in mm, or an arm's angle in rad). ``rack`` (ns,) in mm. ``state`` (nz, ns)
    is a ``Reach``; where it is not ``REACHED`` the poses are NaN and ``reason`` says why.
    ``closure`` (nz, ns) in mm is the worst misfit of any joint, checked afresh.

    Inside, poses are kept with the grid flattened on the last axis (travel slowest). ``system``,
    ``geometry`` and, where bushes give, ``speeds`` (columns, 2, n) by the driver and by the rack
    are those of a motion nudged in a dimension (see ``sensitivity``).
    """

    linkage: Linkage
    by: str
    travel: Array
    rack: Array
    bodies: tuple[str, ...]
    state: NDArray[np.int8]
    closure: Array
    solved: State
    flat_rotation: Array
    flat_position: Array
    xyz: Array
    proof: Array | None = None
    system: System | None = None
    geometry: Geometry | None = None
    speeds: Array | None = None

    @property
    def shape(self) -> tuple[int, int]:
        """(nz, ns)."""
        return len(self.travel), len(self.rack)

    @property
    def rotation(self) -> Array:
        """(bodies, nz, ns, 3, 3): a point ``p0`` as measured is at rotation @ p0 + position."""
        return np.moveaxis(self.flat_rotation, -1, 1).reshape(-1, *self.shape, 3, 3)

    @property
    def position(self) -> Array:
        """(bodies, nz, ns, 3) in mm."""
        return np.moveaxis(self.flat_position, -1, 1).reshape(-1, *self.shape, 3)

    @property
    def certified(self) -> bool:
        """Whether every pose that was reached is proved to be the assembly of set-up height."""
        if self.proof is None:
            return False
        return bool(np.isfinite(self.proof[self.reached]).all())

    @property
    def reached(self) -> NDArray[np.bool_]:
        """(nz, ns): which poses are real."""
        return np.asarray(self.state == Reach.REACHED)

    def reason(self, iz: int, js: int = 0) -> str:
        """Why the pose was not reached, in words; empty where it was."""
        why = Reach(int(self.state[iz, js]))
        if why == Reach.JOINT_ANGLE:
            return f"{self._joint_at_its_limit(iz, js)} before it"
        return REASONS[why]

    def _joint_at_its_limit(self, iz: int, js: int) -> str:
        """The joint nearest its limit at the last real pose on the way."""
        from kinematics.motion.joint_limits import past_limits

        last = self.last(iz, js)
        flat = [] if last is None else [last * len(self.rack) + js]
        found = past_limits(
            self.linkage, self.flat_rotation[..., flat], self.flat_position[..., flat]
        )
        if last is None:
            return "a joint is at its angle limit"
        return max(found, key=lambda cause: float(found[cause][0]))

    def last(self, iz: int, js: int = 0) -> int | None:
        """The travel index of the last real pose on the way from set-up height to ``iz``."""
        order = np.argsort(np.abs(self.travel - self.travel[iz]), kind="stable")
        start = self.linkage.driven(self.by).at
        inward = np.abs(self.travel - start) <= abs(self.travel[iz] - start)
        same = (self.travel - start) * (self.travel[iz] - start) >= 0.0
        for i in order:
            if inward[i] and same[i] and self.reached[i, js]:
                return int(i)
        return None

    def number(self, body: str) -> int:
        """The index of a body in the pose arrays."""
        if body not in self.bodies:
            known = ", ".join(f"'{name}'" for name in self.bodies)
            raise MotionError(f"There is no body '{body}'; this corner has {known}.")
        return self.bodies.index(body)

    def carry(self, body: str, xyz: Array | tuple[float, float, float]) -> Array:
        """Where points fixed to a body go: (3,) → (nz, ns, 3), (m, 3) → (nz, ns, m, 3), in mm.

        ``xyz`` are coordinates as measured (those of the project).
        """
        points = np.asarray(xyz)
        at = np.moveaxis(self.carry_flat(self.number(body), np.atleast_2d(points)), 0, -1)
        out = np.swapaxes(at, 0, 1).reshape(*self.shape, -1, 3)
        return out[:, :, 0] if points.ndim == 1 else out

    def carry_flat(self, number: int, points: Array) -> Array:
        """Points (m, 3) of the body of that number at all poses, (3, m, n)."""
        at = np.matmul(points, self.flat_rotation[number])
        return np.asarray(at + self.flat_position[number][:, None])

    def measured(self, where: str | End) -> Array:
        """A named point as measured, (3,), on the body of the end or the one that carries it.

        A point that shims have moved on one body stands elsewhere on it than on the others.
        """
        mechanism = self.linkage.mechanism
        end = mechanism.end(where)
        at = np.asarray(self.xyz[mechanism.points[end.point]])
        on, by = mechanism.shifts.get(end.point, (end.body, 0.0))
        return at if on == end.body else np.asarray(at - by)

    def carried(self, number: int, point: Array) -> Array:
        """One point (3,) of the body of that number at all poses, (3, n)."""
        return np.asarray(np.matmul(point, self.flat_rotation[number]) + self.flat_position[number])

    def place_and_rate(self, where: str | End) -> tuple[Array, Array]:
        """A named point at all poses and its exact rate by the driver, (3, n) each."""
        end = self.linkage.mechanism.end(where)
        k = self.number(end.body)
        at = self.carried(k, self.measured(end))
        return at, cross_last(self.by_travel.spin[k], at) + self.by_travel.drift[k]

    def direction(self, body: str, vector: Array | tuple[float, float, float]) -> Array:
        """A direction (3,) fixed to a body, over the grid: (nz, ns, 3)."""
        turned = np.matmul(np.asarray(vector), self.flat_rotation[self.number(body)])
        return np.asarray(turned.T.reshape(*self.shape, 3))

    def point(self, where: str | End) -> Array:
        """A named point over the grid, (nz, ns, 3), on the body of the end or that carries it."""
        end = self.linkage.mechanism.end(where)
        return self.carry(end.body, self.measured(end))

    @cached_property
    def by_travel(self) -> Twist:
        """Exact rates of all bodies by the driver (per mm of travel), rack held."""
        return self._twists[0]

    @cached_property
    def by_rack(self) -> Twist:
        """Exact rates of all bodies per mm of rack travel, the driver held."""
        return self._twists[1]

    @cached_property
    def _twists(self) -> tuple[Twist, Twist]:
        driven = self.linkage.driven(self.by)
        system = self.system or driven.system
        drive, rack = self.drivers
        posed = Posed(self.flat_rotation, self.flat_position, self.xyz.T[:, :, None])
        geo = self.geometry if self.geometry is not None else system.geometry
        if driven.soft is not None:
            if self.speeds is not None:
                found = self.speeds[:, 0], self.speeds[:, 1]
            else:
                rest = settled(system, driven.soft, self.solved, drive, rack)
                found = rest_rates(system, driven.soft, rest, drive, rack)
            ahead, aside = (
                spread(system, geo, self.solved, speed, posed, rate)
                for speed, rate in zip(found, (0.0, 1.0), strict=True)
            )
            return ahead, aside
        return twists(system, geo, self.solved, drive, rack, posed)

    @cached_property
    def bounds(self) -> Bounds:
        """The rows' constants at every pose along travel: what ``bulge`` and ``proof`` rest on."""
        system = self.linkage.driven(self.by).system
        drive, rack = self.drivers
        return bounds(system, system.geometry, self.solved, drive, rack)

    @cached_property
    def conditioning(self) -> Array:
        """Condition number of the solved rows at every pose, (nz, ns); NaN where not reached.

        How many times an error of the lengths, in mm, can come out in the pose (turns counted at
        ``scale``): it grows without bound toward straightening out.
        """
        driven = self.linkage.driven(self.by)
        if driven.soft is not None:
            return np.full(self.shape, np.nan)
        drive, rack = self.drivers
        _, matrix = tangents(driven.system, driven.system.geometry, self.solved, drive, rack)
        real = self.reached.ravel()
        out = np.full(len(real), np.nan)
        out[real] = np.linalg.cond(matrix.transpose(2, 0, 1)[real])
        return out.reshape(self.shape)

    def give(self) -> dict[str, Give]:
        """How far the bushes that give are stretched, and by what force, by member."""
        return gives(self)

    @cached_property
    def finer(self) -> Finer | None:
        """The same motion with long intervals cut, for ``bulge``; None where none are long."""
        return finer(self)

    @cached_property
    def drivers(self) -> tuple[Array, Array]:
        """The driver's and the rack's values at all poses, (n,) each, as the solver takes them."""
        nz, ns = self.shape
        offset = self.linkage.driven(self.by).offset
        return np.repeat(self.travel + offset, ns), np.tile(self.rack, nz)

    def speed(
        self, body: str, xyz: Array | tuple[float, float, float], along: str = "travel"
    ) -> Array:
        """Exact derivative of a carried point (3,) by travel or by ``rack``, (nz, ns, 3)."""
        twist = self.by_travel if along == "travel" else self.by_rack
        k = self.number(body)
        at = np.matmul(np.asarray(xyz), self.flat_rotation[k]) + self.flat_position[k]
        return np.asarray(
            (cross_last(twist.spin[k], at) + twist.drift[k]).T.reshape(*self.shape, 3)
        )

    def spin(self, body: str, along: str = "travel") -> Array:
        """How fast a body turns, rad per mm of travel or of rack, (nz, ns, 3)."""
        twist = self.by_travel if along == "travel" else self.by_rack
        return np.asarray(twist.spin[self.number(body)].T.reshape(*self.shape, 3))

    def bulge(self, body: str, xyz: Array | tuple[float, float, float]) -> Array:
        """Certified bound (nz-1, ns) on the second derivative of a carried point by travel.

        For points (m, 3), (m, nz-1, ns): many at once cost little more than one.

        In 1/mm, over the whole of each interval between neighbouring travels; the point strays
        from the straight line between its two ends by at most bulge·h²/8, h the interval. inf
        where nothing can be said (a pose missing, or too near to straightening out).
        """
        return bulge(self, body, np.asarray(xyz, dtype=float))


class Give(NamedTuple):
    """A giving member at every pose, (nz, ns) each: ``stretch`` in mm (of a rod longer positive;
    of a ball the gap) and ``force`` in N (tension positive)."""

    stretch: Array
    force: Array


def gives(motion: Motion) -> dict[str, Give]:
    """See ``Motion.give``."""
    mechanism, out = motion.linkage.mechanism, {}
    for name, stiffness in motion.linkage.give.items():
        link, joint = mechanism.links.get(name), mechanism.joints.get(name)
        if link is not None:
            first, second = motion.point(link.inner), motion.point(link.outer)
            a, b = (motion.measured(end) for end in (link.inner, link.outer))
            length = float(np.linalg.norm(a - b)) + link.adjust
        else:
            assert isinstance(joint, Ball)
            first, second = (motion.point(End(joint.at, body)) for body in joint.bodies)
            length = 0.0
        stretch = np.linalg.norm(second - first, axis=-1) - length
        out[name] = Give(stretch, stiffness * stretch)
    return out


def setup_motion(linkage: Linkage) -> Motion:
    """The corner at set-up height with the rack central, as a motion of one pose."""
    return Motion(
        linkage=linkage,
        by="travel",
        travel=np.zeros(1),
        rack=np.zeros(1),
        bodies=linkage.bodies,
        state=np.zeros((1, 1), dtype=np.int8),
        closure=np.zeros((1, 1)),
        solved=linkage.driven().state,
        flat_rotation=linkage.rotation,
        flat_position=linkage.position,
        xyz=linkage.mechanism.xyz,
    )
