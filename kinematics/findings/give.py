"""What is left of clearances once parts give: the worst over the extra positions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.clearance import Clearances
from kinematics.findings.find import Checked, below, least
from kinematics.findings.finding import Give, outward
from kinematics.findings.stretches import PairLook

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Given:
    """Pairs of parts over a grid, in every extra position that one of them can take.

    names : of the extra positions. usual : none was typed. pairs : numbers of the pairs looked
    at; no other comes within reach of its give. rigid : the clearances of those pairs as if
    nothing gave. each : by extra position, the same there; NaN for pairs it leaves as they are.
    reach (all pairs,) : how much nearer give can bring a pair at most, mm; 0 where it changes
    nothing. travel (nz,), rack (ns,) : the grid, mm.
    """

    names: tuple[str, ...]
    usual: bool
    pairs: tuple[int, ...]
    rigid: Clearances
    each: tuple[Clearances, ...]
    reach: Array
    travel: Array
    rack: Array

    def low(self, pair: int) -> Array | None:
        """(nz, ns) least clearance of a pair, rigid or given, mm; None if it was not looked at."""
        if pair not in self.pairs:
            return None
        return np.asarray(self._least(self.pairs.index(pair)).low[0])

    def figure(self, pair: int, rigid: Clearances) -> tuple[Array, Array]:
        """(nz, ns) certified least clearance of a pair with give, and its calculation error.

        rigid : the clearances of all pairs over this grid. Pairs that were not looked at have lost
        no more than their reach.
        """
        if pair not in self.pairs:
            reach = self.reach[pair]
            return rigid.low[pair] - reach, rigid.bound[pair] + reach
        k = self.pairs.index(pair)
        every = (self.rigid, *self.each)
        low = np.fmin.reduce([e.low[k] for e in every])
        high = np.fmin.reduce([e.low[k] + e.bound[k] for e in every])
        return np.asarray(low), np.asarray(high - low)

    def worst(
        self, checked: Checked, look: Callable[[int], PairLook] | None = None
    ) -> dict[int, Give]:
        """By pair, the extra position that is worst, and from where on the pair touches in any.

        Pairs that no extra position changes are not in it. ``look(pair)`` gives a pair's least
        clearance, rigid or given, at any travel.
        """
        found = {}
        for k, pair in enumerate(self.pairs):
            lows = np.array([least(each)[k] for each in self.each])
            if np.isfinite(lows).any():
                found[pair] = self._worst(checked, k, int(np.nanargmin(lows)), look)
        return found

    def _worst(
        self,
        checked: Checked,
        k: int,
        which: int,
        look: Callable[[int], PairLook] | None,
    ) -> Give:
        found, pair = self.each[which], self.pairs[k]
        i, j = np.unravel_index(np.nanargmin(found.low[k]), found.low[k].shape)
        deepest = float(least(found)[k])
        ask = look(pair) if look is not None and deepest < 0.0 else None
        touching = below(checked.one(pair, self._least(k)), 0, 0.0, ask)
        return Give(
            name=self.names[which],
            usual=self.usual,
            amount=deepest,
            travel=float(checked.travel[i]),
            rack=float(checked.rack[j]),
            touches=outward(touching),
            touching=touching,
        )

    def _least(self, k: int) -> Clearances:
        """The k-th pair: at each position the least over rigid and extra positions."""
        every = (self.rigid, *self.each)
        here = self.rigid
        return Clearances(
            pairs=here.pairs[k : k + 1],
            low=np.fmin.reduce([e.low[k : k + 1] for e in every]),
            bound=here.bound[k : k + 1],
            point_a=here.point_a[k : k + 1],
            point_b=here.point_b[k : k + 1],
            between_low=np.fmin.reduce([e.between_low[k : k + 1] for e in every]),
            between_at=here.between_at[k : k + 1],
        )
