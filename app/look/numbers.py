"""Numbers as the screen writes them: a true minus sign, the sign where it tells, the unit apart."""

from __future__ import annotations

import math

MINUS = "\u2212"
MM_PER_INCH = 25.4


def plain(value: float, decimals: int, sign: bool = False) -> str:
    """A number with a true minus, never '-0'; an unknown one is an en dash."""
    if not math.isfinite(value):
        return "\u2013"
    text = f"{value:+.{decimals}f}" if sign else f"{value:.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("+-")
    return text.replace("-", MINUS)


def rounded_down(value: float, decimals: int) -> float:
    """A clearance as it may be shown: never more room, never less overlap than there is."""
    return (
        math.floor(round(value * 10**decimals, 5)) / 10**decimals if math.isfinite(value) else value
    )


def length(mm: float, units: str, sign: bool = False, decimals: int = 1) -> str:
    """A length in the builder's unit without the unit's name; inches get two more decimals."""
    if units == "in":
        return plain(mm / MM_PER_INCH, decimals + 2, sign)
    return plain(mm, decimals, sign)


def angle(rad: float, sign: bool = False, decimals: int = 2) -> str:
    """Degrees, without the sign of degree."""
    return plain(math.degrees(rad), decimals, sign)


def travel(mm: float, units: str) -> str:
    """Travel with its sign, whole millimetres when it is whole."""
    if units == "in":
        return plain(mm / MM_PER_INCH, 2, sign=True)
    whole = abs(mm - round(mm)) < 0.05
    return plain(mm, 0 if whole else 1, sign=True)


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
