"""What statics has to say at a position and over the travel, as rows of a panel. No widgets."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from app.look.palette import State
from app.statics.words import along, at, bump_words, directed, droop_words
from kinematics.findings.fact_phrases import degrees, over, up
from kinematics.findings.statics import fact_sentence
from kinematics.findings.words import Units, position, room
from kinematics.project.model import Shaft, Spring
from kinematics.statics.fact import Fact
from kinematics.statics.forces import Forces
from kinematics.statics.here import Here
from kinematics.statics.loading import Settled, top_force
from kinematics.statics.shafts import ShaftState
from kinematics.statics.statics import Statics
from kinematics.statics.suiting import Seating, suiting
from kinematics.statics.used import Used, used
from kinematics.units import show, show_force, show_typed, unit_of

SPRING_STORY = (
    "does not ride", "rides", "bottoms", "bump stops", "droop stops", "coil-bound", "tight",
    "loose", "preload", "rubs", "may buckle", "coils",
)  # fmt: skip
JOINT_STORY = (
    "binds", "twists", "plate", "shaft bends", "shaft pulls apart", "shaft bottoms", "shaft",
    "hose", "clamp",
)  # fmt: skip
LITTLE = 0.1  # share of a limit left that is little


@dataclass(frozen=True)
class Row:
    """One line: what, how much, and what it means, told quietly below.

    state : its sign, if it has one. share : a bar, 1 at the limit; now : a tick on it. target : the
    travel and rack a click goes to. act : what a click does instead, a word of the panel's own.
    """

    label: str
    value: str = ""
    note: str = ""
    state: State | None = None
    share: float | None = None
    now: float | None = None
    target: tuple[float, float] | None = None
    act: str = ""


def story_rows(facts: Sequence[Fact], kinds: Sequence[str], units: Units) -> list[Row]:
    """Facts of some kinds as sentences, problems first; a click goes to their travel."""
    chosen = sorted(
        (f for f in facts if f.kind in kinds), key=lambda f: (not f.problem, kinds.index(f.kind))
    )
    rows = []
    for fact in chosen:
        headline, detail = fact_sentence(fact, units)
        state = State.TOUCH if fact.problem else State.CLEAR
        target = None if fact.travel is None else (fact.travel, fact.rack or 0.0)
        rows.append(Row(headline, "", detail, state, target=target))
    return rows


# --- at this position -----------------------------------------------------------------------


def here_rows(found: Here, units: Units) -> list[Row]:
    """Damper, spring, stops and the wheel's force at one position."""
    return [
        *_damper(found, units),
        *_spring(found, units),
        *_stops(found, units),
        *_wheel(found, units),
    ]


def _damper(found: Here, units: Units) -> Iterator[Row]:
    coilover, figures = found.project.coilover, found.figures
    if coilover is None or not math.isfinite(figures.get("stroke_used", math.nan)):
        return
    used_, left = figures["stroke_used"], figures["stroke_left"]
    stroke = room(coilover.open - coilover.closed, units)
    end = "before a stop on it ends bump" if coilover.bump_stop else "before it shuts"
    note = f"{over(used_, units)} of its {stroke} stroke used, {room(left, units)} left {end}"
    yield Row("Damper, eye to eye", room(coilover.open - used_, units), note)


def _spring(found: Here, units: Units) -> Iterator[Row]:
    coilover, figures = found.project.coilover, found.figures
    if coilover is None or coilover.spring is None:
        return
    if not math.isfinite(figures.get("spring_room", math.nan)):  # no such position
        return
    note, state = _spring_state(figures, coilover.spring, units)
    yield Row("Spring between its seats", room(figures["spring_room"], units), note, state)
    if math.isfinite(left := figures.get("spring_left", math.nan)):
        words = f"{'above' if left >= 0 else 'below'} its shortest safe length"
        if (solid := _to_solid(found)) > 0.0:
            words += f", {room(solid, units)} before it is coil-bound"
        value = room(left, units) if left >= 0 else over(-left, units)
        yield Row("Room in the spring", value, words, State.TOUCH if left < 0 else None)


def _to_solid(found: Here) -> float:
    """How far the spring is from coil-bound, mm; NaN where that is not known."""
    spring = next((e for e in found.elements if e.kind == "spring"), None)
    if spring is None:
        return math.nan
    return float(np.asarray(found.lengths[spring.name])) - spring.ends_at


def _spring_state(
    values: Mapping[str, float], spring: Spring, units: Units
) -> tuple[str, State | None]:
    """'squashed 68.8 mm, pushes 3440 N', or loose and whether it is held."""
    loose, force = values.get("spring_loose", math.nan), values.get("spring_force", math.nan)
    if not math.isfinite(loose):
        return "its free length is not given", State.UNKNOWN
    if loose <= 0.0:
        pushes = (
            f", pushes {show_force(force, units)}" if math.isfinite(force) else ", pressed flat"
        )
        return f"squashed {room(-loose, units)}{pushes}", None
    gap = over(loose, units)
    if loose <= spring.locating_lip:
        return f"loose by {gap}, still held by its {room(spring.locating_lip, units)} lip", None
    held = "more than its lip holds" if spring.locating_lip else "nothing holds it"
    return f"loose by {gap}: {held}", State.TOUCH


