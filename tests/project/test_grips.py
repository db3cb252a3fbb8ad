"""Edges and brackets in the hand: what moves, what goes along, and what is refused."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.errors import ProjectError
from kinematics.project import files
from kinematics.project.furnish import add_part
from kinematics.project.grips import (
    bolted_to,
    corners_of,
    edges_of,
    middle_of,
    move_bracket,
    normal_of,
)
from kinematics.project.mirror import mirror
from kinematics.project.model import Project

TROUBLE = Path(__file__).parents[2] / "assets" / "examples" / "rear-in-trouble.corner.json"


@pytest.fixture(scope="module")
def corner() -> Project:
    return files.read(TROUBLE)


def test_a_bracket_takes_the_link_end_bolted_to_it_along(corner: Project) -> None:
    assert bolted_to(corner, "radius arm bracket") == ("radius arm ball",)
    moved = move_bracket(corner, "radius arm bracket", (5.0, -3.0, 2.0))
    shift = np.subtract(moved.points["radius arm ball"], corner.points["radius arm ball"])
    assert np.allclose(shift, (5.0, -3.0, 2.0))
    middles = [middle_of(p, "radius arm bracket") for p in (moved, corner)]
    assert np.allclose(middles[0] - middles[1], (5.0, -3.0, 2.0))
    same = {n for n in corner.points if moved.points[n] == corner.points[n]}
    assert same == set(corner.points) - {"radius arm ball"}
    assert bolted_to(corner, "hub") == ()
    with pytest.raises(ProjectError, match="stands on named points"):
        move_bracket(corner, "hub", (1.0, 0.0, 0.0))


def test_a_foot_and_a_fold_of_the_tower_are_pulled(corner: Project) -> None:
    edges = {e.entry[-1]: e for e in edges_of(corner, "tower")}
    assert {"outer_down_to", "lip"} <= set(edges)
    tower = corner.tower
    foot = edges["outer_down_to"]
    assert np.allclose(foot.ends[:, 2], tower.outer_down_to)
    assert np.allclose(edges["lip"].ends[:, 1], tower.outer + tower.lip)
    lower = foot.pull(corner, -7.0)
    assert lower.tower.outer_down_to == tower.outer_down_to - 7.0
    wider = edges["lip"].pull(corner, 4.0)
    assert wider.tower.lip == tower.lip + 4.0
    with pytest.raises(ProjectError, match="no height"):
        foot.pull(corner, 500.0)


def test_on_the_right_a_fold_is_pulled_the_other_way(corner: Project) -> None:
    left = {e.entry[-1]: e for e in edges_of(corner, "tower")}
    right = {e.entry[-1]: e for e in edges_of(mirror(corner), "tower")}
    for entry, edge in left.items():
        other = right[entry]
        assert np.allclose(edge.ends * (1, -1, 1), other.ends)
        assert np.allclose(edge.way * (1, -1, 1), other.way)


def test_an_edge_of_a_plate_takes_its_two_corners_outward(corner: Project) -> None:
    project, name = add_part(corner, "plate")
    plate = project.parts[name]
    edges = edges_of(project, name)
    assert len(edges) == len(plate.outline)
    middle = middle_of(project, name)
    for edge in edges:
        assert np.linalg.norm(edge.way) == pytest.approx(1.0)
        assert edge.way @ normal_of(plate) == pytest.approx(0.0)
        assert (edge.ends.mean(0) - middle) @ edge.way > 0  # outward
    wider = edges[0].pull(project, 10.0).parts[name]
    moved = np.subtract(wider.outline, plate.outline)
    assert np.allclose(moved[:2], 10.0 * edges[0].way)
    assert np.allclose(moved[2:], 0.0)
    with pytest.raises(ProjectError, match="inside out"):
        edges[0].pull(project, -99.5)
    assert edges_of(project, "chassis rail") == ()


def test_bolted_to_a_slanting_plate_is_near_it_and_of_its_own_body(corner: Project) -> None:
    project, name = add_part(corner, "plate")
    inner = np.array(project.points["upper link inner"])
    outline = tuple(
        tuple(map(float, inner + at)) for at in ((0, 0, 0), (90, 0, 90), (90, 80, 90), (0, 80, 0))
    )
    parts = {**project.parts, name: msgspec.structs.replace(project.parts[name], outline=outline)}
    above = {
        **project.points,
        "lower link inner": tuple(map(float, inner + np.array((30, 40, 75)))),
    }
    project = msgspec.structs.replace(project, parts=parts, points=above)
    assert bolted_to(project, name) == ("upper link inner",)  # the other is in its box, not on it
    on = {**project.points, "upper link outer": tuple(map(float, inner + np.array((45, 40, 45))))}
    project = msgspec.structs.replace(project, points=on)
    assert bolted_to(project, name) == ("upper link inner",)  # what moves is not bolted to it


def test_what_is_pulled_is_what_is_built(corner: Project) -> None:
    """The lip's piece reaches to the fold's edge, as drawn and as checked."""
    from kinematics.motion import corner as assemble
    from kinematics.motion import move
    from kinematics.project.unfold import unfold
    from kinematics.shapes.skins import Dresser

    lip = next(e for e in edges_of(corner, "tower") if e.entry[-1] == "lip")
    for project, reach in (
        (corner, lip.ends[0, 1]),
        (lip.pull(corner, 6.0), lip.ends[0, 1] + 6),
    ):
        dresser = Dresser(project, None)
        placed = dresser.place(move(assemble(unfold(project)), np.zeros(1), np.zeros(1)))
        skin = next(s for s in dresser.skins if s.part == "tower lip")
        at = placed[skin.name]
        y = skin.vertices.astype(float) @ at.rotation[0].T + at.origin[0]
        assert y[:, 1].max() == pytest.approx(reach, abs=0.01)


def test_a_corner_of_a_plate_stays_in_its_plane(corner: Project) -> None:
    project, name = add_part(corner, "plate")
    plate = project.parts[name]
    corners = corners_of(project, name)
    assert [c.entry[3] for c in corners] == [0, 1, 2, 3]
    moved = corners[1].pull(project, np.array([7.0, 5.0, -3.0])).parts[name]
    shift = np.subtract(moved.outline, plate.outline)
    assert np.allclose(shift[1], (7.0, 0.0, -3.0))  # the plate stands along the car
    assert not shift[[0, 2, 3]].any()
    assert moved.thickness == plate.thickness
    assert corners_of(project, "hub") == ()


@pytest.mark.parametrize(
    "move",
    [(-120.0, 0.0, 120.0), (-100.0, 0.0, 0.0), (-50.0, 0.0, 100.0), (0.0, 0.0, 100.0)],
    ids=["through the other side", "onto a corner", "onto a side", "onto the next corner"],
)
def test_a_corner_is_not_pulled_through_its_plate(
    corner: Project, move: tuple[float, float, float]
) -> None:
    project, name = add_part(corner, "plate")
    with pytest.raises(ProjectError, match="cross itself"):
        corners_of(project, name)[1].pull(project, np.array(move))


def test_a_notched_plate_whose_sides_lie_in_one_line_may_be_pulled(corner: Project) -> None:
    """A step in a plate leaves two sides in one line that never meet."""
    project, name = add_part(corner, "plate")
    flat = ((0, 0), (30, 0), (30, 20), (60, 20), (60, 0), (90, 0), (90, 60), (0, 60))
    outline = tuple((float(x), 400.0, float(z)) for x, z in flat)
    parts = {**project.parts, name: msgspec.structs.replace(project.parts[name], outline=outline)}
    project = msgspec.structs.replace(project, parts=parts)
    corners = corners_of(project, name)
    made = corners[6].pull(project, np.array([0.0, 0.0, 15.0]))
    assert made.parts[name].outline[6] == (90.0, 400.0, 75.0)
    with pytest.raises(ProjectError, match="cross itself"):
        corners[2].pull(project, np.array([40.0, 0.0, 0.0]))


def test_a_corner_of_the_tower_takes_two_faces_along(corner: Project) -> None:
    for project, out in ((corner, 1.0), (mirror(corner), -1.0)):
        tower = project.tower
        outer = next(c for c in corners_of(project, "tower") if "front outer" in c.name)
        assert np.allclose(outer.at, (tower.front, out * tower.outer, tower.top))
        made = outer.pull(project, np.array([6.0, 4.0 * out, 9.0])).tower
        assert (made.front, made.outer) == (tower.front + 6.0, tower.outer + 4.0)
        assert (made.rear, made.inner, made.top) == (tower.rear, tower.inner, tower.top)
