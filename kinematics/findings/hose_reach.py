"""Facts about what hoses can reach: tyre and spring, over travel and steer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
import numpy.typing as npt

from kinematics.clearance import clearances
from kinematics.findings.rules import rule_between
from kinematics.findings.sharpen import Grid, Least, sharpened
from kinematics.motion import Linkage, Motion, move
from kinematics.project.model import Hose, Project, Rule
from kinematics.shapes.build import Builder
from kinematics.shapes.pieces import Part, Ring
from kinematics.shapes.poses import Poses, anchor
from kinematics.shapes.reach import at_pose, reach, spare
from kinematics.statics.fact import Fact

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

KINDS = ("tyre", "spring")
"""Classes of part that a hose is chafed by or wound up in."""
TOLERANCE = 0.02
"""Calculation error of a distance, mm."""
FEW = 8
"""Positions measured at a time."""


def hose_reach_facts(
    project: Project,
    parts: Sequence[Part],
    motion: Motion,
    builder: Builder,
    rules: Sequence[Rule],
) -> list[Fact]:
    """Whether hoses can reach tyre and spring, and how near they come, over a motion.

    ``builder`` made the ``parts``. How far one stays off is as close as a clearance, between
    travels too; how far it could reach into a part is told at the positions.
    A hose lies where it is bent and clipped, so that being able to reach is a problem only where a
    rule names the hose or the class ``hose``.
    """
    own = [rule for rule in rules if {"hose", *project.hoses} & set(rule.between)]
    found = []
    for name, hose in project.hoses.items():
        for number, part in enumerate(parts):
            if part.kind in KINDS and all(isinstance(piece, Ring) for piece in part.pieces):
                rule = rule_between(own, (name, part.name), ("hose", part.kind))
                look = partial(_again, project, hose, builder, motion.linkage, number)
                fact = _fact(name, hose, part, motion, project, rule, look)
                found += [] if fact is None else [fact]
    return found


def _fact(
    name: str,
    hose: Hose,
    part: Part,
    motion: Motion,
    project: Project,
    rule: float | None,
    look: Callable[[Array, float], tuple[Array, Array]],
) -> Fact | None:
    room = hose_room(project, hose, part, motion)
    if not np.isfinite(room).any():
        return None
    left = room - (rule or 0.0)
    i, j = np.unravel_index(np.nanargmin(room), room.shape)
    worst = Least(0, float(motion.travel[i]), float(motion.rack[j]), float(room[i, j]), 0.0)
    if worst.low >= 0.0:
        low, between = _grid(project, hose, part, motion, room)
        grid = Grid(motion.travel, motion.rack, low[None], between[None])
        worst = sharpened(grid, np.zeros(1), lambda _, travel, rack: look(travel, rack))
    least = np.nanmin(np.where(np.isnan(left), np.inf, left), axis=1)
    return Fact(
        "hose reach", name, rule is not None and bool(worst.low < rule), worst.low,
        worst.travel, worst.rack,
        _first_outward(motion.travel, least),
        _first_outward(-motion.travel[::-1], least[::-1], -1.0),
        {"rule": rule or 0.0, "length": hose.length}, {"part": part.name},
    )  # fmt: skip


def _grid(
    project: Project, hose: Hose, part: Part, motion: Motion, room: Array
) -> tuple[Array, Array]:
    """The figure itself at the position with the least room, and bounds for every interval."""
    nz, ns = motion.shape
    low, between = np.full((nz, ns), np.nan), np.full((max(nz - 1, 0), ns), np.inf)
    known = np.isfinite(room[:-1]) & np.isfinite(room[1:])
    between[known] = np.minimum(room[:-1], room[1:])[known]
    i, j = np.unravel_index(np.nanargmin(room), room.shape)
    (a, _), (b, _) = (_clip(Poses(motion), project, hose, k) for k in (0, 1))
    at = np.array([int(i) * ns + int(j)])
    low[i, j] = _measured(part, a[at], b[at], np.array([hose.length]), at)[0]
    return low, between


def _again(
    project: Project,
    hose: Hose,
    builder: Builder,
    linkage: Linkage,
    number: int,
    travel: Array,
    rack: float,
) -> tuple[Array, Array]:
    """The same over other travels at one rack."""
    motion = move(linkage, travel, [rack])
    (part,) = builder.some(motion, [number])
    room = hose_room(project, hose, part, motion)
    low, between = _grid(project, hose, part, motion, room)
    return low[:, 0], between[:, 0]


def _first_outward(out: Array, left: Array, sign: float = 1.0) -> float | None:
    """The travel outward before which all is well, at rising `out`; None where all of it is."""
    start = int(np.searchsorted(out, 0.0))
    bad = np.flatnonzero(left[start:] < 0.0)
    if bad.size == 0:
        return None
    return sign * float(out[start + max(int(bad[0]) - 1, 0)])


def hose_room(project: Project, hose: Hose, part: Part, motion: Motion) -> Array:
    """How near all that a hose can reach comes to a part of turned pieces, (nz, ns) mm.

    Lower bounds at every position and half way to its neighbours in travel: the hose is let be
    longer by as much as its clips move on the way there, and as much as the part moves is taken
    off. Where it comes nearest they are as close as a clearance is; elsewhere by the plain sum of
    distances, and no deeper than has been measured. NaN where a position is not reached or the
    hose is too short for its clips.
    """
    nz, ns = motion.shape
    poses = Poses(motion)
    (a, stray_a), (b, stray_b) = (_clip(poses, project, hose, k) for k in (0, 1))
    longer = hose.length + (_half_steps(a, nz, ns) + stray_a + _half_steps(b, nz, ns) + stray_b)
    length = longer.ravel()
    moves = np.max([_moves(piece, nz, ns) for piece in part.pieces], axis=0)
    moves = moves + _at_samples(np.max([_whole(s, nz, ns) for s in part.sagitta or (0.0,)], axis=0))
    rings = [piece for piece in part.pieces if isinstance(piece, Ring)]
    room = np.min([spare(ring, a, b, length) for ring in rings], axis=0) / 2
    # Beside a position that is not reached nobody knows how far things stray.
    known = np.isfinite(length) & np.isfinite(moves.ravel())
    room[~known | ~(np.linalg.norm(b - a, axis=1) < length)] = np.nan
    _closed_in(room, lambda some: _measured(part, a[some], b[some], length[some], some))
    return np.asarray(room.reshape(nz, ns) - moves)


def _closed_in(room: Array, measured: Callable[[Ints], Array]) -> None:
    """Put measured figures in place of the lowest bounds until the least is one of them."""
    done = ~np.isfinite(room)
    while not done.all():
        order = np.argsort(np.where(done, np.inf, room))
        least = np.min(room, initial=np.inf, where=done & np.isfinite(room))
        some = order[:FEW][~done[order[:FEW]] & (room[order[:FEW]] < least)]
        if some.size == 0 or least < 0.0:
            room[~done & (room < least)] = least
            return
        room[some] = measured(some)
        done[some] = True


def _measured(part: Part, a: Array, b: Array, length: Array, poses: Ints) -> Array:
    """The clearance of what the hose can reach and the part at some poses, mm."""
    solids: list[Part] = []
    for k, i in enumerate(poses.tolist()):
        solid = reach(a[k], b[k], float(length[k]))
        assert solid is not None
        pieces = tuple(at_pose(piece, i) for piece in part.pieces)
        solids += [Part("hose", "hose", "hose", (solid,)), Part("part", "part", "", pieces)]
    pairs = [(2 * k, 2 * k + 1) for k in range(len(poses))]
    return np.asarray(clearances(solids, pairs, tol=TOLERANCE, threads=1).low[:, 0, 0])


def _clip(poses: Poses, project: Project, hose: Hose, which: int) -> tuple[Array, Array]:
    """A clip over the poses (n, 3), and how far it strays from straight at each sample (nz, ns)."""
    nz, ns = poses.motion.shape
    at = anchor(project, hose.ends[which])
    path = np.broadcast_to(poses.carry(at.body, at.xyz[None])[:, 0], (nz * ns, 3))
    return path, _at_samples(_whole(poses.stray(at.body, at.xyz[None]), nz, ns))


def _whole(stray: Array | float, nz: int, ns: int) -> Array:
    """A stray as (nz - 1, ns)."""
    given = np.asarray(stray, float)
    given = given[:, None] if given.ndim == 1 else given
    return np.broadcast_to(given, (max(nz - 1, 0), ns))


def _at_samples(between: Array) -> Array:
    """The larger of what holds in the two intervals beside each sample, (nz, ns)."""
    none = np.zeros((1, between.shape[1]))
    return np.asarray(np.maximum(np.concatenate([none, between]), np.concatenate([between, none])))


def _half_steps(path: Array, nz: int, ns: int) -> Array:
    """Half the way to the farther neighbour in travel, (nz, ns) mm."""
    steps = np.linalg.norm(np.diff(path.reshape(nz, ns, 3), axis=0), axis=-1)
    return 0.5 * _at_samples(np.nan_to_num(steps, nan=0.0))


def _moves(piece: object, nz: int, ns: int) -> Array:
    """The same for the point of a ring that moves most: its middle, its turning, its stretch."""
    assert isinstance(piece, Ring)
    n = nz * ns
    stretch = np.zeros(1) if piece.stretch is None else piece.stretch
    far = max(abs(piece.profile.y_min), abs(piece.profile.y_max)) + float(np.nanmax(abs(stretch)))
    lever = piece.profile.r_max + far
    axis = lever * np.broadcast_to(piece.axis, (n, 3))
    along = np.broadcast_to(stretch[:, None], (n, 1)) * np.array([[1.0, 0.0, 0.0]])
    middle = np.broadcast_to(piece.centre, (n, 3))
    return sum((_half_steps(path, nz, ns) for path in (middle, axis, along)), np.zeros((nz, ns)))
