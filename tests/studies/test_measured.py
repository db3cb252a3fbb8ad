"""What measuring leaves open in a clearance: against exact rates, and against trying it out."""

from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.clearance import clearances
from kinematics.findings.words import say
from kinematics.measures.sensitivity import sensitivity
from kinematics.motion import corner, move
from kinematics.motion.sensitivity import dimensions
from kinematics.project.files import read
from kinematics.project.unfold import unfold
from kinematics.shapes.build import Builder
from kinematics.shapes.pieces import Part
from kinematics.studies.measured import (
    Spot,
    clearance_slopes,
    cost_of_moving,
    doubts,
    effect_of,
    hung_on,
    measured,
)
from kinematics.studies.study import Study, study
from tests.shapes.whole import whole

EXAMPLE = Path(__file__).parents[2] / "assets" / "examples" / "rear-in-trouble.corner.json"


@pytest.fixture(scope="module")
def done() -> Study:
    return study(read(EXAMPLE), travel=np.linspace(-80, 80, 17))


def spot(done: Study, one: str, other: str, travel: float) -> Spot:
    pair = next(p for p, names in enumerate(done.names) if set(names) == {one, other})
    return Spot(pair, travel, 0.0)


def test_a_rigid_parts_clearance_changes_as_its_body_moves(done: Study) -> None:
    """Tyre to lip: the lip stands still, so the rate is the contact's, along the line between."""
    at = spot(done, "tyre", "tower lip", -60.0)
    motion = move(done.linkage, [-60.0])
    dims = dimensions(done.linkage, ["radius arm ball", "upper link inner", "lower link inner"])
    parts = done.setting.builder(motion)
    found = clearances(parts, [done.setting.pairs.checked[at.pair]], tol=1e-4)
    a, b = found.point_a[0, 0, 0], found.point_b[0, 0, 0]
    tyre_first = parts[done.setting.pairs.checked[at.pair][0]].kind == "tyre"
    contact = a if tyre_first else b
    away = (a - b) / np.linalg.norm(a - b) * (1.0 if tyre_first else -1.0)
    k = motion.number("upright")
    back = motion.flat_rotation[k, :, :, 0].T @ (contact - motion.flat_position[k, :, 0])
    rates = sensitivity(done.project, motion, [str(d) for d in dims])
    exact = rates.shift("upright", back)[:, 0, 0] @ away
    slopes = clearance_slopes(done.setting, dims, [at])[0]
    assert slopes == pytest.approx(exact, abs=0.01)
    assert np.abs(exact).max() > 0.05


def test_the_doubt_is_the_spread_of_corners_drawn_from_the_readings(done: Study) -> None:
    known = measured(done.project)
    assert known is not None
    at = spot(done, "spring", "radius arm", -80.0)
    sigma = float(doubts(done.setting, known, [at])[0])
    rng = np.random.default_rng(3)
    root = np.linalg.cholesky(known.covariance + 1e-12 * np.eye(len(known.covariance)))
    drawn = []
    for _ in range(120):
        shift = (root @ rng.normal(size=len(root))).reshape(-1, 3)
        points = {
            name: tuple(np.add(p, d))
            for (name, p), d in zip(done.project.points.items(), shift, strict=True)
        }
        project = msgspec.structs.replace(done.setting.unfolded, points=points)
        motion = move(corner(project), [-80.0], stops=False)
        parts = Builder(project)(motion)
        found = clearances(
            parts, [done.setting.pairs.checked[at.pair]], joints=[
                j for j in done.setting.joints(motion)
                if (j.part_a, j.part_b) == done.setting.pairs.checked[at.pair]
            ],
        )  # fmt: skip
        drawn.append(float(found.low[0, 0, 0]))
    assert np.std(drawn) == pytest.approx(sigma, rel=0.25)


def test_findings_say_it_and_a_corner_without_readings_does_not(done: Study) -> None:
    told = [f for f in done.findings if f.doubt is not None]
    assert told
    assert any("readings" in say(f) for f in told)
    bare = study(msgspec.structs.replace(done.project, survey=None), travel=np.linspace(-80, 80, 9))
    assert all(f.doubt is None for f in bare.findings)
    assert not any("readings" in say(f) for f in bare.findings)


def test_a_moved_top_costs_what_the_full_check_finds(done: Study) -> None:
    shift = np.array([-1.0, -2.0, 0.0])
    top = tuple(np.add(done.project.points["top bearing"], shift))
    moved = msgspec.structs.replace(
        done.project, points={**done.project.points, "top bearing": top}
    )
    quick = {frozenset(c.parts): c for c in effect_of(done, {"top bearing": shift})}
    pair = frozenset(("spring", "radius arm"))
    assert quick[pair].after - quick[pair].before > 0.3
    slow = {frozenset(c.parts): c for c in cost_of_moving(done.project, moved)}
    if pair in slow:
        assert quick[pair].after == pytest.approx(slow[pair].after, abs=0.3)


def test_a_part_of_any_kind_is_hung_on_the_points_that_shape_it() -> None:
    """Each point in turn 5 mm aside: the parts that come out otherwise are those hung on it."""
    car = unfold(whole())
    here = move(corner(car), [0.0])

    def numbers(part: Part) -> list[np.ndarray]:
        return [
            value
            for piece in part.pieces
            for value in (getattr(piece, f, None) for f in ("ends", "corners", "centre", "axis"))
            if value is not None
        ]

    before = {part.name: numbers(part) for part in Builder(car)(here)}
    for name, (x, y, z) in car.points.items():
        aside = msgspec.structs.replace(car, points={**car.points, name: (x + 5.0, y, z + 1.0)})
        for part in Builder(aside)(here):
            now, was = numbers(part), before[part.name]
            same = len(now) == len(was) and all(
                a.shape == b.shape and np.allclose(a, b, atol=1e-9)
                for a, b in zip(now, was, strict=True)
            )
            assert same or name in hung_on(car, {part.name}), (part.name, name)
