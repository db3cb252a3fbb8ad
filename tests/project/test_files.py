"""Reading is strict and says where; what is written reads back the same."""

import json
import tracemalloc

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from kinematics.errors import ClearstrokeError, ProjectError
from kinematics.project.arrangements import RadiusArm, lines
from kinematics.project.files import dumps, loads, read, write
from kinematics.project.model import Project
from tests.project.corners import WISHBONES, changed


def whole() -> Project:
    return loads(json.dumps(WISHBONES).encode())


def refused(data: bytes) -> tuple[str, ...]:
    with pytest.raises(ProjectError) as caught:
        loads(data)
    assert isinstance(caught.value, ClearstrokeError)
    for problem in caught.value.problems:
        assert "\n" not in problem
        assert problem.endswith((".", "?"))
    return caught.value.problems


def test_reads_points_and_defaults() -> None:
    project = whole()
    assert project.points["top"] == (-10, 430, 580)
    assert project.coilover is not None
    assert project.coilover.top.body == "chassis"
    assert project.tower is not None
    assert project.tower.thickness == 3


def test_rules_may_speak_of_every_part_and_class() -> None:
    words = ("anything", "link", "spring seat", "lower arm front", "track rod", "rail", "tower lip")
    rules = [{"between": [word, "tyre"], "at_least": 4} for word in words]
    project = loads(changed("rules", rules))
    assert project.rules is not None
    assert [rule.between[0] for rule in project.rules] == list(words)


def test_what_is_written_reads_back_the_same() -> None:
    project = whole()
    assert loads(dumps(project)) == project
    assert dumps(loads(dumps(project))) == dumps(project)


