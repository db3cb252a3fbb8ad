"""Clearance of parts, pair by pair, over a travel x rack grid and between its positions."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from kinematics.clearance.joints import Joint, trimmed
from kinematics.clearance.pack import pack
from kinematics.clearance.scans import merge, scan_clearance
from kinematics.clearance.surfaces import surface_clearance
from kinematics.shapes.pieces import Mesh, Part

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
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

    Between neighbouring rack positions nothing is certified: those are samples.
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
    result = empty(chosen, nz, ns)
    _go_on(cancelled)
    whole, place = with_joints(parts, chosen, joints)
    _go_on(cancelled)
    used = {i for pair in place for i in pair}
    work = [
        without_scans(part) if k in used else replace(part, pieces=(), sagitta=())
        for k, part in enumerate(whole)
    ]
    # A piece that trimming left alone is the same object: it is written once.
    unique = {id(piece): piece for part in work for piece in part.pieces}
    number = {key: k for k, key in enumerate(unique)}
    ids = np.array([number[id(piece)] for part in work for piece in part.pieces], np.int64)
    counts = [len(part.pieces) for part in work]
    first = np.cumsum([0, *counts], dtype=np.int64)
    for k, (i, j) in enumerate(place):
        if not (whole[i].pieces and whole[j].pieces):
            result.low[k] = result.between_low[k] = np.inf  # all of it inside a joint's ball
    table = [(i, j, k) for k, (i, j) in enumerate(place) if counts[i] and counts[j]]
    if table:
        packed = pack(list(unique.values()), nz * ns)
        sagitta = np.concatenate([_sagitta(part, nz, ns) for part in work])
        _go_on(cancelled)
        memory = remember([counts[i] * counts[j] for i, j in place], kernel.KEPT, kernel.SPAN)
        lows = np.full(len(memory[1]), -1e300)

        def run(rows: list[tuple[int, int, int]]) -> None:
            _go_on(cancelled)
            kernel.run_pairs(
                packed.data, packed.meta, packed.fixed, packed.blank, packed.middle, ids, first,
                np.array(rows, np.int64), np.array([grid], np.int64), float(tol), float(cutoff),
                worst_only, sagitta, *memory, lows, packed.data, result.low, result.bound,
                result.point_a, result.point_b, result.between_low, result.between_at,
            )  # fmt: skip

        _run_all(run, _chunks(table, nz * ns), progress, threads)
    with_scans(whole, place, result, grid, tol, cutoff, cancelled)
    return finish(result)


def _go_on(cancelled: Callable[[], bool] | None) -> None:
    if cancelled is not None and cancelled():
        raise Cancelled


def finish(result: Clearances) -> Clearances:
    """The kernel leaves the upper bound where the error belongs; a certified pair has none."""
    known = np.isfinite(result.low)
    np.subtract(result.bound, result.low, out=result.bound, where=known)
    return result


Memory = tuple[Ints, Array, Array, Ints, Array]


def remember(sizes: Sequence[int], kept: int, span: int) -> Memory:
    """What the kernel remembers of so many pairs of pieces for each pair of parts: nothing yet.

    Where each pair's begin, then certificates, sectors, how many of these, points.
    """
    begin = np.cumsum([0, *sizes], dtype=np.int64)
    n = int(begin[-1])
    certificates, points = np.full((n, 32), -1.0), np.empty((n, 12))
    return begin, certificates, np.empty((n, kept, span)), np.full(n, -1, np.int64), points


def with_scans(
    parts: Sequence[Part],
    place: Sequence[Pair],
    result: Clearances,
    grid: tuple[int, int],
    tol: float,
    cutoff: float,
    cancelled: Callable[[], bool] | None = None,
) -> None:
    """Let the scans among the parts have their say; place : two parts for each row."""
    scans = {k for k, part in enumerate(parts) if any(isinstance(p, Mesh) for p in part.pieces)}
    for k, (i, j) in enumerate(place if scans else ()):
        if i in scans or j in scans:
            _go_on(cancelled)
            _with_scan(parts[i], parts[j], k, result, grid, tol, cutoff)


def without_scans(part: Part) -> Part:
    """The part's exact pieces alone."""
    kept = [k for k, piece in enumerate(part.pieces) if not isinstance(piece, Mesh)]
    if len(kept) == len(part.pieces):
        return part
    sagitta = tuple(part.sagitta[k] for k in kept) if part.sagitta else ()
    return replace(part, pieces=tuple(part.pieces[k] for k in kept), sagitta=sagitta)


