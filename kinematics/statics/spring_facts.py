"""Facts about springs and stops: where it rides, what acts first, what is left, what goes wrong."""

from __future__ import annotations

import numpy as np

from kinematics.motion import Motion
from kinematics.project.model import Project, Spring
from kinematics.statics.choice import Seats, Winding, rate_window
from kinematics.statics.curves import Floats
from kinematics.statics.elements import seats
from kinematics.statics.fact import Fact, FactKind, about
from kinematics.statics.onset import past
from kinematics.statics.ride import seat_shift
from kinematics.statics.statics import Statics
from kinematics.statics.stops import Act, Side

#: Gap to leave between spring and damper body all round, mm: common practice, no source.
INSIDE_GAP = 2.0


def ride_facts(known: Statics) -> list[Fact]:
    """Where the corner stands under its weight, or that it does not stand on its spring."""
    ride = known.ride
    if ride is None or ride.stands == "unknown":
        return []
    if ride.stands != "on the spring":
        notes = {"stands": ride.stands, "why": ride.reason}
        figures = _seat(known)
        return [
            Fact("does not ride", "spring", True, ride.travel, ride.travel, 0.0, None, None,
                 figures, notes)
        ]  # fmt: skip
    figures = _seat(known) | {"wheel_rate": ride.wheel_rate, "frequency": ride.frequency}
    for i, element in enumerate(known.elements):
        if element.kind == "spring":
            length, slope = (part[i, 0] for part in known.course.lines(np.array([ride.travel])))
            figures["spring_length"] = float(length - seats(_mounted(known.project)))
            figures["spring_force"] = float(element.push(length))
            figures["motion_ratio"] = float(-slope)
            figures |= _stroke(known, float(length))
    for side, end in (("bump", known.stops.end("bump")), ("droop", known.stops.end("droop"))):
        if end is not None:
            figures[f"{side}_left"] = abs(end.travel - ride.travel)
    return [Fact("rides", "spring", False, ride.travel, ride.travel, 0.0, figures=figures)]


def _stroke(known: Statics, length: float) -> dict[str, float]:
    coilover = known.project.coilover
    assert coilover is not None
    return {"stroke": coilover.open - coilover.closed, "stroke_used": coilover.open - length}


def _seat(known: Statics) -> dict[str, float]:
    """How far to wind the seat up (mm, and turns) so that it rides at set-up height."""
    loads = known.project.loads
    assert loads is not None
    sprung = loads.corner_kg - loads.unsprung_kg
    shift = seat_shift(known.elements, known.course, sprung, 0.0)
    return {"seat_up": shift, "turns": shift / _mounted(known.project).thread_pitch}


def rate_facts(known: Statics) -> list[Fact]:
    """Rates, wound of this wire to this diameter, that are seated in droop and safe in bump.

    The load is what the spring carries where the car rides, its room that at the ends of travel.
    """
    coilover, ride, stops = known.project.coilover, known.ride, known.stops
    bump, droop = stops.end("bump"), stops.end("droop")
    if ride is None or ride.stands != "on the spring" or bump is None or droop is None:
        return []
    assert coilover is not None
    spring = _mounted(known.project)
    if spring.helper or spring.inner or spring.curve is not None:
        return []
    i = next(k for k, e in enumerate(known.elements) if e.kind == "spring")
    at = np.array([droop.travel, ride.travel, bump.travel])
    lengths = known.course.lines(at)[0][i]
    room = lengths - seats(spring)
    load = float(known.elements[i].push(lengths[1]))
    between = Seats(float(room[0]), float(room[1]), float(room[2]), load, spring.locating_lip)
    winding = Winding(spring.wire, spring.outside - spring.wire, spring.ends, spring.shear_modulus)
    least, greatest = rate_window(between, winding)
    figures = {"least": least, "greatest": greatest}
    return [
        Fact("rates", "spring", False, float(known.elements[i].rate(lengths[1])), figures=figures)
    ]


def stop_facts(known: Statics) -> list[Fact]:
    """What acts in bump and in droop, in which order, and what is left when the travel ends."""
    return [*_stops_on(known, "bump"), *_stops_on(known, "droop")]


def _stops_on(known: Statics, side: Side) -> list[Fact]:
    first, end = known.stops.first(side), known.stops.end(side)
    if end is None:
        return []
    left = _left_at(known, end)
    acts = known.stops.bump if side == "bump" else known.stops.droop
    figures = {f"left: {name}": value for name, value in left.items() if name != end.name}
    figures |= {f"meets: {act.name}": act.travel for act in acts if not act.ends}
    notes = {"first": first.name if first else end.name, "end": end.name}
    if any(e.assumed for e in known.elements if e.name == end.name):
        notes["assumed"] = end.name
    kind: FactKind = "bump stops" if side == "bump" else "droop stops"
    if side == "bump" and (safe := _safe_at(known, end)) is not None:
        figures["safe: spring"] = safe
    found = [Fact(kind, end.name, False, end.travel, end.travel, 0.0, figures=figures, notes=notes)]
    if side == "bump" and end.name in ("damper closed", "spring"):
        met = next((a.name for a in acts if not a.ends and a.travel < end.travel), "")
        found.append(
            Fact("bottoms", end.name, True, end.travel, end.travel, 0.0, notes={"met": met})
        )
    return found


