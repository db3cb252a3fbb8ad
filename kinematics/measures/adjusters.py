"""What shims and adjusters do to the corner's figures, over the range each has."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kinematics.measures.measure import measure
from kinematics.motion import MotionError, corner, move
from kinematics.project.adjusters import with_adjuster
from kinematics.project.model import Project

USUAL = ("camber", "toe", "caster", "kpi", "scrub")


@dataclass(frozen=True)
class Setting:
    """One adjuster wound in to ``value`` mm, all others as they are set.

    ``figures`` at set-up height, rad and mm; empty where the corner can't be put together so, and
    ``reason`` says why.
    """

    value: float
    figures: dict[str, float]
    reason: str = ""


def adjuster_effects(
    project: Project, figures: Sequence[str] = USUAL
) -> dict[str, tuple[Setting, Setting, Setting]]:
    """For each adjuster the corner's figures at its least, as set now, and at its most."""
    return {
        name: (
            _setting(project, name, adjuster.least, figures),
            _setting(project, name, adjuster.set, figures),
            _setting(project, name, adjuster.most, figures),
        )
        for name, adjuster in project.adjusters.items()
    }


def _setting(project: Project, name: str, value: float, figures: Sequence[str]) -> Setting:
    there = with_adjuster(project, name, value)
    try:
        found = measure(there, move(corner(there), [0.0], stops=False))
    except MotionError as wrong:
        return Setting(value, {}, str(wrong))
    return Setting(value, {key: float(found[key][0, 0]) for key in figures})
