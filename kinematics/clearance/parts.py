"""Clearance of parts, pair by pair, over a travel x rack grid and between its positions."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.clearance.joints import Joint, trimmed
from kinematics.clearance.pack import Packed, pack
from kinematics.shapes.pieces import Part

Array = npt.NDArray[np.float64]
Pair = tuple[int, int]


class Cancelled(Exception):
    """The caller asked for the work to stop."""


@dataclass(frozen=True, eq=False)
class Clearances:
    """Signed clearances of pairs of parts; negative is overlap, NaN where a pose is unknown.

    pairs : (i, j) indices into the parts, in the order of the first axis below.
    low : (pairs, nz, ns) certified lower bound, mm; the true value lies in [low, low + bound].
    bound : (pairs, nz, ns) calculation error, mm; infinite where a cut-off let the pair go.
    point_a, point_b : (pairs, nz, ns, 3) on the surfaces of the first and the second part.
    between_low : (pairs, nz - 1, ns) certified lower bound over the whole travel interval.
    between_at : (pairs, nz - 1, ns) where in the interval (0 to 1) the nearest position was met.
    """

    pairs: tuple[Pair, ...]
    low: Array
    bound: Array
    point_a: Array
    point_b: Array
    between_low: Array
    between_at: Array

    @property
    def worst(self) -> Array:
        """(pairs,) lowest figure of each pair over all positions and the motion between them."""
        everything = np.concatenate(
            [self.low.reshape(len(self.pairs), -1), self.between_low.reshape(len(self.pairs), -1)],
            axis=1,
        )
        everything = np.where(np.isnan(everything), np.inf, everything)
        lowest: Array = np.min(everything, axis=1, initial=np.inf)
        return lowest


def all_pairs(parts: Sequence[Part]) -> tuple[Pair, ...]:
    """Every pair of parts that different bodies carry: those that can move against each other."""
    return tuple(
        (i, j)
        for i in range(len(parts))
        for j in range(i + 1, len(parts))
        if parts[i].body != parts[j].body
    )


def clearances(
    parts: Sequence[Part],
    pairs: Sequence[Pair] | None = None,
    grid: tuple[int, int] = (1, 1),
    tol: float = 0.02,
    worst_only: bool = False,
    cutoff: float = np.inf,
    joints: Sequence[Joint] = (),
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    threads: int | None = None,
) -> Clearances:
    """Clearance of each pair at every pose of the grid and between neighbouring travel rows.

    parts : their pieces are given at nz * ns poses (travel slowest) or at one.
    pairs : indices into parts; None takes `all_pairs`.
    tol : greatest calculation error, mm.
    worst_only : poses that cannot be a pair's worst keep a cheap lower bound (bound infinite).
    cutoff : poses certified at least this far apart keep a cheap lower bound (bound infinite).
    joints : where two parts are joined; a ball about the joint is left out (joints.py).
    progress : told the share done, 0 to 1; cancelled : asked now and then, True stops the work.
    Raises Cancelled; ValueError when pieces and grid do not fit.
    """
    from kinematics.clearance import kernel

    nz, ns = grid
    chosen = tuple(all_pairs(parts) if pairs is None else pairs)
    result = _empty(chosen, nz, ns)
    work, place = _with_joints(parts, chosen, joints)
    pieces = [piece for part in work for piece in part.pieces]
    first = np.concatenate([[0], np.cumsum([len(part.pieces) for part in work])])
    if not chosen or not pieces:
        return result
    packed = pack(pieces, nz * ns)

    def run(k: int) -> None:
        if cancelled is not None and cancelled():
            raise Cancelled
        i, j = place[k]
        ids_a = np.arange(first[i], first[i + 1])
        ids_b = np.arange(first[j], first[j + 1])
        if len(ids_a) == 0 or len(ids_b) == 0:  # all of it inside the joint's ball
            result.low[k] = result.between_low[k] = np.inf
            return
        sagitta = _sagitta(work[i], nz, ns)[:, None] + _sagitta(work[j], nz, ns)[None, :]
        kernel.run_pair(
            packed.data, packed.meta, packed.fixed, packed.blank, ids_a, ids_b, nz, ns, float(tol),
            float(cutoff), worst_only, _origin(packed, ids_a, ids_b),
            sagitta.reshape(len(ids_a) * len(ids_b), *sagitta.shape[2:]), result.low[k], result.bound[k],
            result.point_a[k], result.point_b[k], result.between_low[k], result.between_at[k],
        )  # fmt: skip

    _run_all(run, len(chosen), progress, threads)
    # The kernel leaves the upper bound where the error belongs; a certified pair has none.
    known = np.isfinite(result.low)
    np.subtract(result.bound, result.low, out=result.bound, where=known)
    return result


def _with_joints(
    parts: Sequence[Part], pairs: Sequence[Pair], joints: Sequence[Joint]
) -> tuple[list[Part], list[Pair]]:
    """Parts with trimmed copies added for joined pairs, and the pairs in terms of them."""
    work, place = list(parts), list(pairs)
    for k, (i, j) in enumerate(pairs):
        balls = [
            (joint.centre, joint.radius) for joint in joints if {joint.part_a, joint.part_b} == {i, j}
        ]
        if balls:
            place[k] = len(work), len(work) + 1
            work += [trimmed(parts[i], balls), trimmed(parts[j], balls)]
    return work, place


def _run_all(
    run: Callable[[int], None],
    count: int,
    progress: Callable[[float], None] | None,
    threads: int | None,
) -> None:
    workers = min(threads or os.cpu_count() or 1, count)
    if workers == 1 or count < 4:
        for k in range(count):
            run(k)
            if progress is not None:
                progress((k + 1) / count)
        return
    with ThreadPoolExecutor(workers) as pool:
        jobs = [pool.submit(run, k) for k in range(count)]
        try:
            for done, job in enumerate(as_completed(jobs), start=1):
                job.result()
                if progress is not None:
                    progress(done / count)
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise


def _empty(pairs: tuple[Pair, ...], nz: int, ns: int) -> Clearances:
    n = len(pairs)
    return Clearances(
        pairs=pairs,
        low=np.full((n, nz, ns), np.nan),
        bound=np.full((n, nz, ns), np.inf),
        point_a=np.full((n, nz, ns, 3), np.nan),
        point_b=np.full((n, nz, ns, 3), np.nan),
        between_low=np.full((n, max(nz - 1, 0), ns), np.nan),
        between_at=np.full((n, max(nz - 1, 0), ns), np.nan),
    )


def _sagitta(part: Part, nz: int, ns: int) -> Array:
    """(pieces, nz - 1, ns), mm."""
    out = np.zeros((len(part.pieces), max(nz - 1, 0), ns))
    for k, given in enumerate(part.sagitta):
        value = np.asarray(given, float)
        out[k] = value[:, None] if value.ndim == 1 else value
    return out


def _origin(packed: Packed, ids_a: npt.NDArray[np.int64], ids_b: npt.NDArray[np.int64]) -> Array:
    """A point near both parts: coordinates about it keep their digits far from the car's origin."""
    both = packed.middle[np.concatenate([ids_a, ids_b])]
    middle: Array = 0.5 * (both.min(axis=0) + both.max(axis=0))
    return middle
