from collections.abc import Callable

import numpy as np
import pytest
import trimesh

from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.project.mirror import mirror
from kinematics.project.model import Project
from kinematics.shapes.build import parts
from kinematics.shapes.display.members import apart
from kinematics.shapes.display.mesh import sweep
from kinematics.shapes.display.skin import Placement, Skin
from kinematics.shapes.display.wheel import GROOVE_DEPTH, chord_error
from kinematics.shapes.pairs import HUB_ROOM, JOINT_ROOM, pairs
from kinematics.shapes.pieces import Array, Rod
from kinematics.shapes.sections import rim_section, tyre_section
from kinematics.shapes.skins import Dresser, place, skins
from kinematics.shapes.wheel import axis, middle
from tests.motion.corners import (
    h_arm,
    link_on_link,
    pushrod,
    radius_rod,
    strut_links,
    trailing_arm,
    wishbones_on_arm,
)
from tests.shapes.corners import EXAMPLES, TROUBLE, motion, moved, project
from tests.shapes.oracle import depth_outside

SURFACE = 0.02
"""How far outside its exact solid a corner of a mesh may lie: rounding, mm."""


def world(skin: Skin, placed: Placement, pose: int) -> Array:
    local = skin.vertices.astype(float)
    if skin.along is not None:
        local[:, 2] += skin.along * placed.stretch[pose]
    return np.asarray(local @ placed.rotation[pose].T + placed.origin[pose])


@pytest.mark.parametrize("name", EXAMPLES)
def test_components_are_closed_and_wound_outward(name: str) -> None:
    for skin in skins(project(name)):
        mesh = trimesh.Trimesh(skin.vertices.astype(float), skin.faces, process=False)
        for part in mesh.split(only_watertight=False):
            assert part.is_watertight, skin.name
            assert part.is_winding_consistent, skin.name
            assert part.volume > 0, skin.name


OTHERS = (pushrod, h_arm, radius_rod, strut_links, trailing_arm, wishbones_on_arm, link_on_link)


@pytest.mark.parametrize("make", OTHERS, ids=lambda make: make.__name__)
@pytest.mark.parametrize("side", ["left", "right"])
def test_every_arrangement_can_be_built_and_drawn_on_both_sides(
    make: Callable[[], Project], side: str
) -> None:
    which = make() if side == "left" else mirror(make())
    here = move(corner(which), np.array([-10.0, 0.0, 10.0]), [0.0])
    for part in parts(which, here):
        assert all(np.isfinite(stray).all() for stray in part.sagitta)
    placed = place(which, here)
    for skin in skins(which):
        mesh = trimesh.Trimesh(skin.vertices.astype(float), skin.faces, process=False)
        assert mesh.is_watertight
        assert mesh.volume > 0
        assert np.isfinite(placed[skin.name].origin).all()


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_corner_is_light_and_its_skins_are_named_once(name: str) -> None:
    found = skins(project(name))
    assert len({skin.name for skin in found}) == len(found)
    assert 8_000 < sum(len(skin.faces) for skin in found) < 16_500
    for skin in found:
        assert skin.vertices.dtype == np.float32
        assert skin.faces.dtype == np.int32
        assert skin.faces.max() < len(skin.vertices)


@pytest.mark.parametrize("name", EXAMPLES)
def test_checked_skins_show_parts_that_are_checked(name: str) -> None:
    known = {part.name for part in parts(project(name), moved(name, 0.0))}
    drawn = {skin.part for skin in skins(project(name)) if skin.checked}
    assert drawn == known


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("pose", [0, 7])
def test_a_mesh_stands_nowhere_outside_its_solid_but_at_joints(name: str, pose: int) -> None:
    which = project(name)
    found = parts(which, motion(name))
    solids = {part.name: part for part in found}
    placed = place(which, motion(name))
    balls = pairs(which, found)
    centres = balls.centres(motion(name))
    for skin in skins(which):
        if not skin.checked:
            continue
        points = world(skin, placed[skin.name], pose)
        # Within its own solid, or another of its unit: the shaft runs down into the damper.
        unit = [p for p in found if p.body == solids[skin.part].body]
        out = np.min([depth_outside(points, solid, pose) for solid in unit], axis=0)
        stray = points[out > SURFACE]
        for joint, centre in zip(balls.joints, centres, strict=True):
            if skin.part in (found[joint.a].name, found[joint.b].name) and len(stray):
                at = centre[pose] if len(centre) > 1 else centre[0]
                stray = stray[np.linalg.norm(stray - at, axis=1) > joint.radius]
        rods = [p for p in solids[skin.part].pieces if isinstance(p, Rod)]
        for at in [p.ends[pose % len(p.ends), k] for p in rods for k in (0, 1)]:
            stray = stray[np.linalg.norm(stray - at, axis=1) > rods[0].radius + JOINT_ROOM]
        if skin.part == "wheel":
            section = rim_section(which.wheel)
            face = middle(which) + (section.face or 0.0) * axis(which)
            at = motion(name).carry("upright", face).reshape(-1, 3)[pose]
            stray = stray[np.linalg.norm(stray - at, axis=1) > section.pad + HUB_ROOM]
        assert len(stray) == 0, (skin.name, stray[:3])


