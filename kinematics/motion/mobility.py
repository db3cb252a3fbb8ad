"""Mobility: does the corner move, what is loose, which members fight?

Found before any motion, from the singular values of the Jacobian of *all* rows of *all* bodies as
measured, nothing contracted, with the wheel's height as one row more. Vectors it sends to zero are
motions nothing holds; vectors λ that it is sent to zero by say ``Σ λᵢ δLᵢ = 0``: the lengths of
those members can't be chosen freely, so they fight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kinematics.frames import Array
from kinematics.motion.errors import MotionError
from kinematics.motion.mechanism import Mechanism, mechanism
from kinematics.motion.rows import State, evaluate, jacobian, moved
from kinematics.motion.system import System, build
from kinematics.motion.words import describe, listed, missing
from kinematics.project.model import Project

ZERO = 1e-8
"""Singular values below this share of the greatest are taken as none."""
NEAR = 1e-3
"""Below this share, something is only just held: said, not refused."""
FITS = 1e-9
"""mm: closure asked of an over-held corner at a finite displacement, to call it moving."""


@dataclass(frozen=True)
class Loose:
    """A motion nothing holds, told in ``words``.

    ``bodies`` are those that move; ``hint`` what would hold the wheel; ``idle`` when the wheel
    and coilover stay still.
    """

    bodies: tuple[str, ...]
    words: str
    hint: str
    idle: bool


@dataclass(frozen=True)
class Fight:
    """Members whose lengths can't be chosen freely: Σ shares·(error in each) must be 0.

    ``locks`` when the wheel's height is part of it: the corner then can't move at all.
    """

    members: tuple[str, ...]
    shares: tuple[float, ...]
    locks: bool


@dataclass(frozen=True)
class Mobility:
    """What holds a corner: ``free`` motions (1 is right), what is ``loose`` and what ``fights``.

    ``moves`` is False if it is locked or binds at once, True if it moves as drawn, also where
    members fight (it then depends on their exact lengths). ``margin`` is the smallest singular
    value over the greatest: how far it is from being loose.
    """

    free: int
    loose: tuple[Loose, ...]
    fights: tuple[Fight, ...]
    moves: bool
    margin: float

    @property
    def sentences(self) -> tuple[str, ...]:
        """The findings in plain words."""
        return tuple(_sentences(self))


def mobility(project: Project) -> Mobility:
    """Analyse a project's corner where it was measured, with the rack held."""
    return analyse(mechanism(project))


def analyse(built: Mechanism) -> Mobility:
    """The same for a mechanism."""
    system = build(built, contract=False, charts=False)
    # What is wound in changes no more than lengths: told where everything fits, as measured.
    system = replace(system, geometry=system.as_measured)
    state = system.entry()
    matrix = _matrix(system, state)
    u, strength, vt = np.linalg.svd(matrix)
    rank = int((strength > ZERO * strength[0]).sum())
    loose = _loose(system, vt[rank:].T, matrix[:-1]) if rank < matrix.shape[1] else ()
    fights = _fights(system, u[:, rank:])
    locked = any(fight.locks for fight in fights)
    moves = not locked and (not fights or _moves(system, state, matrix))
    free = matrix.shape[1] - rank + (0 if locked else 1)
    return Mobility(free, loose, fights, moves, float(strength[rank - 1] / strength[0]))


def refuse_unless_definite(built: Mechanism, matrix: Array) -> None:
    """Raise ``MotionError`` unless the rows (rows, columns) fix every unknown and let it move."""
    rows, columns = matrix.shape
    strength = np.linalg.svd(matrix, compute_uv=False)
    rank = int((strength > ZERO * strength[0]).sum())
    if rank == rows == columns:
        return
    found = analyse(built)
    harmful = [x for x in found.loose if not x.idle]
    if harmful or not found.moves or rank < columns:
        raise MotionError(" ".join(found.sentences))


def _matrix(system: System, state: State) -> Array:
    """The Jacobian (rows, columns) of all rows, the wheel's height the last."""
    zero = np.zeros(1)
    rows = evaluate(system.table, system.geometry, state, zero, zero)
    matrix = jacobian(system.table, system.geometry, rows, state)[..., 0]
    driver = system.table.driver
    order = [i for i in range(len(matrix)) if i != driver] + [driver]
    return matrix[order]


def _row_names(system: System) -> list[str]:
    names = [block.name for block in system.blocks for _ in range(block.rows)]
    del names[system.table.driver]
    return names


def _loose(system: System, held: Array, joints: Array) -> tuple[Loose, ...]:
    """Each free motion in words, told by as few bodies as can be.

    ``held`` (columns, k) spans the motions with the wheel's height held. Where one body can move
    with all others standing still, that is the plainer way to say it, even if the wheel's height
    changes a little in it.
    """
    vectors = [*_alone(system, joints), *_sparse(held)]
    kept: list[Array] = []
    for vector in vectors:
        if len(kept) == held.shape[1]:
            break
        if np.linalg.matrix_rank(np.array([*kept, vector]), tol=1e-7) > len(kept):
            kept.append(vector)
    out = []
    for vector in kept:
        size = [float(np.linalg.norm(vector[6 * i : 6 * i + 6])) for i in range(len(system.bodies))]
        moving = [i for i in np.argsort(size)[::-1] if size[i] > 1e-6 * max(size)]
        words = [describe(system, i, vector[6 * i : 6 * i + 6]) for i in moving]
        bodies = tuple(system.bodies[i] for i in moving)
        wheel = system.mechanism.project.wheel.body
        hint = ""
        if wheel in bodies:
            i = system.bodies.index(wheel)
            hint = missing(vector[6 * i : 6 * i + 6])
        out.append(Loose(bodies, listed(words[:3]), hint, _idle(system, bodies)))
    return tuple(out)


