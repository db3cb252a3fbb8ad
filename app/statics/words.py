"""Springs, joints and forces as lines of a table, for the terminal, and as plain data."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from app.paper.record import number
from kinematics.findings.fact_phrases import CAUTION, degrees, over, rates_between, up
from kinematics.findings.statics import fact_sentence
from kinematics.findings.words import Units, position, room, steered
from kinematics.statics.choice import Choice
from kinematics.statics.fact import Fact
from kinematics.statics.loading import Settled, top_force
from kinematics.statics.ride import seat_shift
from kinematics.statics.share import TopPlace
from kinematics.statics.statics import Statics
from kinematics.statics.suiting import Seating, best, seating, suiting
from kinematics.statics.used import Used, used
from kinematics.units import show, show_force, unit_of

WIDE = 92
COLUMNS = (11, 14, 8, 20, 20)


def told(fact: Fact, units: Units) -> Iterator[str]:
    """A fact's sentences, wrapped; its limit marked if it is passed."""
    said = fact_sentence(fact, units)
    body = textwrap.wrap(said.headline, WIDE) + textwrap.wrap(said.detail, WIDE)
    for i, line in enumerate(body):
        yield f"{'LIMIT' if fact.problem and i == 0 else '':<9}{line}"


def winding(known: Statics, height: float, units: Units) -> str:
    """How far to wind the seat so that it rides at a height."""
    loads, coilover = known.project.loads, known.project.coilover
    assert loads is not None
    assert coilover is not None
    assert coilover.spring is not None
    sprung = loads.corner_kg - loads.unsprung_kg
    shift = seat_shift(known.elements, known.course, sprung, height)
    if not math.isfinite(shift):
        return "No winding of the seat brings it there with this spring."
    turns = abs(shift) / coilover.spring.thread_pitch
    way = "up" if shift >= 0.0 else "down"
    return (
        f"To ride at {position(height, units)} on this spring: wind its seat {way} by "
        f"{over(abs(shift), units)} ({turns:.1f} turns)."
    )


def spring_table(stand: Seating, rates: Sequence[float] | None, units: Units) -> Iterator[str]:
    """Free length and rate, and what each leaves at both ends."""
    found = suiting(stand, rates, unit_of("force_per_length", units).size)
    yield (
        f"Springs that carry it at {position(stand.travel, units)}, of the same wire and diameter "
        f"between the same seats:"
    )
    heads = ("rate", "free length", "coils", "at full droop", "at full bump")
    yield "".join(f"{word:>{wide}}" for word, wide in zip(heads, COLUMNS, strict=True))
    for k in range(len(found.rate)):
        cells = (
            show(float(found.rate[k]), "force_per_length", units),
            room(float(found.free[k]), units),
            f"{found.active[k]:.1f}",
            droop_words(found, k, stand, units),
            bump_words(found, k, units),
        )
        row = "".join(f"{word:>{wide}}" for word, wide in zip(cells, COLUMNS, strict=True))
        yield f"{row}{'  suits' if found.honest[k] else ''}"
    yield verdict(stand, units)


def droop_words(found: Choice, k: int, stand: Seating, units: Units) -> str:
    """'5.0 mm squashed' or '3.0 mm loose' at full droop."""
    loose = float(found.loose[k])
    if loose <= 0.0:
        return f"{room(-loose, units)} squashed"
    held = ", held" if loose <= stand.seats.lip else ""
    return f"{over(loose, units)} loose{held}"


def bump_words(found: Choice, k: int, units: Units) -> str:
    """'4.0 mm left' above the shortest safe length, or '3.0 mm too tight', at full bump."""
    left = float(found.left[k])
    return f"{room(left, units)} left" if left >= 0.0 else f"{over(-left, units)} too tight"


def verdict(stand: Seating, units: Units) -> str:
    """The window of rates in a sentence, and the middle of it."""
    rate = best(stand)
    if rate is None:
        return (
            "No rate of this wire and diameter suits both ends: take thinner wire, more room, a "
            "helper, or less travel."
        )
    free = float(suiting(stand, [rate]).free[0])
    midway = show(rate, "force_per_length", units, 0)
    return (
        f"From {rates_between(stand.least, stand.greatest, units)} both ends suit; midway is "
        f"{midway}, {room(free, units)} long on the bench."
    )


def top_words(place: TopPlace, units: Units) -> Iterator[str]:
    """Where the top mount must sit for a share of bump."""
    way = "up" if place.along >= 0.0 else "down"
    share = place.bump / (place.bump - place.droop)
    x, y, z = (position(v, units).lstrip("+") for v in place.xyz)
    yield (
        f"For {share:.0%} of the travel in bump, move the top bearing {way} the coilover's own "
        f"line by {room(abs(place.along), units)}:"
    )
    yield f"  to x {x}, y {y}, z {z}, {room(place.length, units)} eye to eye at set-up height."
    yield (
        f"  Travel is then {position(place.bump, units)} of bump and "
        f"{position(place.droop, units)} of droop."
    )


