"""An upright's solid: where its numbers put it, what it is checked against, and its twin."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from msgspec.structs import replace

from kinematics.clearance import Joint, clearances, distance
from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.project.checks import problems_of
from kinematics.project.files import dumps, loads
from kinematics.project.fitted import add_fitting
from kinematics.project.mirror import mirror
from kinematics.project.model import Disc, Project, Upright
from kinematics.project.rename import rename_point
from kinematics.project.unfold import unfold
from kinematics.shapes.brakes import disc_middle, hub_face
from kinematics.shapes.build import parts
from kinematics.shapes.pairs import Pairs, pairs
from kinematics.shapes.pieces import Part, point
from kinematics.shapes.skins import skins
from kinematics.shapes.upright import ends_of
from kinematics.shapes.wheel import axis
from tests.shapes.corners import TROUBLE, project

SPEC = Upright(80.0, 40.0, 42.0, 16.0, 24.0, 44.0)


@cache
def car(spec: Upright = SPEC) -> Project:
    bare = project(TROUBLE)
    return replace(bare, parts={**bare.parts, "knuckle": spec, "brake disc": Disc(260.0, 20.0)})


def built(which: Project) -> tuple[dict[str, Part], Pairs]:
    found = parts(which, move(corner(which), np.array([0.0]), [0.0]))
    return {part.name: part for part in found}, pairs(which, found)


def gap(part: Part, xyz: np.ndarray) -> float:
    return min(float(distance(piece, point(xyz)).low[0]) for piece in part.pieces)


def test_its_carrier_is_where_callipers_read_it() -> None:
    made = built(car())[0]["knuckle"]
    n, face = axis(car()), hub_face(car())
    assert gap(made, face - 37.0 * n) == pytest.approx(5.0, abs=0.03)
    one = np.cross(n, [0.0, 0.6, 0.8])
    one /= np.linalg.norm(one)
    turns = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    beside = [np.cos(t) * one + np.sin(t) * np.cross(n, one) for t in turns]
    gaps = [gap(made, face - 62.0 * n + 49.0 * way) for way in beside]
    assert gaps == pytest.approx([9.0] * 24, abs=0.03)


def test_every_joint_on_its_body_ends_a_web_and_has_its_width() -> None:
    whole = unfold(car())
    made, names = built(car())[0]["knuckle"], ends_of(SPEC, whole)
    held = {e.point for link in whole.links.values() for e in (link.inner, link.outer)
            if e.body == whole.wheel.body}  # fmt: skip
    assert held <= set(names)
    n, face = axis(whole), hub_face(whole)
    for name in names:
        at = np.array(whole.points[name])
        root = face + np.clip((at - face) @ n, -74.0, -50.0) * n
        way = (at - root) / np.linalg.norm(at - root)
        thin = n - (n @ way) * way
        thin /= np.linalg.norm(thin)
        web = [p for p in made.pieces[1:] if distance(p, point(at)).low[0] < 0.03]
        assert web, name
        assert gap(made, at + 7.0 * way) == pytest.approx(7.0, abs=0.5), name
        across = np.cross(way, thin)
        least = min(distance(p, point(at + 20.0 * across)).low[0] for p in web)
        assert least == pytest.approx(8.0, abs=0.6), name
        least = min(distance(p, point(at - way + 14.0 * thin)).low[0] for p in web)
        assert least == pytest.approx(6.0, abs=0.1), name
        least = min(distance(p, point(at - 30.0 * way)).low[0] for p in web)
        assert least == pytest.approx(-8.0, abs=0.1), name
    assert "radius arm ball" not in names  # its own tube reaches it


def test_webs_run_to_named_points_alone() -> None:
    name = ends_of(SPEC, unfold(car()))[0]
    one = car(replace(SPEC, points=(name,)))
    assert len(built(one)[0]["knuckle"].pieces) == 2
    other = rename_point(one, name, "another name")
    assert other.parts["knuckle"].points == ("another name",)  # type: ignore[union-attr]


def test_it_is_checked_against_wheel_tyre_disc_and_structure() -> None:
    made, chosen = built(car())
    names = list(made)
    met = {names[i if names[j] == "knuckle" else j] for i, j in chosen.checked
           if "knuckle" in (names[i], names[j])}  # fmt: skip
    assert {"tyre", "wheel", "brake disc", "tower", "spring"} <= met
    at = [b for b in chosen.joints if {names[b.a], names[b.b]} == {"knuckle", "brake disc"}]
    assert [b.radius for b in at] == [pytest.approx(52.0)]
    np.testing.assert_allclose(at[0].at.xyz, disc_middle(Disc(260.0, 20.0), car()))


def beside_the_disc(spec: Upright) -> float:
    which = car(spec)
    here = move(corner(which), np.array([0.0]), [0.0])
    made, chosen = list(built(which)[0].values()), built(which)[1]
    names = [part.name for part in made]
    pair = names.index("knuckle"), names.index("brake disc")
    held = [
        Joint(ball.a, ball.b, centre, ball.radius)
        for ball, centre in zip(chosen.joints, chosen.centres(here), strict=True)
        if {ball.a, ball.b} == set(pair)
    ]
    return float(clearances(made, [pair], joints=held).low[0, 0, 0])


def test_a_disc_that_turns_in_a_web_is_told_and_a_hub_through_it_is_not() -> None:
    """The disc is 20 mm thick from the hub's face: webs 16 mm thick about the carrier's middle
    keep off it, webs 60 mm thick don't."""
    assert beside_the_disc(SPEC) > 5.0
    assert beside_the_disc(replace(SPEC, inboard=0.0, depth=82.0)) > 5.0
    assert beside_the_disc(replace(SPEC, inboard=0.0, depth=82.0, thickness=80.0)) < 0.0


def test_it_is_written_read_and_mirrored() -> None:
    assert problems_of(car()) == []
    assert loads(dumps(car())) == car()
    twin = mirror(car())
    assert mirror(twin) == car()
    here, there = built(car())[0]["knuckle"], built(twin)[0]["knuckle"]
    rng = np.random.default_rng(7)
    for at in hub_face(car()) + rng.normal(size=(20, 3)) * 90:
        other = at * np.array([1.0, -1.0, 1.0])
        assert gap(here, at) == pytest.approx(gap(there, other), abs=0.03)


def test_it_takes_the_place_of_the_upright_that_is_only_drawn() -> None:
    assert any(s.name == "upright" and not s.checked for s in skins(project(TROUBLE)))
    drawn = {s.name: s for s in skins(car())}
    assert "upright" not in drawn
    assert drawn["knuckle"].checked


def test_one_can_be_added_and_must_be_on_the_wheels_carrier() -> None:
    made, name = add_fitting(project(TROUBLE), "upright")
    assert problems_of(made) == []
    wrong = replace(made, parts={**made.parts, name: replace(SPEC, body="chassis")})
    assert any("wheel's carrier" in line for line in problems_of(wrong))
