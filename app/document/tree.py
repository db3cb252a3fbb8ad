"""The project as a tree of entries: read and change any of them by its path."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import msgspec
from msgspec import inspect

from kinematics.errors import ClearstrokeError, ProjectError
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.units import Quantity

Path = tuple[str | int, ...]
Kind = Literal[
    "length", "number", "degrees", "count", "text", "choice", "flag", "point", "body", "name"
]
Form = Literal["record", "table", "list", "row"]
WORDS = {
    "is_a": "counts as",
    "body": "carried by",
    "at_deg": "middle at",
    "from_deg": "from",
    "to_deg": "to",
    "on_radius": "stuck at radius",
    "set": "wound in now",
    "moves_with_top": "goes along with the mount",
    "tie_inner": "track rod or toe link, inner",
    "tie_outer": "track rod or toe link, outer",
    "size": "marking",
    "setup_wheel_z": "wheel height at set-up",
    "ground_z": "height of the ground",
}
QUANTITIES: dict[str, Quantity] = {
    "_n_per_mm": "force_per_length", "_kg": "mass", "modulus": "modulus",
}  # fmt: skip
_PATH = re.compile(r"^([a-z_]+(?:\.[^.:\[\]]+|\[\d+\])*): (.*)$", re.DOTALL)
_COORDINATES = {
    (n,)
    for n in ("least", "most", "axis", "direction", "inner_axis", "width_along", "turn_deg", "move")
}
_LIMITS = (
    (re.compile(r"a number > ([-\d.]+?)(?:\.0)?$"), r"more than \1"),
    (re.compile(r"a number >= ([-\d.]+?)(?:\.0)?$"), r"\1 or more"),
    (re.compile(r"a number <= ([-\d.]+?)(?:\.0)?$"), r"\1 or less"),
    (re.compile(r"This should be text of length >= 1$"), "This can't be left empty"),
)
_CODE = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")


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
        return label_of(self.path)

    @property
    def quantity(self) -> Quantity | None:
        """What it is an amount of, which says its unit; None for angles, plain numbers, words."""
        if self.kind == "length":
            return "length"
        if self.kind != "number":
            return None
        if self.path[0] == "give":
            return "force_per_length"
        if self.path[-3:-2] == ("curve",):
            return "force"
        name = str(self.path[-1])
        return next((what for tail, what in QUANTITIES.items() if name.endswith(tail)), None)


@dataclass(frozen=True)
class Group:
    """What holds entries.

    A record of one of ``kinds``, a table by name, a list of any length, or a row of few.
    ``item`` is what each of a table or list is; ``items`` those of a row.
    """

    path: Path
    form: Form
    help: str = ""
    optional: bool = False
    kinds: tuple[type, ...] = ()
    item: inspect.Type | None = None
    items: tuple[inspect.Type, ...] = ()
    keys: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """Its name in words."""
        return label_of(self.path)


def label_of(path: Path) -> str:
    """The name of an entry in words, from the last step of its path."""
    last = path[-1]
    if isinstance(last, int):
        words = label_of(path[:-1]) if len(path) > 1 else ""
        step = "xyz"[last] if path[0] == "points" or path[-2:-1] in _COORDINATES else last + 1
        return f"{words} {step}".strip()
    words = WORDS.get(last, last)
    for tail in ("_n_per_mm", "_deg", "_kg"):
        words = words.removesuffix(tail)
    return words.replace("_", " ")


def get(project: Project, path: Path) -> Any:
    """What stands at a path, defaults included; None where it or its record isn't given."""
    value: Any = project
    for step in path:
        if value is None:
            return None
        if isinstance(value, Mapping):
            value = value.get(step)
        elif isinstance(value, tuple):
            value = value[int(step)] if int(step) < len(value) else None
        else:
            value = getattr(value, str(step), None)
    return value


def put(project: Project, path: Path, value: Any) -> Project:
    """The project with one entry changed; beyond a list's end it is added there.

    Raises ProjectError, one sentence, if it can't stand.
    """
    return put_all(project, {path: value})


def put_all(project: Project, values: Mapping[Path, Any]) -> Project:
    """The project with several entries changed at once, as `put` changes one."""
    tree = plain(project)
    for path, value in values.items():
        at = _down(tree, path)
        last: Any = path[-1]
        if isinstance(at, list) and last == len(at):
            at.append(plain(value))
        else:
            at[last] = plain(value)
    return _made(tree)


def drop(project: Project, path: Path) -> Project:
    """The project without one entry of a table or list, or with it not given. Raises as put."""
    tree = plain(project)
    at = _down(tree, path)
    last: Any = path[-1]
    if isinstance(at, list) or isinstance(get(project, path[:-1]), Mapping):
        del at[last]
    else:
        at[last] = None
    return _made(tree)


def _down(tree: Any, path: Path) -> Any:
    at = tree
    for step in path[:-1]:
        key: Any = step
        if isinstance(at, dict) and at.get(key) is None:
            at[key] = {}
        at = at[key]
    return at


def _made(tree: Any) -> Project:
    try:
        made = msgspec.convert(tree, Project)
    except msgspec.ValidationError as error:
        raise ProjectError(_said(str(error))) from None
    files.dumps(made)
    return made


