"""The force in every link, pivot and ball, by equilibrium of all the moving bodies at once.

The transposed constraint Jacobian times the unknown reactions plus the loads is nothing: the same
equations as virtual work, kept whole so that each body's balance can be shown. Forces in N, on the
body named; positions first.

This sizes nothing. Strength, welding and approval are for a qualified engineer and local rules.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.statics.curves import Floats
from kinematics.statics.reactions import Unit, matrix, moving_bodies

#: mm by which moments are divided so that they weigh like forces.
LEVER = 300.0
#: Share of the load that may be left over before the bodies count as not held at all.
_LEFT_OVER = 1e-7
#: Relative size below which a singular value counts as nought.
_SAME = 1e-9


@dataclass(frozen=True)
class JointForce:
    """What one joint does in one or more load cases.

    member : link, joint or coilover. place : the point's name. on, against : the bodies; the
    force acts on ``on``, its opposite on ``against``. at : (n, 3) mm. force : (cases, n, 3) N.
    axial : (cases, n) N for a link (pull positive) or the coilover (push positive), else None.
    """

    member: str
    place: str
    on: str
    against: str
    at: Floats
    against_at: Floats
    force: Floats
    axial: Floats | None

    @property
    def size(self) -> Floats:
        """How big the force is, (cases, n), N."""
        return np.asarray(np.linalg.norm(self.force, axis=-1))


@dataclass(frozen=True)
class Forces:
    """Every joint's force in every load case at n positions, and what is left over.

    joints : as `JointForce`. unbalance : (cases, n) the largest force, or moment over `LEVER`,
    left over on any moving body, N; recomputed from the joints' forces, not from the solver.
    undetermined : members whose share statics alone can't tell (they fight each other); their
    forces are NaN. held : False where the bodies are free to move whatever the joints do; all NaN.
    """

    cases: tuple[str, ...]
    bodies: tuple[str, ...]
    joints: tuple[JointForce, ...]
    unbalance: Floats
    undetermined: tuple[str, ...]
    held: bool

    def of(self, member: str, place: str | None = None) -> JointForce:
        """One joint by its member and, where it has several places, its point's name."""
        for joint in self.joints:
            if joint.member == member and place in (None, joint.place):
                return joint
        known = ", ".join(sorted({joint.member for joint in self.joints}))
        raise KeyError(f"there is no force in {member!r}; there is {known}")


def solve(
    reactions: Sequence[Unit],
    loads: Mapping[str, Mapping[str, Floats]],
    give: Mapping[str, float] | None = None,
) -> Forces:
    """Forces in every joint under ``loads``.

    reactions : from `reactions.units`, at n positions. loads : for each case the force and moment
    about the origin (n, 6) on each loaded body. give : stiffness (N/mm) of the members whose
    bushes give; members that fight share the load by them, with the least strain energy, besides
    what the movement winds into them. Raises ValueError if there are no reactions.
    """
    if not reactions:
        raise ValueError("nothing holds the corner: there are no joints")
    reactions = tuple(reactions)
    bodies = moving_bodies(reactions)
    columns = matrix(reactions, bodies)
    right = np.stack([_loaded(case, bodies, len(columns)) for case in loads.values()], axis=-1)
    soft = np.array([1.0 / give[u.member] if give and u.member in give else 0.0 for u in reactions])
    sizes, fighting, held = _sizes(_weighed(columns), _weighed(right), soft)
    joints = _gathered(reactions, np.moveaxis(sizes, -1, 0))
    return Forces(
        cases=tuple(loads),
        bodies=bodies,
        joints=joints,
        unbalance=unbalance(joints, bodies, right),
        undetermined=tuple(dict.fromkeys(reactions[i].member for i in fighting)),
        held=held,
    )


def unbalance(joints: Sequence[JointForce], bodies: Sequence[str], loads: Floats) -> Floats:
    """Largest force, or moment over `LEVER`, left on any body: (cases, n), N.

    loads : (n, 6 nb, cases). Summed from the joints' own forces and points.
    """
    total = np.moveaxis(loads, -1, 0).reshape(loads.shape[2], loads.shape[0], len(bodies), 6).copy()
    for joint in joints:
        for body, at, sign in (
            (joint.on, joint.at, 1.0),
            (joint.against, joint.against_at, -1.0),
        ):
            if body in bodies:
                i = bodies.index(body)
                total[:, :, i, :3] += sign * joint.force
                total[:, :, i, 3:] += sign * np.cross(at, joint.force)
    total[..., 3:] /= LEVER
    return np.asarray(np.abs(total).max(axis=(-2, -1), initial=0.0))