#: A piece this much farther from a scan than the nearest is let go, mm, in spite of what its bound
#: between two positions may lose by its motion.
_SPARE = 5.0


def _with_scan(
    a: Part, b: Part, k: int, result: Clearances, grid: tuple[int, int], tol: float, cutoff: float
) -> None:
    """Let the scans among two parts' pieces have their say in row k of the result."""
    nz, ns = grid
    for mine, other, swapped in ((a, b, False), (b, a, True)):
        sag_mine, sag_other = _sagitta(mine, nz, ns), _sagitta(other, nz, ns)
        best, found = np.fmin(result.bound[k], cutoff), []
        for i, p in enumerate(mine.pieces):
            for j, q in enumerate(other.pieces):
                if isinstance(p, Mesh) and not isinstance(q, Mesh):
                    # Nothing farther than the nearest so far counts.
                    limit = np.fmin(cutoff, best + (_SPARE if nz > 1 else 0.0))
                    sagitta = sag_mine[i] + sag_other[j]
                    found.append(scan_clearance(p, q, grid, sagitta, tol, limit))
                    best = np.fmin(best, found[-1].high)
        if not swapped:
            found += [
                surface_clearance(p, q, grid, sag_mine[i] + sag_other[j])
                for i, p in enumerate(mine.pieces)
                for j, q in enumerate(other.pieces)
                if isinstance(p, Mesh) and isinstance(q, Mesh)
            ]
        if not found:
            continue
        worst = merge(found)
        first, second = worst.point_scan, worst.point_piece
        if swapped:
            first, second = second, first
        nearer = ~(worst.high >= result.bound[k])
        result.point_a[k][nearer], result.point_b[k][nearer] = first[nearer], second[nearer]
        result.bound[k] = np.fmin(result.bound[k], worst.high)
        result.low[k] = np.fmin(result.low[k], worst.low)
        result.between_low[k] = np.fmin(result.between_low[k], worst.between)


def with_joints(
    parts: Sequence[Part], pairs: Sequence[Pair], joints: Sequence[Joint]
) -> tuple[list[Part], list[Pair]]:
    """Parts with trimmed copies added for joined pairs, and the pairs in terms of them."""
    work, place = list(parts), list(pairs)
    held: dict[Pair, list[tuple[Array, float]]] = {}
    for joint in joints:
        a, b = joint.part_a, joint.part_b
        held.setdefault((min(a, b), max(a, b)), []).append((joint.centre, joint.radius))
    for k, (i, j) in enumerate(pairs):
        balls = held.get((min(i, j), max(i, j)))
        if balls:
            place[k] = len(work), len(work) + 1
            work += [trimmed(parts[i], balls), trimmed(parts[j], balls)]
    return work, place


def _chunks(table: list[tuple[int, int, int]], n: int) -> list[list[tuple[int, int, int]]]:
    """Some 300 pair-poses a call: enough to make the call cheap, few enough to stop soon."""
    size = max(1, 300 // n)
    return [table[i : i + size] for i in range(0, len(table), size)]


def _run_all(
    run: Callable[[list[tuple[int, int, int]]], None],
    jobs: list[list[tuple[int, int, int]]],
    progress: Callable[[float], None] | None,
    threads: int | None,
) -> None:
    workers = min(threads or os.cpu_count() or 1, len(jobs))
    if workers <= 1:
        for done, job in enumerate(jobs, start=1):
            run(job)
            if progress is not None:
                progress(done / len(jobs))
        return
    with ThreadPoolExecutor(workers) as pool:
        futures = [pool.submit(run, job) for job in jobs]
        try:
            for done, future in enumerate(as_completed(futures), start=1):
                future.result()
                if progress is not None:
                    progress(done / len(jobs))
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise


def empty(pairs: tuple[Pair, ...], nz: int, ns: int) -> Clearances:
    """Clearances of which nothing is known yet; their bounds stand for upper bounds."""
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
    if nz < 2:
        return np.zeros((len(part.pieces), 0, ns))
    out = np.zeros((len(part.pieces), nz - 1, ns))
    for k, given in enumerate(part.sagitta):
        value = np.asarray(given, float)
        out[k] = value[:, None] if value.ndim == 1 else value
    return out
