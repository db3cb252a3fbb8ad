"""The coilover as it looks. Local z runs from the foot to the top bearing."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from kinematics.project.model import (
    CHASSIS,
    BumpStop,
    Coilover,
    Helper,
    PointOnLine,
    Project,
    Spring,
    Thread,
)
from kinematics.shapes import mount
from kinematics.shapes.coilover import (
    SPRING_AS_DRAWN,
    foot_pieces,
    helper_length,
    shown_stop,
    stack,
    stop_length,
    stop_radius,
)
from kinematics.shapes.directions import frame
from kinematics.shapes.display.mesh import Mesh, coil, cylinder, extrude, join, revolve
from kinematics.shapes.display.skin import Figure, bolt_way, fixed, on_line, skin
from kinematics.shapes.display.solid import solid_figure
from kinematics.shapes.pieces import Array
from kinematics.shapes.poses import Anchor, anchor

AROUND = 20
COIL_STEPS = 12
"""Straight pieces a coil is drawn with."""
WIRE_SIDES = 7
ACROSS = np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])
"""Turns local z onto local x, for eyes and their bolts."""


def figures(coilover: Coilover, project: Project) -> Iterator[Figure]:
    """Body, spring seat, spring, shaft, bump stop, top hat and top mount."""
    foot, top = anchor(project, coilover.foot), anchor(project, coilover.top)
    up = bolt_way(foot, top)
    at_foot, at_top = on_line(foot, top, up), on_line(foot, top, up, from_end=True)
    place = stack(coilover)
    bare = coilover.foot_end is not None or _clamped(coilover, project)
    body = _body(coilover, place.body_top, bare)
    if coilover.thread is not None:
        body = join(body, _thread(coilover, coilover.thread))
    yield Figure(skin("damper body", "damper", body), at_foot)
    yield from _foot_end(coilover, foot)
    reach = coilover.open - place.body_top + 8.0
    yield Figure(skin("damper shaft", "damper", _shaft(coilover, reach)), at_top)
    if coilover.bump_stop is not None and coilover.bump_stop.free > 0.0:
        yield _bump_stop(coilover, foot, top, up)
    if (spring := coilover.spring) is not None:
        yield _spring(coilover, spring, foot, top, up)
        known = spring.seat_outside is not None
        seat = skin("spring seat", "damper", _seat(coilover, spring), checked=known)
        yield Figure(seat, at_foot)
        hat, sized = _top_hat(coilover, spring), spring.hat_outside is not None
        yield Figure(skin("top hat", "damper", hat, checked=sized), at_top)
        if spring.helper is not None and spring.helper.outside is not None:
            yield _helper(spring, spring.helper, spring.helper.outside, foot, top, up)
    if pieces := mount.solids(project, CHASSIS):
        yield solid_figure("top mount", "mount", coilover.top.body, pieces)
        return
    yield Figure(
        skin(
            "top mount",
            "mount",
            _mount(coilover.shaft_diameter, _plate_over(project)),
            checked=False,
        ),
        # On the tower's plate where there is one, else square to the damper.
        fixed(coilover.top.body, top.xyz, None if project.tower else frame(top.xyz - foot.xyz)),
    )


def _foot_end(coilover: Coilover, foot: Anchor) -> Iterator[Figure]:
    """Its eye or clevis as given, in the joint's place."""
    if coilover.foot_end is not None:
        still = Anchor(CHASSIS, foot.xyz)
        made = foot_pieces(coilover, still)
        yield solid_figure("damper body foot", "damper", foot.body, made, "damper body")


def _clamped(coilover: Coilover, project: Project) -> bool:
    """True for a strut, whose body is clamped in the upright and has no eye."""
    return any(
        isinstance(joint, PointOnLine) and joint.line[0] == coilover.foot.point
        for joint in project.joints.values()
    )


@lru_cache(maxsize=32)
def eye(radius: float, bore: float, width: float) -> Mesh:
    """An eye with its bush and bolt, its bolt along local x."""
    half = width / 2
    head = cylinder(bore, half - 1.0, half + 6.0, 6)
    nut = cylinder(bore, -half - 6.0, -half + 1.0, 6)
    return join(cylinder(radius, -half, half, 18), head, nut).moved(rotation=ACROSS)


@lru_cache(maxsize=8)
def _body(coilover: Coilover, top: float, bare: bool) -> Mesh:
    """The body, with an eye at its foot unless it is clamped there or its foot's size is known."""
    r = coilover.body_diameter / 2
    low = 0.0 if bare else 0.55 * r
    tube = revolve(
        [
            (0.0, low),
            (0.55 * r, low),
            (r - 1.5, low + 0.5 * r),
            (r, low + 0.5 * r + 2.0),
            (r, top - 3.0),
            (r - 2.5, top),
            (0.0, top),
        ],
        AROUND,
    )
    if bare:
        return tube
    return join(tube, eye(min(0.72 * r, 20.0), 7.0, min(1.1 * r, 30.0)))


