"""Names changed wherever they stand: a point, or an entry of a table."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

import msgspec
from msgspec import inspect

from kinematics.errors import ProjectError
from kinematics.project.basics import LONGEST_NAME
from kinematics.project.model import Project, Shaft
from kinematics.project.names import bodies_of

Change = Callable[[str, str], str]
TABLES = ("links", "joints", "parts", "adjusters", "extra_positions", "stops", "straps", "hoses")
_JOINTS_OF_A_SHAFT = (" inner joint", " outer joint")


def rename_point(project: Project, old: str, new: str) -> Project:
    """The project with a point called otherwise, in readings too.

    Raises ProjectError if the name can't be had.
    """
    if new == old:
        return project
    new = _fit(new)
    if new in project.points:
        raise ProjectError(f'There is a point "{new}" already; choose another name.')

    def change(what: str, name: str) -> str:
        return new if what == "point" and name == old else name

    points = {new if name == old else name: xyz for name, xyz in project.points.items()}
    made: Project = _walk(project, _type(Project), "", change)
    return msgspec.structs.replace(made, points=points)


def rename_body(project: Project, old: str, new: str) -> Project:
    """The project with a moving body of the builder's own called otherwise.

    Raises ProjectError if the name can't be had.
    """
    if new == old:
        return project
    new = _fit(new)
    if new in bodies_of(project):
        raise ProjectError(f'There is a body "{new}" already; choose another name.')

    def change(what: str, name: str) -> str:
        return new if what == "body" and name == old else name

    made: Project = _walk(project, _type(Project), "", change)
    bodies = tuple(new if name == old else name for name in project.bodies)
    return _moved(msgspec.structs.replace(made, bodies=bodies), {old: new})


def _moved(project: Project, names: dict[str, str]) -> Project:
    """Extra positions that move what is called otherwise."""
    if project.extra_positions is None:
        return project
    extras = {
        name: msgspec.structs.replace(e, moves=tuple(names.get(m, m) for m in e.moves))
        for name, e in project.extra_positions.items()
    }
    return msgspec.structs.replace(project, extra_positions=extras)


def rename_entry(project: Project, table: str, old: str, new: str) -> Project:
    """The project with an entry of a table called otherwise, and what speaks of it.

    Raises ProjectError if the name can't be had.
    """
    if new == old:
        return project
    new, there = _fit(new), getattr(project, table) or {}
    if new in there:
        raise ProjectError(f'There is one called "{new}" already; choose another name.')
    entry = there[old]
    renamed = {new if name == old else name: each for name, each in there.items()}
    made = msgspec.structs.replace(project, **{table: renamed})
    if table not in ("links", "joints", "parts"):
        return made
    names = {old: new}
    if isinstance(entry, Shaft):
        names.update({f"{old}{tail}": f"{new}{tail}" for tail in _JOINTS_OF_A_SHAFT})
    return _spoken(made, names, table)


def _spoken(project: Project, names: dict[str, str], table: str) -> Project:
    """Rules, extra positions, bushes and adjusters that speak of what is called otherwise."""

    def to(name: str) -> str:
        return names.get(name, name)

    replace = msgspec.structs.replace
    rules, survey = project.rules, project.survey
    if table == "joints":
        return replace(project, give={to(n): v for n, v in project.give.items()})
    if rules is not None:
        rules = tuple(replace(r, between=(to(r.between[0]), to(r.between[1]))) for r in rules)
    made = _moved(replace(project, rules=rules), names)
    if table == "parts":
        return made
    adjusters = {
        n: a if a.link is None else replace(a, link=to(a.link)) for n, a in made.adjusters.items()
    }
    if survey is not None:
        readings = tuple(
            replace(r, of=to(r.of)) if hasattr(r, "of") else r for r in survey.readings
        )
        as_built = tuple(
            replace(r, of=to(r.of)) if hasattr(r, "of") else r for r in survey.as_built
        )
        survey = replace(survey, readings=readings, as_built=as_built)
    give = {to(n): v for n, v in made.give.items()}
    return replace(made, adjusters=adjusters, give=give, survey=survey)


def renamed(record: Any, change: Change) -> Any:
    """A record with every name of a 'point' or 'body' in it put through ``change(what, name)``."""
    held: Any = type(record)
    return _walk(record, _type(held), "", change)


@lru_cache(maxsize=256)
def _type(record: Any) -> inspect.Type:
    """What a record holds: slow to find out."""
    return inspect.type_info(record)


def _fit(name: str) -> str:
    name = " ".join(name.split())
    if not name:
        raise ProjectError("It needs a name.")
    if len(name) > LONGEST_NAME:
        raise ProjectError(f"A name has at most {LONGEST_NAME} letters.")
    return name


def _walk(value: Any, kind: inspect.Type, names: str, change: Change) -> Any:
    """A value with every name of a point in it put through ``change``, by the types it has."""
    if isinstance(kind, inspect.Metadata):
        return _walk(value, kind.type, (kind.extra or {}).get("names", names), change)
    if isinstance(kind, inspect.UnionType):
        wanted = [t for t in kind.types if _fits(value, t)]
        return _walk(value, wanted[0], names, change) if wanted else value
    if isinstance(value, msgspec.Struct):
        record: Any = type(value)
        info = _type(record)
        assert isinstance(info, inspect.StructType)
        changed = {f.name: _walk(getattr(value, f.name), f.type, "", change) for f in info.fields}
        return msgspec.structs.replace(value, **changed)
    if isinstance(kind, inspect.DictType) and isinstance(value, dict):
        return {
            _walk(k, kind.key_type, "", change): _walk(v, kind.value_type, "", change)
            for k, v in value.items()
        }
    if isinstance(kind, inspect.TupleType):
        return tuple(_walk(v, k, "", change) for v, k in zip(value, kind.item_types, strict=True))
    if isinstance(kind, inspect.VarTupleType):
        return tuple(_walk(v, kind.item_type, "", change) for v in value)
    return change(names, value) if names and isinstance(value, str) else value


def _fits(value: Any, kind: inspect.Type) -> bool:
    """Whether a value is of one of a union's types."""
    if isinstance(kind, inspect.Metadata):
        return _fits(value, kind.type)
    if isinstance(kind, inspect.StructType):
        return isinstance(value, kind.cls)
    if isinstance(kind, inspect.NoneType):
        return value is None
    return not isinstance(value, msgspec.Struct) and value is not None


def uses_of(project: Project, point: str) -> list[str]:
    """What a point is used by, in words: 'upper link', 'wheel', 'the arrangement' ..."""
    found: list[str] = []
    for group in (*TABLES, "bearings"):
        for name, entry in (getattr(project, group) or {}).items():
            if _names(entry, point) or (group == "bearings" and name == point):
                found.append(f"a bearing at {name}" if group == "bearings" else name)
    for group, words in (
        ("arrangement", "the arrangement"),
        ("wheel", "the wheel"),
        ("coilover", "the coilover"),
        ("survey", "readings"),
    ):
        if _names(getattr(project, group), point):
            found.append(words)
    return found


def names_body(record: Any, body: str) -> bool:
    """Whether a record speaks of a body."""
    return _names(record, body, "body")


def _names(record: Any, wanted: str, kind: str = "point") -> bool:
    heard: list[str] = []

    def hear(what: str, name: str) -> str:
        if what == kind:
            heard.append(name)
        return name

    held: Any = type(record)
    if record is not None:
        _walk(record, _type(held), "", hear)
    return wanted in heard
