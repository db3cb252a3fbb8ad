"""The top mount's stack, plate and slots; the tower's lips, gussets, sheets and bends."""

import numpy as np
import pytest
import trimesh
from msgspec.structs import replace

from kinematics.clearance import distance
from kinematics.findings.mount_stack import stack_facts
from kinematics.findings.statics import say_fact
from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.project.checks import cautions_of, problems_of
from kinematics.project.edit import move_top
from kinematics.project.files import dumps, loads
from kinematics.project.mirror import mirror
from kinematics.project.model import Gusset, MountPlate, Project, TopMount
from kinematics.project.mount import slot_range
from kinematics.shapes.build import parts
from kinematics.shapes.folds import bends, gussets, lips
from kinematics.shapes.mount import bolt_places, stack_heights
from kinematics.shapes.pieces import Part, point
from kinematics.shapes.skins import place, skins
from kinematics.shapes.tower import outboard, panels
from kinematics.studies.study import look, set_up
from kinematics.studies.top_map import top_map
from tests.shapes.corners import TROUBLE, project
from tests.shapes.oracle import depth_outside

PLATE = MountPlate(length=110.0, width=100.0, thickness=6.0, bolts=3, bolt_circle=90.0,
                   slot_forward=20.0, slot_inboard=12.0, set_forward=4.0)  # fmt: skip


def mounted(**changes: object) -> Project:
    car = project(TROUBLE)
    assert car.coilover is not None
    assert car.tower is not None
    above = car.points[car.coilover.top.point][2] - (car.tower.top + 6.0)
    mount = TopMount(bearing_above=above, shoulder_below=9.0, housing_diameter=52.0,
                     housing_height=24.0, plate=PLATE)  # fmt: skip
    gusset = Gusset(on="outer", at=60.0, height=50.0, depth=40.0, thickness=4.0)
    within = Gusset(on="inner", at=20.0, height=30.0, depth=25.0, inside=True, foot=600.0)
    tower = replace(car.tower, thickness_of={"lip": 5.0, "inner": 2.0}, front_down_to=600.0,
                    inner_down_to=580.0, front_lip=18.0, inner_lip=-15.0,
                    gussets=(gusset, within))  # fmt: skip
    return replace(car, tower=tower, top_mount=mount, **changes)


def named(car: Project) -> dict[str, Part]:
    here = move(corner(car), np.array([0.0]), [0.0])
    return {part.name: part for part in parts(car, here)}


def gap(part: Part, *xyz: float) -> float:
    return min(float(distance(piece, point(xyz)).low[0]) for piece in part.pieces)


@pytest.mark.parametrize("side", ["left", "right"])
def test_plate_and_housing_stand_about_the_bearing(side: str) -> None:
    car = mounted() if side == "left" else mirror(mounted())
    assert car.coilover is not None
    assert car.top_mount is not None
    x, y, z = car.points[car.coilover.top.point]
    part = named(car)["top mount"]
    assert part.kind == "tower"
    assert gap(part, x + 36.0, y, z) == pytest.approx(10.0, abs=0.03)  # beside the housing
    surface = z - car.top_mount.bearing_above
    assert gap(part, x + 40.0, y, surface + 5.0) == pytest.approx(5.0, abs=0.03)
    assert gap(part, x + 60.0, y, surface - 3.0) == pytest.approx(5.0, abs=0.03)
    assert gap(part, x, y + 57.0, surface - 3.0) == pytest.approx(7.0, abs=0.03)
    assert gap(part, x + 40.0, y, surface - 8.0) == pytest.approx(2.0, abs=0.03)


def test_a_plates_bolts_stand_evenly_round_their_circle() -> None:
    """Three on 90 mm, 120 degrees apart, none straight ahead."""
    plate = MountPlate(120.0, 100.0, 6.0, bolts=3, bolt_circle=90.0)
    circle = bolt_places(plate)
    assert np.hypot(*circle.T) == pytest.approx(45.0)
    turn = np.degrees(np.arctan2(circle[:, 1], circle[:, 0])) % 360.0
    assert turn == pytest.approx([60.0, 180.0, 300.0])
    assert len(bolt_places(MountPlate(120.0, 100.0, 6.0))) == 0


def test_the_stack_is_told_from_the_plates_surface() -> None:
    car = mounted()
    assert car.coilover is not None
    assert car.coilover.spring is not None
    assert car.top_mount is not None
    heights = stack_heights(car)
    assert heights["bearing centre"] - heights["plate surface"] == car.top_mount.bearing_above
    assert heights["shaft shoulder"] == -9.0
    assert heights["top hat"] == -car.coilover.spring.end_from_top
    (fact,) = stack_facts(car)
    words = say_fact(fact)
    assert "below the top mount's plate" in words
    assert "Its slots still let it go 6 mm forward, 14 mm rearward, 6 mm inboard" in words
    assert stack_facts(project(TROUBLE)) == []


def test_slots_say_how_far_it_can_still_go() -> None:
    car = mounted()
    assert slot_range(car.top_mount) == ((-14.0, 6.0), (-6.0, 6.0))
    assert slot_range(None) is None
    for side in (car, mirror(car)):
        inboard = -3.0 if side.side == "left" else 3.0
        slid = move_top(side, 5.0, inboard, 0.0, with_tower=False)
        assert slot_range(slid.top_mount) == ((-19.0, 1.0), (-9.0, 3.0))
        whole = move_top(side, 5.0, inboard, 0.0, with_tower=True)
        assert slot_range(whole.top_mount) == ((-14.0, 6.0), (-6.0, 6.0))
    out = move_top(car, 9.0, 0.0, 0.0, with_tower=False)
    assert any(p.startswith("top_mount.plate.set_forward: 13 mm") for p in problems_of(out))


