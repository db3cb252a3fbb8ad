"""From clearances to ranked facts: what touches, what is too near, and from which travel on."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from kinematics.clearance import Clearances
from kinematics.findings.finding import Finding, Give, Kind, Point, Stretch, outward
from kinematics.findings.sharpen import MOST, TOLERANCE, Grid, sharpened
from kinematics.findings.stretches import Lows, PairLook, stretches

Array = npt.NDArray[np.float64]


class Here(NamedTuple):
    """A pair's clearance at one position, mm: its lower bound, its error, its two points (3,)."""

    low: float
    bound: float
    point_a: Array
    point_b: Array


PairAt: TypeAlias = Callable[[float, float], Here]
"""The clearance of a pair at a travel and a rack, mm."""
MOST_OF_A_SCAN = 12
"""Intervals of a scan's pair looked at again at most: each takes some tens of milliseconds."""

# The part that is told to do the touching comes first: what moves most, and what one looks at.
_FIRST = ("tyre", "wheel", "spring", "damper", "shaft", "upright", "arm", "link")


@dataclass(frozen=True)
class Checked:
    """What was checked of the pairs: names, classes and rules (np,) beside their clearances.

    rule : mm; NaN where no rule names the pair, contact is wrong all the same.
    """

    names: tuple[tuple[str, str], ...]
    kinds: tuple[tuple[str, str], ...]
    rule: Array
    found: Clearances
    travel: Array
    rack: Array

    def one(self, pair: int, found: Clearances) -> Checked:
        """A single pair, its clearances (1, nz, ns) found otherwise."""
        names, kinds, rule = self.names[pair], self.kinds[pair], self.rule[pair : pair + 1]
        return Checked((names,), (kinds,), rule, found, self.travel, self.rack)


def clearance_findings(
    checked: Checked,
    places: Callable[[float], str],
    look: Callable[[int], PairLook] | None = None,
    given: Mapping[int, Give] | None = None,
    at: Callable[[int], PairAt] | None = None,
) -> list[Finding]:
    """One finding for every pair that touches or breaks its rule; else the closest clear pair.

    ``given`` holds what is left of pairs once parts give: one that touches then is near at least.

    ``places`` names a travel (``full bump``). ``look(pair)`` gives the pair's clearance at any
    travel: first touches are then found to 0.002 mm of it, else they are the sample before. With
    ``at(pair)`` as well, a figure from between two positions is made as close as one at a position,
    and its points are those of where it is. In any order.
    """
    given = given or {}
    worst = least(checked.found)
    touching = {p for p, give in given.items() if give.amount < 0.0}
    out = []
    for p in telling(checked, touching):
        finding = _pair(checked, p, float(worst[p]))
        if look is not None and at is not None and _is_loose(checked, p, finding):
            finding = _sharpened(checked, p, finding, look(p), at(p))
        if finding.kind == "clear" and p in touching:
            finding = replace(finding, kind="near")
        finding = replace(finding, place=places(finding.travel), give=given.get(p))
        out.append(_with_onsets(checked, p, finding, look(p) if look else None))
    return out


def telling(checked: Checked, also: Collection[int] = ()) -> list[int]:
    """The pairs to tell of: those that touch or break their rule, then the closest clear one.

    ``also`` are wrong for another reason.
    """
    worst = least(checked.found)
    level = np.nan_to_num(checked.rule, nan=0.0)
    wrong = worst < np.maximum(level, 0.0)
    wrong[list(also)] = True
    numbers = np.flatnonzero(wrong)
    return [*numbers.tolist(), *_closest_clear(worst, level, numbers)]


def _closest_clear(worst: Array, level: Array, wrong: npt.NDArray[np.intp]) -> list[int]:
    """The clear pair with the least room over its rule, if any."""
    room = worst - level
    room[wrong] = np.nan
    return [] if np.isnan(room).all() else [int(np.nanargmin(room))]


def least(found: Clearances) -> Array:
    """The least certified clearance of each pair over the whole motion, (np,); NaN if none."""
    flat = [found.low.reshape(len(found.low), -1)]
    if found.between_low.size:
        flat.append(found.between_low.reshape(len(found.low), -1))
    # An interval with a position missing is unknown, not touching.
    every = np.concatenate(flat, axis=1)
    lowest = np.where(np.isfinite(every), every, np.inf).min(axis=1, initial=np.inf)
    return np.where(np.isfinite(lowest), lowest, np.nan)


