"""Fixes at the links: a link's length, and its bracket on the chassis moved."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec
import numpy as np

from kinematics.project.model import CHASSIS, Link, Project
from kinematics.project.unfold import unfold
from kinematics.studies.cure import (
    WAYS,
    WELDED,
    Apply,
    Cure,
    Work,
    moved_point,
    times,
    worded,
)

LENGTH, BRACKET = 10.0, 25.0
"""How far a link's length and its bracket are tried, mm: more undoes the alignment for good."""


def cures_of_links(project: Project) -> Iterator[Cure]:
    """Lengths and brackets of every link with an end on the chassis."""
    unfolded = unfold(project)
    for name, link in unfolded.links.items():
        yield from _of_length(name, link)
        if link.inner.body == CHASSIS and _alone(unfolded, link.inner.point):
            for way in WAYS:
                yield Cure(
                    f"{name} bracket {way}",
                    "links' brackets",
                    _bracket(name, way),
                    BRACKET,
                    Work.CUT,
                    worded(f"Move the {name}'s bracket on the chassis {{}} mm {way}"),
                    (),
                    WELDED,
                    "the bracket is set anew, and the alignment is set again",
                )


def _alone(unfolded: Project, point: str) -> bool:
    """Whether a point is one link's and nothing else's."""
    ends = [e.point for link in unfolded.links.values() for e in (link.inner, link.outer)]
    return ends.count(point) == 1


def _of_length(name: str, link: Link) -> Iterator[Cure]:
    threaded = link.adjust_range is not None
    work = Work.ADJUSTED if threaded else Work.REMADE
    undoes = "the alignment is set again"
    for word, sign in (("longer", 1.0), ("shorter", -1.0)):
        most = LENGTH
        if link.adjust_range is not None:
            low, high = link.adjust_range
            most = min(most, high - link.adjust if sign > 0 else link.adjust - low)
        say = worded(f"Make the {name} {{}} mm {word}")
        cannot = "" if most > 0.0 else f"The {name}: there is no thread left to make it {word}."
        yield Cure(
            f"{name} {word}",
            "links' lengths",
            lengthened(name, sign),
            max(most, 0.0),
            work,
            say,
            (),
            "",
            undoes,
            cannot,
        )


def own_link(project: Project, name: str, **changes: object) -> Project:
    """The project with fields of one link changed, be it the arrangement's or the builder's."""
    link = msgspec.structs.replace(unfold(project).links[name], **changes)
    return msgspec.structs.replace(project, links={**project.links, name: link})


def lengthened(name: str, sign: float) -> Apply:
    """Make a link longer (+1) or shorter (-1)."""

    def apply(project: Project, mm: float) -> Project:
        if mm == 0.0:
            return project
        return own_link(project, name, adjust=unfold(project).links[name].adjust + sign * mm)

    return apply


def _bracket(name: str, way: str) -> Apply:
    """Move a link's inner point, the link keeping its length."""

    def apply(project: Project, mm: float) -> Project:
        if mm == 0.0:
            return project
        link = unfold(project).links[name]
        moved = moved_point(project, link.inner.point, times(WAYS[way], mm))
        longer = _apart(moved, link) - _apart(project, link)
        return own_link(moved, name, adjust=link.adjust - longer)

    return apply


def _apart(project: Project, link: Link) -> float:
    a, b = (np.array(project.points[end.point]) for end in (link.inner, link.outer))
    return float(np.linalg.norm(a - b))