@lru_cache(maxsize=8)
def _shaft(coilover: Coilover, reach: float) -> Mesh:
    r = coilover.shaft_diameter / 2
    return join(
        revolve([(0, -reach), (r, -reach), (r, 2.0), (0.0, 2.0)], 16),
        cylinder(1.7 * r, -3.0, 5.0, 6),
    )


def _bump_stop(coilover: Coilover, foot: Anchor, top: Anchor, up: Array) -> Figure:
    """Squashes between its seat and the body's top, once the body has come up to it."""
    stop = coilover.bump_stop
    assert stop is not None

    def squash(length: Array) -> Array:
        return np.asarray(stop.free - stop_length(coilover, stop, length))

    checked = shown_stop(coilover) is not None
    mesh = _stop(coilover, stop, checked)
    figure = skin("bump stop", "damper", mesh, checked=checked, stretches=True)
    return Figure(figure, on_line(foot, top, up, from_end=True, stretch=squash))


@lru_cache(maxsize=8)
def _stop(coilover: Coilover, stop: BumpStop, checked: bool) -> Mesh:
    """The bump stop under its seat; tapered and grooved where its shape is not what is checked."""
    high = -stack(coilover).stop - stop.packer
    r_in, wide = coilover.shaft_diameter / 2 + 0.5, stop_radius(coilover, stop)
    taper = 0.0 if checked else 0.34
    rows, levels = [], np.linspace(0.0, 1.0, 6)
    for k, down in enumerate(levels):
        waist = wide * (1.0 - taper * down) - (1.4 if 0 < k < 5 and k % 2 else 0.0)
        rows.append((max(waist, r_in + 2.0), high - down * stop.free))
    outline = [(r_in, high), *rows, (r_in, high - stop.free)]
    made = revolve(outline, 16)
    share = np.clip((high - made.vertices[:, 2]) / stop.free, 0.0, 1.0)
    return Mesh(made.vertices, made.faces, share)


def _spring(coilover: Coilover, spring: Spring, foot: Anchor, top: Anchor, up: Array) -> Figure:
    """A real helix: closed ends that do not stretch, even pitch between, ends bedded flat."""
    taken = spring.seat_from_foot + spring.end_from_top
    mesh = helix(spring, _coils(coilover, spring)).moved((0.0, 0.0, spring.seat_from_foot))
    longest = np.inf if spring.free is None else spring.free

    def stretch(length: Array) -> Array:
        return np.asarray(np.minimum(length - taken, longest) - SPRING_AS_DRAWN)

    figure = skin("spring", "spring", mesh, stretches=True)
    return Figure(figure, on_line(foot, top, up, stretch=stretch))


def _coils(coilover: Coilover, spring: Spring) -> float:
    """Active coils: as given, or a usual pitch of two wires and a third at the closed length."""
    if spring.active_coils is not None:
        return spring.active_coils
    length = coilover.open - spring.seat_from_foot - spring.end_from_top
    return float(np.clip(length / (3.2 * spring.wire), 3.0, 14.0))


@lru_cache(maxsize=8)
def helix(spring: Spring, active: float) -> Mesh:
    """The wire at the length as drawn, standing on z = 0; `along` is each section's share."""
    wire, mean = spring.wire, (spring.outside - spring.wire) / 2
    dead = 0.9
    total = active + 2 * dead
    steps = max(24, round(COIL_STEPS * total))
    turn = np.linspace(0.0, total, steps + 1)
    share = np.clip((turn - dead) / active, 0.0, 1.0)
    # Closed ends rise by nearly one wire in their dead turn; what is left stretches.
    rise = 0.5 * wire + 0.97 * wire * (
        np.minimum(turn, dead) + np.maximum(turn - total + dead, 0.0)
    )
    free = SPRING_AS_DRAWN - 0.5 * wire - rise[-1]
    angle = 2 * np.pi * turn
    centre = np.column_stack([mean * np.cos(angle), mean * np.sin(angle), rise + share * free])
    return coil(centre, share, wire / 2, WIRE_SIDES)


@lru_cache(maxsize=8)
def _seat(coilover: Coilover, spring: Spring) -> Mesh:
    """The adjuster ring under the spring, a groove round its rim."""
    r = (spring.seat_outside or spring.outside) / 2
    bore, high = coilover.body_diameter / 2 - 1.0, spring.seat_from_foot
    thick = spring.seat_thickness
    low = high - thick
    shares = [(0, 0.0), (0, 0.31), (2.0, 0.4), (2.0, 0.6), (0, 0.69), (0, 1.0)]
    rim = [(cut, share * thick) for cut, share in shares]
    return revolve([(bore, low), *((r - cut, low + up) for cut, up in rim), (bore, high)], AROUND)