def plain(value: Any) -> Any:
    """A record as dicts and lists that can be changed, with what is left out filled in."""
    if isinstance(value, msgspec.Struct):
        made = {name: plain(getattr(value, name)) for name in value.__struct_fields__}
        tag = value.__struct_config__
        return {tag.tag_field: tag.tag, **made} if tag.tag_field is not None else made
    if isinstance(value, Mapping):
        return {key: plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain(each) for each in value]
    return value


def shape(value: Any) -> Any:
    """What must stay for the same fields to fit: kinds, names and counts, without the values."""
    if isinstance(value, msgspec.Struct):
        return (type(value), *(shape(getattr(value, n)) for n in value.__struct_fields__))
    if isinstance(value, Mapping):
        return tuple((key, shape(each)) for key, each in value.items())
    if isinstance(value, list | tuple):
        return tuple(shape(each) for each in value)
    return None if value is None else ""


def _said(said: str) -> str:
    """What the reader of records says, in a builder's words."""
    what = said.split(" - at ")[0].replace("`", "")
    what = what.replace("Expected float", "This should be a number").replace(
        "Expected str", "This should be text"
    )
    for limits, plain_words in _LIMITS:
        what = limits.sub(plain_words, what)
    return f"{what}."


def in_words(error: ClearstrokeError, path: Path = ()) -> str:
    """The first sentence of an error, begun with the name of the entry it is about.

    ``path`` is the entry being typed in: its own name is enough, another's comes with what it is
    in.
    """
    first = str(error).split("\n")[0]
    found = _PATH.match(first)
    if found is None:
        return first
    steps = re.findall(r"[^.\[\]]+", found[1])
    own = [str(step) for step in path[: len(steps)]] == steps
    if own and steps[-1].isdigit():
        return found[2]  # one of three coordinates: the hand is in it
    words = [
        f"{int(s) + 1}" if s.isdigit() else WORDS.get(s, s).replace("_", " ")
        for s in steps[-1 if own else -2 :]
    ]
    said = _CODE.sub(lambda code: label_of((code[0],)), found[2])
    return f"{' '.join(words)}: {said}"


# --- what a record holds --------------------------------------------------------------------


@lru_cache(maxsize=256)
def members(record: type, path: Path) -> tuple[Entry | Group, ...]:
    """Everything a record holds, in its own order."""
    info = inspect.type_info(record)
    assert isinstance(info, inspect.StructType)
    found = (member(field.type, (*path, field.encode_name)) for field in info.fields)
    return tuple(each for each in found if each is not None)


def entries(record: type, path: Path) -> list[Entry]:
    """The entries of a record that hold one value each, in its own order."""
    return [each for each in members(record, path) if isinstance(each, Entry)]


def member(kind: inspect.Type, path: Path) -> Entry | Group | None:
    """What stands at a path, by the type it has."""
    kind, help_, optional, extra = _bare(kind)
    name = next((step for step in reversed(path) if isinstance(step, str)), "")
    if isinstance(kind, inspect.FloatType):
        if extra.get("quantity") == "length":
            return Entry(path, "length", help_, optional)
        return Entry(path, "degrees" if name.endswith("_deg") else "number", help_, optional)
    if isinstance(kind, inspect.StrType):
        named = extra.get("names")
        word: Kind = "point" if named == "point" else "body" if named == "body" else "text"
        return Entry(path, word, help_, optional)
    if isinstance(kind, inspect.BoolType):
        return Entry(path, "flag", help_, optional)
    if isinstance(kind, inspect.IntType):
        return Entry(path, "count", help_, optional)
    if isinstance(kind, inspect.LiteralType):
        if not all(isinstance(v, str) for v in kind.values):
            return None
        return Entry(path, "choice", help_, optional, tuple(map(str, kind.values)))
    return _group(kind, path, help_, optional)


def _group(kind: inspect.Type, path: Path, help_: str, optional: bool) -> Group | None:
    if isinstance(kind, inspect.StructType):
        return Group(path, "record", help_, optional, (kind.cls,))
    if isinstance(kind, inspect.UnionType):
        kinds = tuple(t.cls for t in kind.types if isinstance(t, inspect.StructType))
        return Group(path, "record", help_, optional, kinds)
    if isinstance(kind, inspect.DictType):
        key = _bare(kind.key_type)[0]
        keys = tuple(map(str, key.values)) if isinstance(key, inspect.LiteralType) else ()
        return Group(path, "table", help_, optional, item=kind.value_type, keys=keys)
    if isinstance(kind, inspect.VarTupleType):
        return Group(path, "list", help_, optional, item=kind.item_type)
    if isinstance(kind, inspect.TupleType):
        return Group(path, "row", help_, optional, items=kind.item_types)
    return None


def _bare(kind: inspect.Type) -> tuple[inspect.Type, str, bool, dict[str, Any]]:
    """A type without its wrappers: what it means, whether it may be left out, what it names."""
    help_, optional = "", False
    extra: dict[str, Any] = {}
    while True:
        if isinstance(kind, inspect.Metadata):
            help_ = (kind.extra_json_schema or {}).get("description", "") or help_
            extra = {**(kind.extra or {}), **extra}
            kind = kind.type
        elif isinstance(kind, inspect.UnionType):
            rest = [t for t in kind.types if not isinstance(t, inspect.NoneType)]
            optional = optional or len(rest) < len(kind.types)
            if len(rest) != 1:
                return inspect.UnionType(tuple(rest)), help_, optional, extra
            kind = rest[0]
        else:
            return kind, help_, optional, extra
