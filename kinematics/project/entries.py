"""Check a plain tree against the records' types, entry by entry, and convert its lengths.

One walk over the types serves reading (every entry that does not fit is named by its path, in
words; lengths become mm) and writing (lengths become the file's unit).
"""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import msgspec.inspect as kinds

from kinematics.project.model import Project
from kinematics.project.text import Tree, path_to

LONGEST_TEXT = 20_000
FARTHEST = 20_000.0  # mm: no point of a car is farther from its origin
THINNEST = 1e-3  # of any size above nought, mm or in
MOST_MEMBERS = 1_000  # of one list or one set of names

_PROJECT = kinds.type_info(Project)


@dataclass
class Walk:
    """One walk over a tree: how lengths are converted, and what was found wrong.

    ``convert`` is applied to every length; ``names`` collects (path, what it names, name).
    """

    convert: Callable[[float], float]
    problems: list[str] = field(default_factory=list)
    names: list[tuple[str, str, str]] = field(default_factory=list)

    def wrong(self, path: str, what: str) -> None:
        """Note one problem of one entry."""
        self.problems.append(f"{path or 'project'}: {what}")


def walk(tree: Tree, walked: Walk) -> Tree:
    """Check a project's tree and return it with its lengths converted."""
    return _any(tree, _PROJECT, "", walked, {})


def _any(tree: Tree, kind: kinds.Type, path: str, walked: Walk, extra: Mapping[str, str]) -> Tree:
    if isinstance(kind, kinds.Metadata):
        return _any(tree, kind.type, path, walked, {**extra, **(kind.extra or {})})
    check = _CHECKS.get(type(kind))
    if check is None:
        raise TypeError(f"{path}: the records use a type that files can't hold: {kind}")
    return check(tree, kind, path, walked, extra)