def _alone(system: System, joints: Array) -> list[Array]:
    """Motions that the joints allow one body while all others stand still, the wheel set free
    first; none where there is only one body (that would be its travel as well)."""
    if len(system.bodies) < 2:
        return []
    from scipy.linalg import null_space

    order = sorted(system.bodies, key=lambda b: b != system.mechanism.project.wheel.body)
    out = []
    for body in order:
        i = system.bodies.index(body)
        own = joints[:, 6 * i : 6 * i + 6]
        for vector in null_space(own, rcond=ZERO).T:
            full = np.zeros(joints.shape[1])
            full[6 * i : 6 * i + 6] = vector
            out.append(full)
    return out


def _idle(system: System, bodies: Sequence[str]) -> bool:
    """Whether nothing that matters is on the bodies: not the wheel, not the coilover."""
    project = system.mechanism.project
    matters = {project.wheel.body}
    if project.coilover is not None:
        matters |= {project.coilover.foot.body, project.coilover.top.body}
    return not matters & set(bodies)


def _fights(system: System, left: Array) -> tuple[Fight, ...]:
    names = _row_names(system)
    out = []
    for vector in _sparse(left):
        locks = bool(abs(vector[-1]) > 1e-6 * np.abs(vector).max())
        share: dict[str, float] = {}
        for name, value in zip(names, vector[:-1], strict=True):
            if abs(value) > abs(share.get(name, 0.0)):
                share[name] = float(value)
        most = max(map(abs, share.values()), default=1.0)
        kept = {name: value / most for name, value in share.items() if abs(value) > 1e-6 * most}
        order = sorted(kept, key=lambda name: -abs(kept[name]))
        out.append(Fight(tuple(order), tuple(kept[name] for name in order), locks))
    return tuple(out)


def _sparse(basis: Array) -> list[Array]:
    """The vectors of a basis (size, k) recombined so that each is alone in touching something."""
    vectors = basis.copy()
    k = vectors.shape[1]
    if k <= 1:
        return [vectors[:, i] for i in range(k)]
    from scipy.linalg import qr

    _, _, order = qr(vectors.T, pivoting=True, mode="economic")
    chosen = vectors[order[:k]]
    vectors = vectors @ np.linalg.inv(chosen)
    vectors[np.abs(vectors) < 1e-9 * np.abs(vectors).max()] = 0.0
    return [vectors[:, i] / np.linalg.norm(vectors[:, i]) for i in range(k)]


def _moves(system: System, state: State, matrix: Array) -> bool:
    """Whether an over-held corner moves by finite amounts all the same, as drawn.

    Travel is raised in steps with the least-norm Newton step of all rows; every row is checked.
    """
    zero = np.zeros(1)
    table, geo = system.table, system.geometry
    start = evaluate(table, geo, state, zero, zero).value[table.driver]
    for side in (1.0, -1.0):
        pose = state
        for step in (0.01, 0.02, 0.03):
            drive = start + side * step * geo.scale
            for _ in range(12):
                rows = evaluate(table, geo, pose, drive, zero)
                if np.abs(rows.value).max() < 1e-11:
                    break
                full = jacobian(table, geo, rows, pose)[..., 0]
                change = np.asarray(np.linalg.lstsq(full, -rows.value[:, 0], rcond=1e-9)[0], float)
                pose = moved(table, geo, pose, change[:, None])
            if np.abs(evaluate(table, geo, pose, drive, zero).value).max() > FITS:
                return False
    return True


def _sentences(found: Mobility) -> list[str]:
    out = []
    harmful = [x for x in found.loose if not x.idle]
    for x in harmful:
        out.append(
            f"Loose: the wheel can go up and down, and {x.words} as well: "
            f"{x.hint or 'a link is missing'}."
        )
    for x in found.loose:
        if x.idle:
            out.append(f"{x.words[:1].upper()}{x.words[1:]}, which does no harm.")
    for fight in found.fights:
        members = listed([f"'{name}'" for name in fight.members])
        if fight.locks:
            out.append(
                f"Locked: {members} hold the wheel's height between them, so it can't move. In a "
                "real car that works only through rubber: let the bushes of one or more of them "
                "give, or take one out."
            )
        elif found.moves:
            out.append(
                f"Over-held, yet it moves: {members} hold one thing twice. It works as drawn, but "
                "any error in their lengths binds unless a bush gives."
            )
        else:
            out.append(
                f"Over-held: {members} fight. It binds as soon as it moves; let the bushes of one "
                "or more of them give, or take one out."
            )
    if not out:
        out.append("The corner has exactly its one motion and nothing fights.")
    if not found.loose and not found.fights and found.margin < NEAR:
        out.append("It is only just held: a small change of points could let it go loose.")
    return out
