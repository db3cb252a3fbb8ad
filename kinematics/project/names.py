"""Names that tie the records together: every one that is used must be there."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from kinematics.errors import ProjectError
from kinematics.project.basics import CHASSIS, RACK
from kinematics.project.model import Project, Shaft, Strut, Wishbones
from kinematics.project.rules import ANYTHING, CLASSES
from kinematics.project.unfold import unfold

OF_A_WHEEL = ("tyre", "wheel", "balance weights")
OF_A_COILOVER = (
    "damper body",
    "damper shaft",
    "bump stop",
    "spring",
    "spring seat",
    "helper spring",
    "top hat",
)
OF_A_TOWER = ("tower", "tower lip")
_FEW = 20


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


def parts_of(project: Project) -> tuple[str, ...]:
    """Every part of a project by the name that it has on the screen and in rules."""
    whole = unfold(project)
    names = ["tyre", "wheel", *whole.links, *whole.parts]
    for name, part in whole.parts.items():
        if isinstance(part, Shaft):
            names += [f"{name} inner joint", f"{name} outer joint"]
    names += ("balance weights",) if whole.wheel.rim.weights else ()
    names += OF_A_COILOVER if whole.coilover else ()
    names += ("top mount",) if whole.top_mount else ()
    names += OF_A_TOWER if whole.tower else ()
    return tuple(dict.fromkeys(names))


def clashes(project: Project) -> list[str]:
    """Say which links and parts have a name that something else has."""
    try:
        whole = unfold(project)
    except ProjectError as error:
        return list(error.problems)
    taken = {*OF_A_WHEEL, "coilover", "top mount", *OF_A_COILOVER, *OF_A_TOWER}
    problems = [
        f'{group}.{name}: "{name}" is what Clearstroke calls its own; choose another name.'
        for group, names in (("links", whole.links), ("parts", whole.parts))
        for name in names
        if name in taken
    ]
    problems += [
        f"links.{name}: a {what} has this name too; choose another."
        for what, others in (("part", tuple(whole.parts)), ("body", bodies_of(project)))
        for name in whole.links
        if name in others
    ]
    return problems


def dangling_rules(project: Project) -> list[str]:
    """Say which rules speak of a part that is not there."""
    if not project.rules:
        return []
    known = (ANYTHING, *CLASSES, *parts_of(project))
    return [
        f'rules[{at}].between[{which}]: there is no part or class "{name}"; {_hint(name, known)}'
        for at, rule in enumerate(project.rules)
        for which, name in enumerate(rule.between)
        if name not in known
    ]


def dangling_extras(project: Project) -> list[str]:
    """Say which extra positions move what is not there."""
    known = ("wheel", *bodies_of(project)[1:], *parts_of(project))
    return [
        f'extra_positions.{name}.moves[{at}]: there is no part or moving body "{moved}"; '
        f"{_hint(moved, known)}"
        for name, extra in (project.extra_positions or {}).items()
        for at, moved in enumerate(extra.moves)
        if moved not in known
    ]


def _hint(name: str, known: tuple[str, ...]) -> str:
    near = difflib.get_close_matches(name, known, 1)
    if near:
        return f'did you mean "{near[0]}"?'
    few = ", ".join(known[:_FEW]) + (", …" if len(known) > _FEW else "")
    return f"there are {few}." if known else "there are none."
