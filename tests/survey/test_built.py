"""As built against plan, left against right, the plan before measuring, and typed entries."""

from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.errors import ClearstrokeError, EntryError
from kinematics.project.files import dumps, loads, read
from kinematics.project.mirror import mirror
from kinematics.project.model import Project
from kinematics.project.survey import (
    DistanceReading,
    HeightReading,
    HubReading,
    LevelReading,
    OffsetReading,
    PartReading,
    Reading,
    StackReading,
    Survey,
    To,
)
from kinematics.survey import SurveyError, survey
from kinematics.survey.built import as_built, left_against_right, tacked_points
from kinematics.survey.entry import (
    read_to,
    read_tool,
    read_value,
    show_to,
    show_tool,
    show_value,
)
from kinematics.survey.helps import plan, suggest
from kinematics.survey.network import network
from tests.survey.made import with_readings, with_value

EXAMPLES = Path(__file__).parents[2] / "assets" / "examples"
TOP = "top bearing"
SHIFT = np.array([4.0, -6.0, 3.0])


def example(name: str = "rear-in-trouble") -> Project:
    return read(EXAMPLES / f"{name}.corner.json")


def tacked(shift: np.ndarray = SHIFT) -> Project:
    """The example with its top tacked off plan, and measured again from what stayed."""
    project = example()
    stayed = ["upper link inner", "lower link inner", "radius arm ball", "coilover foot"]
    at = np.array(project.points[TOP]) + shift
    readings = tuple(
        DistanceReading(
            between=(TOP, name),
            value=round(2 * float(np.linalg.norm(at - project.points[name]))) / 2,
            date="2026-04-11",
        )
        for name in stayed
    )
    kept = msgspec.structs.replace(project.survey, as_built=readings)
    return msgspec.structs.replace(project, survey=kept)


def test_what_moved_is_told_with_its_doubt() -> None:
    project = tacked()
    assert tacked_points(project) == (TOP,)
    built = as_built(project, survey(project))
    (moved,) = built.moved
    assert moved.sure
    spread = np.sqrt(np.diag(moved.covariance))
    assert (np.abs(moved.shift - SHIFT) < 3 * spread).all()
    assert built.project.points[TOP] == pytest.approx(np.array(project.points[TOP]) + moved.shift)
    others = {n: p for n, p in project.points.items() if n != TOP}
    assert {n: p for n, p in built.project.points.items() if n != TOP} == others


def test_doubt_of_the_points_measured_from_is_added() -> None:
    project = tacked()
    alone, with_doubt = as_built(project), as_built(project, survey(project))
    assert np.trace(with_doubt.moved[0].covariance) > np.trace(alone.moved[0].covariance)


def test_what_did_not_move_is_not_said_to_have() -> None:
    project = tacked(np.zeros(3))
    assert not as_built(project, survey(project)).moved[0].sure


def test_too_little_measured_after_tacking_is_said() -> None:
    with pytest.raises(SurveyError, match="no readings taken after tacking"):
        as_built(example())
    project = tacked()
    few = msgspec.structs.replace(project.survey, as_built=project.survey.as_built[:2])
    with pytest.raises(SurveyError, match="don't fix top bearing"):
        as_built(msgspec.structs.replace(project, survey=few))


def test_left_against_right() -> None:
    """The same readings on the other side, but for the top, which stands 12 mm farther out."""
    left, right = example(), mirror(example())
    readings = list(right.survey.readings)
    for i, r in enumerate(readings):
        if TOP in (getattr(r, "point", ""), *getattr(r, "between", ())) and isinstance(
            r, OffsetReading | DistanceReading
        ):
            net = network(right, [r])
            moved = msgspec.structs.replace(
                right, points={**right.points, TOP: tuple(np.add(right.points[TOP], (0, -12, 0)))}
            )
            change = (network(moved, [r]).evaluate(network(moved, [r]).start)[0]
                      - net.evaluate(net.start)[0])  # fmt: skip
            readings[i] = with_value(r, r.value + float(change[0]))
    found = {
        m.point: m
        for m in left_against_right(survey(left), survey(with_readings(right, tuple(readings))))
    }
    assert found[TOP].sure
    assert found[TOP].shift[1] == pytest.approx(-12.0, abs=2.0)
    assert not found["radius arm ball"].sure
    assert found["lower link inner"].length < 1.5


