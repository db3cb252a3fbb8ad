"""Numbers to text: a true minus sign, as many decimals as the quantity has, its unit behind."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Literal

from kinematics.units.quantities import MM_PER_INCH, Quantity, Units, unit_of

LengthUnit = Literal["mm", "in", "1/16 in", "1/32 in", "1/64 in"]

MINUS = "−"
NOTHING = "–"


def show(value: float, quantity: Quantity, units: Units, decimals: int | None = None) -> str:
    """Write a value given in the inside unit: ``45.0 N/mm``, ``257 lb/in``; NaN is ``–``.

    ``decimals`` are the quantity's own unless given.
    """
    unit = unit_of(quantity, units)
    return _with(unit.name, unit.of(value), unit.decimals if decimals is None else decimals)


def show_typed(value: float, quantity: Quantity, units: Units, bare: bool = False) -> str:
    """Write a value as a field holds it, with no more decimals than it has: ``450 lb/in``.

    A value that was typed in the unit shown is written as it was typed. ``bare`` leaves the unit
    out. Raises nothing; NaN is ``–``.
    """
    unit = unit_of(quantity, units)
    figure = float(unit.of(value))
    least = unit.decimals if unit.padded else 0
    exact = (
        d for d in range(least, max(unit.fine, 3) + 2) if abs(round(figure, d) - figure) < 1e-7
    )
    decimals = next(exact, unit.fine)
    text = show_number(figure, decimals)
    return text if bare or text == NOTHING else _joined(text, unit.name)


def show_force(newtons: float, units: Units) -> str:
    """Write the size of a force to three figures: ``3440 N``, ``12.2 kN``, ``773 lbf``."""
    name, figure = unit_of("force", units).name, float(unit_of("force", units).of(newtons))
    if not math.isfinite(figure):
        return NOTHING
    if figure < 1.0:
        return f"0 {name}"
    step = 10.0 ** max(math.floor(math.log10(figure)) - 2, 0)
    rounded = round(figure / step) * step
    large = unit_of("large_force", units)
    if large.name == name or rounded < 10_000.0:
        return f"{rounded:.0f} {name}"
    return f"{large.of(rounded):.1f} {large.name}"


def show_plain(mm: float, units: Units, bare: bool = False) -> str:
    """Write a length as the builder typed it, with no needless decimals: ``10 mm``, ``0.394 in``.

    ``bare`` leaves the unit out.
    """
    unit = unit_of("length", units)
    figure = show_number(float(unit.of(mm)), 3)
    text = figure.rstrip("0").rstrip(".") if "." in figure else figure
    return text if bare else _joined(text, unit.name)


def show_length(mm: float, unit: LengthUnit = "mm", decimals: int | None = None) -> str:
    """Write a length given in mm, with its unit: ``−12.7 mm``, ``0.500 in``, ``3 1/4 in``.

    ``decimals`` is 1 for mm and 3 for inches unless given; fractions are rounded to the nearest
    sixteenth, thirty-second or sixty-fourth and reduced. NaN is written ``–``: not known.
    """
    if not math.isfinite(mm):
        return NOTHING
    if unit == "mm" or unit == "in":
        return show(mm, "length", unit, decimals)
    return f"{_fraction(mm / MM_PER_INCH, int(unit[2:4]))} in"


def show_angle(radians: float, decimals: int = 2) -> str:
    """Write an angle given in radians, in degrees: ``−1.05°``; NaN is written ``–``."""
    return show(radians, "angle", "mm", decimals)


def show_number(value: float, decimals: int = 2, sign: bool = False) -> str:
    """Write a plain number with a true minus sign, and its plus where ``sign`` asks for it.

    Nought has neither; NaN is written ``–``.
    """
    if not math.isfinite(value):
        return NOTHING
    text = f"{abs(value):.{decimals}f}"
    if not any(digit in "123456789" for digit in text):
        return text
    return (MINUS if value < 0 else "+" if sign else "") + text


def _with(unit: str, figure: float, decimals: int) -> str:
    text = show_number(figure, decimals)
    return text if text == NOTHING else _joined(text, unit)


def _joined(text: str, unit: str) -> str:
    return f"{text}{unit}" if unit == "°" or not unit else f"{text} {unit}"


def _fraction(inches: float, parts: int) -> str:
    whole, rest = divmod(abs(round(inches * parts)), parts)
    sign = MINUS if inches < 0 and (whole or rest) else ""
    if not rest:
        return f"{sign}{whole}"
    small = Fraction(rest, parts)
    return f"{sign}{whole} {small}" if whole else f"{sign}{small}"
