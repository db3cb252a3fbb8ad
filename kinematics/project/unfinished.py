"""A corner that is being described and can't stand yet, kept beside the last one that could.

In a file it stands under ``unfinished``: every entry of the project that it changes, whole, each
in the place of the one above it; null where it has none.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec

from kinematics.errors import ProjectError
from kinematics.project.model import Project
from kinematics.project.text import Tree

ENTRY = "unfinished"
FILES_OWN = ("clearstroke", "units")  # hold for all of a file
_NONE: Any = object()  # nothing stands there


def changes(tree: Mapping[str, Tree], unfinished: Mapping[str, Tree]) -> dict[str, Tree]:
    """What the tree of an unfinished corner has otherwise than that of its project."""
    keys = dict.fromkeys((*tree, *unfinished))
    return {key: unfinished.get(key) for key in keys if unfinished.get(key) != tree.get(key)}


def completed(tree: Mapping[str, Tree], changed: Tree) -> dict[str, Tree]:
    """The tree of the unfinished corner, from a project's and what is changed of it.

    Raises ProjectError where that is no such thing.
    """
    if not isinstance(changed, dict):
        raise ProjectError(f"{ENTRY}: an object in {{ }} is expected.")
    for key in (*FILES_OWN, ENTRY):
        if key in changed:
            raise ProjectError(f"{ENTRY}.{key}: this entry is not known here; the file's holds.")
    kept = {key: value for key, value in tree.items() if key not in changed}
    return kept | {key: value for key, value in changed.items() if value is not None}


def merged(on: Project, made: Project, base: Project) -> Project:
    """The changes that made one project of another, made to a third.

    Entry by entry: one that ``made`` has otherwise than ``on`` is ``made``'s, every other that of
    ``base``. Lists of another length are taken whole. Whether it makes sense is not looked at.
    """
    if base == on or made == base:
        return made
    if made == on:
        return base
    trees = (msgspec.to_builtins(each) for each in (on, made, base))
    project: Project = msgspec.convert(_merged(*trees), Project)
    return project


def clash(on: Project, made: Project, base: Project) -> bool:
    """Whether ``base`` has anything otherwise than ``on`` that ``made`` has otherwise too."""
    return _clash(*(msgspec.to_builtins(each) for each in (on, made, base)))


def _clash(on: Any, made: Any, base: Any) -> bool:
    if made == on or base == on:
        return False
    held = on, made, base
    if _alike(held):
        keys = dict.fromkeys((*on, *made, *base))
        return any(_clash(*(each.get(key, _NONE) for each in held)) for key in keys)
    return not _of_one_length(held) or any(_clash(*each) for each in zip(*held, strict=True))


def _alike(held: tuple[Any, ...]) -> bool:
    """Whether all are tables, or records of one kind."""
    tables = all(isinstance(each, dict) for each in held)
    return tables and len({each.get("kind") for each in held}) == 1


def _of_one_length(held: tuple[Any, ...]) -> bool:
    """Whether all are lists as long as each other."""
    return all(isinstance(each, list | tuple) for each in held) and len(set(map(len, held))) == 1


def _merged(on: Any, made: Any, base: Any) -> Any:
    if made == on:
        return base
    held = on, made, base
    if _alike(held):
        keys = dict.fromkeys((*base, *made))
        found = {key: _merged(*(each.get(key, _NONE) for each in held)) for key in keys}
        return {key: value for key, value in found.items() if value is not _NONE}
    if _of_one_length(held):
        return [_merged(*each) for each in zip(*held, strict=True)]
    return made