def _left_at(known: Statics, end: Act) -> dict[str, float]:
    """What else is left on the side of ``end`` when it ends the travel: name to mm of its line."""
    lengths, slopes = (part[:, 0] for part in known.course.lines(np.array([end.travel])))
    way = 1.0 if end.side == "bump" else -1.0
    return {
        element.name: float(element.way * (length - element.ends_at))
        for element, length, slope in zip(known.elements, lengths, slopes, strict=True)
        if np.isfinite(element.ends_at) and element.way * slope * way < 0.0
    }


def _safe_at(known: Statics, end: Act) -> float | None:
    """Room above the spring's shortest safe length where ``end`` ends bump, mm."""
    sheet = known.sheet
    if sheet is None or sheet.least_room is None:
        return None
    lengths = known.course.lines(np.array([end.travel]))[0][:, 0]
    at = [float(x) for x, e in zip(lengths, known.elements, strict=True) if e.kind == "spring"]
    return at[0] - float(seats(_mounted(known.project))) - sheet.least_room if at else None


def spring_facts(known: Statics) -> list[Fact]:
    """The spring loose, pressed too far, rubbing the damper or likely to buckle."""
    coilover, sheet = known.project.coilover, known.sheet
    if coilover is None or coilover.spring is None or sheet is None:
        return []
    found: list[Fact] = []
    if (loose := known.figures.get("spring_loose")) is not None:
        found += _loose(known, loose, coilover.spring.locating_lip) or _preload(known)
    if (left := known.figures.get("spring_left")) is not None and sheet.solid is not None:
        found += _tight(known, left)
    found += _coils(known)
    gaps = (("damper's body", sheet.inside_gap), ("inner spring", sheet.nested_gap))
    for inside, gap in gaps:
        if gap is not None and gap < INSIDE_GAP:
            figures, notes = {"wanted": INSIDE_GAP}, {"inside": inside}
            found.append(Fact("rubs", "spring", gap <= 0.0, gap, figures=figures, notes=notes))
    if sheet.buckles_at is not None and loose is not None:
        squash = -float(np.nanmin(loose))
        if squash > sheet.buckles_at:
            figures = {"buckles_at": sheet.buckles_at, "squash": squash}
            found.append(
                Fact("may buckle", "spring", False, sheet.buckles_at - squash, figures=figures)
            )
    return found


def _coils(known: Statics) -> list[Fact]:
    turns = known.figures.get("spring_turn")
    growth = known.sheet.growth if known.sheet else None
    if growth is None or turns is None or not np.isfinite(turns).any():
        return []
    turn = float(np.nanmax(turns) - np.nanmin(turns))
    return [Fact("coils", "spring", False, growth, figures={"turn": turn})]


def _loose(known: Statics, loose: Floats, lip: float) -> list[Fact]:
    def of(motion: Motion) -> Floats:
        return free - _spring_room(motion)

    assert known.sheet is not None
    free = known.sheet.free or 0.0
    found = past(known.motion, of, -loose)
    if found is None or found.left >= 0.0:
        return []
    slack = -found.left
    return [about("loose", "spring", slack > lip, found, lip - slack, lip=lip, slack=slack)]


def _preload(known: Statics) -> list[Fact]:
    """The squash left in the spring at full droop, where it is not loose anywhere."""
    droop, sheet = known.stops.end("droop"), known.sheet
    if droop is None or sheet is None or sheet.free is None:
        return []
    for element, length in zip(
        known.elements, known.course.lines(np.array([droop.travel]))[0][:, 0], strict=True
    ):
        if element.kind == "spring" and (squash := float(element.squash(length))) >= 0.0:
            figures = {"force": float(element.push(length))}
            return [Fact("preload", "spring", False, squash, droop.travel, 0.0, figures=figures)]
    return []


def _tight(known: Statics, left: Floats) -> list[Fact]:
    sheet = known.sheet
    assert sheet is not None
    least, solid = sheet.least_room or 0.0, sheet.solid or 0.0

    def of(motion: Motion) -> Floats:
        return _spring_room(motion) - least

    found = past(known.motion, of, left)
    if found is None or found.left >= 0.0:
        return []
    gaps = least - solid - sheet.helper_flat
    bound = found.left <= -gaps
    return [about("coil-bound" if bound else "tight", "spring", True, found, found.left, gaps=gaps)]


def _mounted(project: Project) -> Spring:
    coilover = project.coilover
    assert coilover is not None
    assert coilover.spring is not None
    return coilover.spring


def _spring_room(motion: Motion) -> Floats:
    """Room between the spring's seats over a motion: (nz, ns), mm."""
    project = motion.linkage.project
    coilover, spring = project.coilover, _mounted(project)
    assert coilover is not None
    apart = motion.point(coilover.top) - motion.point(coilover.foot)
    return np.asarray(np.linalg.norm(apart, axis=-1) - seats(spring))
