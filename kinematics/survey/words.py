"""Readings and what they come to, in the words of whoever holds the tape."""

from __future__ import annotations

import math

from kinematics.project.model import Project
from kinematics.project.survey import (
    AcrossReading,
    AngleReading,
    DistanceReading,
    HeightReading,
    HubReading,
    LeanReading,
    LengthReading,
    LevelReading,
    OffsetReading,
    PartReading,
    PlaneReading,
    RailReading,
    Reading,
    StackReading,
    WheelReading,
)
from kinematics.survey.helps import Decider, Loose
from kinematics.survey.judge import Suspect
from kinematics.survey.survey import Surveyed
from kinematics.survey.tools import value_of
from kinematics.survey.twins import Twin
from kinematics.units import Units, show_angle, show_length, unit_of

_WAY = {
    "out": "out from the centre string",
    "in": "in from the centre string",
    "front": "ahead of the axle string",
    "rear": "behind the axle string",
}


def reading_words(reading: Reading) -> str:
    """What was measured: ``lower link, eye to eye``; never how much."""
    words = _what(reading)
    if reading.position:
        words += f", {reading.position}"
    return f"{words} (other side)" if reading.other_side else words


def _what(reading: Reading) -> str:
    match reading:
        case DistanceReading(between=(a, b), plumbed=plumbed):
            return f"{a} to {b}" + (", on the floor" if plumbed else "")
        case PartReading(of=of):
            return f"{of}, eye to eye"
        case OffsetReading(point=point, way=way):
            return f"{point}, {_WAY[way]}"
        case HeightReading(point=point, above=above, face=face):
            at = point if face == "bearing" else f"{point}'s {face}"
            return f"{at} above {above or 'the floor'}"
        case RailReading(point=point, rail=(a, b)):
            return f"{point}, square off {a} to {b}"
        case PlaneReading(point=point, plane=(a, b, c)):
            return f"{point}, square off the plane of {a}, {b} and {c}"
        case AcrossReading(point=point):
            return f"{point} across the car"
        case HubReading(point=point, way=way):
            return f"{point}, {'out' if way == 'out' else way} from the hub face"
        case StackReading(between=(a, b)):
            return f"mount: {a} above {b}"
        case LevelReading(line=(a, b)):
            return f"{a} to {b} against level"
        case LeanReading(which=which):
            return f"body {which}"
        case WheelReading(which=which):
            return which


def to_words(reading: Reading) -> str:
    """What it was measured to, or nothing where that is the point itself."""
    if isinstance(reading, AngleReading):
        return ""
    words = [
        f"{end.kind} ({end.size:g})" if end.size else end.kind
        for end in reading.to
        if end.kind != "centre"
    ]
    return ", ".join(words)


def shown(reading: Reading, amount: float, units: Units, decimals: int = 1) -> str:
    """An amount of a reading's own kind (mm or rad), with its unit."""
    if isinstance(reading, LengthReading):
        more = unit_of("length", units).decimals - unit_of("length", "mm").decimals
        return show_length(amount, units, decimals + more)
    return show_angle(amount, 2)


def as_read(reading: Reading, units: Units) -> str:
    """Its value as read, with its unit; a dash for one not taken yet."""
    value = value_of(reading)
    if value is None:
        return "–"
    return shown(
        reading, math.radians(value) if isinstance(reading, AngleReading) else value, units
    )


def verdict(found: Surveyed, units: Units = "mm") -> str:
    """Whether the readings agree, in one or two sentences."""
    judged, fit = found.judged, found.fit
    count = len(found.net.readings)
    readings = f"{count} readings" if count != 1 else "1 reading"
    if fit.surplus <= 0:
        return (
            f"{readings}, none more than needed: none is checked by another, so a wrong one "
            "would not show."
        )
    more = f"{fit.surplus} more than needed"
    if judged.agree:
        return (
            f"{readings}, {more}. They agree within what the tools can do: taken together they "
            "are off by no more than chance allows."
        )
    together = fit.chi_square > judged.limit
    what = "taken together they are" if together else "one of them is"
    return f"{readings}, {more}. They don't agree: {what} off by more than the tools can explain."


