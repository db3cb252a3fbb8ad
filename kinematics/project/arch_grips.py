"""What of a wheel arch a hand can pull: the edges of its rolled sheet, and its round itself."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise

import msgspec
import numpy as np

from kinematics.errors import ProjectError
from kinematics.project.model import Arch, Project
from kinematics.project.pulls import Array, Edge

LEAST = 1.0  # mm that the sheet keeps across, and inside its lip
TURN = 1.0  # degrees that it keeps
AROUND = 20  # straight pieces that an edge along its round is taken hold of by


def arch_edges(project: Project, name: str, arch: Arch) -> tuple[Edge, ...]:
    """Its inner and outer edge, its two ends, and its lip's free edge if it has one."""
    return (*_sides(project, name, arch), *_ends(project, name, arch), *_lip(project, name, arch))


def arch_way(project: Project, arch: Arch, place: Array) -> Array | None:
    """Square to the arch's round at a place (3,), away from its middle; None off the sheet. (3,)"""
    off = (place - project.points[arch.centre]) * (1.0, 0.0, 1.0)
    far = float(np.linalg.norm(off))
    on = arch.radius - 1.0 < far < arch.radius + arch.thickness + 1.0
    return off / far if on else None


def arch_line(project: Project, name: str) -> Array:
    """The outline of its sheet, closed, mm, car axes. (n, 3)"""
    arch = _arch(project, name)
    inner, outer = (_round(project, arch, arch.radius, y) for y in (arch.inner, arch.outer))
    return np.vstack([inner, outer[::-1], inner[:1]])


def pull_arch(project: Project, name: str, by: float) -> Project:
    """An arch rolled so much larger, mm: its radius."""
    arch = _arch(project, name)
    if arch.radius - arch.lip + by < LEAST:
        raise ProjectError(f'"{name}" would have no round left.')
    return _with(project, name, radius=arch.radius + by)


def _round(project: Project, arch: Arch, radius: float, outboard: float) -> Array:
    """A line along its round, from its start to its end. (AROUND + 1, 3)"""
    x, _, z = project.points[arch.centre]
    turn = np.radians(np.linspace(arch.from_deg, arch.to_deg, AROUND + 1))
    y = np.full_like(turn, outboard * _out(project))
    return np.stack([x + radius * np.cos(turn), y, z + radius * np.sin(turn)], axis=1)


def _sides(project: Project, name: str, arch: Arch) -> Iterator[Edge]:
    for word, sign in (("inner", -1.0), ("outer", 1.0)):
        line = _round(project, arch, arch.radius, getattr(arch, word))
        way = np.array([0.0, sign * _out(project), 0.0])
        for ends in pairwise(line):
            words, entry = f"{word} edge of the {name}", ("parts", name, word)
            pull = partial(_pull_side, name, word, sign)
            yield Edge(name, words, np.array(ends), way, entry, pull, line)


def _ends(project: Project, name: str, arch: Arch) -> Iterator[Edge]:
    rounds = [_round(project, arch, arch.radius, y) for y in (arch.inner, arch.outer)]
    grows = 1.0 if arch.to_deg >= arch.from_deg else -1.0
    for word, place, sense in (("from", 0, -1.0), ("to", -1, 1.0)):
        line = np.array([way[place] for way in rounds])
        turn = np.radians(getattr(arch, f"{word}_deg"))
        way = sense * grows * np.array([-np.sin(turn), 0.0, np.cos(turn)])
        words = f"{'first' if word == 'from' else 'last'} end of the {name}"
        pull = partial(_pull_end, name, f"{word}_deg", sense * grows)
        yield Edge(name, words, line, way, ("parts", name, f"{word}_deg"), pull, line)


def _lip(project: Project, name: str, arch: Arch) -> Iterator[Edge]:
    if not arch.lip:
        return
    line = _round(project, arch, arch.radius - arch.lip, arch.outer)
    middle = np.asarray(project.points[arch.centre], float) * (1.0, 0.0, 1.0)
    for ends in pairwise(line):
        off = middle - np.mean(ends, axis=0) * (1.0, 0.0, 1.0)
        words, entry = f"lip of the {name}", ("parts", name, "lip")
        way = off / np.linalg.norm(off)
        yield Edge(name, words, np.array(ends), way, entry, partial(_pull_lip, name), line)


def _pull_side(name: str, word: str, sign: float, project: Project, by: float) -> Project:
    arch = _arch(project, name)
    made = msgspec.structs.replace(arch, **{word: getattr(arch, word) + sign * by})
    if made.outer - made.inner < max(LEAST, arch.thickness if arch.lip else 0.0):
        raise ProjectError(f'"{name}" would have no width left.')
    return _with(project, name, **{word: getattr(made, word)})


def _pull_end(name: str, entry: str, sense: float, project: Project, by: float) -> Project:
    arch = _arch(project, name)
    turned = getattr(arch, entry) + sense * float(np.degrees(by / arch.radius))
    made = msgspec.structs.replace(arch, **{entry: round(turned, 4)})
    if not TURN <= abs(made.to_deg - made.from_deg) <= 360.0 - TURN or abs(turned) > 360.0:
        raise ProjectError(f'"{name}" would close on itself.')
    return _with(project, name, **{entry: getattr(made, entry)})


def _pull_lip(name: str, project: Project, by: float) -> Project:
    arch = _arch(project, name)
    if not 0.0 <= arch.lip + by < arch.radius - LEAST:
        raise ProjectError(f'"{name}" can\'t have such a lip.')
    return _with(project, name, lip=arch.lip + by)


def _out(project: Project) -> float:
    return 1.0 if project.side == "left" else -1.0


def _arch(project: Project, name: str) -> Arch:
    found = project.parts[name]
    if not isinstance(found, Arch):
        raise ProjectError(f'"{name}" is not a wheel arch.')
    return found


def _with(project: Project, name: str, **values: float) -> Project:
    made = msgspec.structs.replace(_arch(project, name), **values)
    return msgspec.structs.replace(project, parts={**project.parts, name: made})