def _union(
    tree: Tree, kind: kinds.UnionType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    choices = [each for each in kind.types if not isinstance(each, kinds.NoneType)]
    if tree is None and len(choices) < len(kind.types):
        return None
    if len(choices) == 1:
        return _any(tree, choices[0], path, walked, extra)
    if not isinstance(tree, dict):
        walked.wrong(path, f"an object in {{ }} is expected, not {_shown(tree)}.")
        return None
    records: dict[Any, kinds.StructType] = {
        each.tag: each for each in _flat(choices) if isinstance(each, kinds.StructType)
    }
    tag = tree.get("kind")
    if not isinstance(tag, str) or tag not in records:
        given = "is missing" if tag is None else f"can't be {_shown(tag)}"
        walked.wrong(path_to(path, "kind"), f"it {given}; use one of {_listed(records)}.")
        return None
    return _record(tree, records[tag], path, walked, extra)


def _flat(choices: list[kinds.Type]) -> list[kinds.Type]:
    """Choices with unions inside unions opened up."""
    flat: list[kinds.Type] = []
    for each in choices:
        flat += _flat(list(each.types)) if isinstance(each, kinds.UnionType) else [each]
    return flat


def _record(
    tree: Tree, kind: kinds.StructType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    if not isinstance(tree, dict):
        walked.wrong(path, f"an object in {{ }} is expected, not {_shown(tree)}.")
        return None
    if len(tree) > MOST_MEMBERS:
        walked.wrong(path, f"it holds {len(tree):,} entries; {MOST_MEMBERS:,} is the most.")
        return None
    fields = {each.encode_name: each for each in kind.fields}
    for key in tree.keys() - fields.keys() - ({kind.tag_field} if kind.tag else set()):
        near = difflib.get_close_matches(key, fields, 1)
        hint = f"did you mean {near[0]}?" if near else f"known here: {_listed(fields)}."
        walked.wrong(path_to(path, _short(key)), f"this entry is not known; {hint}")
    for name, each in fields.items():
        if each.required and name not in tree:
            walked.wrong(path_to(path, name), f"this entry is missing{_meaning(each.type)}.")
    checked: dict[str, Tree] = {kind.tag_field: kind.tag} if kind.tag_field and kind.tag else {}
    for name, value in tree.items():
        if name in fields:
            checked[name] = _any(value, fields[name].type, path_to(path, name), walked, {})
    return checked


def _table(
    tree: Tree, kind: kinds.DictType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    if not isinstance(tree, dict):
        walked.wrong(path, f"an object in {{ }} is expected, not {_shown(tree)}.")
        return None
    if len(tree) > MOST_MEMBERS:
        walked.wrong(path, f"it holds {len(tree):,} entries; {MOST_MEMBERS:,} is the most.")
        return None
    checked = {}
    for key, value in tree.items():
        place = path_to(path, _short(key))
        _any(key, kind.key_type, place, walked, {})
        checked[key] = _any(value, kind.value_type, place, walked, {})
    return checked


def _fixed_list(
    tree: Tree, kind: kinds.TupleType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    wanted = len(kind.item_types)
    if not isinstance(tree, list | tuple) or len(tree) != wanted:
        walked.wrong(path, f"a list of {wanted} is expected, not {_shown(tree)}.")
        return None
    pairs = zip(tree, kind.item_types, strict=True)
    return [_any(v, k, path_to(path, at), walked, {}) for at, (v, k) in enumerate(pairs)]


def _list(
    tree: Tree, kind: kinds.VarTupleType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    least = kind.min_length or 0
    if not isinstance(tree, list | tuple) or not least <= len(tree) <= MOST_MEMBERS:
        count = f" of at least {least}" if least else f" of at most {MOST_MEMBERS:,}"
        walked.wrong(path, f"a list{count} is expected, not {_shown(tree)}.")
        return None
    return [_any(v, kind.item_type, path_to(path, at), walked, {}) for at, v in enumerate(tree)]


def _text(
    tree: Tree, kind: kinds.StrType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    if not isinstance(tree, str):
        walked.wrong(path, f"a text in quotes is expected, not {_shown(tree)}.")
        return None
    longest = kind.max_length or LONGEST_TEXT
    if len(tree) > longest:
        walked.wrong(path, f"this text is too long: {longest:,} characters is the most.")
    elif kind.max_length and (not tree or tree != tree.strip()):
        walked.wrong(path, f"{_shown(tree)} must not be empty or begin or end with a space.")
    elif not _readable(tree, lines=not kind.max_length):
        walked.wrong(path, "this text has a character in it that can't be shown.")
    elif "names" in extra:
        walked.names.append((path, extra["names"], tree))
    return tree


def _number(
    tree: Tree, kind: kinds.FloatType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    if isinstance(tree, bool) or not isinstance(tree, int | float):
        walked.wrong(path, f"a number is expected, not {_shown(tree)}.")
        return None
    value = float(tree)
    if (kind.gt is not None and not value > kind.gt) or (
        kind.ge is not None and not value >= kind.ge
    ):
        bound = kind.gt if kind.gt is not None else kind.ge
        word = "more than" if kind.gt is not None else "at least"
        walked.wrong(path, f"it must be {word} {bound:g}, not {value:g}.")
    elif kind.le is not None and not value <= kind.le:
        walked.wrong(path, f"it must be at most {kind.le:g}, not {value:g}.")
    if extra.get("quantity") != "length":
        return value
    converted = walked.convert(value)
    if not abs(converted) <= FARTHEST:
        walked.wrong(path, f"{value:g} is too far for a car: 20 m is the most. Is the unit right?")
    elif kind.gt == 0 and 0 < converted < THINNEST:
        walked.wrong(path, f"{value:g} is too small to be a size. Is the unit right?")
    return converted


def _count(
    tree: Tree, kind: kinds.IntType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    whole = isinstance(tree, int) or (isinstance(tree, float) and tree.is_integer())
    if not isinstance(tree, int | float) or isinstance(tree, bool) or not whole:
        walked.wrong(path, f"a whole number is expected, not {_shown(tree)}.")
        return None
    if not (kind.ge or 0) <= tree <= (kind.le or MOST_MEMBERS):
        span = f"from {kind.ge or 0} to {kind.le or MOST_MEMBERS}"
        walked.wrong(path, f"it must be {span}, not {tree:g}.")
    return int(tree)


def _literal(
    tree: Tree, kind: kinds.LiteralType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    if isinstance(tree, bool) or tree not in kind.values:
        walked.wrong(path, f"{_shown(tree)} can't be used; use {_listed(kind.values)}.")
    return tree


def _truth(
    tree: Tree, kind: kinds.BoolType, path: str, walked: Walk, extra: Mapping[str, str]
) -> Tree:
    if not isinstance(tree, bool):
        walked.wrong(path, f"true or false is expected, not {_shown(tree)}.")
    return tree


_CHECKS: dict[type[kinds.Type], Callable[..., Tree]] = {
    kinds.UnionType: _union,
    kinds.StructType: _record,
    kinds.DictType: _table,
    kinds.TupleType: _fixed_list,
    kinds.VarTupleType: _list,
    kinds.StrType: _text,
    kinds.FloatType: _number,
    kinds.IntType: _count,
    kinds.LiteralType: _literal,
    kinds.BoolType: _truth,
}


def _readable(text: str, lines: bool) -> bool:
    """No control characters (but line ends in a longer text) and no halves of a character."""
    allowed = "\n\t" if lines else ""
    return all(
        unicodedata.category(each) not in ("Cc", "Cs") for each in text if each not in allowed
    )


def _shown(value: Tree) -> str:
    if isinstance(value, dict):
        return "an object in { }"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    if isinstance(value, str):
        return f'"{_short(value)}"'
    return "null" if value is None else f"{value}".lower()


def _short(text: str) -> str:
    plain = "".join(each if each.isprintable() else "?" for each in text[:40])
    return plain + ("…" if len(text) > 40 else "")


def _listed(words: Any) -> str:
    return ", ".join(str(each) for each in words)


def _meaning(kind: kinds.Type) -> str:
    """A field's description in brackets, for the sentence that says it is missing."""
    described = isinstance(kind, kinds.Metadata) and (kind.extra_json_schema or {}).get(
        "description"
    )
    return f" ({described})" if described else ""