def test_a_plan_fixes_every_point_and_sees_a_slip() -> None:
    for name in ("front-strut", "front-wishbones", "rear-five-links"):
        project = example(name)
        planned = msgspec.structs.replace(project, survey=Survey(readings=suggest(project)))
        found = plan(network(planned, planned=True))
        assert found.suffices, name
        assert max(found.spread.values()) < 5.0


def test_a_plan_that_does_not_suffice_is_completed() -> None:
    project = msgspec.structs.replace(
        example(),
        survey=Survey(
            readings=(
                HeightReading(point=TOP),
                OffsetReading(point=TOP, string="centre", way="out"),
            )
        ),
    )
    poor = plan(network(project, planned=True))
    assert not poor.suffices
    assert np.isinf(poor.spread[TOP])
    better = msgspec.structs.replace(
        project, survey=Survey(readings=(*project.survey.readings, *poor.added))
    )
    again = plan(network(better, planned=True))
    assert np.isfinite(again.spread[TOP])


def test_a_mount_stack_sets_the_springs_hat() -> None:
    project = example()
    stack = (
        StackReading(between=("plate", "bearing"), value=18.0, tool="calliper"),
        StackReading(between=("plate", "hat"), value=51.5, tool="calliper"),
    )
    made = survey(msgspec.structs.replace(project, survey=Survey(readings=stack))).project
    assert made.coilover.spring.end_from_top == pytest.approx(33.5, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("", ()),
        ("centre", ()),
        ("near edge 12", (To(kind="near edge", size=12.0),)),
        ("far face (8)", (To(kind="far face", size=8.0),)),
        ("centre, outer face 1/8 in", (To(), To(kind="outer face", size=3.175))),
        ("inner face 2,5", (To(kind="inner face", size=2.5),)),
    ],
)
def test_what_an_end_was_measured_to_is_typed(text: str, ends: tuple[To, ...]) -> None:
    assert read_to(text) == ends
    reading = DistanceReading(between=("a", "b"), to=ends)
    assert read_to(show_to(reading)) == ends


def test_tools_and_values_are_typed() -> None:
    tape, level = DistanceReading(between=("a", "b")), LevelReading(line=("a", "b"))
    assert read_tool("Tape ±2", tape) == {"tool": "tape", "give_or_take": 2.0}
    assert read_tool("rule", tape) == {"tool": "rule", "give_or_take": None}
    assert read_tool("level 0.3", level) == {"tool": "level", "give_or_take_deg": 0.3}
    held = msgspec.structs.replace(tape, **read_tool("tape 1/16 in", tape))
    assert read_tool(show_tool(held), held)["give_or_take"] == pytest.approx(1.5875, rel=1e-3)
    assert read_value("", tape) == {"value": None}
    assert read_value("21 1/2 in", tape) == {"value": pytest.approx(546.1)}
    assert read_value("1° 30'", level) == {"degrees": 1.5}
    assert show_value(msgspec.structs.replace(tape, value=546.1), "in") == "21.5"
    for text in ("spoon", "level"):
        with pytest.raises(EntryError, match="is not known"):
            read_tool(text, tape)
    with pytest.raises(EntryError, match="no angle"):
        read_value("100", level)


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (DistanceReading(between=(TOP, TOP)), "both ends are"),
        (DistanceReading(between=(TOP, "hub face"), value=-4.0), "can't be negative"),
        (DistanceReading(between=(TOP, "nowhere")), 'no point "nowhere"'),
        (PartReading(of="third link"), 'no link "third link"'),
        (HubReading(point=TOP, way="out"), "hub_face"),
        (OffsetReading(point=TOP, string="axle", way="out"), "front or rear"),
        (HeightReading(point="hub face", face="plate"), "only the top mount"),
        (HeightReading(point=TOP, date="yesterday"), "is not a day"),
        (HeightReading(point=TOP, position="hanging"), 'no position "hanging"'),
        (HeightReading(point=TOP, to=(To(kind="near edge"),)), "give the diameter"),
        (HeightReading(point=TOP, to=(To(kind="outer face", size=3),)), "near face or far face"),
        (HeightReading(point=TOP, to=(To(), To())), "one end"),
    ],
)
def test_a_bad_reading_is_named_by_its_entry(reading: Reading, said: str) -> None:
    project = msgspec.structs.replace(example(), survey=Survey(readings=(reading,)))
    with pytest.raises(ClearstrokeError) as error:
        dumps(project)
    assert said in str(error.value)
    assert str(error.value).startswith("survey.")


def test_a_good_survey_comes_back_from_its_file() -> None:
    for project in (tacked(), mirror(tacked()), example("rear-misread")):
        assert loads(dumps(project)) == project