@lru_cache(maxsize=8)
def _top_hat(coilover: Coilover, spring: Spring) -> Mesh:
    """The hat over the spring's upper end, and its neck up to the bearing."""
    r, low = spring.outside / 2 + 1.0, -spring.end_from_top
    bore, neck = coilover.shaft_diameter / 2, coilover.shaft_diameter / 2 + 7.0
    if spring.hat_outside is not None:
        r, high = spring.hat_outside / 2, low + spring.hat_height
        return revolve([(bore, low), (r, low), (r, high), (bore, high)], AROUND)
    return revolve(
        [
            (bore, low),
            (r, low),
            (r, low + 4.0),
            (0.75 * r, low + 7.0),
            (neck + 2.0, low + 0.62 * spring.end_from_top),
            (neck, -9.0 if spring.end_from_top > 20.0 else -1.0),
            (bore, -9.0 if spring.end_from_top > 20.0 else -1.0),
        ],
        AROUND,
    )


@lru_cache(maxsize=8)
def _thread(coilover: Coilover, thread: Thread) -> Mesh:
    """The threaded sleeve, its ends broken; as wide as its crests."""
    r, bore = thread.diameter / 2, coilover.body_diameter / 2 - 1.0
    low, high, cut = thread.start, thread.end, min(1.0, (thread.end - thread.start) / 4)
    outline = [(bore, low), (r - cut, low), (r, low + cut), (r, high - cut), (r - cut, high)]
    return revolve([*outline, (bore, high)], AROUND)


def _helper(
    spring: Spring, helper: Helper, outside: float, foot: Anchor, top: Anchor, up: Array
) -> Figure:
    """The helper under the top hat, as the sleeve it fills; flat wire leaves little to see."""
    r, taken = outside / 2, spring.seat_from_foot + spring.end_from_top
    bore = max(spring.outside / 2 - spring.wire, 0.5 * r)
    high, low = -spring.end_from_top, -spring.end_from_top - helper.free
    made = revolve([(bore, low), (r, low), (r, high), (bore, high)], AROUND)
    share = np.where(made.vertices[:, 2] < high - 1e-6, 1.0, 0.0)

    def stretch(length: Array) -> Array:
        return np.asarray(helper.free - helper_length(spring, helper, length - taken))

    mesh = Mesh(made.vertices, made.faces, share)
    figure = skin("helper spring", "spring", mesh, stretches=True)
    return Figure(figure, on_line(foot, top, up, from_end=True, stretch=stretch))


def _plate_over(project: Project) -> float:
    """How far the tower's upper surface is above the top bearing's centre, mm."""
    if project.tower is None or project.coilover is None:
        return 0.0
    return round(project.tower.top - project.points[project.coilover.top.point][2], 6)


@lru_cache(maxsize=8)
def _mount(shaft: float, base: float) -> Mesh:
    """The mount on the tower's top: plate on four bolts, bearing housing and shaft nut."""
    r = max(shaft / 2, 6.0)
    plate = _rounded_plate(46.0, 46.0, 12.0, base, base + 6.0)
    housing = revolve(
        [
            (0, base + 5.0),
            (30.0, base + 5.0),
            (28.0, base + 14.0),
            (25.0, base + 16.0),
            (r + 5.0, base + 16.0),
            (r + 4.0, base + 13.0),
            (0.0, base + 13.0),
        ],
        24,
    )
    nut = cylinder(1.6 * r, base + 12.0, base + 22.0, 6)
    stud = cylinder(0.8 * r, base + 20.0, base + 28.0, 12)
    bolts = [
        cylinder(6.5, base + 5.0, base + 12.0, 6).moved((x, y, 0.0))
        for x in (-34.0, 34.0)
        for y in (-34.0, 34.0)
    ]
    return join(plate, housing, nut, stud, *bolts)


def _rounded_plate(half_x: float, half_y: float, r: float, low: float, high: float) -> Mesh:
    turns = np.linspace(0.0, np.pi / 2, 4)
    outline = [
        (cx * (half_x - r) + r * np.cos(a + lead), cy * (half_y - r) + r * np.sin(a + lead))
        for cx, cy, lead in ((1, 1, 0.0), (-1, 1, np.pi / 2), (-1, -1, np.pi), (1, -1, 1.5 * np.pi))
        for a in turns
    ]
    return extrude(np.array(outline), low, high)
