"""Names that tie the records together: every one that is used must be there."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from kinematics.project.basics import CHASSIS, RACK
from kinematics.project.model import Project, Strut, Wishbones


def bodies_of(project: Project) -> tuple[str, ...]:
    """Every body of a project by name: the chassis, the arrangement's, its own, the rack."""
    names = [CHASSIS]
    arrangement = project.arrangement
    if arrangement is not None:
        names += arrangement.BODIES
    names += project.bodies
    steered = isinstance(arrangement, Wishbones | Strut) and arrangement.steered
    if project.rack is not None or steered:
        names.append(RACK)
    return tuple(dict.fromkeys(names))


def dangling(project: Project, used: Iterable[tuple[str, str, str]]) -> list[str]:
    """Say which names are used but not there: ``used`` holds (path, point or body, name)."""
    there = {"point": tuple(project.points), "body": bodies_of(project)}
    return [
        f'{path}: there is no {what} "{name}"; {_hint(name, there[what])}'
        for path, what, name in used
        if name not in there[what]
    ]


def _hint(name: str, known: tuple[str, ...]) -> str:
    near = difflib.get_close_matches(name, known, 1)
    if near:
        return f'did you mean "{near[0]}"?'
    few = ", ".join(known[:8]) + (", …" if len(known) > 8 else "")
    return f"there are {few}." if known else "there are none."
