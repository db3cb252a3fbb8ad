"""JSON text to a plain tree and back, guarded.

Python's own reader takes NaN, turns 1e400 into infinity, keeps the last of two equal keys and
spends 25 bytes of memory on each byte of ``[]``. So the size is looked at first, then brackets
and commas are counted without building anything, and only then is the text read, with every
duplicate and every number that is none named by its path.
"""

from __future__ import annotations

import json
import math
import re
from typing import NoReturn, TypeAlias

from kinematics.errors import ProjectError

Tree: TypeAlias = "dict[str, Tree] | list[Tree] | str | int | float | bool | None"

LARGEST_FILE = 2_000_000  # bytes; a full corner is about 10 thousand
MOST_VALUES = 100_000
DEEPEST = 16

_STRUCTURE = re.compile(r'"(?:[^"\\]|\\.)*"|([\[{])|([\]}])|([,:])', re.DOTALL)
_LINE = 100


class _Pairs(list[tuple[str, "Tree"]]):
    """The members of one JSON object as written, duplicates and all."""


class _NotANumber(str):
    """NaN, Infinity or a number too large to hold, as it was written."""


def parse(data: bytes) -> dict[str, Tree]:
    """Read a project file's bytes into dicts, lists and numbers.

    Raises ProjectError with the path of each offending entry.
    """
    if len(data) > LARGEST_FILE:
        raise ProjectError(
            f"The file has more than {LARGEST_FILE // 1_000_000} million bytes; no project needs "
            "so many. Is it another kind of file?"
        )
    text = _decode(data)
    _count(text)
    try:
        raw = json.loads(
            text,
            object_pairs_hook=_Pairs,
            parse_constant=_NotANumber,
            parse_float=_number,
            parse_int=_whole,
        )
    except ValueError as error:
        _explain(error)
    if not isinstance(raw, _Pairs):
        raise ProjectError("The file should hold one object: it begins with { and ends with }.")
    problems: list[str] = []
    tree = _plain(raw, "", problems)
    if problems:
        raise ProjectError(*problems)
    assert isinstance(tree, dict)
    return tree


def show(tree: Tree) -> str:
    """Write a tree as JSON that reads well: what fits on a line stays on one line."""
    return _show(tree, 0, 0) + "\n"


def path_to(parent: str, key: str | int) -> str:
    """Name an entry within another: ``points`` and ``top`` and 2 give ``points.top[2]``."""
    if isinstance(key, int):
        return f"{parent}[{key}]"
    return f"{parent}.{key}" if parent else key


def _decode(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ProjectError(
            f"The file is not UTF-8 text (byte {error.start + 1}); save it as UTF-8."
        ) from None


def _count(text: str) -> None:
    """Refuse too deep or too many values before any of them is built."""
    depth = values = 0
    for found in _STRUCTURE.finditer(text):
        opens, closes, parts = found.groups()
        depth += bool(opens) - bool(closes)
        values += bool(opens or parts)
        if depth > DEEPEST:
            raise ProjectError(f"The file nests brackets more than {DEEPEST} deep.")
        if values > MOST_VALUES:
            raise ProjectError(f"The file holds more than {MOST_VALUES:,} values.")


def _number(text: str) -> float | _NotANumber:
    value = float(text)
    return value if math.isfinite(value) else _NotANumber(text)


def _whole(text: str) -> int | float | _NotANumber:
    return int(text) if len(text) < 16 else _number(text)


def _explain(error: ValueError) -> NoReturn:
    if isinstance(error, json.JSONDecodeError):
        why = error.msg.lower().removesuffix(" starting at")
        raise ProjectError(
            f"Line {error.lineno}, column {error.colno} is not JSON: {why}."
        ) from None
    raise ProjectError("The file is not JSON.") from None


def _plain(raw: object, path: str, problems: list[str]) -> Tree:
    """Turn pairs into dicts, naming duplicate keys and numbers that are none."""
    if isinstance(raw, _NotANumber):
        shown = raw if len(raw) < 20 else raw[:16] + "…"
        problems.append(f"{path}: {shown} is not a number that can be used.")
        return None
    if isinstance(raw, _Pairs):
        members: dict[str, Tree] = {}
        for key, value in raw:
            place = path_to(path, key)
            if key in members:
                problems.append(f"{place}: this entry is there twice; keep one.")
            members[key] = _plain(value, place, problems)
        return members
    if isinstance(raw, list):
        return [_plain(value, path_to(path, at), problems) for at, value in enumerate(raw)]
    assert raw is None or isinstance(raw, str | int | float)
    return raw


def _show(tree: Tree, indent: int, used: int) -> str:
    """JSON of a tree that starts ``used`` characters into a line indented by ``indent``."""
    flat = json.dumps(_tidy(tree), ensure_ascii=False, allow_nan=False)
    if not isinstance(tree, dict | list) or not tree:
        return flat
    if indent and used + len(flat) < _LINE:
        return flat
    step = indent + 2
    if isinstance(tree, dict):
        heads = [f"{json.dumps(key, ensure_ascii=False)}: " for key in tree]
        values = list(tree.values())
    else:
        heads, values = [""] * len(tree), tree
    lines = [
        " " * step + head + _show(value, step, step + len(head))
        for head, value in zip(heads, values, strict=True)
    ]
    opening, closing = ("{", "}") if isinstance(tree, dict) else ("[", "]")
    return f"{opening}\n" + ",\n".join(lines) + f"\n{' ' * indent}{closing}"


def _tidy(tree: Tree) -> Tree:
    """Write 80.0 as 80 and -0.0 as 0."""
    if isinstance(tree, float) and tree.is_integer() and abs(tree) < 1e15:
        return int(tree)
    if isinstance(tree, dict):
        return {key: _tidy(value) for key, value in tree.items()}
    if isinstance(tree, list | tuple):
        return [_tidy(value) for value in tree]
    return tree
