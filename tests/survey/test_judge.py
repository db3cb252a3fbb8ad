"""Which reading lies: suspects, slips, the reading that decides, and readings too few to tell."""

from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.project.files import read
from kinematics.project.model import Project
from kinematics.project.survey import (
    DistanceReading,
    HeightReading,
    OffsetReading,
    Reading,
    Survey,
    To,
)
from kinematics.survey import SurveyError, survey
from kinematics.survey.slips import slips
from kinematics.survey.words import (
    decider_words,
    loose_words,
    reading_words,
    suspect_words,
    twin_words,
    unchecked,
    verdict,
    verdict_figures,
)
from tests.survey.made import distances, full_survey, read_off, with_readings

EXAMPLES = Path(__file__).parents[2] / "assets" / "examples"


def example(name: str = "rear-in-trouble") -> Project:
    return read(EXAMPLES / f"{name}.corner.json")


def with_survey(*readings: Reading, **more: object) -> Project:
    return msgspec.structs.replace(example(), survey=Survey(readings=readings, **more))


def off_by(project: Project, number: int, error: float) -> Project:
    readings = list(project.survey.readings)
    at = readings[number]
    readings[number] = msgspec.structs.replace(at, value=at.value + error)
    return with_readings(project, tuple(readings))


def test_the_shipped_readings_agree_and_give_the_points() -> None:
    project = example()
    found = survey(project)
    assert found.judged.agree
    assert not found.loose
    assert not found.twins
    for name in found.measured:
        assert found.place(name).holds(np.array(project.points[name])), name


def test_the_third_file_names_the_reading_that_lies_by_a_plate() -> None:
    found = survey(example("rear-misread"))
    assert not found.judged.agree
    first = found.judged.suspects[0]
    assert reading_words(found.net.readings[first.reading]) == (
        "radius arm ball, out from the centre string"
    )
    assert first.size == pytest.approx(8.0, abs=2 * first.sigma)
    words = suspect_words(found, first)
    assert "too large" in words
    assert "the other face of the 8 mm plate" in words
    assert "They don't agree: taken together" in verdict(found)
    assert f"{found.fit.chi_square:.1f}; 19 times in 20" in verdict_figures(found)
    assert survey(example("rear-misread")).without(first.reading).judged.agree


def test_leaving_the_liar_out_brings_the_points_back() -> None:
    wrong = survey(example("rear-misread"))
    right = wrong.without(wrong.judged.suspects[0].reading)
    truth = np.array(example().points["radius arm ball"])
    before = np.linalg.norm(wrong.place("radius arm ball").xyz - truth)
    after = np.linalg.norm(right.place("radius arm ball").xyz - truth)
    assert after < 0.6 * before


def test_rivals_are_named_together_with_what_decides() -> None:
    """A point held by one distance and two drops along nearly the same line: either may lie."""
    project = example()
    names = ("lower link inner", "upper link inner", "radius arm ball")
    readings: list[Reading] = [
        OffsetReading(point="top bearing", string="centre", way="out", value=518.0 + 15.0),
        HeightReading(point="top bearing", value=640.0),
        OffsetReading(point="top bearing", string="axle", way="front", value=88.0),
        DistanceReading(between=("top bearing", "hub face"), value=float(
            np.linalg.norm(np.subtract(project.points["top bearing"], (88.0, 764.0, 640.0))))),
    ]  # fmt: skip
    points = {**project.points, "hub face": (88.0, 764.0, 640.0)}
    survey_ = Survey(readings=tuple(readings), datums=dict.fromkeys((*names, "hub face"), "xyz"))
    found = survey(msgspec.structs.replace(project, points=points, survey=survey_))
    suspects = found.judged.suspects
    assert {s.reading for s in suspects} == {0, 3}
    assert abs(suspects[0].size) == pytest.approx(15.0, abs=1.0)
    decides = found.decider
    assert decides is not None
    assert abs(decides.expected[0] - decides.expected[1]) > 5.0
    said = decider_words(found, decides)
    assert "To decide, measure" in said


def test_too_few_readings_say_so() -> None:
    found = survey(
        with_survey(
            OffsetReading(point="top bearing", string="centre", way="out", value=518.0),
            OffsetReading(point="top bearing", string="axle", way="front", value=88.0),
            HeightReading(point="top bearing", value=640.0),
        )
    )
    assert found.fit.surplus == 0
    assert "a wrong one would not show" in verdict(found)
    assert len(unchecked(found)) == 3
    assert np.isinf(found.judged.smallest).all()


