"""How much room is asked for, and how far parts give, when the builder has not said otherwise."""

from __future__ import annotations

from collections.abc import Mapping

from kinematics.project.extra import USUAL_EXTRA_POSITIONS, ExtraPosition
from kinematics.project.model import Project, Rule

ANYTHING = "anything"
GROUND = "ground"
CLASSES = (
    "tyre",
    "wheel",
    "spring",
    "damper",
    "link",
    "arm",
    "shaft",
    "upright",
    "tower",
    "chassis",
    "scan",
    "hose",
    GROUND,
)

_WHY = "common practice, no source"

# The model is rigid; tyre, bushes and sheet metal all give, and tyre and spring the most.
USUAL_RULES = (
    Rule(between=("tyre", ANYTHING), at_least=10.0, why=_WHY),
    Rule(between=("spring", ANYTHING), at_least=5.0, why=_WHY),
    Rule(between=(GROUND, ANYTHING), at_least=10.0, why=_WHY),
    Rule(between=(ANYTHING, ANYTHING), at_least=3.0, why=_WHY),
)


def rules_of(project: Project) -> tuple[Rule, ...]:
    """The project's own rules, or the usual ones if it has no entry for them."""
    return USUAL_RULES if project.rules is None else project.rules


def extra_positions_of(project: Project) -> Mapping[str, ExtraPosition]:
    """The project's own extra positions, or the usual ones if it has no entry for them."""
    typed = project.extra_positions
    return USUAL_EXTRA_POSITIONS if typed is None else typed
