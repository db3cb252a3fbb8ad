"""The system that is solved: blocks gathered into one table, with idle bodies contracted away.

Contraction makes it small and fast. A body that only hinges on the chassis and carries one ball is
a point on a circle; a body with two balls and nothing else is a rod. Their poses are recovered in
closed form afterwards (``recover``). A body on a chassis hinge that carries more keeps its one
hinge angle as unknown. What is left is the upright's six unknowns for nearly every corner.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from kinematics.frames import Array, carry_matrices
from kinematics.motion import blocks as b
from kinematics.motion.blocks import Block, Numbers
from kinematics.motion.mechanism import FIXED, Mechanism
from kinematics.motion.rows import Geometry, State
from kinematics.motion.swing import Swings, swings
from kinematics.motion.tables import GROUND, Group, Index, Table, index_of
from kinematics.project.model import CHASSIS, RACK, Ball, End, Hinge


@dataclass(frozen=True)
class System:
    """Rows, unknowns and geometry of one corner under one driver.

    ``bodies`` are solved for; ``circles`` maps a contracted arm to (hinge, ball), ``rods`` a
    contracted two-ball body to its two points. ``kept`` are the rows used to solve (all, unless
    some follow from the others), in the order that needs no pivoting near set-up height.
    """

    mechanism: Mechanism
    bodies: tuple[str, ...]
    blocks: tuple[Block, ...]
    table: Table
    geometry: Geometry
    circles: dict[str, tuple[str, str]]
    rods: dict[str, tuple[str, str]]
    kept: np.ndarray

    @cached_property
    def used(self) -> Index:
        """The rows used to solve, as they come: what pivots by itself needs no order."""
        return slice(None) if len(self.kept) == self.table.rows else np.sort(self.kept)

    @cached_property
    def swings(self) -> tuple[Swings, ...]:
        """How contracted arms follow their balls, for the points as measured."""
        return swings(self.mechanism, self.circles)

    @cached_property
    def carry(self) -> Array:
        """Matrices (bodies, 12, 21) from ``posture_terms`` to poses of the bodies solved for.

        A pose is the rotation matrix, row by row, and the position.
        """
        return carry_matrices(self.geometry.centre[..., 0])

    def geometry_of(self, xyz: Array) -> Geometry:
        """The geometry for other points, (points, 3) or many corners' (3, points, n)."""
        return _geometry(
            self.mechanism,
            self.blocks,
            self.table,
            self.bodies,
            xyz,
            self.geometry.centre,
            self.geometry.scale,
        )

    @cached_property
    def as_measured(self) -> Geometry:
        """The geometry with no adjuster wound in, which the points as measured fit."""
        if not self.mechanism.shifts and not any(x.adjust for x in self.mechanism.links.values()):
            return self.geometry
        geo = _geometry(
            self.mechanism,
            self.blocks,
            self.table,
            self.bodies,
            self.mechanism.xyz,
            self.geometry.centre,
            self.geometry.scale,
            as_measured=True,
        )
        size, row = geo.size.copy(), 0
        for block in self.blocks:
            if block.what == "rod" and block.name in self.mechanism.links:
                size[row] -= self.mechanism.links[block.name].adjust
            row += block.rows
        return replace(geo, size=size)

    def entry(self, n: int = 1) -> State:
        """The poses in which the points were measured."""
        turn = np.zeros((len(self.bodies), 4, n))
        turn[:, 0] = 1.0
        return State(np.repeat(self.geometry.centre, n, axis=2), turn)


def build(
    mechanism: Mechanism,
    by: str = "travel",
    *,
    contract: bool = True,
    charts: bool = True,
    give: Collection[str] = (),
) -> System:
    """Gather the rows of a mechanism driven ``by`` travel, damper, the name of an arm, or none.

    ``contract=False`` keeps every body, ``charts=False`` solves hinged bodies with all six
    unknowns and the hinge as rows (needed where the hinge itself is varied). Joints named in
    ``give`` are kept as rows, so that they can give.
    """
    driver = _driver(mechanism, by)
    circles, rods = _contractible(mechanism, driver, give) if contract else ({}, {})
    bodies = tuple(x for x in mechanism.bodies if x not in circles and x not in rods)
    apart = mechanism.shimmed
    hinged = {x: mechanism.hinges[x] for x in bodies if x in mechanism.hinges and x not in apart}
    hinged = hinged if charts else {}
    gathered = _gather(mechanism, circles, rods, set(hinged.values()))
    gathered += [driver] if driver else []
    # Distances first, so that each kind is one slice.
    ordered = tuple(sorted(gathered, key=lambda block: not block.distance))
    table = _table(ordered, bodies, hinged, by)
    centre, scale = _frames(mechanism, ordered, bodies, hinged)
    geometry = _geometry(mechanism, ordered, table, bodies, mechanism.xyz, centre, scale)
    kept = np.arange(table.rows)
    return System(mechanism, bodies, ordered, table, geometry, circles, rods, kept)