def _stops(found: Here, units: Units) -> Iterator[Row]:
    for element in found.elements:
        if element.kind != "soft":
            continue
        name = element.name[:1].upper() + element.name[1:]
        squash = float(element.squash(np.asarray(found.lengths[element.name])))
        if not math.isfinite(squash):
            continue
        if squash <= 0.0:
            yield Row(name, f"{room(-squash, units)} clear", "along its own line")
            continue
        push = abs(found.pushes[element.name])
        pulls = "pushes" if element.way > 0 else "pulls"
        note = f"{pulls} {show_force(push, units)}" if math.isfinite(push) else "it is solid"
        note += "; a usual curve, not typed" if element.assumed else ""
        yield Row(name, f"{over(squash, units)} squashed", note)


def _wheel(found: Here, units: Units) -> Iterator[Row]:
    loads, figures = found.project.loads, found.figures
    force, rate = figures.get("wheel_force", math.nan), figures.get("wheel_rate", math.nan)
    if math.isfinite(force):
        note = "what springs and stops hold up at the wheel"
        if loads is not None:
            weight = (loads.corner_kg - loads.unsprung_kg) * 9.80665
            note += f"; the car asks for {show_force(weight, units)}"
        yield Row("Wheel force", show_force(max(force, 0.0), units), note)
    if math.isfinite(rate):
        note = "the changing motion ratio counted"
        if loads is not None and rate > 0.0:
            mass = loads.corner_kg - loads.unsprung_kg
            hertz = math.sqrt(rate * 1000.0 / mass) / (2 * math.pi)
            carried = show_typed(mass, "mass", units)
            note = f"{hertz:.2f} Hz with the {carried} it carries, {note}"
        yield Row("Wheel rate", show(rate, "force_per_length", units), note)


# --- springs to choose ----------------------------------------------------------------------


def choice_rows(stand: Seating, units: Units) -> list[Row]:
    """Springs that carry it there: what each would need and leave; a click fits one."""
    found = suiting(stand, unit=unit_of("force_per_length", units).size)
    rows = []
    for k in range(len(found.rate)):
        rate, free = float(found.rate[k]), float(found.free[k])
        suits = bool(found.honest[k])
        note = (
            f"{droop_words(found, k, stand, units)} at full droop, {bump_words(found, k, units)} "
            f"at full bump, {found.active[k]:.1f} coils"
        )
        state = State.CLEAR if suits else State.NEAR
        value = "fit it" if suits else ""
        label = f"{show_typed(rate, 'force_per_length', units)}, {room(free, units)} free"
        rows.append(Row(label, value, note, state, act=f"fit {rate!r} {free!r}" if suits else ""))
    return rows


# --- joints, shafts, hoses ------------------------------------------------------------------


def joint_rows(known: Statics, found: Here | None, units: Units) -> list[Row]:
    """Every joint: what it uses here, the most it uses and what it has."""
    now = {}
    if found is not None:
        for use in found.bearings:
            now[use.point, use.member, False] = float(use.angle[0, 0])
            if use.twist is not None:
                now[use.point, use.member, True] = abs(float(use.twist[0, 0]))
    every = used(known)
    points = [each.point for each in every if not each.twist]
    rows = [
        _capital(_joint(each, now.get((each.point, each.member, each.twist)), points, units))
        for each in every
    ]
    if usual := sorted({each.point for each in every if each.bearing.usual}):
        told = "Bolt directions that are not typed are taken as usual."
        rows.append(Row(told, "", f"At {', '.join(usual)}."))
    return rows


def _joint(each: Used, now: float | None, points: Sequence[str], units: Units) -> Row:
    name = each.point if points.count(each.point) == 1 else f"{each.point}, {each.member}"
    known = math.isfinite(each.limit)
    note = f"most {up(each.angle)}"
    note += f" of {degrees(each.limit)}" if known else ", its limit is not given"
    note += f", at {at(each, units)}"
    state = None
    if known:
        state = State.TOUCH if each.left < 0 else State.NEAR if each.share > 1 - LITTLE else None
    value = "" if now is None or not math.isfinite(now) else up(now)
    limit = max(each.limit, 1e-9)
    return Row(
        f"{name}{' twists' if each.twist else ''}", value, note, state,
        share=each.share if known else None,
        now=now / limit if known and now is not None else None,
        target=(each.travel, each.rack),
    )  # fmt: skip