def test_the_tyre_keeps_within_its_stated_chord_error() -> None:
    which, here = project(TROUBLE), moved(TROUBLE, 0.0)
    section = tyre_section(which.wheel)
    solid = {part.name: part for part in parts(which, here)}["tyre"]
    skin = next(s for s in skins(which) if s.name == "tyre")
    points = world(skin, place(which, here)["tyre"], 0)
    corners = points[skin.faces]
    middles = corners.mean(axis=1)
    depth = -depth_outside(middles, solid, 0)
    ring = solid.pieces[0]
    way = middles - ring.centre[0]  # type: ignore[union-attr]
    y = way @ ring.axis[0]  # type: ignore[union-attr]
    r = np.sqrt(np.sum(way**2, axis=1) - y**2)
    outside = (r > section.bead_radius + 20.0) & (np.abs(y) < section.half_tread * 0.999)
    assert chord_error(section) < 1.8
    assert depth[r > section.bead_radius].min() > -SURFACE
    assert depth[outside].max() < GROOVE_DEPTH + chord_error(section)
    plain = (r > section.bead_radius + 20.0) & (r < section.widest_radius)
    assert depth[plain].max() < chord_error(section)


def test_the_helix_stretches_without_flattening_its_wire() -> None:
    which = project(TROUBLE)
    here = motion(TROUBLE)
    skin = next(s for s in skins(which) if s.name == "spring")
    assert skin.along is not None
    assert (skin.along.min(), skin.along.max()) == (0.0, 1.0)
    placed = place(which, here)["spring"]
    sides = 7
    for pose in (0, 8):
        points = world(skin, placed, pose)[:-2].reshape(-1, sides, 3)
        size = np.linalg.norm(points - points.mean(axis=1, keepdims=True), axis=-1)
        assert size == pytest.approx(6.0, abs=0.01)
        spring = which.coilover.spring  # type: ignore[union-attr]
        assert spring is not None
        line = here.carry("upright", which.points["coilover foot"])[pose, 0]
        top = np.array(which.points["top bearing"])
        way = (top - line) / np.linalg.norm(top - line)
        height = (points.reshape(-1, 3) - line) @ way
        assert height.min() == pytest.approx(spring.seat_from_foot, abs=0.3)
        longest = np.linalg.norm(top - line) - spring.end_from_top
        assert height.max() == pytest.approx(longest, abs=0.3)


def test_only_what_moves_is_said_to_move() -> None:
    placed = place(project(TROUBLE), motion(TROUBLE))
    still = {name for name, where in placed.items() if where.still}
    assert {"tower", "tower lip", "chassis rail", "top mount"} <= still
    assert not {"tyre", "spring", "damper body", "upper link", "radius arm"} & still
    for where in placed.values():
        assert where.rotation.shape == (9, 3, 3)
        assert where.origin.shape == (9, 3)
        assert where.stretch.shape == (9,)
        assert np.linalg.det(where.rotation) == pytest.approx(1.0)


def test_sliding_the_mount_leaves_every_mesh_as_it_was() -> None:
    """A viewer uploads meshes once: sliding mount and tower together must change places alone."""
    from msgspec.structs import replace

    before = project(TROUBLE)
    x, y, z = before.points["top bearing"]
    tower = before.tower
    assert tower is not None
    after = replace(
        before,
        points={**before.points, "top bearing": (x - 12.0, y - 16.0, z)},
        tower=replace(
            tower,
            front=tower.front - 12,
            rear=tower.rear - 12,
            inner=tower.inner - 16,
            outer=tower.outer - 16,
        ),
    )
    for a, b in zip(Dresser(before).skins, Dresser(after).skins, strict=True):
        assert a.name == b.name
        assert np.array_equal(a.vertices, b.vertices), a.name
        assert np.array_equal(a.faces, b.faces)


@pytest.mark.parametrize("ends", [((0, 0, 0), (0, 90, 0), (0, 90, 0)), ((5, 5, 5), (5, 5, 5))])
def test_a_tube_with_one_point_pulled_onto_the_next_is_still_drawn(
    ends: tuple[tuple[float, ...], ...],
) -> None:
    drawn = sweep(apart(np.array(ends, float)), 10.0)
    assert np.isfinite(drawn.vertices).all()
    assert np.ptp(drawn.vertices, axis=0).min() >= 19.0  # as thick as it is, each way