def with_pivots(system: System, jacobian: Array) -> System:
    """The system with its rows in the order of the pivots of ``jacobian`` (rows, columns).

    Where there are more rows than unknowns, the rows that pivot first are kept; the others are
    verified at every pose and must follow from them.
    """
    if len(jacobian) == 0:
        return system
    left, chosen = jacobian.copy(), []
    for column in range(system.table.width):
        # Elimination with the greatest entry of each column as pivot.
        row = int(np.argmax(np.abs(left[:, column])))
        chosen.append(row)
        pivot = left[row] / left[row, column] if left[row, column] else left[row]
        left = left - left[:, column, None] * pivot
        left[row] = 0.0
    return replace(system, kept=np.array(chosen))


def _driver(mechanism: Mechanism, by: str) -> Block | None:
    if by == "none":
        return None
    if by == "travel":
        return b.by_travel(mechanism)
    if by == "damper":
        return b.by_damper(mechanism)
    return b.by_angle(mechanism, by)


def _contractible(
    mechanism: Mechanism, driver: Block | None, give: Collection[str]
) -> tuple[dict[str, tuple[str, str]], dict[str, tuple[str, str]]]:
    circles: dict[str, tuple[str, str]] = {}
    rods: dict[str, tuple[str, str]] = {}
    held = [driver.a_body, driver.b_body] if driver else []
    linked = {end.body for link in mechanism.links.values() for end in (link.inner, link.outer)}
    whole = {mechanism.project.wheel.body, *held, *linked, *mechanism.shimmed}
    idle = {
        body: {name: j for name, j in mechanism.joints.items() if body in j.bodies}
        for body in mechanism.bodies
        if body not in whole
    }
    idle = {x: j for x, j in idle.items() if len(j) == 2 and j.keys().isdisjoint(give)}
    # Rods first: one that is left, because it hangs on a circle, would spin about its own line.
    for rod in (True, False):
        for body, mine in idle.items():
            balls = [
                n
                for n, j in mine.items()
                if isinstance(j, Ball) and not _contracted(j, body, circles, rods)
            ]
            hinges = [n for n, j in mine.items() if isinstance(j, Hinge) and CHASSIS in j.bodies]
            if rod and len(balls) == 2:
                rods[body] = (balls[0], balls[1])
            elif not rod and len(balls) == 1 and len(hinges) == 1:
                circles[body] = (hinges[0], balls[0])
    return circles, rods


def _contracted(
    joint: Ball, body: str, circles: dict[str, tuple[str, str]], rods: dict[str, tuple[str, str]]
) -> bool:
    other = joint.bodies[0] if joint.bodies[1] == body else joint.bodies[1]
    return other in circles or other in rods


def _gather(
    mechanism: Mechanism,
    circles: dict[str, tuple[str, str]],
    rods: dict[str, tuple[str, str]],
    charted: set[str],
) -> list[Block]:
    index = mechanism.points
    gone = charted | {name for pair in (*circles.values(), *rods.values()) for name in pair}
    out = [b.link_block(name, link, index) for name, link in mechanism.links.items()]
    for name, joint in mechanism.joints.items():
        if name not in gone:
            out.append(b.joint_block(name, joint, index))
    for body, (hinge_name, ball_name) in circles.items():
        hinge, ball = mechanism.joints[hinge_name], mechanism.joints[ball_name]
        assert isinstance(hinge, Hinge)
        assert isinstance(ball, Ball)
        on = _other(ball, body)
        out += b.plane_and_sphere(body, *hinge.along, ball.at, on, index)
    for body, names in rods.items():
        first, second = (mechanism.joints[name] for name in names)
        assert isinstance(first, Ball)
        assert isinstance(second, Ball)
        ends = (End(first.at, _other(first, body)), End(second.at, _other(second, body)))
        out.append(b.rod(body, "rod", *ends, index))
    return out


def _other(joint: Ball, body: str) -> str:
    return joint.bodies[0] if joint.bodies[1] == body else joint.bodies[1]


def _table(
    blocks: Sequence[Block], bodies: tuple[str, ...], hinged: dict[str, str], by: str
) -> Table:
    a = [x.a_body for x in blocks for _ in range(x.rows)]
    c = [x.b_body for x in blocks for _ in range(x.rows)]
    what = [x.what for x in blocks for _ in range(x.rows)]
    distances = sum(x.rows for x in blocks if x.distance)
    racked = np.array([float(y == RACK) - float(x == RACK) for x, y in zip(a, c, strict=True)])
    widths = [1 if body in hinged else 6 for body in bodies]
    stops = np.cumsum([0, *widths])
    return Table(
        rows=len(a),
        distances=distances,
        a_on=_groups(a, bodies, distances),
        b_on=_groups(c, bodies, distances),
        racked=racked,
        hinged=tuple(body in hinged for body in bodies),
        columns=tuple(slice(int(i), int(j)) for i, j in itertools.pairwise(stops)),
        driver=what.index("driver") if "driver" in what else -1,
        by=by if by in ("travel", "damper", "none") else "angle",
    )


