"""Corners of boxes and panels, gussets and wheel arches: what a pull makes of them."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.errors import ProjectError
from kinematics.project import files
from kinematics.project.arch_grips import arch_way, pull_arch
from kinematics.project.fitted import add_fitting
from kinematics.project.grips import corners_of, edges_of
from kinematics.project.mirror import mirror
from kinematics.project.model import Gusset, Project
from kinematics.project.pulls import Edge
from kinematics.project.tower_grips import gusset_at, gusset_line, gusset_way, pull_gusset
from kinematics.shapes.fabricated import arch as arch_pieces
from kinematics.shapes.folds import gussets

TROUBLE = Path(__file__).parents[2] / "assets" / "examples" / "rear-in-trouble.corner.json"
GUSSETS = (
    Gusset(on="outer", at=90.0, height=60.0, depth=40.0),
    Gusset(on="front", at=520.0, height=50.0, depth=30.0, foot=580.0, inside=True),
)


@pytest.fixture(scope="module")
def corner() -> Project:
    project = files.read(TROUBLE)
    tower = msgspec.structs.replace(project.tower, gussets=GUSSETS)
    return msgspec.structs.replace(project, tower=tower)


@pytest.fixture(scope="module", params=["left", "right"])
def either(request: pytest.FixtureRequest, corner: Project) -> Project:
    return corner if request.param == "left" else mirror(corner)


def named(project: Project, part: str, word: str) -> Edge:
    return next(e for e in edges_of(project, part) if word in e.name)


def test_a_corner_of_a_box_takes_its_three_faces_along(either: Project) -> None:
    before = either.parts["chassis rail"]
    corners = corners_of(either, "chassis rail")
    assert len({c.name for c in corners}) == 8
    far = next(c for c in corners if c.name.startswith("upper front outer"))
    out = 1.0 if either.side == "left" else -1.0
    assert far.at[0] == before.most[0]
    assert abs(far.at[1]) == max(abs(before.least[1]), abs(before.most[1]))
    move = np.array([5.0, 3.0 * out, -2.0])
    after = far.pull(either, move).parts["chassis rail"]
    changed = np.abs(np.subtract([after.least, after.most], [before.least, before.most])).sum(0)
    assert np.allclose(changed, np.abs(move))
    now = next(c for c in corners_of(far.pull(either, move), "chassis rail") if c.name == far.name)
    assert np.allclose(now.at - far.at, move)
    assert np.allclose(now.line[1], now.at)
    with pytest.raises(ProjectError, match="thinner"):
        far.pull(either, np.array([0.0, 0.0, -500.0]))


def test_a_corner_of_a_foot_moves_its_foot_and_the_panel_beside_it(either: Project) -> None:
    out = 1.0 if either.side == "left" else -1.0
    corners = {c.name: c for c in corners_of(either, "tower")}
    foot = corners["front corner of the outer panel's foot"]
    tower = either.tower
    assert np.allclose(foot.at, (tower.front, out * tower.outer, tower.outer_down_to))
    made = foot.pull(either, np.array([4.0, 0.0, -6.0])).tower
    assert (made.front, made.outer_down_to) == (tower.front + 4.0, tower.outer_down_to - 6.0)
    assert msgspec.structs.replace(made, front=tower.front, outer_down_to=tower.outer_down_to) == (
        tower
    )
    fold = corners["rear corner of the outer panel's fold"]
    assert np.allclose(fold.at[1], out * (tower.outer + tower.lip))
    made = fold.pull(either, np.array([-4.0, out * 6.0, 0.0])).tower
    assert (made.rear, made.lip) == (tower.rear - 4.0, tower.lip + 6.0)
    with pytest.raises(ProjectError, match="no height"):
        foot.pull(either, np.array([0.0, 0.0, 200.0]))
    # Each stays in its panel: what is square to it leaves it as it is.
    for held in corners.values():
        assert held.pull(either, 9.0 * held.normal).tower == tower


def test_gussets_stand_where_they_are_built_and_go_where_they_are_pulled(either: Project) -> None:
    out = 1.0 if either.side == "left" else -1.0
    for k, (solid, _) in enumerate(gussets(either.tower, out)):
        line = gusset_line(either, k)
        middle = line[:3].mean(axis=0)
        assert np.allclose(middle, solid.mean(axis=0))
        on = middle + 1.4 * gusset_way(either, k)  # half its thickness is 1.5
        assert gusset_at(either, on) == k
        assert gusset_at(either, on + 10.0 * gusset_way(either, k)) is None
        moved = pull_gusset(either, k, 7.0)
        assert np.allclose(gusset_line(moved, k) - line, 7.0 * gusset_way(either, k))


@pytest.mark.parametrize(("word", "entry"), [("top", "height"), ("tip", "depth")])
def test_a_gussets_tips_go_one_way_each(either: Project, word: str, entry: str) -> None:
    for k, side in enumerate(("outer", "front")):
        tip = named(either, "tower", f"{word} of the gusset on the tower's {side}")
        made = tip.pull(either, 8.0)
        size = getattr(either.tower.gussets[k], entry)
        assert getattr(made.tower.gussets[k], entry) == size + 8.0
        now = named(made, "tower", tip.name)
        assert np.allclose(now.ends - tip.ends, 8.0 * tip.way)
        with pytest.raises(ProjectError, match="nothing left"):
            tip.pull(either, -size)


def test_a_gussets_level_edge_leaves_its_top_where_it_is(either: Project) -> None:
    for side in ("outer", "front"):
        low = named(either, "tower", f"level edge of the gusset on the tower's {side}")
        top = named(either, "tower", f"top of the gusset on the tower's {side}")
        made = low.pull(either, 5.0)
        assert np.allclose(named(made, "tower", low.name).ends - low.ends, (0.0, 0.0, 5.0))
        assert np.allclose(named(made, "tower", top.name).ends, top.ends)


@pytest.fixture(scope="module")
def arched(either: Project) -> tuple[Project, str]:
    return add_fitting(either, "arch")


def test_an_archs_edges_are_those_it_is_built_with(arched: tuple[Project, str]) -> None:
    project, name = arched
    arch = project.parts[name]
    built = np.vstack([piece.hull for piece in arch_pieces(arch, project, "chassis")])
    middle = np.array(project.points[arch.centre])
    edges = edges_of(project, name)
    for word, radius, y in (
        ("outer edge", arch.radius, np.abs(built[:, 1]).max()),
        ("inner edge", arch.radius, np.abs(built[:, 1]).min()),
        ("lip", np.hypot(*(built - middle)[:, ::2].T).min(), np.abs(built[:, 1]).max()),
    ):
        line = next(e.line for e in edges if e.name.startswith(word))
        assert np.allclose(np.abs(line[:, 1]), y)
        assert np.allclose(np.hypot(*(line - middle)[:, ::2].T), radius)
    ends = np.array([e.ends for e in edges if "end of" in e.name])
    assert np.allclose(ends[:, :, 2], built[:, 2].min())  # it spans half a turn


def test_an_archs_edges_are_pulled_square_to_themselves(arched: tuple[Project, str]) -> None:
    project, name = arched
    arch = project.parts[name]
    for word, entry, by, wanted in (
        ("outer edge", "outer", 6.0, arch.outer + 6.0),
        ("inner edge", "inner", 6.0, arch.inner - 6.0),
        ("lip", "lip", 4.0, arch.lip + 4.0),
        ("first end", "from_deg", 20.0, arch.from_deg - np.degrees(20.0 / arch.radius)),
        ("last end", "to_deg", -20.0, arch.to_deg - np.degrees(20.0 / arch.radius)),
    ):
        edge = named(project, name, word)
        made = edge.pull(project, by)
        assert getattr(made.parts[name], entry) == pytest.approx(wanted, abs=1e-3)
        now = named(made, name, word)
        # An end goes round and a lip is rolled: met to the height of the arc between.
        tolerance = 1e-9 if "edge" in word else 0.02 if word == "lip" else by**2 / arch.radius
        assert (now.ends - edge.ends).mean(axis=0) @ edge.way == pytest.approx(by, abs=tolerance)
    for word, by in (("outer edge", -900.0), ("lip", -90.0), ("last end", 4000.0)):
        with pytest.raises(ProjectError):
            named(project, name, word).pull(project, by)


def test_an_arch_is_rolled_larger_where_its_round_is_pulled(arched: tuple[Project, str]) -> None:
    project, name = arched
    arch = project.parts[name]
    place = project.points[arch.centre] + np.array([0.0, 10.0, arch.radius])
    assert np.allclose(arch_way(project, arch, place), (0.0, 0.0, 1.0))
    assert arch_way(project, arch, place - (0.0, 0.0, 8.0)) is None
    assert pull_arch(project, name, 5.0).parts[name].radius == arch.radius + 5.0
    with pytest.raises(ProjectError, match="no round"):
        pull_arch(project, name, -arch.radius)