def _loaded(case: Mapping[str, Floats], bodies: tuple[str, ...], n: int) -> Floats:
    out = np.zeros((n, 6 * len(bodies)))
    for body, load in case.items():
        if body in bodies:
            row = 6 * bodies.index(body)
            out[:, row : row + 6] += load
    return out


def _weighed(columns: Floats) -> Floats:
    """Rows of moment divided by the lever, so that one tolerance serves forces and moments."""
    out = columns.copy()
    rows = np.arange(out.shape[1]) % 6 >= 3
    out[:, rows] /= LEVER
    return out


def _sizes(columns: Floats, right: Floats, soft: Floats) -> tuple[Floats, list[int], bool]:
    """Sizes of the unit reactions (n, m, cases); which of them fight; whether all is held.

    soft : (m,) mm/N of each, 0 where it is rigid.
    """
    n, rows, m = columns.shape
    out = np.full((n, m, right.shape[-1]), np.nan)
    good = np.isfinite(columns).all(axis=(1, 2)) & np.isfinite(right).all(axis=(1, 2))
    a, b = columns[good], right[good]
    if not len(a):
        return out, [], True
    if rows == m and np.linalg.matrix_rank(a[0], rtol=_SAME) == m:
        x = np.linalg.solve(a, -b)
        # One refinement brings back the digits that a nearly straight linkage costs.
        out[good] = x - np.linalg.solve(a, a @ x + b)
        return out, [], True
    _, s, vt = np.linalg.svd(a[0], full_matrices=True)
    rank = int(np.sum(s > _SAME * s[0]))
    # A member fights where it takes part in a set of forces that balance without any load.
    fighting = [int(i) for i in np.flatnonzero(np.abs(vt[rank:]).max(axis=0, initial=0.0) > 1e-6)]
    x = -np.linalg.pinv(a, rcond=_SAME) @ b
    if fighting and _settles(vt[rank:], soft):
        x, fighting = _shared(a, x, m - rank, soft), []
    held = bool((np.abs(a @ x + b).max(axis=1) <= _LEFT_OVER * np.abs(b).max(axis=1)).all())
    x[:, fighting] = np.nan
    out[good] = x if held else np.nan
    return out, fighting, held


def _settles(spare: Floats, soft: Floats) -> bool:
    """Whether every set of forces that balances without load (rows of ``spare``) strains a bush."""
    strain = np.linalg.svd(spare * np.sqrt(soft), compute_uv=False)
    return bool(len(strain) and strain[-1] > _SAME * np.sqrt(soft.max(initial=0.0)))


def _shared(a: Floats, x: Floats, spare: int, soft: Floats) -> Floats:
    """Balanced forces x (n, m, cases) with the least strain energy in the bushes that give."""
    free = np.linalg.svd(a)[2][:, -spare:].mT  # (n, m, spare): balanced without any load
    weighed = free.mT * soft
    return np.asarray(x - free @ np.linalg.solve(weighed @ free, weighed @ x))


def _gathered(reactions: tuple[Unit, ...], sizes: Floats) -> tuple[JointForce, ...]:
    """Unit reactions summed for each member and place: sizes is (cases, n, m)."""
    places: dict[tuple[str, str], list[int]] = {}
    for column, unit in enumerate(reactions):
        places.setdefault((unit.member, unit.place), []).append(column)
    found = []
    for (member, place), columns in places.items():
        first = reactions[columns[0]]
        directions = np.stack([reactions[c].direction for c in columns])
        force = np.einsum("cnk,kni->cni", sizes[..., columns], directions)
        axial = sizes[..., columns[0]] if first.sense in ("pull", "push") else None
        found.append(
            JointForce(
                member, place, first.on, first.against, first.at, first.against_at, force, axial
            )
        )
    return tuple(found)
