"""Numbers as the screen writes them: a true minus sign, the sign where it tells, the unit apart."""

from __future__ import annotations

import math

from kinematics.units import Units, unit_of
from kinematics.units import show_number as plain

__all__ = ["angle", "length", "nice_ticks", "plain", "rounded_down", "tick_decimals", "travel"]


def rounded_down(value: float, decimals: int) -> float:
    """A clearance as it may be shown: never more room, never less overlap than there is."""
    return (
        math.floor(round(value * 10**decimals, 5)) / 10**decimals if math.isfinite(value) else value
    )


def length(mm: float, units: Units, sign: bool = False, fewer: int = 0) -> str:
    """A length in the builder's unit without the unit's name, with so many decimals fewer."""
    unit = unit_of("length", units)
    return plain(unit.of(mm), unit.decimals - fewer, sign)


def angle(rad: float, sign: bool = False, decimals: int = 2) -> str:
    """Degrees, without the sign of degree."""
    return plain(math.degrees(rad), decimals, sign)


def travel(mm: float, units: Units) -> str:
    """Travel with its sign; one decimal is left out where it is nought."""
    unit = unit_of("travel", units)
    figure = unit.of(mm)
    whole = unit.decimals == 1 and abs(figure - round(figure)) < 0.05
    return plain(figure, 0 if whole else unit.decimals, sign=True)


def nice_ticks(low: float, high: float, about: int) -> list[float]:
    """Round values from ``low`` to ``high``, roughly ``about`` of them."""
    span = high - low
    if not (math.isfinite(span) and span > 0):
        return []
    raw = span / max(1, about)
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * m for m in (1, 2, 2.5, 5, 10) if power * m >= raw * 0.999)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [i * step for i in range(first, last + 1)]


def tick_decimals(step: float) -> int:
    """Decimals, at most four, that write every multiple of a ``step`` as it is: 0.25 has two."""
    return next((d for d in range(4) if abs(step * 10**d - round(step * 10**d)) < 1e-6), 4)