def test_a_plate_that_floats_above_the_tower_is_worth_a_second_look() -> None:
    car = mounted()
    assert not [c for c in cautions_of(car) if c.startswith("top_mount")]
    assert car.top_mount is not None
    off = replace(car, top_mount=replace(car.top_mount, bearing_above=30.0))
    assert [c for c in cautions_of(off) if c.startswith("top_mount: its plate's upper surface")]


def test_lips_gussets_and_sheets_are_as_described() -> None:
    for car in (mounted(), mirror(mounted())):
        tower, out = car.tower, outboard(car)
        assert tower is not None
        found = lips(tower, out)
        assert set(found) == {"outer", "front", "inner"}
        least, most = found["front"]
        assert (least[0], most[0]) == (tower.front, tower.front + 18.0)
        assert (least[2], most[2]) == (600.0, 605.0)
        least, most = found["inner"]
        across = sorted(abs(v) for v in (least[1], most[1]))
        assert across == pytest.approx([tower.inner, tower.inner + 15.0])  # folded outboard
        least, most = panels(tower, out)["inner panel"]
        assert most[1] - least[1] == pytest.approx(2.0)
        first, second = gussets(tower, out)
        xyz = first[0]
        assert np.ptp(xyz[:, 0]) == pytest.approx(4.0)
        assert xyz[:, 0].mean() == pytest.approx(60.0)
        span = sorted(abs(xyz[:, 1]))
        assert span[0] == pytest.approx(tower.outer)
        assert span[-1] == pytest.approx(tower.outer + 40.0)
        assert np.ptp(xyz[:, 2]) == pytest.approx(50.0)
        assert sorted(abs(second[0][:, 1]))[0] == pytest.approx(tower.inner + 2.0)
        whole = named(car)
        assert gap(whole["tower"], 60.0, out * (tower.outer + 20.0), 585.0) < 0.0
        assert gap(whole["tower lip"], tower.front + 10.0, out * 520.0, 602.5) < 0.0


def test_bends_run_along_the_outer_corners() -> None:
    car = mounted()
    assert car.tower is not None
    found = {bend.between: bend for bend in bends(car.tower, 1.0)}
    assert {("top", "outer"), ("top", "front"), ("outer", "outer lip")} <= set(found)
    line = found["top", "outer"].line
    assert line[:, 1] == pytest.approx(car.tower.outer)
    assert line[:, 2] == pytest.approx(car.tower.top)
    assert found["front", "front lip"].thickness == 5.0
    assert found["top", "outer"].radius == car.tower.thickness
    sharp = replace(car.tower, bend_radius=1.0)
    assert {bend.radius for bend in bends(sharp, 1.0)} == {1.0}


def test_it_is_written_read_and_drawn_as_it_is() -> None:
    car = mounted()
    assert loads(dumps(car)) == car
    assert problems_of(car) == []
    solids = named(car)
    placed = place(car, move(corner(car), np.array([0.0]), [0.0]))
    for skin in skins(car):
        if skin.part not in ("top mount", "tower", "tower lip"):
            continue
        mesh = trimesh.Trimesh(skin.vertices.astype(float), skin.faces, process=False)
        assert all(m.is_watertight and m.volume > 0 for m in mesh.split(only_watertight=False))
        at = skin.vertices @ placed[skin.name].rotation[0].T + placed[skin.name].origin[0]
        assert depth_outside(at, solids[skin.part], 0).max() < 0.02
        assert skin.checked


def test_a_gusset_needs_its_panel() -> None:
    car = mounted()
    assert car.tower is not None
    bare = replace(car.tower, inner_down_to=None, inner_lip=0.0)
    assert problems_of(replace(car, tower=bare)) == [
        "tower.gussets[1].on: the tower has no inner panel."
    ]


def test_moving_the_tower_takes_its_gussets_along() -> None:
    car = mounted()
    assert car.tower is not None
    moved = move_top(car, 7.0, -5.0, 3.0, with_tower=True).tower
    assert moved is not None
    old, new = (list(gussets(t, 1.0)) for t in (car.tower, moved))
    for (was, _), (now, _) in zip(old, new, strict=True):
        np.testing.assert_allclose(now - was, [[7.0, -5.0, 3.0]] * len(was), atol=1e-9)


def test_the_mount_slides_with_the_top_over_a_tower_that_stays() -> None:
    """The map of places, with the tower left behind, against the mount moved for good."""
    wide = replace(PLATE, width=230.0, length=160.0)
    car = mounted()
    assert car.top_mount is not None
    car = replace(car, top_mount=replace(car.top_mount, bearing_above=40.0, plate=wide))
    plan = top_map(set_up(car), [0.0, 5.0], [0.0], with_tower=False)
    for k, across in enumerate((0.0, 5.0)):
        moved = set_up(move_top(car, 0.0, across, 0.0, with_tower=False))
        inside = (plan.travels > moved.range[0]) & (plan.travels < moved.range[1])
        travel = np.sort(np.concatenate([plan.travels[inside], moved.range]))
        checked = look(moved, travel, np.zeros(1))
        pair = int(plan.clearance_pair[0, k])
        assert set(moved.names[pair]) == {"tyre", "top mount"}
        low = float(np.nanmin(checked.clearances.low[pair]))
        assert plan.clearance[0, k] == pytest.approx(low, abs=0.03)
    assert plan.clearance[0, 1] < plan.clearance[0, 0] - 3.0
