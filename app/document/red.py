"""What is typed and can't be taken: kept by its entry until it is put right or given up."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from app.document import tree
from app.document.tree import Path
from kinematics.project.model import Project

Red = tuple[str, str]
"""The text, and why it can't be taken."""
Reds = dict[Path, Red]
CASES: Path = ("loads", "cases")


@dataclass(frozen=True)
class Along:
    """Where what stands red goes with a change, and with the undo of it."""

    there: Callable[[Reds], Reds]
    back: Callable[[Reds], Reds]


def standing(reds: Mapping[Path, Red], project: Project | None) -> Reds:
    """Those whose entry a project has: it may have gone, and an undo may bring it back."""
    if project is None:
        return {}
    return {path: red for path, red in reds.items() if _is_there(project, path)}


def _is_there(project: Project, path: Path) -> bool:
    if path[0] == "loads":  # the first weight typed brings them, and some cases are the usual ones
        return True
    return tree.get(project, path[:-1]) is not None


def renamed(reds: Mapping[Path, Red], old: Path, new: Path) -> Reds:
    """What stood red in an entry of a table that is now called otherwise."""
    many = len(old)
    return {(*new, *p[many:]) if p[:many] == old else p: red for p, red in reds.items()}


def by_name(old: Path, new: Path) -> Along:
    """An entry of a table is called otherwise."""
    return Along(partial(renamed, old=old, new=new), partial(renamed, old=new, new=old))


def closed_up(reds: Mapping[Path, Red], listed: Path, gone: int) -> Reds:
    """What stood red in a list one of which is taken out: those behind it move up."""
    return _shifted({p: r for p, r in reds.items() if _row(p, listed) != gone}, listed, gone, -1)


def by_row(reds: Mapping[Path, Red], listed: Path, gone: int) -> Along:
    """One of a list is taken out; its undo brings back what stood red in it."""
    lost = {path: red for path, red in reds.items() if _row(path, listed) == gone}
    return Along(
        partial(closed_up, listed=listed, gone=gone),
        lambda reds: _shifted(reds, listed, gone, 1) | lost,
    )


def _row(path: Path, listed: Path) -> int | None:
    many = len(listed)
    step = path[many] if path[:many] == listed and len(path) > many else None
    return step if isinstance(step, int) else None


def _shifted(reds: Mapping[Path, Red], listed: Path, least: int, by: int) -> Reds:
    """What stands red in a list from row ``least`` on, some rows further down."""
    kept = {}
    for path, red in reds.items():
        row = _row(path, listed)
        if row is not None and row >= least:
            path = (*listed, row + by, *path[len(listed) + 1 :])
        kept[path] = red
    return kept


def followed(
    reds: Mapping[Path, Red], listed: Path, old: Sequence[object], new: Sequence[object]
) -> Reds:
    """What stood red in a list that has become another: each goes along with its row.

    A row is the same where it is the very same record, or stands in a list as long as before.
    """
    places = {id(each): k for k, each in enumerate(new)}
    many, kept = len(listed), {}
    for path, red in reds.items():
        if path[:many] != listed:
            kept[path] = red
            continue
        k = int(path[many])
        now = places.get(id(old[k])) if k < len(old) else None
        if now is None and len(new) == len(old):
            now = k
        if now is not None:
            kept[(*listed, now, *path[many + 1 :])] = red
    return kept
