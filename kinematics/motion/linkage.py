"""The linkage: a corner assembled at set-up height, ready to be moved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from kinematics.frames import Array
from kinematics.motion.closure import Checks, checks, closure
from kinematics.motion.constants import standing
from kinematics.motion.creep import creep
from kinematics.motion.errors import MotionError
from kinematics.motion.giving import (
    Rest,
    Soft,
    follow,
    held_by_the_rest,
    settled,
    soft_rows,
    stiffnesses,
)
from kinematics.motion.mechanism import Mechanism, mechanism
from kinematics.motion.mobility import analyse, refuse_unless_definite
from kinematics.motion.recover import names, poses
from kinematics.motion.rows import Geometry, State, evaluate, jacobian
from kinematics.motion.solve import polish, residual
from kinematics.motion.sweep import CLOSED, Lanes, lanes
from kinematics.motion.system import System, build, with_pivots
from kinematics.project.model import Project
from kinematics.units import show_length, unit_of


@dataclass(frozen=True)
class Driven:
    """A system with its driver, standing at set-up height with the rack central.

    ``at`` is the driver's value there; ``by_driver`` and ``by_rack`` start a sweep along either.
    ``offset`` is added to what a user asks of the driver (an arm's angle counts from set-up).
    Where bushes give, ``soft`` says which rows, ``rest`` holds the pose with its forces and
    ``rests`` what was proved from there (see ``giving_track``).
    """

    system: System
    at: float
    state: State
    offset: float = 0.0
    soft: Soft | None = None
    rest: Rest | None = None
    rests: dict[tuple[float, int], Any] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def by_driver(self) -> Lanes:
        """The start of a sweep along the driver."""
        zero = np.zeros(1)
        return lanes(self.system, self.system.geometry, self.state, self.at, zero, 0)

    @cached_property
    def by_rack(self) -> Lanes:
        """The start of a sweep along the rack at set-up height."""
        other = np.full(1, self.at)
        return lanes(self.system, self.system.geometry, self.state, 0.0, other, 1)


@dataclass(frozen=True, eq=False)
class Linkage:
    """A corner that moves: its mechanism and its pose at set-up height, rack central.

    ``rotation`` (bodies, 3, 3, 1) and ``position`` (bodies, 3, 1) carry a point as measured to
    where it is at set-up height, for each of ``bodies``.
    """

    mechanism: Mechanism
    bodies: tuple[str, ...]
    rotation: Array
    position: Array
    checks: Checks
    give: dict[str, float] = field(default_factory=dict)
    _driven: dict[str, Driven] = field(default_factory=dict, repr=False)

    @property
    def project(self) -> Project:
        """The unfolded project."""
        return self.mechanism.project

    def driven(self, by: str = "travel") -> Driven:
        """The system driven by ``travel``, ``damper``, or the name of an arm, at set-up height."""
        if by not in self._driven:
            self._driven[by] = _stand(self, by)
        return self._driven[by]

    @cached_property
    def gauge_limits(self) -> tuple[Array, Array]:
        """The least and the most (gauges, 1) that the damper and the straps may measure, mm."""
        spans = [(-np.inf, strap.length) for strap in self.project.straps.values()]
        if self.project.coilover is not None:
            coilover, tight = self.project.coilover, self.project.coilover.droop_strap
            longest = coilover.open if tight is None else min(coilover.open, tight)
            spans.insert(0, (coilover.closed, longest))
        low, high = np.array(spans).reshape(-1, 2).T[:, :, None]
        return low - CLOSED, high + CLOSED

    @cached_property
    def size(self) -> float:
        """The corner's longest dimension in mm, over all its points."""
        return float(np.ptp(self.mechanism.xyz, axis=0).max())

    @cached_property
    def setup_height(self) -> float:
        """The wheel centre's height at travel 0."""
        setup = self.project.setup_wheel_z
        centre = self.mechanism.points[self.project.wheel.centre]
        return float(self.mechanism.xyz[centre, 2]) if setup is None else float(setup)

    @cached_property
    def setup_travel(self) -> float:
        """Wheel travel, from set-up height, at which the points were measured."""
        return entry_travel(self.mechanism)


def corner(project: Project, give: Mapping[str, float | None] | None = None) -> Linkage:
    """Assemble a project's corner at set-up height.

    ``give`` names links and balls whose bushes give, each with its radial stiffness in N/mm
    (None: ``giving.STIFFNESS``); left out, the project's own ``give``. Raises ``MotionError``
    with the reason where the corner can't be assembled, has no definite motion or is over-held;
    ``mobility`` says more about the last two.
    """
    built = mechanism(project)
    springs = stiffnesses(built, project.give if give is None else give)
    if springs:
        return _giving_corner(built, springs)
    system = build(built)
    state = _assemble(system)
    system = _pivoted(system, state)
    order = names(built)
    rotation, position = poses(system, state, np.zeros(1), built.xyz)
    todo = checks(built, order)
    worst = float(closure(todo, rotation, position)[0])
    if not worst <= CLOSED:
        unit = unit_of("length", built.project.units)
        raise MotionError(
            f"This corner doesn't fit together at set-up height: a joint stays "
            f"{unit.of(worst):.2g} {unit.name} open."
        )
    driven = {"travel": Driven(system, 0.0, state)}
    return _ready(Linkage(built, order, rotation, position, todo, {}, driven))


HELD_BY = (
    "links", "joints", "adjusters", "bodies", "wheel", "rack", "give", "side", "setup_wheel_z",
)  # fmt: skip
"""What of a project decides how its corner moves, besides its points."""


def corner_like(linkage: Linkage, project: Project) -> Linkage | None:
    """The linkage of a project (unfolded) that differs in nothing its motion hangs on.

    What was assembled serves again, which saves most of what `corner` takes. None where the
    motion may be another; a strut's is, once its top is moved.
    """
    old = linkage.project
    if any(getattr(old, name) != getattr(project, name) for name in HELD_BY):
        return None
    built = mechanism(project)
    if any(old.points.get(name) != project.points[name] for name in built.holding):
        return None
    driven = linkage.driven()
    system = replace(driven.system, mechanism=built)
    vars(system).update({k: v for k, v in vars(driven.system).items() if k not in vars(system)})
    again = replace(driven, system=system)
    vars(again).update({k: v for k, v in vars(driven).items() if k not in vars(again)})
    todo = checks(built, linkage.bodies, linkage.give)
    moved = replace(linkage, mechanism=built, checks=todo, _driven={"travel": again})
    return _ready(moved)


def _ready(linkage: Linkage) -> Linkage:
    """The linkage with all that hangs on it alone worked out, so that no sweep has to."""
    driven = linkage.driven()
    system = driven.system
    standing(system.table, system.geometry)
    _ = driven.by_driver.speed, system.carry, system.swings
    _ = linkage.gauge_limits, linkage.setup_height
    return linkage


def _giving_corner(built: Mechanism, give: dict[str, float]) -> Linkage:
    """The corner where it comes to rest at set-up height, its named bushes giving."""
    system = build(built, give=give)
    soft = soft_rows(system, give)
    if not held_by_the_rest(system, soft, system.entry()):
        raise MotionError(
            "With these bushes giving, the rest of the corner still fights or is loose. "
            + " ".join(analyse(built).sentences)
        )
    at = entry_travel(built)
    rest = settled(system, soft, system.entry(), np.array([at]), np.zeros(1))
    rests, fine = follow(system, soft, rest, at, np.zeros(1), np.zeros(1), 0)
    if not fine[0].all():
        raise MotionError("With these bushes giving, the corner finds no rest at set-up height.")
    order = names(built)
    rotation, position = poses(system, rests[0].state, np.zeros(1), built.xyz)
    todo = checks(built, order, give)
    driven = {"travel": Driven(system, 0.0, rests[0].state, 0.0, soft, rests[0])}
    return Linkage(built, order, rotation, position, todo, dict(give), driven)


def entry_travel(built: Mechanism) -> float:
    """Wheel travel, from set-up height, of the position the points were measured in."""
    height = float(built.xyz[built.points[built.project.wheel.centre], 2])
    setup = built.project.setup_wheel_z
    return 0.0 if setup is None else height - setup


def _assemble(system: System) -> State:
    """From the points as measured, through the adjusters' lengths, to set-up height."""
    built = system.mechanism
    at = entry_travel(built)
    state = system.entry()
    drive, rack = np.array([at]), np.zeros(1)
    rows = evaluate(system.table, system.as_measured, state, drive, rack)
    full = jacobian(system.table, system.geometry, rows, state)[..., 0]
    refuse_unless_definite(built, full)
    system = with_pivots(system, full)
    state = _adjusted(system, state, drive, rack)
    if at == 0.0:
        return state
    path = creep(system, system.geometry, state, at, np.zeros(1), 0.0, 0)
    if path.last != 0.0:
        units = built.project.units
        raise MotionError(
            "The wheel can't be brought from where it was measured to its set-up height: the links "
            f"stop it {show_length(abs(path.last), units)} short."
        )
    return path.state


def _partly(system: System, part: float) -> Geometry:
    """The geometry with every adjuster wound in by a part of its full value."""
    then, now = system.as_measured, system.geometry
    a, b, normal, size = (
        one + part * (other - one)
        for one, other in (
            (then.a, now.a),
            (then.b, now.b),
            (then.normal, now.normal),
            (then.size, now.size),
        )
    )
    return Geometry(a, b, normal, size, now.centre, now.axis, now.arm, now.scale)


def _adjusted(system: System, state: State, drive: Array, rack: Array) -> State:
    """The pose with the adjusters wound in, reached gradually so that the assembly stays."""
    built = system.mechanism
    moved = [float(np.linalg.norm(by)) for _, by in built.shifts.values()]
    most = max([abs(x.adjust) for x in built.links.values()] + moved, default=0.0)
    if most == 0.0:
        return state
    steps = int(np.ceil(most / (0.01 * system.geometry.scale)))
    for part in np.linspace(0.0, 1.0, steps + 1)[1:]:
        geo = _partly(system, float(part))
        state = polish(system, geo, state, drive, rack, 8)
        if not residual(system, geo, state, drive, rack)[0] <= 0.5 * CLOSED:
            raise MotionError(
                f"With the adjusters as set the corner can't be put together: {_set(built)}. It "
                f"goes together up to {100 * (part - 1 / steps):.0f} % of those adjustments."
            )
    return state


def _set(built: Mechanism) -> str:
    """What is wound in, by name."""
    named = {n: x.adjust for n, x in built.project.links.items()}
    named |= {n: x.set for n, x in built.project.adjusters.items()}
    return ", ".join(f"'{name}' ({by:+g})" for name, by in named.items() if by)


def _pivoted(system: System, state: State) -> System:
    zero = np.zeros(1)
    rows = evaluate(system.table, system.geometry, state, zero, zero)
    return with_pivots(system, jacobian(system.table, system.geometry, rows, state)[..., 0])


def _stand(linkage: Linkage, by: str) -> Driven:
    """Another driver's system, in the pose the corner has at set-up height."""
    if linkage.give:
        raise MotionError("A corner whose bushes give is moved by wheel travel only.")
    system = build(linkage.mechanism, by)
    state = state_of(linkage, system)
    at = 0.0
    if by == "damper":
        at = damper_length(linkage)
    elif by != "none":
        at = _angle(linkage, system, state)
    drive, rack = np.array([at]), np.zeros(1)
    rows = evaluate(system.table, system.geometry, state, drive, rack)
    full = jacobian(system.table, system.geometry, rows, state)[..., 0]
    if np.linalg.cond(full) > 1e9:
        what = "the damper's length" if by == "damper" else f"the angle of '{by}'"
        raise MotionError(f"This corner can't be moved by {what}: it does not move the wheel.")
    system = with_pivots(system, full)
    state = polish(system, system.geometry, state, drive, rack, 4)
    return Driven(system, at, state, 0.0 if by == "damper" else at)


def state_of(linkage: Linkage, system: System) -> State:
    """The set-up pose as the state of another system of the same mechanism."""
    from scipy.spatial.transform import Rotation

    centre, turn = [], []
    for i, body in enumerate(system.bodies):
        k = linkage.bodies.index(body)
        matrix = linkage.rotation[k, :, :, 0]
        start = system.geometry.centre[i, :, 0]
        centre.append(matrix @ start + linkage.position[k, :, 0])
        x, y, z, w = Rotation.from_matrix(matrix).as_quat()
        turn.append([w, x, y, z])
    return State(np.array(centre)[:, :, None], np.array(turn)[:, :, None])


def damper_length(linkage: Linkage) -> float:
    """Damper length at set-up height, eye to eye."""
    coilover = linkage.mechanism.coilover
    assert coilover is not None
    ends = []
    for end in (coilover.foot, coilover.top):
        k = linkage.bodies.index(end.body)
        p = linkage.mechanism.place(end)
        ends.append(linkage.rotation[k, :, :, 0] @ p + linkage.position[k, :, 0])
    return float(np.linalg.norm(ends[0] - ends[1]))


def _angle(linkage: Linkage, system: System, state: State) -> float:
    """An arm's angle at set-up height, from its angle as measured."""
    zero = np.zeros(1)
    rows = evaluate(system.table, system.geometry, state, zero, zero)
    d = rows.apart[:, system.table.driver, 0]
    outward, up = system.geometry.arm[:, :, 0]
    return float(np.arctan2(d @ up, d @ outward))
