"""Parts and links added, copied and taken away, on every shipped corner."""

from __future__ import annotations

from pathlib import Path

import pytest

from kinematics.errors import ProjectError
from kinematics.project.files import dumps, loads, read
from kinematics.project.furnish import (
    KINDS,
    STEP,
    add_part,
    add_scan,
    copy_entry,
    free_name,
    move_face,
    move_part,
    move_tower_face,
    remove_entry,
)
from kinematics.project.mirror import mirror
from kinematics.project.model import Box, Project
from kinematics.project.unfold import unfold

FOLDER = Path(__file__).parents[2] / "assets" / "examples"
EXAMPLES = sorted(FOLDER.glob("*.corner.json"))


@pytest.fixture
def trouble() -> Project:
    return read(FOLDER / "rear-in-trouble.corner.json")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.name.split(".")[0])
def test_added_is_sound_and_taken_away_leaves_nothing(path: Path, kind: str) -> None:
    before = read(path)
    after, name = add_part(before, kind)
    assert loads(dumps(after)) == after
    group = "links" if kind == "link" else "parts"
    assert name in getattr(after, group)
    assert remove_entry(after, group, name) == before


def test_a_copy_stands_above_on_its_own_points(trouble: Project) -> None:
    for name in trouble.parts:
        after, new = copy_entry(trouble, "parts", name)
        assert new == f"{name} 2"
        assert loads(dumps(after)) == after
        assert remove_entry(after, "parts", new) == trouble
        assert (
            not set(after.points) & (set(after.points) - set(trouble.points)) & set(trouble.points)
        )
    rail = trouble.parts["chassis rail"]
    after, new = copy_entry(trouble, "parts", "chassis rail")
    copied = after.parts[new]
    assert isinstance(rail, Box)
    assert isinstance(copied, Box)
    assert copied.least == (rail.least[0], rail.least[1], rail.least[2] + 40)


def test_what_the_arrangement_brings_must_be_taken_apart_first(trouble: Project) -> None:
    with pytest.raises(ProjectError, match="take the arrangement apart"):
        remove_entry(trouble, "links", "upper link")
    apart = unfold(trouble)
    assert "upper link" not in remove_entry(apart, "links", "upper link").links


def test_a_point_in_use_elsewhere_stays(trouble: Project) -> None:
    apart = unfold(trouble)
    after, name = copy_entry(apart, "links", "upper link")
    inner = apart.links["upper link"].inner.point
    assert inner in remove_entry(after, "links", name).points


def test_names_run_on() -> None:
    assert free_name(["a", "a 2"], "a") == "a 3"
    assert free_name([], "a") == "a"


def test_an_unknown_kind_is_named(trouble: Project) -> None:
    with pytest.raises(ProjectError, match="no part of kind"):
        add_part(trouble, "spoiler")


def test_faces_and_boxes_move(trouble: Project) -> None:
    rail = trouble.parts["chassis rail"]
    assert isinstance(rail, Box)
    wider = move_face(trouble, "chassis rail", 1, 1, 12.0).parts["chassis rail"]
    assert isinstance(wider, Box)
    assert wider.most[1] == rail.most[1] + 12
    assert wider.least == rail.least
    moved = move_part(trouble, "chassis rail", (1.0, 2.0, 3.0)).parts["chassis rail"]
    assert isinstance(moved, Box)
    assert moved.least == tuple(a + b for a, b in zip(rail.least, (1, 2, 3), strict=True))
    with pytest.raises(ProjectError, match="thinner"):
        move_face(trouble, "chassis rail", 2, 1, -1000.0)


def test_a_scan_is_named_after_its_file(trouble: Project) -> None:
    after, name = add_scan(trouble, "fuel tank.stl", "mm")
    assert name == "fuel tank"
    assert after.parts[name].file == "fuel tank.stl"  # type: ignore[union-attr]


def test_a_scan_is_moved_and_its_copy_stands_above(trouble: Project) -> None:
    made, name = add_scan(trouble, "tank.stl", "mm")
    moved = move_part(made, name, (1.0, 2.0, 3.0))
    after, copy = copy_entry(moved, "parts", name)
    assert moved.parts[name].move == (1.0, 2.0, 3.0)  # type: ignore[union-attr]
    assert after.parts[copy].move == (1.0, 2.0, 3.0 + STEP)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("axis", "side", "name", "step"),
    [(0, 1, "front", 5.0), (0, -1, "rear", 5.0), (1, 1, "outer", 5.0), (1, -1, "inner", 5.0),
     (2, 1, "top", 5.0)],
)  # fmt: skip
def test_a_tower_face_moves_alone(
    trouble: Project, axis: int, side: int, name: str, step: float
) -> None:
    after = move_tower_face(trouble, axis, side, 5.0).tower
    assert after is not None
    assert getattr(after, name) == getattr(trouble.tower, name) + step
    others = {f: getattr(after, f) for f in after.__struct_fields__ if f != name}
    assert others == {f: getattr(trouble.tower, f) for f in others}


def test_a_tower_face_on_the_right_goes_the_other_way(trouble: Project) -> None:
    other = mirror(trouble)
    assert mirror(move_tower_face(other, 1, -1, -5.0)) == move_tower_face(trouble, 1, 1, 5.0)


def test_a_tower_stays_open_below_and_keeps_room(trouble: Project) -> None:
    with pytest.raises(ProjectError, match="open below"):
        move_tower_face(trouble, 2, -1, 5.0)
    with pytest.raises(ProjectError, match="no room"):
        move_tower_face(trouble, 0, 1, -1000.0)