def test_a_point_that_is_not_fixed_is_named_with_what_helps_most() -> None:
    found = survey(
        with_survey(
            OffsetReading(point="top bearing", string="centre", way="out", value=518.0),
            HeightReading(point="top bearing", value=640.0),
        )
    )
    (loose,) = found.loose
    assert loose.point == "top bearing"
    assert loose.directions == 1
    assert loose.help == OffsetReading(point="top bearing", string="axle", way="front")
    assert "Most helpful: top bearing, ahead of the axle string" in loose_words(loose)


def test_a_point_by_three_distances_is_asked_about_until_it_is_settled() -> None:
    project = example()
    base = ("lower link inner", "upper link inner", "radius arm ball")
    readings = distances(project.points, [("top bearing", name) for name in base])
    held = dict.fromkeys(base, "xyz")
    asked = survey(with_survey(*readings, datums=held))
    (twin,) = asked.twins
    assert twin.point == "top bearing"
    assert twin.here == pytest.approx(project.points["top bearing"], abs=1e-5)
    for name, reading in zip(base, readings, strict=True):
        gap = float(np.linalg.norm(twin.there - project.points[name]))
        assert gap == pytest.approx(reading.value, abs=1e-4)
    assert "fits in two places" in twin_words(twin)
    assert not survey(with_survey(*readings, datums=held, settled=("top bearing",))).twins
    known = HeightReading(point="top bearing", value=640.0)
    assert not survey(with_survey(*readings, known, datums=held)).twins


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (6.0, "edge for centre of the 12 mm hole"),
        (-10.0, "10 mm miscounted"),
        (25.4, "an inch miscounted"),
        (100.0, "begun at the 100 mark"),
        (2 * 512.0, "the wrong side of the string"),
    ],
)
def test_a_slip_is_recognised_by_its_size(error: float, words: str) -> None:
    reading = OffsetReading(
        point="top bearing", string="centre", way="out", value=512.0,
        to=(To(kind="near edge", size=12.0),),
    )  # fmt: skip
    project = with_survey(reading)
    named = slips(reading, error + 0.3, 0.6, project)
    assert any(words in slip.words for slip in named), named


def test_what_an_end_was_measured_to_is_put_back() -> None:
    """A hole's near edge, a plate's far face, the outer face across the car."""
    from kinematics.survey.tools import correction

    project = example()
    tape = DistanceReading(between=("lower link inner", "top bearing"), value=500.0)
    ends = (To(kind="near edge", size=12.0), To(kind="far face", size=8.0))
    assert correction(msgspec.structs.replace(tape, to=ends), project) == 6.0 - 4.0
    out = OffsetReading(point="top bearing", string="centre", way="out", value=500.0)
    outer = (To(kind="outer face", size=3.0),)
    assert correction(msgspec.structs.replace(out, to=outer), project) == -1.5
    inward = msgspec.structs.replace(out, way="in", to=outer)
    assert correction(inward, project) == 1.5
    along = OffsetReading(point="top bearing", string="axle", way="front", value=5.0, to=outer)
    with pytest.raises(SurveyError, match="near face or far face"):
        correction(along, project)
    high = HeightReading(point="top bearing", value=500.0, floor_correction=4.0)
    assert correction(high, project) == 4.0


@pytest.mark.parametrize("name", ["rear-in-trouble", "front-strut", "rear-five-links"])
def test_one_gross_slip_is_found_and_its_size_is_right(name: str) -> None:
    project = read_off(full_survey(example(name)))
    lengths = [i for i, r in enumerate(project.survey.readings) if hasattr(r, "value")]
    for number in lengths[:: len(lengths) // 6]:
        found = survey(off_by(project, number, 20.0))
        if found.judged.smallest[number] > 10.0:
            continue
        named = {s.reading: s for s in found.judged.suspects}
        assert number in named, reading_words(found.net.readings[number])
        assert named[number].size == pytest.approx(20.0, abs=1.0)


def test_nothing_to_work_with_is_said() -> None:
    with pytest.raises(SurveyError, match="no readings"):
        survey(example("front-strut"))
    with pytest.raises(SurveyError, match="no readings with a value"):
        survey(with_survey(HeightReading(point="top bearing")))


@pytest.mark.parametrize("seed", range(4))
def test_a_rough_sketch_is_enough_to_begin_from(seed: int) -> None:
    """Points up to 150 mm wrong in every coordinate; those held as datums are right."""
    project = example()
    rng = np.random.default_rng(seed)
    rough = {
        name: p if name in project.survey.datums else tuple(np.add(p, rng.uniform(-150, 150, 3)))
        for name, p in project.points.items()
    }
    found = survey(msgspec.structs.replace(project, points=rough))
    best = survey(project)
    assert found.judged.agree
    for name in best.measured:
        assert found.place(name).xyz == pytest.approx(best.place(name).xyz, abs=1e-4)
