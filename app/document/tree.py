"""The project as a tree of entries: read and change any of them by its path."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import msgspec
from msgspec import inspect

from kinematics.errors import ProjectError
from kinematics.project import files
from kinematics.project.model import Project

Path = tuple[str | int, ...]
Kind = Literal["length", "number", "text", "choice", "flag"]


@dataclass(frozen=True)
class Entry:
    """One entry a builder can fill in: where it is, what it is, what it means."""

    path: Path
    kind: Kind
    help: str = ""
    optional: bool = False
    choices: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """Its name in words."""
        words = str(self.path[-1]).replace("_", " ")
        for unit in (" n per mm", " deg"):
            words = words.removesuffix(unit)
        return words

    @property
    def unit(self) -> str:
        """The unit of a plain number, from its name; lengths take the project's."""
        name = str(self.path[-1])
        if name.endswith("_n_per_mm"):
            return "N/mm"
        return "°" if name.endswith("_deg") else ""


def get(project: Project, path: Path) -> Any:
    """An entry as plain data; None where it or its record isn't given."""
    value: Any = msgspec.to_builtins(project)
    for step in path:
        if value is None:
            return None
        value = value.get(step) if isinstance(value, dict) else value[int(step)]
    return value


def put(project: Project, path: Path, value: Any) -> Project:
    """The project with one entry changed. Raises ProjectError, one sentence, if it can't stand."""
    # Through text, so that everything in it is a list or a dict that can be changed.
    tree = msgspec.json.decode(msgspec.json.encode(project))
    at = tree
    for step in path[:-1]:
        at = at.setdefault(step, {}) if isinstance(at, dict) else at[int(step)]
    if value is None and isinstance(at, dict):
        at.pop(path[-1], None)
    else:
        at[path[-1]] = value
    try:
        made = msgspec.convert(tree, Project)
    except msgspec.ValidationError as error:
        raise ProjectError(_plain(str(error))) from None
    files.dumps(made)
    return made


def _plain(said: str) -> str:
    """What the reader of records says, in a builder's words."""
    what = said.split(" - at ")[0].replace("`", "")
    what = what.replace("Expected float", "This should be a number").replace(
        "Expected str", "This should be text"
    )
    return f"{what}."


def entries(record: type, path: Path) -> list[Entry]:
    """The entries of a record that hold one value each, in its own order."""
    found = []
    info = inspect.type_info(record)
    assert isinstance(info, inspect.StructType)
    for field in info.fields:
        entry = _entry(field.type, (*path, field.encode_name))
        if entry is not None:
            found.append(entry)
    return found


def _entry(kind: inspect.Type, path: Path) -> Entry | None:
    help_, optional = "", False
    extra: dict[str, Any] = {}
    while True:
        if isinstance(kind, inspect.Metadata):
            help_ = (kind.extra_json_schema or {}).get("description", help_)
            extra = {**(kind.extra or {}), **extra}
            kind = kind.type
        elif isinstance(kind, inspect.UnionType):
            rest = [t for t in kind.types if not isinstance(t, inspect.NoneType)]
            if len(rest) != 1:
                return None
            optional = len(rest) < len(kind.types)
            kind = rest[0]
        else:
            break
    if "names" in extra:
        return None  # a point or a body by name: chosen elsewhere
    if isinstance(kind, inspect.FloatType):
        length = extra.get("quantity") == "length"
        return Entry(path, "length" if length else "number", help_, optional)
    if isinstance(kind, inspect.BoolType):
        return Entry(path, "flag", help_, optional)
    if isinstance(kind, inspect.StrType):
        return Entry(path, "text", help_, optional)
    if isinstance(kind, inspect.LiteralType) and all(isinstance(v, str) for v in kind.values):
        return Entry(path, "choice", help_, optional, tuple(map(str, kind.values)))
    return None
