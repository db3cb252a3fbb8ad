"""Both ways, for a part of every kind: no display mesh lies farther from its solid than stated."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import trimesh

from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.project.unfold import unfold
from kinematics.shapes.build import parts
from kinematics.shapes.pairs import JOINT_ROOM, pairs
from kinematics.shapes.pieces import Array, Part, Rod
from kinematics.shapes.sections import rim_section, tyre_section
from kinematics.shapes.skins import CHORD_ERROR, place, skins
from tests.shapes.oracle import depth_outside
from tests.shapes.whole import whole

CAR = unfold(whole())
HERE = move(corner(CAR), np.array([20.0]), [0.0])
SOLIDS = {part.name: part for part in parts(CAR, HERE)}
UNSEEN = ("spring", "damper shaft", "hub")
"""A coil in its envelope; what lies within other parts of its unit, or within its joint's ball."""
JOINTED = ("radius arm", "drive shaft")


@cache
def drawn(name: str) -> trimesh.Trimesh:
    """What is drawn of a part, where it stands."""
    stands, made = place(CAR, HERE), []
    for skin in skins(CAR):
        if skin.part == name and skin.checked:
            at = skin.vertices.astype(float)
            if skin.along is not None:
                at[:, 2] += skin.along * stands[skin.name].stretch[0]
            at = at @ stands[skin.name].rotation[0].T + stands[skin.name].origin[0]
            made.append(trimesh.Trimesh(at, skin.faces, process=False))
    return trimesh.util.concatenate(made)


@cache
def balls(name: str) -> tuple[tuple[Array, float], ...]:
    """The balls about its joints, where eyes, bolts and housings stand for it."""
    found = pairs(CAR, tuple(SOLIDS.values()))
    order = list(SOLIDS)
    held = [
        (centre[0], joint.radius)
        for joint, centre in zip(found.joints, found.centres(HERE), strict=True)
        if name in (order[joint.a], order[joint.b])
    ]
    for piece in SOLIDS[name].pieces:
        if isinstance(piece, Rod) and (name in CAR.links or name in JOINTED):
            held += [(end, piece.radius + JOINT_ROOM) for end in piece.ends[0]]
    assert CAR.coilover is not None
    if SOLIDS[name].body == "coilover":
        ends = (CAR.coilover.foot, CAR.coilover.top)
        held += [(HERE.carry(e.body, np.array(CAR.points[e.point]))[0, 0], 45.0) for e in ends]
    return tuple(held)


def told_apart(name: str, at: Array) -> Array:
    """Of some points those that count: outside joints' balls and other parts of the unit."""
    for centre, radius in balls(name):
        at = at[np.linalg.norm(at - centre, axis=1) > radius]
    own = SOLIDS[name]
    for other in SOLIDS.values():
        if other is not own and other.body == own.body and len(at):
            at = at[depth_outside(at, other) > 0.05]
    if name in ("tyre", "wheel"):  # not the bead, grooves and sipes (test_skins), spokes
        ring = own.pieces[0]
        way = at - ring.centre[0]  # type: ignore[union-attr]
        y = way @ ring.axis[0]  # type: ignore[union-attr]
        r = np.sqrt(np.sum(way**2, axis=1) - y**2)
        section = rim_section(CAR.wheel)
        barrel = min(corner[0] for outline in section.rings().values() for corner in outline)
        walls = (r > section.flange) & (r < tyre_section(CAR.wheel).widest_radius)
        at = at[walls if name == "tyre" else r > barrel - 1.0]
    return at


def surface(part: Part, count: int) -> Array:
    """Points (k, 3) on a solid's outer surface, from a box about it: none is left to the mesh."""
    rng = np.random.default_rng(5)
    low, high = drawn(part.name).bounds
    at = low - 3.0 + rng.random((count, 3)) * (high - low + 6.0)
    step = 1e-4 * np.eye(3)
    for _ in range(4):
        value = depth_outside(at, part)
        slope = np.stack([depth_outside(at + e, part) - value for e in step], axis=1) / 1e-4
        at = at - (value / np.maximum((slope**2).sum(axis=1), 0.2))[:, None] * slope
    on = np.abs(depth_outside(at, part)) < 1e-3
    out = depth_outside(at + 0.2 * slope, part) > 0.15  # not where two pieces meet inside
    return at[on & out]


def stands_out(name: str, at: Array) -> float:
    """How far the farthest of some points lies outside the part, mm."""
    some = told_apart(name, at)
    return float(depth_outside(some, SOLIDS[name]).max(initial=-np.inf))


def gap(mesh: trimesh.Trimesh, at: Array) -> Array:
    """Distance (k,) of points to a mesh."""
    faces, out = mesh.triangles, np.empty(len(at))
    middles = faces.mean(axis=1)
    reach = np.linalg.norm(faces - middles[:, None], axis=2).max(axis=1)
    for k, point in enumerate(at):
        away = np.linalg.norm(middles - point, axis=1)
        near = away - reach <= away.min()
        nearest = trimesh.triangles.closest_point(
            faces[near], np.broadcast_to(point, (near.sum(), 3))
        )
        out[k] = np.linalg.norm(nearest - point, axis=1).min()
    return out


@pytest.mark.parametrize("name", [name for name in SOLIDS if name not in UNSEEN])
def test_a_mesh_lies_as_near_to_its_solid_as_stated(name: str) -> None:
    part, mesh = SOLIDS[name], drawn(name)
    of_solid = told_apart(name, surface(part, 1500))[:120]
    assert len(of_solid) > 20
    assert gap(mesh, of_solid).max() <= CHORD_ERROR + 2e-3
    edges = mesh.vertices[mesh.edges_unique].mean(axis=1)
    assert stands_out(name, mesh.vertices) < 0.02
    # Across a bore the flat sides stand out of the metal, by no more than they do anywhere.
    assert stands_out(name, np.concatenate([mesh.triangles_center, edges])) < 0.8


def test_every_kind_of_part_is_looked_at() -> None:
    from typing import get_args

    from kinematics.project.model import PartSpec, Scan

    missing = {*get_args(PartSpec)} - {type(spec) for spec in CAR.parts.values()} - {Scan}
    assert not missing
