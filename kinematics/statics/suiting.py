"""Springs that suit a corner: the room its travel leaves them, and what each rate would need.

known = statics(move(linkage, travel))
stand = seating(known)                     # rooms and load, or a reason why not
suiting(stand).free                        # free lengths for a good spread of rates
fitted(known.project, rate=48.0, free=352.0)
"""

from __future__ import annotations

from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import ArrayLike

from kinematics.errors import ClearstrokeError
from kinematics.project import coils
from kinematics.project.model import Project, Spring
from kinematics.statics.cases import GRAVITY
from kinematics.statics.choice import Choice, Seats, Winding, choices, rate_window
from kinematics.statics.elements import seats
from kinematics.statics.ride import wheel_force
from kinematics.statics.statics import Statics
from kinematics.units import show_length, show_plain

#: How many rates are shown when none are asked for, and how far they spread about the window.
SHOWN, SPREAD = 10, 1.25
STEPS = (0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 25.0, 50.0, 100.0)


@dataclass(frozen=True)
class Seating:
    """What a corner asks of its spring when it rides at ``travel`` (mm from set-up height).

    seats : room at droop, ride and bump, and load. winding : wire and diameter as they are. least,
    greatest : rates (N/mm) between which neither end of travel is dishonest.
    """

    travel: float
    seats: Seats
    winding: Winding
    least: float
    greatest: float


def seating(known: Statics, travel: float | None = None) -> Seating:
    """The rooms and the load of a corner's spring when it stands at ``travel``.

    ``travel`` left out: where it rides now; if it does not ride, set-up height. Raises
    ClearstrokeError, one sentence, for a corner without spring, weight or ends of travel, or one
    whose stops carry all the weight there.
    """
    coilover, loads = known.project.coilover, known.project.loads
    if coilover is None or coilover.spring is None:
        raise ClearstrokeError("This corner has no spring, so there is none to choose.")
    if loads is None:
        raise ClearstrokeError(
            "To choose a spring, say what the scales read under this wheel: loads.corner_kg."
        )
    spring = coilover.spring
    if spring.helper or spring.inner or spring.curve is not None:
        raise ClearstrokeError(
            "Choosing is for one straight spring: it has a helper, an inner spring or a curve."
        )
    bump, droop = known.stops.end("bump"), known.stops.end("droop")
    if bump is None or droop is None:
        raise ClearstrokeError("Nothing ends the travel, so the room for a spring is not known.")
    if travel is None:
        rides = known.ride is not None and known.ride.stands == "on the spring"
        travel = known.ride.travel if known.ride and rides else 0.0
    if not droop.travel < travel < bump.travel:
        units = known.project.units
        ends = [show_length(end.travel, units) for end in (droop, bump)]
        raise ClearstrokeError(
            f"It can't ride at {show_plain(travel, units)}: its travel is {ends[0]} to {ends[1]}."
        )
    return _seated(known, spring, (droop.travel, travel, bump.travel))


def _seated(known: Statics, spring: Spring, at: tuple[float, float, float]) -> Seating:
    """Rooms at full droop, ride and full bump; the load is what stops leave of the weight."""
    coilover, loads = known.project.coilover, known.project.loads
    assert coilover is not None
    assert loads is not None
    lengths, slopes = known.course.lines(np.array(at))
    row = next(k for k, e in enumerate(known.elements) if e.ends == (coilover.foot, coilover.top))
    stops = [k for k, e in enumerate(known.elements) if e.kind == "soft"]
    carried = (loads.corner_kg - loads.unsprung_kg) * GRAVITY - float(
        wheel_force([known.elements[k] for k in stops], lengths[stops], slopes[stops])[1]
    )
    load = carried / -slopes[row, 1]
    if not load > 0.0:
        raise ClearstrokeError("Stops carry all the weight there, so that no spring is needed.")
    droop, ride, bump = (float(length) - seats(spring) for length in lengths[row])
    rooms = Seats(droop, ride, bump, float(load), spring.locating_lip)
    mean = coils.mean_diameter(spring)
    winding = Winding(spring.wire, mean, spring.ends, spring.shear_modulus)
    return Seating(at[1], rooms, winding, *rate_window(rooms, winding))


def suiting(stand: Seating, rates: ArrayLike | None = None, unit: float = 1.0) -> Choice:
    """What springs of ``rates`` (N/mm) would need and leave.

    Left out: round ones about the window, as springs are sold, in a unit of so many N/mm.
    """
    if rates is None:
        known = [r for r in (stand.least, stand.greatest) if np.isfinite(r) and r > 0.0]
        low, high = (
            min(known, default=20.0) / SPREAD / unit, max(known, default=100.0) * SPREAD / unit
        )  # fmt: skip
        step = next((s for s in STEPS if (high - low) / s <= SHOWN), STEPS[-1])
        rates = unit * step * np.arange(max(np.ceil(low / step), 1.0), high / step)
    return choices(stand.seats, stand.winding, rates)


def best(stand: Seating) -> float | None:
    """The rate that leaves both ends the same share of the window, N/mm; None if it is empty."""
    if not stand.least <= stand.greatest:
        return None
    if not np.isfinite(stand.greatest):
        return stand.least * SPREAD
    return float(np.sqrt(stand.least * stand.greatest))


def fitted(project: Project, rate: float, free: float) -> Project:
    """The project with a spring of another rate (N/mm) and free length (mm), same wire and seats.

    Coils and solid length then follow from wire and rate.
    """
    coilover = project.coilover
    assert coilover is not None
    assert coilover.spring is not None
    spring = msgspec.structs.replace(
        coilover.spring, rate_n_per_mm=rate, free=free, active_coils=None, total_coils=None,
        solid=None,
    )  # fmt: skip
    return msgspec.structs.replace(
        project, coilover=msgspec.structs.replace(coilover, spring=spring)
    )


def wound(project: Project, up: float) -> Project:
    """The project with its spring seat wound up the damper by so many mm, negative down."""
    coilover = project.coilover
    assert coilover is not None
    assert coilover.spring is not None
    lifted = coilover.spring.seat_from_foot + up
    spring = msgspec.structs.replace(coilover.spring, seat_from_foot=lifted)
    return msgspec.structs.replace(
        project, coilover=msgspec.structs.replace(coilover, spring=spring)
    )