def _pair(checked: Checked, p: int, worst: float) -> Finding:
    """The pair's finding at its worst position, its parts in telling order."""
    found, z = checked.found, checked.travel
    i, j = np.unravel_index(np.nanargmin(found.low[p]), found.low[p].shape)
    travel, bound = float(z[i]), float(found.bound[p, i, j])
    between = np.where(np.isfinite(found.between_low[p]), found.between_low[p], np.nan)
    if between.size and not np.isnan(between).all():
        bi, bj = np.unravel_index(np.nanargmin(between), between.shape)
        # Nearer between samples than the samples themselves can explain.
        if between[bi, bj] < found.low[p, i, j] - max(2 * bound, 0.05):
            at = float(found.between_at[p, bi, bj])
            share = at if np.isfinite(at) else 0.5  # of a scan it is not told where
            i, j = bi + round(share), bj
            travel = float(z[bi] + share * (z[bi + 1] - z[bi]))
    rule = None if np.isnan(checked.rule[p]) else float(checked.rule[p])
    finding = Finding(
        kind=_kind(worst, rule),
        parts=checked.names[p],
        travel=travel,
        rack=float(checked.rack[j]),
        amount=worst,
        rule=rule,
        bound=float(found.low[p, i, j]) + bound - worst,
        point_a=_point(found.point_a[p, i, j]),
        point_b=_point(found.point_b[p, i, j]),
    )
    return finding.turned() if second_does_it(checked.kinds[p]) else finding


def _is_loose(checked: Checked, p: int, finding: Finding) -> bool:
    """Whether a figure comes from between two positions, or says less than one there would.

    Not where the positions themselves are no closer: a part deep within a closed scan.
    """
    found = checked.found
    at = np.unravel_index(np.nanargmin(found.low[p]), found.low[p].shape)
    if found.bound[p][at] > TOLERANCE:
        return False
    return finding.bound > TOLERANCE or finding.travel not in checked.travel


def _sharpened(checked: Checked, p: int, finding: Finding, look: PairLook, at: PairAt) -> Finding:
    """The finding from looking again between the positions."""
    found = checked.found
    grid = Grid(checked.travel, checked.rack, found.low[p : p + 1], found.between_low[p : p + 1])
    most = MOST if np.isfinite(found.between_at[p]).any() else MOST_OF_A_SCAN
    worst = sharpened(grid, np.zeros(1), lambda _, travel, rack: look(travel, rack), most)
    here = at(worst.travel, worst.rack)
    low = min(worst.low, here.low)
    sharp = replace(
        finding,
        kind=_kind(low, finding.rule),
        travel=worst.travel,
        rack=worst.rack,
        amount=low,
        bound=here.low + here.bound - low,
        point_a=_point(here.point_a),
        point_b=_point(here.point_b),
    )
    if not second_does_it(checked.kinds[p]):
        return sharp
    return replace(sharp, point_a=sharp.point_b, point_b=sharp.point_a)


def _kind(worst: float, rule: float | None) -> Kind:
    return "contact" if worst < 0 else "near" if rule is not None and worst < rule else "clear"


def second_does_it(kinds: tuple[str, str]) -> bool:
    """Whether the second of two parts is the one to name first: the tyre meets the tower."""
    a, b = (_FIRST.index(k) if k in _FIRST else len(_FIRST) for k in kinds)
    return b < a


def _point(xyz: Array) -> Point | None:
    if not np.isfinite(xyz).all():
        return None
    return float(xyz[0]), float(xyz[1]), float(xyz[2])


def _with_onsets(checked: Checked, p: int, finding: Finding, look: PairLook | None) -> Finding:
    touching = below(checked, p, 0.0, look) if finding.kind == "contact" else ()
    nearer = () if finding.rule is None else below(checked, p, finding.rule, look)
    return replace(
        finding,
        touches=outward(touching),
        under=outward(nearer),
        touching=touching,
        nearer=nearer,
    )


def below(
    checked: Checked, p: int, level: float, look: PairLook | None = None
) -> tuple[Stretch, ...]:
    """All travel over which the pair is nearer than ``level``, rack by rack."""
    found = checked.found
    lows = Lows(checked.travel, checked.rack, found.low[p], found.between_low[p])
    return stretches(lows, level, look)


def ranked(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Worst first."""
    return tuple(sorted(findings, key=lambda f: f.severity))