def shaft_rows(known: Statics, found: Here | None, units: Units) -> list[Row]:
    """Angles and plunge of every shaft, slack of every hose: here, and the most."""
    rows: list[Row] = []
    for name, state in known.shafts.items():
        part = known.project.parts[name]
        assert isinstance(part, Shaft)
        now = found.shafts.get(name) if found else None
        rows += [_bend(known, name, part, state, now, end, units) for end in ("inner", "outer")]
        rows.append(_plunge(name, part, state, now, units))
    for name, slack in known.hoses.items():
        i, j = np.unravel_index(np.nanargmin(slack), slack.shape)
        least, asked = float(slack[i, j]), known.project.hoses[name].least_slack
        value = "" if found is None else _slack(found.hoses[name], units)
        note = f"tightest {_slack(least, units)}, {room(asked, units)} asked for"
        where = float(known.motion.travel[i]), float(known.motion.rack[j])
        state_ = State.TOUCH if least < 0 else State.NEAR if least < asked else None
        rows.append(Row(f"{name} slack", value, note, state_, target=where))
    return [_capital(row) for row in rows]


def _slack(slack: float, units: Units) -> str:
    return room(slack, units) if slack >= 0 else f"{over(-slack, units)} too short"


def _bend(
    known: Statics,
    name: str,
    part: Shaft,
    state: ShaftState,
    now: ShaftState | None,
    end: str,
    units: Units,
) -> Row:
    angle = getattr(state, end)
    limit = part.inner_limit_deg if end == "inner" else part.outer_limit_deg
    i, j = np.unravel_index(np.nanargmax(angle), angle.shape)
    most, here = float(angle[i, j]), None if now is None else float(getattr(now, end)[0, 0])
    where = float(known.motion.travel[i]), float(known.motion.rack[j])
    has = f" of {limit:g}°" if limit is not None else ", its limit is not given"
    top = math.radians(limit) if limit else math.nan
    past = State.TOUCH if most > top else None
    return Row(
        f"{name}, {end} joint", "" if here is None else up(here),
        f"most {up(most)}{has}, at {position(where[0], units)}", past,
        share=most / top if limit else None,
        now=here / top if limit and here is not None else None, target=where,
    )  # fmt: skip


def _plunge(name: str, part: Shaft, state: ShaftState, now: ShaftState | None, units: Units) -> Row:
    low, high = float(np.nanmin(state.plunge)), float(np.nanmax(state.plunge))
    value = ""
    if now is not None:
        length = float(now.plunge[0, 0])
        value = f"{over(abs(length), units)} {'longer' if length >= 0 else 'shorter'}"
    may = [
        f"{words} {room(limit, units)}"
        for words, limit in (("shorten", part.bottoming), ("lengthen", part.pull_apart))
        if limit is not None
    ]
    note = f"{over(max(-low, 0.0), units)} shorter to {over(max(high, 0.0), units)} longer"
    note += f"; it may {' and '.join(may)}" if may else "; its range is not given"
    wrong = (part.pull_apart is not None and high > part.pull_apart) or (
        part.bottoming is not None and -low > part.bottoming
    )
    return Row(f"{name} plunge", value, note, State.TOUCH if wrong else None)


# --- forces -----------------------------------------------------------------------------------


def settled_row(settled: Settled | None, units: Units) -> Row | None:
    """Where spring and stops carry the load case; a click goes there."""
    if settled is None:
        return None
    rests = f" by the {settled.rests_on}, mostly" if settled.rests_on else ""
    return Row(
        f"It settles at {position(settled.travel, units)}", "go there", f"held up{rests}",
        target=(settled.travel, 0.0), act="go",
    )  # fmt: skip


def force_rows(found: Here, forces: Forces, units: Units) -> list[Row]:
    """The force in every link, joint, spring seat and the top mount at this position."""
    out = found.motion.linkage.mechanism.out
    coilover = found.project.coilover
    rows: list[Row] = []
    if coilover is not None:
        top = top_force(forces, coilover.top.point)[0, 0]
        rows.append(_directed("Top mount", top, out, f"on the {coilover.top.body}", units))
    many = [joint.member for joint in forces.joints]
    for joint in forces.joints:
        alone = many.count(joint.member) == 1
        name = joint.member if alone else f"{joint.member}, {joint.place}"
        if joint.axial is not None:
            pull = float(joint.axial[0, 0]) * (-1.0 if joint.member == "coilover" else 1.0)
            note = "what the load asks of spring and stops" if joint.member == "coilover" else ""
            rows.append(Row(name, along(pull, units), note))
        else:
            rows.append(_directed(name, joint.force[0, 0], out, f"on the {joint.on}", units))
    return [_capital(row) for row in rows]


def seat_rows(settled: Settled, units: Units) -> list[Row]:
    """What spring seat and stops take where the load case settles."""
    rows = [
        Row(f"{name} seat" if name == "spring" else name, along(-push, units))
        for name, push in settled.pushes.items()
        if abs(push) >= 1.0
    ]
    return [_capital(row) for row in rows]


def _directed(name: str, force: np.ndarray, out: float, on: str, units: Units) -> Row:
    size, _, parts = directed(force, out, units).partition(": ")
    return Row(name, size, f"{parts}, {on}" if parts else on)


def _capital(row: Row) -> Row:
    return replace(row, label=row.label[:1].upper() + row.label[1:])
