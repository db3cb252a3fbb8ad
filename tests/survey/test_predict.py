"""Every kind of reading: its derivatives against differences, its value against plain geometry."""

from dataclasses import replace
from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.motion import corner, move
from kinematics.project.files import dumps, loads, read
from kinematics.project.mirror import mirror
from kinematics.project.model import Project
from kinematics.project.survey import (
    AcrossReading,
    DistanceReading,
    HeightReading,
    HubReading,
    LeanReading,
    LevelReading,
    OffsetReading,
    PartReading,
    PlaneReading,
    Position,
    RailReading,
    Reading,
    StackReading,
    Stands,
    Survey,
    WheelReading,
)
from kinematics.survey.network import Network, network
from kinematics.survey.standing import Standing

EXAMPLES = Path(__file__).parents[2] / "assets" / "examples"
INNER, OUTER, TOP = "lower link inner", "lower link outer", "top bearing"
HUNG = "hanging"
READINGS: tuple[Reading, ...] = (
    DistanceReading(between=(OUTER, "upper link outer")),
    DistanceReading(between=(OUTER, "radius arm ball"), plumbed=True),
    DistanceReading(between=(OUTER, TOP), position=HUNG),
    PartReading(of="lower link"),
    PartReading(of="damper", position=HUNG),
    OffsetReading(point=TOP, string="centre", way="out"),
    OffsetReading(point=TOP, string="axle", way="rear", string_at=30.0, position=HUNG),
    HeightReading(point="wheel centre", position=HUNG),
    HeightReading(point=TOP, face="plate"),
    HeightReading(point=TOP, above=INNER),
    RailReading(point=TOP, rail=(INNER, "upper link inner")),
    PlaneReading(point=TOP, plane=(INNER, "upper link inner", "radius arm ball")),
    AcrossReading(point=INNER),
    HubReading(point=OUTER, way="up"),
    HubReading(point=OUTER, way="front"),
    HubReading(point="wheel centre", way="out"),
    StackReading(between=("plate", "hat")),
    LevelReading(line=(INNER, OUTER), position=HUNG),
    LevelReading(line=(INNER, "upper link inner")),
    LeanReading(which="nose up"),
    LeanReading(which="left side up"),
    WheelReading(which="camber"),
    WheelReading(which="toe"),
    WheelReading(which="camber", position=HUNG),
    WheelReading(which="toe", position="on its wheels"),
)


def surveyed(name: str = "rear-in-trouble") -> Project:
    project = read(EXAMPLES / f"{name}.corner.json")
    survey = Survey(
        readings=READINGS,
        stands=Stands(
            nose_up_deg=None, left_up_deg=None, turned_deg=None, forward=None, left=None,
            lifted=None,
        ),
        positions={HUNG: Position(), "on its wheels": Position(on_stands=False)},
        hub_face="hub face",
    )  # fmt: skip
    return msgspec.structs.replace(project, survey=survey)


def shaken(net: Network) -> Standing:
    """A standing with nothing at nought."""
    rng = np.random.default_rng(1)
    moved = net.step(net.start, rng.normal(size=len(net.free)) * net.scale * 5)
    return replace(moved, heights=np.array([200.0, 280.0]))


@pytest.mark.parametrize("side", ["left", "right"])
def test_derivatives_are_those_of_differences(side: str) -> None:
    project = surveyed()
    net = network(project if side == "left" else mirror(project), planned=True)
    at = shaken(net)
    _, slopes = net.evaluate(at)
    step = 1e-4
    for k in range(len(net.free)):
        change = np.zeros(len(net.free))
        change[k] = step * net.scale[k]
        up, down = (net.evaluate(net.step(at, s * change))[0] for s in (1, -1))
        found = (up - down) / (2 * step)
        assert found == pytest.approx(slopes[:, k] * net.scale[k], abs=1e-7), k


def test_a_mirrored_corner_reads_the_same() -> None:
    project = surveyed()
    values = [
        net.evaluate(net.start)[0]
        for net in (network(p, planned=True) for p in (project, mirror(project)))
    ]
    lean = [i for i, r in enumerate(READINGS) if isinstance(r, LeanReading)]
    assert np.delete(values[0], lean) == pytest.approx(np.delete(values[1], lean), abs=1e-9)
    assert mirror(mirror(project)) == project


def test_readings_come_back_from_a_file() -> None:
    project = surveyed()
    assert loads(dumps(project)) == project
    inches = msgspec.structs.replace(project, units="in")
    assert loads(dumps(inches)).survey.readings[6].string_at == pytest.approx(30.0, abs=1e-9)


def test_values_in_plain_geometry() -> None:
    """On a level car at its own height: coordinates, distances, the hub's depth, the stack."""
    project = surveyed()
    net = network(project, planned=True)
    value = dict(zip(READINGS, net.evaluate(net.start)[0], strict=True))
    p = {name: np.array(xyz) for name, xyz in project.points.items()}
    assert value[READINGS[5]] == pytest.approx(p[TOP][1])
    assert value[READINGS[8]] == pytest.approx(p[TOP][2] + 12.0)
    assert value[READINGS[9]] == pytest.approx(p[TOP][2] - p[INNER][2])
    assert value[READINGS[12]] == pytest.approx(2 * p[INNER][1])
    assert value[READINGS[1]] == pytest.approx(
        float(np.linalg.norm((p[OUTER] - p["radius arm ball"])[:2]))
    )
    run = p["upper link inner"] - p[INNER]
    d = p[TOP] - p[INNER]
    off = float(np.linalg.norm(np.cross(run, d)) / np.linalg.norm(run))
    assert value[READINGS[10]] == pytest.approx(off)
    assert np.degrees(value[READINGS[21]]) == pytest.approx(project.wheel.camber_deg)
    assert np.degrees(value[READINGS[22]]) == pytest.approx(project.wheel.toe_deg)


@pytest.mark.parametrize(
    "name",
    ["rear-in-trouble", "front-strut", "front-wishbones", "rear-five-links", "rear-semi-trailing"],
)
def test_another_position_is_that_of_the_motion(name: str) -> None:
    """Points, camber and toe 50 mm down equal those of a corner moved there."""
    project = read(EXAMPLES / f"{name}.corner.json")
    readings = (
        WheelReading(which="camber", position=HUNG),
        WheelReading(which="toe", position=HUNG),
        HeightReading(point=project.wheel.centre, position=HUNG),
        OffsetReading(point=project.wheel.centre, string="centre", way="out", position=HUNG),
        PartReading(of="damper", position=HUNG),
    )
    survey = Survey(readings=readings, positions={HUNG: Position()})
    net = network(msgspec.structs.replace(project, survey=survey), planned=True)
    low = project.points[project.wheel.centre][2] - 50.0
    value, _ = net.evaluate(replace(net.start, heights=np.array([low])))
    from kinematics.measures import measure

    found = measure(project, move(corner(project), [-50.0], stops=False))
    keys = ("camber", "toe", "wheel_z", "wheel_y", "damper")
    assert value == pytest.approx([float(found[k][0, 0]) for k in keys], abs=1e-9)
