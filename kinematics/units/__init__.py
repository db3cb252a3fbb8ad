"""Numbers with units, as a workshop writes them: read, shown, and in which unit.

``quantities`` knows what each quantity is shown in, ``read`` takes what is typed, ``show`` writes.
"""

from kinematics.units.quantities import MM_PER_INCH, Quantity, Unit, Units, chart_unit, unit_of
from kinematics.units.read import LONGEST, read_degrees, read_length, read_number, read_quantity
from kinematics.units.show import (
    MINUS,
    LengthUnit,
    show,
    show_angle,
    show_force,
    show_length,
    show_number,
    show_plain,
    show_typed,
)

__all__ = [
    "LONGEST", "MINUS", "MM_PER_INCH", "LengthUnit", "Quantity", "Unit", "Units", "chart_unit",
    "read_degrees", "read_length", "read_number", "read_quantity", "show", "show_angle",
    "show_force", "show_length", "show_number", "show_plain", "show_typed", "unit_of",
]  # fmt: skip
