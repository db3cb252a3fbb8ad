"""Where the corner rides, and how it is sprung there.

The wheel force is what springs and stops push up the car with, felt at the wheel centre: by
virtual work the sum of push times -d(length)/d(travel). Sprung weight is what the scales read
less the unsprung parts. Forces in N, travel in mm, rates in N/mm, frequency in Hz.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from kinematics.statics.cases import GRAVITY
from kinematics.statics.course import Course
from kinematics.statics.curves import Floats
from kinematics.statics.elements import Element

Stands = Literal["on the spring", "on a stop", "down on its stops", "topped out", "unknown"]


@dataclass(frozen=True)
class Ride:
    """Where it stands: travel from set-up height (mm) and what it stands on.

    ``on a stop``: a stop that gives carries part of the weight. ``down on its stops`` and
    ``topped out``: the travel is the end of the range it lies against. ``unknown`` carries NaN
    and a reason. wheel_rate N/mm, frequency Hz (undamped, tyre rigid).
    """

    stands: Stands
    travel: float
    wheel_rate: float
    frequency: float
    reason: str = ""


def wheel_force(elements: Sequence[Element], lengths: Floats, slopes: Floats) -> Floats:
    """Upward force of springs and stops felt at the wheel centre: (k,), N.

    lengths, slopes : (elements, k). Infinite past a solid stop, where its force is whatever it
    takes; minus infinite past an open damper or a taut strap.
    """
    total = np.zeros(lengths.shape[1:])
    for element, length, slope in zip(elements, lengths, slopes, strict=True):
        push = element.push(length)
        total = total - np.where(push == 0.0, 0.0, push * slope)
    return total


def wheel_rate(
    elements: Sequence[Element], lengths: Floats, slopes: Floats, bends: Floats
) -> Floats:
    """Slope of `wheel_force` by travel: k (dl/dz)^2 - F d2l/dz2 summed, (k,), N/mm.

    The second term is the changing motion ratio's: at 50 N/mm and 0.75 without it, 28.125. NaN
    where something is solid.
    """
    total = np.zeros(lengths.shape[1:])
    for element, length, slope, bend in zip(elements, lengths, slopes, bends, strict=True):
        push, rate = element.push(length), element.rate(length)
        idle = (push == 0.0) & (rate == 0.0)
        gives = np.isfinite(push) & np.isfinite(rate)
        grows = np.where(gives, rate, 0.0) * slope**2 - np.where(gives, push, 0.0) * bend
        total = total + np.where(idle, 0.0, np.where(gives, grows, np.nan))
    return total


def energy(elements: Sequence[Element], lengths: Floats) -> Floats:
    """Work stored in springs and stops: (k,), N mm."""
    parts = [element.energy(length) for element, length in zip(elements, lengths, strict=True)]
    return np.asarray(np.sum(parts, axis=0))


def frequency(rate: ArrayLike, sprung_kg: ArrayLike) -> Floats:
    """Undamped frequency of a mass (kg) on a wheel rate (N/mm), Hz: sqrt(k/m)/(2 pi)."""
    stiffness = np.maximum(np.asarray(rate, float), 0.0) * 1000.0
    return np.asarray(np.sqrt(stiffness / np.asarray(sprung_kg, float)) / (2.0 * np.pi))


def ride(
    elements: Sequence[Element], course: Course, sprung_kg: float, ends: tuple[float, float]
) -> Ride:
    """Where the corner stands under ``sprung_kg``, between the ends of its travel.

    Found by root-finding on the true spring force and the motion ratio of each travel. Of several
    positions the stable one nearest set-up height is taken.
    """
    if not any(element.kind == "spring" for element in elements):
        return Ride(
            "unknown", np.nan, np.nan, np.nan, "the spring's rate or free length is not given"
        )
    weight = sprung_kg * GRAVITY

    def unbalance(travel: Floats) -> Floats:
        return np.clip(wheel_force(elements, *course.lines(travel)) - weight, -1e9, 1e9)

    # A hair inside: at its very end a stop's force is whatever it takes.
    low_end, high_end = ends[0] + 1e-6, ends[1] - 1e-6
    inside = replace(course, travel=_within(course.travel, low_end, high_end))
    low, high = unbalance(np.array([low_end, high_end]))
    roots = sorted(inside.crossings(unbalance), key=abs)
    for travel in roots:
        rate = _rate_at(elements, course, travel)
        if rate > 0.0:
            stop = _stop_at(elements, course, travel)
            stands: Stands = "on a stop" if stop else "on the spring"
            return Ride(stands, travel, rate, float(frequency(rate, sprung_kg)), stop)
    if low >= 0.0:
        return Ride("topped out", ends[0], np.nan, np.nan, "the spring holds it at full droop")
    if high <= 0.0:
        return Ride(
            "down on its stops", ends[1], np.nan, np.nan, "the spring can't carry the weight"
        )
    return Ride("unknown", np.nan, np.nan, np.nan, "no position was found where it stands still")


def seat_shift(
    elements: Sequence[Element], course: Course, sprung_kg: float, wanted: float
) -> float:
    """How far to move the spring seat up (mm) so that the corner stands at travel ``wanted``.

    NaN where no spring squash can do it, as when stops carry all the weight there.
    """
    lengths, slopes = (part[:, 0] for part in course.lines(np.array([wanted])))
    carried = sprung_kg * GRAVITY
    main: tuple[Element, Floats, Floats] | None = None
    for element, length, slope in zip(elements, lengths, slopes, strict=True):
        if element.kind == "spring" and main is None:
            main = (element, length, slope)
        else:
            carried -= float(wheel_force([element], length[None, None], slope[None, None])[0])
    if main is None or not np.isfinite(carried):
        return float("nan")
    element, length, slope = main
    return float(element.curve.squash_for(carried / -slope) - element.squash(length))


def _stop_at(elements: Sequence[Element], course: Course, travel: float) -> str:
    """The stop that pushes or pulls at a travel, by name; empty if none does."""
    lengths = course.lines(np.array([travel]))[0][:, 0]
    acting = [
        e.name
        for e, x in zip(elements, lengths, strict=True)
        if e.kind == "soft" and e.push(x) != 0.0
    ]
    return acting[0] if acting else ""


def _rate_at(elements: Sequence[Element], course: Course, travel: float) -> float:
    z = np.array([travel])
    lengths, slopes = course.lines(z)
    return float(wheel_rate(elements, lengths, slopes, course.second(z))[0])


def _within(travel: Floats, low: float, high: float) -> Floats:
    inner = travel[(travel > low) & (travel < high)]
    return np.concatenate([[low], inner, [high]])
