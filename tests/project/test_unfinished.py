"""A corner that can't stand yet, beside the last one that could."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest
from msgspec.structs import replace

from kinematics.errors import ProjectError
from kinematics.project.edit import move_top
from kinematics.project.files import Contents, dumps, loads, loads_all, read, read_all, write
from kinematics.project.furnish import copy_entry, remove_entry
from kinematics.project.mirror import mirror
from kinematics.project.model import Project
from kinematics.project.rename import rename_entry
from kinematics.project.schema import schema
from kinematics.project.unfinished import clash, merged
from kinematics.project.unfold import unfold

EXAMPLES = Path(__file__).parents[2] / "assets" / "examples"
FIVE = unfold(read(EXAMPLES / "rear-five-links.corner.json"))
BEGUN = copy_entry(FIVE, "links", "upper link")[0]


def test_it_is_written_and_read_back_beside_the_project(tmp_path: Path) -> None:
    path = tmp_path / "a.corner.json"
    write(FIVE, path, BEGUN)
    assert read_all(path) == Contents(FIVE, BEGUN)
    assert read(path) == FIVE
    whole = json.loads(path.read_text(encoding="utf-8"))
    assert set(whole["unfinished"]) == {"points", "links"}
    jsonschema.Draft202012Validator(schema()).validate(whole)
    write(FIVE, path, FIVE)
    assert "unfinished" not in json.loads(path.read_text(encoding="utf-8"))


def test_in_inches_its_lengths_are_the_files() -> None:
    inches = replace(FIVE, units="in")
    contents = loads_all(dumps(inches, BEGUN))
    assert contents.unfinished is not None
    assert contents.unfinished.units == "in"
    for name, xyz in BEGUN.points.items():
        assert contents.unfinished.points[name] == pytest.approx(xyz, abs=1e-9)


def test_what_it_has_not_is_null() -> None:
    bare = replace(BEGUN, coilover=None, top_mount=None, tower=None)
    data = dumps(FIVE, bare)
    assert json.loads(data)["unfinished"]["coilover"] is None
    assert loads_all(data).unfinished == bare


@pytest.mark.parametrize(
    ("unfinished", "said"),
    [
        ([1], "unfinished: an object"),
        ({"units": "in"}, "unfinished.units: this entry is not known here"),
        ({"unfinished": {}}, "unfinished.unfinished: this entry is not known here"),
        ({"wat": 3}, "unfinished.wat: this entry is not known"),
        ({"points": None}, "unfinished.points: this entry is missing"),
        ({"points": {"a": [1, 2]}}, r"unfinished.points.a: a list of 3 is expected"),
        ({"wheel": {"centre": "nowhere"}}, "unfinished.wheel"),
    ],
)
def test_it_is_read_as_strictly_as_the_project(unfinished: object, said: str) -> None:
    tree = {**json.loads(dumps(FIVE)), "unfinished": unfinished}
    with pytest.raises(ProjectError, match=said):
        loads(json.dumps(tree).encode())


def test_what_can_t_be_read_back_is_not_written() -> None:
    far = replace(BEGUN, points={**BEGUN.points, "far": (1e9, 0.0, 0.0)})
    with pytest.raises(ProjectError, match="too far"):
        dumps(FIVE, far)


EDITS: dict[str, Callable[[Project], Project]] = {
    "slide": lambda p: move_top(p, 4.0, -3.0, 1.0),
    "title": lambda p: replace(p, title="other"),
    "rename": lambda p: rename_entry(p, "links", "toe link", "tie rod"),
    "take out": lambda p: remove_entry(p, "links", "lower rod"),
    "no tower": lambda p: replace(p, tower=None, top_mount=None),
    "other tyre": lambda p: replace(
        p, wheel=replace(p.wheel, tyre=replace(p.wheel.tyre, size="205/50R16"))
    ),
    "rules": lambda p: replace(p, rules=()),
}


@pytest.mark.parametrize("name", EDITS)
def test_changes_come_along_with_any_other_edit(name: str) -> None:
    """Made to the one or to the other, an edit that has nothing to do with them comes to the same.

    Two edits of different entries commute: either order gives one project.
    """
    edit = EDITS[name]
    if name in ("take out", "rename"):  # the order of the links is another
        assert dict(merged(FIVE, BEGUN, edit(FIVE)).links) == dict(edit(BEGUN).links)
    else:
        assert merged(FIVE, BEGUN, edit(FIVE)) == edit(BEGUN)
    assert merged(FIVE, edit(FIVE), BEGUN).links == edit(BEGUN).links


def test_nothing_changed_changes_nothing() -> None:
    other = mirror(FIVE)
    assert merged(FIVE, FIVE, other) is other
    assert merged(FIVE, BEGUN, FIVE) is BEGUN
    assert merged(FIVE, BEGUN, BEGUN) is BEGUN


def test_where_both_changed_an_entry_what_was_begun_holds() -> None:
    here = replace(FIVE, title="here")
    assert merged(FIVE, replace(BEGUN, title="there"), here).title == "there"


def test_what_was_changed_on_both_sides_clashes() -> None:
    upper = next(iter(set(BEGUN.points) - set(FIVE.points)))
    moved = replace(BEGUN, points={**BEGUN.points, upper: (1.0, 2.0, 3.0)})
    assert clash(BEGUN, moved, FIVE)  # the project has no such point
    assert not clash(BEGUN, replace(BEGUN, title="other"), FIVE)
    assert not clash(BEGUN, move_top(BEGUN, 1.0, 0.0, 0.0), FIVE)
    assert clash(FIVE, replace(FIVE, title="there"), replace(FIVE, title="here"))