def bearings(known: Statics, units: Units) -> Iterator[str]:
    """Every joint: what it uses, what it has, where it uses most."""
    yield f"{'joint':<24}{'on':<18}{'uses':>7}{'has':>8}  most at"
    for each in used(known):
        has = degrees(each.limit) if math.isfinite(each.limit) else "–"
        point = f"{each.point}, twist" if each.twist else each.point
        mark = "  PAST ITS LIMIT" if each.left < 0.0 else ""
        yield f"{point:<24}{each.member:<18}{up(each.angle):>7}{has:>8}  {at(each, units)}{mark}"


def at(each: Used, units: Units) -> str:
    """Where a joint uses most."""
    return position(each.travel, units) + steered(each.rack, units)


def forces(known: Statics, units: Units) -> Iterator[str]:
    """Every member's force in each load case, where springs and stops carry it."""
    loading = known.loading
    if loading is None or not loading.settled:
        yield "Forces are not known: that takes a coilover, its spring and loads.corner_kg."
        return
    for settled in loading.settled:
        rests = f", on the {settled.rests_on}" if settled.rests_on else ""
        yield f"{settled.case}: at {position(settled.travel, units)}{rests}"
        for name, words in force_rows(known, settled, units):
            yield f"  {name:<34}{words}"
    if loading.usual:
        yield "The load cases are the usual ones: common practice, no source."
    worst = max(float(np.max(s.forces.unbalance)) for s in loading.settled)
    unit = unit_of("force", units)
    left = f"What is left over on any body: {unit.of(worst):.1e} {unit.name}."
    yield from textwrap.wrap(f"{left} {CAUTION}", WIDE)


def force_rows(known: Statics, settled: Settled, units: Units) -> Iterator[tuple[str, str]]:
    """Each joint's force in words: a pull or push along a link, else its size and direction."""
    out = known.motion.linkage.mechanism.out
    for name, push in settled.pushes.items():
        if abs(push) > 0.5:
            yield f"{name} seat" if name == "spring" else name, along(-push, units)
    many: dict[str, int] = {}
    for joint in settled.forces.joints:
        many[joint.member] = many.get(joint.member, 0) + 1
    for joint in settled.forces.joints:
        name = joint.member if many[joint.member] == 1 else f"{joint.member}, {joint.place}"
        if joint.axial is not None:
            pull = float(joint.axial[0, 0]) * (-1.0 if joint.member == "coilover" else 1.0)
            yield name, along(pull, units)
        else:
            yield name, f"{directed(joint.force[0, 0], out, units)}, on the {joint.on}"
    coilover = known.project.coilover
    if coilover is not None:
        top = top_force(settled.forces, coilover.top.point)[0, 0]
        yield "top mount", f"{directed(top, out, units)}, on the {coilover.top.body}"


def along(pull: float, units: Units) -> str:
    """'1250 N pull' or '281 lbf push'."""
    if not math.isfinite(pull):
        return "not known: it shares with another"
    return f"{show_force(abs(pull), units)} {'pull' if pull > 0.0 else 'push'}"


def directed(force: Any, out: float, units: Units) -> str:
    """Size, then the three parts in words."""
    size = float(np.linalg.norm(force))
    if not math.isfinite(size):
        return "not known: it shares with another"
    ways = (
        (float(force[0]), "forward", "rearward"),
        (-out * float(force[1]), "inboard", "outboard"),
        (float(force[2]), "up", "down"),
    )
    parts = [
        f"{show_force(abs(v), units)} {word if v > 0.0 else back}"
        for v, word, back in ways
        if abs(v) >= max(0.005 * size, 0.5)
    ]
    if len(parts) == 1:
        return parts[0]
    return f"{show_force(size, units)}{': ' if parts else ''}{', '.join(parts)}"


def record(
    known: Statics, height: float | None, rates: Sequence[float] | None, place: TopPlace | None
) -> dict[str, Any]:
    """Springs that suit, joints and the top's place as plain data: mm, N/mm, degrees."""
    made: dict[str, Any] = {"joints": [_joint(each) for each in used(known)]}
    if known.project.loads is not None and known.project.coilover is not None:
        stand = seating(known, height)
        found = suiting(stand, rates)
        made["springs"] = {
            "ride_mm": number(stand.travel),
            "least_n_per_mm": number(stand.least),
            "greatest_n_per_mm": number(stand.greatest),
            "choices": [_spring(found, k) for k in range(len(found.rate))],
        }
    if place is not None:
        made["top"] = {
            "along_mm": number(place.along),
            "xyz_mm": [number(v) for v in place.xyz],
            "length_mm": number(place.length),
            "bump_mm": number(place.bump),
            "droop_mm": number(place.droop),
        }
    return made


def _spring(found: Choice, k: int) -> dict[str, Any]:
    return {
        "rate_n_per_mm": number(float(found.rate[k])),
        "free_mm": number(float(found.free[k])),
        "active_coils": number(float(found.active[k])),
        "loose_at_droop_mm": number(float(found.loose[k])),
        "left_at_bump_mm": number(float(found.left[k])),
        "suits": bool(found.honest[k]),
    }


def _joint(each: Used) -> dict[str, Any]:
    return {
        "point": each.point,
        "on": each.member,
        "twist": each.twist,
        "uses_deg": number(math.degrees(each.angle)),
        "has_deg": number(math.degrees(each.limit)),
        "travel_mm": number(each.travel),
        "rack_mm": number(each.rack),
        "usual": list(each.bearing.usual),
    }
