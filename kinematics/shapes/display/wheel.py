"""The tyre and the rim as they look. Local z is the wheel's axis, outboard, from its middle."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from kinematics.shapes.display.mesh import Mesh, cylinder, join, loft, revolve
from kinematics.shapes.polygons import Floats
from kinematics.shapes.sections import SEAT, RimSection, TyreSection

LUGS = 22
"""Blocks round each shoulder; the tyre has three columns of corners to a block."""
COLUMNS = (0.0, 0.5, 0.75)
"""Where in a block's share of the turn they stand: its two ends, and the sipe after it."""
GROOVE_DEPTH = 6.5
GROOVE_WIDTH = 7.0
SIPE_DEPTH = 3.2
TYRE_CHORD = 0.9
"""Greatest depth of a chord of the section's arcs, mm."""
RIM_AROUND = 36
HIDDEN = 17.0
"""Height above the beads below which the flanges hide the tyre, mm: fewer corners will do."""


@lru_cache(maxsize=8)
def tyre_mesh(section: TyreSection) -> Mesh:
    """The tyre: the section's outline turned, with grooves and sipes cut into it.

    Nothing stands outside the exact section; above the rim's flanges and apart from grooves and
    sipes nothing lies deeper inside it than `chord_error`.
    """
    outline = np.array(_grooved(section))
    loops = np.repeat(outline[None], 3 * LUGS, axis=0)
    loops[2::3] = _siped(outline, section)
    turns = (np.arange(LUGS)[:, None] + COLUMNS).ravel() / LUGS
    return revolve(loops, 3 * LUGS, 2 * np.pi * turns)


def chord_error(section: TyreSection) -> float:
    """How far inside the exact section the tyre's mesh may lie away from its grooves, mm."""
    step = 2 * np.pi / LUGS * max(np.diff([*COLUMNS, 1.0]))
    return TYRE_CHORD + section.free_radius * float(1 - np.cos(step / 2))


@lru_cache(maxsize=8)
def rim_mesh(section: RimSection) -> Mesh:
    """The rim: barrel with flanges and well, hub face, five spokes and the wheel bolts."""
    centre = section.centre()
    parts = [revolve(_barrel(section), RIM_AROUND)]
    if centre:
        parts.append(revolve(_with_bore(centre["hub face"]), 26))
        parts += [_spoke(np.array(centre["spokes"]), k * 2 * np.pi / 5) for k in range(5)]
        parts += _bolts(section)
    return join(*parts)


def _grooved(section: TyreSection) -> list[tuple[float, float]]:
    fine = [(float(r), float(y)) for r, y in section.profile().points(TYRE_CHORD)]
    hidden = section.bead_radius + HIDDEN
    points = [
        here
        for before, here, after in zip([fine[-1], *fine], fine, [*fine[1:], fine[0]], strict=False)
        if here[0] > hidden or here[0] == section.bead_radius or max(before[0], after[0]) > hidden
    ]
    shift = min(range(len(points)), key=lambda k: points[k][0])
    points = points[shift:] + points[:shift]
    edge = max(range(len(points) - 1), key=lambda k: min(points[k][0], points[k + 1][0]))
    top, half = points[edge][0], abs(points[edge][1])
    count = 3 if section.half_width < 105.0 else 4
    grooves: list[tuple[float, float]] = []
    for share in np.linspace(-0.66, 0.66, count):
        at, wide, foot = share * half, GROOVE_WIDTH / 2, GROOVE_WIDTH / 2 - 1.2
        deep = top - GROOVE_DEPTH
        grooves += [(top, at - wide), (deep, at - foot), (deep, at + foot), (top, at + wide)]
    return points[: edge + 1] + grooves + points[edge + 1 :]


def _siped(outline: Floats, section: TyreSection) -> Floats:
    """The outline where a sipe is cut across both shoulders."""
    cut = outline.copy()
    y = outline[:, 1]
    r = outline[:, 0]
    low = section.widest_radius + 0.3 * (section.free_radius - section.widest_radius)
    shoulder = (r > low) & (r < section.free_radius - 0.5) & (np.abs(y) > section.half_tread)
    if section.plain:
        shoulder = (r > low) & (r < section.free_radius - 0.5) & (np.abs(y) > 0.7 * abs(y).max())
    cut[shoulder, 0] -= SIPE_DEPTH * 0.5
    cut[shoulder, 1] -= np.sign(y[shoulder]) * SIPE_DEPTH
    return cut


def _barrel(section: RimSection) -> list[tuple[float, float]]:
    """The shell's closed outline, lip to lip outside and back inside."""
    ring = section.rings()
    lip, inner = ring["outer lip"], ring["inner lip"]
    seat, half = section.seat, section.half
    well, (low, high) = section.well, section.well_span
    shell = ring["well"][1][0] - ring["well"][0][0]
    outside = [
        inner[4],
        inner[3],
        inner[2],
        inner[1],
        (seat, -half),
        (seat, -half + SEAT),
        (well, low),
        (well, high),
        (seat, half - SEAT),
        (seat, half),
        lip[1],
        lip[2],
        lip[3],
        lip[4],
    ]
    inside = [
        (seat - shell, half - SEAT),
        (well - shell, high),
        (well - shell, low),
        (seat - shell, -half + SEAT),
    ]
    return outside + inside


def _with_bore(face: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """The hub face with a shallow cap in its bore, and its front edge broken."""
    (bore, back), (edge, _), (_, front), _ = face
    cap = max(bore, 26.0)
    return [
        (0.0, back),
        (edge, back),
        (edge, front - 2.0),
        (edge - 2.0, front),
        (cap + 3.0, front),
        (cap, front - 2.5),
        (cap - 3.0, front - 1.0),
        (0.0, front - 1.0),
    ]


def _spoke(cone: Floats, angle: float) -> Mesh:
    """One tapered spoke between hub face and barrel, its front edges broken."""
    (r0, back0), (r1, back1), (_, front1), (_, front0) = cone
    bevel = 4.0
    stations = []
    for share in (-0.12, 0.0, 0.3, 0.7, 1.0):
        wide = 24.0 - 9.0 * min(1.0, max(share, 0.0) * 1.6) + 5.0 * max(0.0, share - 0.6)
        across = np.array([3.0 - wide, wide - 3.0, wide, wide - bevel, bevel - wide, -wide])
        r = np.sqrt(np.maximum((r0 + share * (r1 - r0)) ** 2 - across**2, 0.0))
        # On the cone at the corner's own radius, so that nothing stands proud of it.
        level = np.clip((np.hypot(r, across) - r0) / (r1 - r0), 0.0, 1.0)
        back = back0 + level * (back1 - back0)
        front = front0 + level * (front1 - front0)
        z = np.where([True, True, False, False, False, False], back, front)
        z[[2, 5]] -= bevel
        stations.append(np.column_stack([r, across, z]))
    turn = np.array(
        [[np.cos(angle), -np.sin(angle), 0], [np.sin(angle), np.cos(angle), 0], [0, 0, 1.0]]
    )
    return loft(np.array(stations)).moved(rotation=turn)


def _bolts(section: RimSection) -> list[Mesh]:
    circle = (100.0 if section.bolt_circle is None else section.bolt_circle) / 2
    assert section.face is not None
    front = section.face + section.disc
    turn = np.pi / 2 + 2 * np.pi * np.arange(section.bolts) / section.bolts
    head = cylinder(9.0, front - 3.0, front + 5.0, 6)
    return [head.moved((circle * np.cos(a), circle * np.sin(a), 0.0)) for a in turn]