def test_points_are_written_one_a_line() -> None:
    text = dumps(whole()).decode()
    assert '\n    "lower ball joint": [5, 680, 165],\n' in text
    assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        (
            "points/lower ball joint/2",
            "x",
            'points.lower ball joint[2]: a number is expected, not "x"',
        ),
        ("points/top", [1, 2], "points.top: a list of 3 is expected, not a list of 2"),
        ("points/top/0", True, "points.top[0]: a number is expected, not true"),
        ("points/top/0", None, "points.top[0]: a number is expected, not null"),
        ("points/top/0", 20001, "points.top[0]: 20001 is too far for a car"),
        ("points/ top", [0, 0, 0], 'points. top: " top" must not be empty or begin or end'),
        ("points/", [0, 0, 0], "must not be empty"),
        ("points/a\nb", [0, 0, 0], "points.a?b: this text has a character in it"),
        ("points/" + "a" * 61, [0, 0, 0], "this text is too long"),
        ("coilover/foott", 1, "coilover.foott: this entry is not known; did you mean foot?"),
        ("zzz", 1, "zzz: this entry is not known; known here: clearstroke, title"),
        (
            "coilover/spring/wire",
            ...,
            "coilover.spring.wire: this entry is missing (wire diameter)",
        ),
        ("coilover/spring/wire", 0, "coilover.spring.wire: it must be more than 0, not 0"),
        ("wheel/rim/spacer", -1, "wheel.rim.spacer: it must be at least 0, not -1"),
        ("wheel/camber_deg", 91, "wheel.camber_deg: it must be at most 90, not 91"),
        ("wheel", [], "wheel: an object in { } is expected, not a list of 0"),
        ("title", 3, "title: a text in quotes is expected, not 3"),
        ("title", "\ud800", "title: this text has a character in it"),
        ("side", "middle", 'side: "middle" can\'t be used; use left, right'),
        ("clearstroke", 2, "clearstroke: 2 can't be used; use 1"),
        ("clearstroke", ..., 'clearstroke: this entry is missing; a project has "clearstroke": 1'),
        ("clearstroke", True, "clearstroke: true can't be used"),
        (
            "arrangement/kind",
            "swing",
            'arrangement.kind: it can\'t be "swing"; use one of wishbones,',
        ),
        ("arrangement/kind", ..., "arrangement.kind: it is missing; use one of wishbones"),
        ("arrangement", 3, "arrangement: an object in { } is expected, not 3"),
        ("arrangement/steered", 1, "arrangement.steered: true or false is expected, not 1"),
        ("parts/rail/least", ..., "parts.rail.least: this entry is missing (its corner with"),
        (
            "parts/panel/outline",
            [[0, 0, 0]],
            "parts.panel.outline: a list of at least 3 is expected",
        ),
        # names
        (
            "arrangement/lower/outer",
            "lower ball joind",
            'no point "lower ball joind"; did you mean "lower ball joint"?',
        ),
        (
            "coilover/foot/body",
            "lower arms",
            'coilover.foot.body: there is no body "lower arms"; did you mean',
        ),
        (
            "joints",
            {"x": {"kind": "ball", "at": "top", "bodies": ["chassis", "beam"]}},
            'joints.x.bodies[1]: there is no body "beam"',
        ),
        ("bearings", {"topp": {"limit_deg": 15}}, 'bearings.topp: there is no point "topp"'),
        (
            "rules",
            [{"between": ["tyre", "towers"], "at_least": 5}],
            'rules[0].between[1]: there is no part or class "towers"; did you mean "tower"?',
        ),
        (
            "parts/spring",
            {"kind": "tube", "body": "upright", "points": ["top", "foot"], "diameter": 20},
            'parts.spring: "spring" is what Clearstroke calls its own; choose another name',
        ),
        (
            "links",
            {"rail": {"inner": {"point": "top"}, "outer": {"point": "foot", "body": "upright"}}},
            "links.rail: a part has this name too",
        ),
        (
            "joints",
            {"track rod": {"kind": "ball", "at": "top", "bodies": ["chassis", "upright"]}},
            "joints.track rod: the arrangement already brings a link",
        ),
        # sense
        ("travel", [80, -80], "travel: give the most droop first"),
        (
            "coilover/closed",
            480,
            "coilover.closed: closed (480 mm) must be less than open (470 mm)",
        ),
        ("points/top", [0, 560, 195], 'coilover: "foot" and "top" are at the same place'),
        (
            "arrangement/lower/front",
            "lower rear",
            'arrangement.lower.front: "lower rear" is named for both ends; name two points.',
        ),
        (
            "arrangement/upper/outer",
            "upper rear",
            'arrangement.upper.rear: "upper rear" is named for both ends',
        ),
        ("wheel/camber_deg", -1, "wheel: give either axis or camber_deg and toe_deg, not both"),
        ("wheel/axis", [0, -1, 0], "wheel.axis: it points inboard"),
        ("wheel/axis", [0, 0, 0], "wheel.axis: it has no direction that"),
        ("wheel/body", "chassis", "wheel.body: the wheel is on the chassis"),
        ("tower/inner", 510, "tower: inner must be less than outer"),
        ("tower/lip", 20, "tower.lip: a lip needs an outer panel"),
        ("tower/front_down_to", 599, "tower.front_down_to: the panel's foot must be below"),
        ("parts/scan/file", "../x.stl", "parts.scan.file: name a file beside the project"),
        ("parts/scan/turn_deg/1", 361, "parts.scan.turn_deg[1]:"),
        ("parts/scan/turn_deg", 5, "parts.scan.turn_deg: a list of 3 is expected"),
        ("parts/scan/move/0", 1e6, "parts.scan.move[0]:"),
        ("parts/scan/file", "/etc/x.stl", "parts.scan.file: name a file beside the project"),
        ("parts/rail/most", [400, 360, 430], "parts.rail: each of least must be less"),
        (
            "links",
            {"x": {"inner": {"point": "top"}, "outer": {"point": "foot"}}},
            "links.x: both ends are on chassis",
        ),
        (
            "links",
            {"x": {"inner": {"point": "top"}, "outer": {"point": "foot"}, "through": ["foot"]}},
            'links.x: "foot" is named for both ends; name two points.',
        ),
        ("arrangement", None, 'coilover.foot.body: there is no body "lower arm"'),
    ],
)
def test_each_mistake_is_one_sentence_with_its_path(
    path: str, value: object, sentence: str
) -> None:
    problems = refused(changed(path, value))
    assert any(sentence in problem for problem in problems), problems


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e400", "9" * 400])
def test_numbers_that_are_none_are_refused_with_their_path(number: str) -> None:
    data = json.dumps(WISHBONES).replace("[5, 680, 165]", f"[5, {number}, 165]").encode()
    (problem,) = refused(data)
    assert problem.startswith("points.lower ball joint[1]: ")
    assert problem.endswith("is not a number that can be used.")


def test_duplicate_keys_are_refused_with_their_path() -> None:
    data = json.dumps(WISHBONES).replace('"top": [', '"foot": [', 1).encode()
    (problem,) = refused(data)
    assert problem == "points.foot: this entry is there twice; keep one."


def test_several_mistakes_are_told_at_once() -> None:
    tree = json.loads(changed("wheel/rim/spacer", -1))
    tree["points"]["top"][0] = "a"
    assert len(refused(json.dumps(tree).encode())) == 2


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "is not JSON"),
        (b"{", "Line 1, column 2 is not JSON"),
        (b"[]", "one object"),
        (b"\xff\xfe{}", "not UTF-8"),
        (b'{"a": "\n"}', "is not JSON"),
        (b"[" * 50, "nests brackets more than"),
        (b'{"a": [' + b"0," * 100_001 + b"0]}", "more than 100,000 values"),
        (b"solid cube\nfacet normal 0 0 0\n", "is not JSON"),
        (b"{}", "clearstroke"),
    ],
)
def test_other_files_are_refused(data: bytes, sentence: str) -> None:
    (problem,) = refused(data)
    assert sentence in problem


