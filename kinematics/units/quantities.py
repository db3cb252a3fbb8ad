"""What every quantity is shown in, in millimetres and in inches: the one place that knows.

Callers name the quantity and the builder's choice:

    unit_of("force_per_length", "in").name          # "lb/in"
    unit_of("force_per_length", "in").of(50.0)      # 285.5

Inside, everything is mm, N, rad and kg. A builder who chose inches weighs in pounds (mass), loads
in pounds-force and buys springs by lb/in, which is short for lbf/in. Sizes are exact: the inch and
the pound by the agreement of 1959, the pound-force by standard gravity (NIST SP 811, Appendix B).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

Units = Literal["mm", "in"]
Quantity = Literal[
    "length", "travel", "angle", "ratio", "angle_per_length", "length_per_length", "force",
    "large_force", "force_per_length", "moment", "mass", "modulus",
]  # fmt: skip

MM_PER_INCH = 25.4
KG_PER_POUND = 0.45359237
STANDARD_GRAVITY = 9.80665
N_PER_LBF = KG_PER_POUND * STANDARD_GRAVITY  # 4.4482216152605
INCHES_PER_FOOT = 12


@dataclass(frozen=True)
class Unit:
    """One unit. ``size`` : how much of the inside unit it is. ``column`` : at the end of the name
    of a column of a table. ``decimals`` : of a figure shown; ``fine`` : of a figure in a field,
    where it has more than that; ``padded`` : a field keeps the noughts of ``decimals``.
    """

    name: str
    column: str
    size: float
    decimals: int
    fine: int = 4
    padded: bool = False

    def of(self, value: Any) -> Any:
        """A value inside, or an array of them, as a figure in this unit."""
        return value / self.size


_DEGREE = math.pi / 180
_PLAIN = Unit("", "", 1.0, 3)
_ANGLE = Unit("°", "_deg", _DEGREE, 2)
_PSI = N_PER_LBF / MM_PER_INCH**2

_TABLE: dict[Quantity, tuple[Unit, Unit]] = {
    "length": (
        Unit("mm", "_mm", 1.0, 1, 2, True),
        Unit("in", "_in", MM_PER_INCH, 3, 3, True),
    ),
    # Of the wheel or the rack, and other places along a scale: a hundredth of an inch will do.
    "travel": (Unit("mm", "_mm", 1.0, 1), Unit("in", "_in", MM_PER_INCH, 2)),
    "angle": (_ANGLE, _ANGLE),
    "ratio": (_PLAIN, _PLAIN),
    "length_per_length": (_PLAIN, _PLAIN),
    "angle_per_length": (
        Unit("°/mm", "_deg_per_mm", _DEGREE, 4),
        Unit("°/in", "_deg_per_in", _DEGREE / MM_PER_INCH, 3),
    ),
    "force": (Unit("N", "_n", 1.0, 0, 1), Unit("lbf", "_lbf", N_PER_LBF, 0, 1)),
    # What links and joints carry, where many stand side by side.
    "large_force": (Unit("kN", "_kn", 1000.0, 2), Unit("lbf", "_lbf", N_PER_LBF, 0, 1)),
    "force_per_length": (
        Unit("N/mm", "_n_per_mm", 1.0, 1, 2),
        Unit("lb/in", "_lb_per_in", N_PER_LBF / MM_PER_INCH, 0, 1),
    ),
    "moment": (
        Unit("N·m", "_n_m", 1000.0, 0),
        Unit("lbf·ft", "_lbf_ft", N_PER_LBF * MM_PER_INCH * INCHES_PER_FOOT, 0),
    ),
    "mass": (Unit("kg", "_kg", 1.0, 1, 2), Unit("lb", "_lb", KG_PER_POUND, 0, 1)),
    "modulus": (
        Unit("N/mm²", "_n_per_mm2", 1.0, 0, 1),
        Unit("Mpsi", "_mpsi", 1e6 * _PSI, 2, 3),
    ),
}

_ON_AN_AXIS: dict[Quantity, Quantity] = {"force": "large_force", "length": "travel"}


def unit_of(quantity: Quantity, units: Units) -> Unit:
    """The unit a quantity is shown in for a builder who chose these units of length."""
    return _TABLE[quantity][units == "in"]


def chart_unit(quantity: Quantity, units: Units) -> Unit:
    """The unit of an axis and what is read off it: forces are large there, lengths are coarse."""
    return unit_of(_ON_AN_AXIS.get(quantity, quantity), units)