def verdict_figures(found: Surveyed) -> str:
    """The figures a verdict rests on; empty where nothing is checked."""
    if found.fit.surplus <= 0:
        return ""
    return (
        "Sum of the squares of what each is off by, in units of its tool's uncertainty: "
        f"{found.fit.chi_square:.1f}; 19 times in 20 chance keeps it under "
        f"{found.judged.limit:.1f}."
    )


def suspect_words(found: Surveyed, suspect: Suspect, units: Units = "mm") -> str:
    """One suspect: by how much it would be wrong, and the slip that would explain it."""
    reading = found.net.readings[suspect.reading]
    size = shown(reading, abs(suspect.size), units)
    sigma = shown(reading, suspect.sigma, units)
    lead = "too large" if suspect.size > 0 else "too small"
    words = f"{reading_words(reading)}: {size} {lead}"
    if not suspect.also:
        left = shown(reading, abs(float(found.fit.residual[suspect.reading])), units)
        words += f" if it alone is wrong ({left} of it shows, the fit shares out the rest)"
    words += f", give or take {sigma}"
    if suspect.also:
        others = ", ".join(reading_words(found.net.readings[i]) for i in suspect.also)
        words += f", together with {others}"
    likely = found.slips(suspect.reading, units)
    if likely:
        words += f"; would be explained by {' or '.join(s.words for s in likely)}"
    if not suspect.fits:
        words += "; even without it the rest don't agree"
    return words + "."


def decider_words(found: Surveyed, help_: Decider, units: Units = "mm") -> str:
    """The reading that decides, and what it would say for each rival."""
    rivals = [s for s in found.judged.suspects if not s.also][: len(help_.expected)]
    said = "; ".join(
        f"{shown(help_.reading, value, units, 0)} if {reading_words(found.net.readings[s.reading])}"
        " is wrong"
        for value, s in zip(help_.expected, rivals, strict=True)
    )
    return f"To decide, measure {reading_words(help_.reading)}: {said}."


def loose_words(loose: Loose) -> str:
    """A point that is not fixed and what would help."""
    if loose.help is None:
        return f"{loose.point} is not fixed by these readings."
    return f"{loose.point} is not fixed yet. Most helpful: {reading_words(loose.help)}."


def twin_words(twin: Twin, units: Units = "mm") -> str:
    """The question a mirror point asks."""
    here, there = (_xyz(p, units) for p in (twin.here, twin.there))
    around = ", ".join(twin.neighbours[:3])
    return (
        f"{twin.point} fits in two places, on either side of {around}: {here} or {there}. "
        "Which is it? Move the point to the right one and say it is settled."
    )


def unchecked(found: Surveyed) -> tuple[Reading, ...]:
    """The readings nothing else checks: a slip in one of these would not show."""
    pairs = zip(found.net.readings, found.judged.checked, strict=True)
    return tuple(reading for reading, checked in pairs if not checked)


def _xyz(point: object, units: Units) -> str:
    import numpy as np

    unit = unit_of("length", units)
    return "(" + ", ".join(f"{unit.of(v):.{unit.decimals - 1}f}" for v in np.asarray(point)) + ")"


def point_words(found: Surveyed, name: str, units: Units = "mm") -> str:
    """A point's coordinates, each with its 95-in-100 give or take."""
    import numpy as np

    place = found.place(name)
    unit = unit_of("length", units)
    digits = unit.decimals
    give = 1.96 * np.sqrt(np.diag(place.covariance))
    return "  ".join(
        f"{unit.of(v):9.{digits}f} " + (f"±{unit.of(g):.{digits}f}" if g > 0 else "held")
        for v, g in zip(place.xyz, give, strict=True)
    )


__all__ = [
    "Project", "Units", "as_read", "decider_words", "loose_words", "point_words", "reading_words",
    "shown", "suspect_words", "to_words", "twin_words", "unchecked", "verdict",
    "verdict_figures",
]  # fmt: skip