def test_a_byte_order_mark_is_let_pass() -> None:
    assert loads(b"\xef\xbb\xbf" + json.dumps(WISHBONES).encode()) == whole()


@pytest.mark.parametrize("filler", [b"[],", b"{},", b"1,", b'"a",', b"[[[[]]]],"])
def test_a_huge_file_is_refused_without_being_held_in_memory(filler: bytes) -> None:
    data = b"[" + filler * (30_000_000 // len(filler)) + b"0]"
    for sent in (data, data[:1_900_000]):
        tracemalloc.start()
        refused(sent)
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert peak < 12_000_000


def test_a_missing_file_and_a_folder_are_one_sentence(tmp_path) -> None:
    for path in (tmp_path / "no.corner.json", tmp_path):
        with pytest.raises(ProjectError) as caught:
            read(path)
        assert str(caught.value).startswith(str(path))


def test_problems_of_a_file_name_it(tmp_path) -> None:
    path = tmp_path / "bad.corner.json"
    path.write_bytes(changed("wheel/rim/spacer", -1))
    with pytest.raises(ProjectError, match=r"^bad\.corner\.json: wheel\.rim\.spacer: it must"):
        read(path)


_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-10, 10) | st.text(max_size=3),
    lambda v: st.lists(v, max_size=3) | st.dictionaries(st.text(max_size=3), v, max_size=3),
    max_leaves=8,
)
_PLACES = """
    points wheel wheel/tyre coilover coilover/foot arrangement tower parts parts/rail rack links
    joints travel rules bodies loads bearings points/top coilover/spring arrangement/lower title
    units side hoses
"""


@given(_VALUES, st.sampled_from(_PLACES.split()))
def test_any_value_anywhere_gives_a_project_or_sentences(value: object, path: str) -> None:
    try:
        project = loads(changed(path, value))
    except ProjectError:
        return
    assert loads(dumps(project)) == project


def test_the_wheels_body_must_be_there_even_when_it_is_left_out() -> None:
    tree = json.loads(changed("arrangement", None))
    del tree["coilover"]
    tree["bodies"] = ["knuckle"]
    tree["joints"] = {"x": {"kind": "ball", "at": "top", "bodies": ["chassis", "knuckle"]}}
    (problem,) = refused(json.dumps(tree).encode())
    assert problem == 'wheel.body: there is no body "upright"; name the body that carries it.'


def test_a_strut_needs_a_coilover() -> None:
    tree = json.loads(changed("coilover", None))
    tree["arrangement"]["kind"] = "strut"
    del tree["arrangement"]["upper"]
    (problem,) = refused(json.dumps(tree).encode())
    assert problem.startswith("coilover: a strut is its own guide")


@given(st.binary(max_size=80))
def test_any_bytes_give_sentences(data: bytes) -> None:
    assert refused(data)


def test_what_can_not_be_read_back_is_not_written(tmp_path) -> None:
    project = whole()
    spoiled = replace(project, points={**project.points, "top": (float("nan"), 0.0, 0.0)})
    with pytest.raises(ProjectError, match=r"points\.top\[0\]"):
        write(spoiled, tmp_path / "x.corner.json")
    assert not list(tmp_path.iterdir())


def test_an_extra_position_moves_something_that_is_there() -> None:
    (problem,) = refused(changed("extra_positions", {"hit": {"moves": ["weel"], "inboard": 3}}))
    assert problem.startswith(
        'extra_positions.hit.moves[0]: there is no part or moving body "weel"'
    )
    assert 'did you mean "wheel"?' in problem
    (problem,) = refused(changed("extra_positions", {"hit": {}}))
    assert problem.startswith("extra_positions.hit: it moves nothing")
    (problem,) = refused(changed("extra_positions", {"b": {"moves": ["upright"], "bulge": 2}}))
    assert problem.startswith("extra_positions.b.bulge: only the tyre bulges")


def test_a_count_is_a_whole_number() -> None:
    plate = {"length": 90, "width": 90, "thickness": 5, "bolts": 3.0}
    mount = {"plate": plate}
    project = loads(changed("top_mount", mount))
    assert project.top_mount is not None
    assert project.top_mount.plate is not None
    assert project.top_mount.plate.bolts == 3
    for bad, word in ((3.5, "a whole number"), ("3", "a whole number"), (1, "from 2 to 12")):
        (problem,) = refused(changed("top_mount", {"plate": {**plate, "bolts": bad}}))
        assert problem.startswith("top_mount.plate.bolts:")
        assert word in problem


def test_an_arm_whose_tube_passes_a_point_twice_in_a_row_is_refused() -> None:
    arm = RadiusArm("pivot", {}, through=("front", "pivot"))
    assert list(lines(arm)) == [("through", "front", "pivot"), ("through", "pivot", "pivot")]
