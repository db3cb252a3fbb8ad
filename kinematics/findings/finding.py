"""What a check found, as facts: no words, no rounding."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from kinematics.statics.fact import Fact

Kind = Literal["contact", "limit", "unreachable", "near", "clear", "end"]
PROBLEMS: frozenset[Kind] = frozenset({"contact", "limit", "unreachable", "near"})
_ORDER: tuple[Kind, ...] = ("contact", "limit", "unreachable", "near", "clear", "end")

Point = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Onset:
    """Where something first happens going outward from set-up height, mm of travel.

    ``bump`` and ``droop`` are None where it never happens that way. Both equal the starting
    travel when it already holds there. ``bump_rack`` and ``droop_rack`` say at which rack, mm, it
    does so first. Lengths are rounded by nobody.
    """

    bump: float | None = None
    droop: float | None = None
    bump_rack: float = 0.0
    droop_rack: float = 0.0

    def __bool__(self) -> bool:
        """True if it happens at all."""
        return self.bump is not None or self.droop is not None


NEVER = Onset()


@dataclass(frozen=True, slots=True)
class Stretch:
    """Travel from ``low`` to ``high`` (mm) over which something holds, at one rack (mm)."""

    rack: float
    low: float
    high: float


def outward(stretches: Iterable[Stretch]) -> Onset:
    """The nearest ends of stretches going outward from set-up height, over their racks."""
    held = [(abs(s.rack), s) for s in stretches]
    ups = [(max(s.low, 0.0), off, s.rack) for off, s in held if s.high >= 0.0]
    downs = [(max(-s.high, 0.0), off, s.rack) for off, s in held if s.low <= 0.0]
    bump, droop = min(ups, default=None), min(downs, default=None)
    return Onset(
        None if bump is None else bump[0],
        None if droop is None else 0.0 - droop[0],
        0.0 if bump is None else bump[2],
        0.0 if droop is None else droop[2],
    )


@dataclass(frozen=True, slots=True)
class Give:
    """What is left of a clearance once parts give.

    name : the extra position that is worst. usual : it was not typed (common practice, no
    source). amount : the certified lower bound there, mm, negative for overlap. travel, rack :
    where, mm. touches : from where on the pair touches in any extra position, mm of travel.
    touching : all travel over which it does.
    """

    name: str
    usual: bool
    amount: float
    travel: float
    rack: float
    touches: Onset = NEVER
    touching: tuple[Stretch, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """One fact about the corner over the motion it was checked in.

    kind : ``contact`` (two parts meet), ``near`` (nearer than their rule, or touching only once
        they give), ``limit`` (a length
        or angle past what the part allows), ``unreachable`` (a travel the corner cannot get
        to), ``clear`` (the closest pair when nothing is wrong with it), ``end`` (what ends the
        travel: a fact, not a problem).
    parts : the two parts by name for a clearance, the one part for a limit or an end.
    travel, rack : the worst position, mm.
    amount : mm. Clearances: the certified lower bound, negative for overlap. Limits and ends:
        what is left before the limit, negative past it. Unreachable travel: how far towards it
        the wheel gets; NaN where that is nowhere.
    rule : the clearance asked for, mm; None where no rule applies.
    bound : the true clearance lies in ``[amount, amount + bound]``, mm.
    touches, under : where it first touches, and where it first comes under its rule.
    touching, nearer : all travel over which it touches, and over which it is under its rule, rack
        by rack; outside it is certified to be so nowhere between the positions either.
    point_a, point_b : the contact points on ``parts[0]`` and ``parts[1]``, mm, car coordinates.
    place : ``full bump``, ``full droop``, ``set-up height`` or empty: the name of the position.
    reason : for limits, ends and unreachable travel, the cause in a few words.
    give : the same clearance once parts give; None where no give changes it.
    doubt : standard deviation that the readings leave a clearance, mm; None: not measured.
    fact : for limits of springs, joints, shafts and the like, the whole of what is known; the
        amount is then in the fact's own measure, mm or rad.
    """

    kind: Kind
    parts: tuple[str, ...]
    travel: float
    rack: float
    amount: float
    rule: float | None = None
    bound: float = 0.0
    touches: Onset = NEVER
    under: Onset = NEVER
    touching: tuple[Stretch, ...] = ()
    nearer: tuple[Stretch, ...] = ()
    point_a: Point | None = None
    point_b: Point | None = None
    place: str = ""
    reason: str = ""
    fact: Fact | None = None
    give: Give | None = None
    doubt: float | None = None

    @property
    def is_problem(self) -> bool:
        """True for what makes a check fail: contact, a broken rule or limit, no reach."""
        return self.kind in PROBLEMS

    @property
    def severity(self) -> tuple[int, float]:
        """Sort key, worst first: the kind, then the millimetres against the rule."""
        return _ORDER.index(self.kind), self.amount - (self.rule or 0.0)

    def turned(self) -> Finding:
        """The same fact told from the other part."""
        return replace(self, parts=self.parts[::-1], point_a=self.point_b, point_b=self.point_a)
