"""Forces, angles and places in the sentences of statics."""

from __future__ import annotations

import math

from kinematics.findings.finding import Onset
from kinematics.findings.phrases import Units, onset, position, room, steered
from kinematics.statics.fact import Fact
from kinematics.units import MINUS, unit_of

CAUTION = (
    "This sizes nothing: strength, welding and approval are for a qualified engineer and local "
    "rules."
)


def rates_between(least: float, greatest: float, units: Units) -> str:
    """A window of spring rates, both ends rounded inward: ``46 to 53 N/mm``, ``46 N/mm up``."""
    unit = unit_of("force_per_length", units)
    above = f" to {math.floor(unit.of(greatest))}" if math.isfinite(greatest) else ""
    return f"{math.ceil(unit.of(least))}{above} {unit.name}{'' if above else ' up'}"


def degrees(angle: float) -> str:
    """An angle of rad in degrees, to a tenth."""
    return f"{math.degrees(angle):.1f}°".replace("-", MINUS)


def up(angle: float) -> str:
    """An angle used, rounded up: a sentence never promises more room than was found."""
    return f"{math.ceil(math.degrees(angle) * 10.0 - 1e-6) / 10.0:.1f}°"


def over(length: float, units: Units) -> str:
    """A length wanted or lacking, rounded up."""
    return room(-length, units)


def place_of(f: Fact, units: Units) -> str:
    """The worst position and, off centre, the rack."""
    return position(f.travel or 0.0, units) + steered(f.rack or 0.0, units)


def past(f: Fact, units: Units) -> str:
    """From where on a limit is passed; empty if it is not."""
    return onset("Past it", Onset(f.bump, f.droop), units)


def usual(f: Fact) -> str:
    """What was not typed and is taken as usual; empty if nothing is."""
    usual = f.notes.get("usual")
    return f"Taken as usual, not typed: its {usual}." if usual else ""
