"""What can be added begins with sizes that stand: on every example, and it can be written."""

from __future__ import annotations

import pytest

from app import examples
from kinematics.errors import ProjectError
from kinematics.project import files
from kinematics.project.bodies import remove_body
from kinematics.project.fitted import FITTINGS, add_fitting, add_point
from kinematics.project.fresh import fresh, usual_give, usual_rules
from kinematics.project.furnish import add_part
from kinematics.project.model import Project
from kinematics.project.rename import rename_body, rename_entry, rename_point, uses_of
from kinematics.project.rules import extra_positions_of, rules_of

ALL = {**examples.examples(), **examples.starts()}
FEW = ("rear-in-trouble", "published-wishbones", "front-strut", "rear-h-arm")
PATHS = (
    ("coilover", "spring"),
    ("coilover", "spring", "helper"),
    ("coilover", "spring", "inner"),
    ("coilover", "spring", "curve"),
    ("coilover", "bump_stop"),
    ("coilover", "droop_stop"),
    ("coilover", "clamp"),
    ("coilover", "thread"),
    ("top_mount",),
    ("top_mount", "plate"),
    ("tower",),
    ("tower", "gussets"),
    ("wheel", "rim", "weights"),
    ("wheel", "axis"),
    ("rack",),
    ("adjusters",),
    ("bodies",),
    ("rules",),
    ("extra_positions",),
    ("stops",),
    ("straps",),
    ("hoses",),
    ("travel",),
)


@pytest.fixture(scope="module")
def corners() -> dict[str, Project]:
    return {name: files.read(ALL[name]) for name in FEW}


@pytest.mark.parametrize("path", PATHS, ids=lambda path: " ".join(path))
def test_what_is_added_can_be_written_and_is_there(
    corners: dict[str, Project], path: tuple[str, ...]
) -> None:
    for name, project in corners.items():
        if project.coilover is None and path[0] in ("coilover", "top_mount"):
            continue
        for k in range(1, len(path)):
            if _at(project, path[:k]) is None:
                project, _ = fresh(project, path[:k])
        before = _at(project, path)
        made, place = fresh(project, path)
        assert files.loads(files.dumps(made)) == made, name
        assert _at(made, place) is not None
        assert _at(made, path) != before


def test_a_coilover_comes_with_two_points_of_its_own(corners: dict[str, Project]) -> None:
    project = corners["published-wishbones"]
    assert project.coilover is None
    made, _ = fresh(project, ("coilover",))
    assert made.coilover is not None
    assert len(made.points) == len(project.points) + 2
    assert files.loads(files.dumps(made)) == made


@pytest.mark.parametrize("kind", FITTINGS)
def test_a_fitting_is_where_such_a_part_usually_is(corners: dict[str, Project], kind: str) -> None:
    for project in corners.values():
        made, name = add_fitting(project, kind)
        again, other = add_fitting(made, kind)
        assert name != other
        assert files.loads(files.dumps(again)) == again


def test_the_usual_becomes_the_projects_own_unchanged(corners: dict[str, Project]) -> None:
    project = corners["front-strut"]
    assert project.rules is None
    assert rules_of(usual_rules(project)) == rules_of(project)
    assert dict(extra_positions_of(usual_give(project))) == dict(extra_positions_of(project))


def test_what_can_not_be_added_says_so(corners: dict[str, Project]) -> None:
    with pytest.raises(ProjectError, match="Nothing can be added"):
        fresh(corners["front-strut"], ("title",))


def test_a_point_called_otherwise_is_so_everywhere(corners: dict[str, Project]) -> None:
    for project in corners.values():
        for point in project.points:
            made = rename_point(project, point, "quite another")
            assert files.loads(files.dumps(made)) == made
            assert len(uses_of(made, "quite another")) == len(uses_of(project, point))
            assert not uses_of(made, point)
            assert rename_point(made, "quite another", point) == project


def test_a_rocker_is_held_renamed_and_goes_with_all_that_holds_it(
    corners: dict[str, Project],
) -> None:
    for project in corners.values():
        made, place = fresh(project, ("bodies",))
        name = made.bodies[int(place[-1])]
        renamed = rename_body(made, name, "bell crank")
        assert files.loads(files.dumps(renamed)) == renamed
        assert renamed.links["new rocker rod"].inner.body == "bell crank"
        assert remove_body(renamed, "bell crank") == project
        with pytest.raises(ProjectError):
            rename_body(made, name, "upright")


def test_a_part_or_link_called_otherwise_is_so_in_rules_and_bushes(
    corners: dict[str, Project],
) -> None:
    for project in corners.values():
        for table in ("links", "joints", "parts"):
            for name in getattr(project, table):
                made = rename_entry(project, table, name, "quite another")
                assert files.loads(files.dumps(made)) == made
                assert rename_entry(made, table, "quite another", name) == project


def test_the_joints_of_a_shaft_are_renamed_with_it(corners: dict[str, Project]) -> None:
    project, name = add_part(corners["front-strut"], "shaft")
    project, _ = fresh(project, ("parts", name, "inner_joint"))
    project, place = fresh(project, ("rules",))
    assert project.rules is not None
    from msgspec.structs import replace

    rule = replace(project.rules[0], between=(f"{name} inner joint", "tyre"))
    project = replace(project, rules=(rule,))
    made = rename_entry(project, "parts", name, "half shaft")
    assert made.rules is not None
    assert made.rules[0].between == ("half shaft inner joint", "tyre")
    assert place == ("rules", 0)


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "wheel centre"])
def test_a_name_that_can_not_be_had(corners: dict[str, Project], name: str) -> None:
    project, point = add_point(corners["front-strut"])
    with pytest.raises(ProjectError):
        rename_point(project, point, name)


def _at(project: Project, path: tuple[str | int, ...]) -> object:
    value: object = project
    for step in path:
        inside = isinstance(value, dict | tuple)
        value = value[step] if inside else getattr(value, str(step))  # type: ignore[index]
    return value