def _groups(on: list[str], bodies: tuple[str, ...], distances: int) -> tuple[Group, ...]:
    out = []
    for number, names in [(GROUND, FIXED), *((i, (x,)) for i, x in enumerate(bodies))]:
        rows = np.array([i for i, x in enumerate(on) if x in names], dtype=np.intp)
        if len(rows):
            normals = rows[rows >= distances] - distances
            out.append(Group(number, index_of(rows), index_of(normals) if len(normals) else None))
    return tuple(out)


def _frames(
    mechanism: Mechanism, blocks: Sequence[Block], bodies: tuple[str, ...], hinged: dict[str, str]
) -> tuple[Array, float]:
    """Each body's centre, and the length that weighs turning against shifting."""
    p = mechanism.xyz.T[:, :, None]

    def seen(body: str) -> Array:
        return mechanism.seen(p, body)

    ends: dict[str, list[Array]] = {body: [] for body in bodies}
    for block in blocks:
        numbers = block.build(seen)
        for body, points in ((block.a_body, numbers.a), (block.b_body, numbers.b)):
            if body in ends:
                ends[body].append(points[:, :, 0].T)
    centres, arms = [], []
    for body in bodies:
        points = np.concatenate(ends[body]) if ends[body] else np.zeros((1, 3))
        centre = points.mean(axis=0)
        if body in hinged:
            hinge = mechanism.joints[hinged[body]]
            assert isinstance(hinge, Hinge)
            centre = mechanism.xyz[mechanism.points[hinge.along[0]]]
        centres.append(centre)
        arms.append(points - centre)
    spread = np.concatenate(arms) if arms else np.ones((1, 3))
    scale = 1.5 * float(np.sqrt((spread**2).sum(axis=1).mean()))
    return np.array(centres).reshape(-1, 3)[:, :, None], scale if scale > 0.0 else 1.0


def _geometry(
    mechanism: Mechanism,
    blocks: Sequence[Block],
    table: Table,
    bodies: tuple[str, ...],
    xyz: Array,
    centre: Array,
    scale: float,
    as_measured: bool = False,
) -> Geometry:
    p = xyz.T[:, :, None] if xyz.ndim == 2 else xyz

    def seen(body: str) -> Array:
        return mechanism.seen(p, "" if as_measured else body)

    built = [block.build(seen) for block in blocks]
    where = {body: i for i, body in enumerate(bodies)}
    a = _gather_ends(blocks, built, "a", where, centre)
    c = _gather_ends(blocks, built, "b", where, centre)
    n = p.shape[2]
    size = [
        np.broadcast_to(x.size, (block.rows, n)) for x, block in zip(built, blocks, strict=True)
    ]
    normal = [
        np.broadcast_to(x.normal, (3, block.rows, n))
        for x, block in zip(built, blocks, strict=True)
        if x.normal is not None
    ]
    return Geometry(
        a=a,
        b=c,
        normal=np.concatenate(normal, axis=1) if normal else np.zeros((3, 0, n)),
        size=np.concatenate(size) if size else np.zeros((0, n)),
        centre=centre,
        axis=_axes(mechanism, bodies, table, p),
        arm=_arm(mechanism, blocks, p) if table.by == "angle" else np.zeros((2, 3, 1)),
        scale=scale,
    )


def _gather_ends(
    blocks: Sequence[Block],
    built: list[Numbers],
    which: str,
    where: dict[str, int],
    centre: Array,
) -> Array:
    out = []
    n = max((x.size.shape[-1] for x in built), default=1)
    for block, numbers in zip(blocks, built, strict=True):
        points: Array = getattr(numbers, which)
        body: str = getattr(block, f"{which}_body")
        if body in where:
            points = points - centre[where[body]][:, None]
        out.append(np.broadcast_to(points, (3, block.rows, n)))
    return np.concatenate(out, axis=1) if out else np.zeros((3, 0, n))


def _axes(mechanism: Mechanism, bodies: tuple[str, ...], table: Table, p: Array) -> Array:
    out = np.zeros((len(bodies), 3, p.shape[2]), dtype=p.dtype)
    for number, body in enumerate(bodies):
        if table.hinged[number]:
            hinge = mechanism.joints[mechanism.hinges[body]]
            assert isinstance(hinge, Hinge)
            i, j = (mechanism.points[name] for name in hinge.along)
            line = p[:, i] - p[:, j]
            out[number] = line / np.sqrt((line * line).sum(axis=0))
    return out


def _arm(mechanism: Mechanism, blocks: Sequence[Block], p: Array) -> Array:
    driver = next(block for block in blocks if block.what == "driver")
    i, j, k, _ = b.arm_points(mechanism, driver.b_body)
    outward, up, _ = b.arm_frame(p, i, j, k)
    return np.stack([outward[:, 0], up[:, 0]])
