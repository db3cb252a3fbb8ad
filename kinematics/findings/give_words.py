"""The sentence that says how far parts were let give."""

from __future__ import annotations

from kinematics.findings.give import Given
from kinematics.findings.phrases import Units, plain
from kinematics.project.extra import ExtraPosition
from kinematics.project.model import Project
from kinematics.project.rules import extra_positions_of


def say_give(given: Given | None, project: Project, units: Units = "mm") -> str:
    """How far parts were let give, and whether anybody typed it; empty where nothing was."""
    if given is None:
        return ""
    listed = "; ".join(
        f"{name} ({_size(extra, units)})" for name, extra in extra_positions_of(project).items()
    )
    if given.usual:
        return (
            f"Give, as a wheel on road bushes usually has (common practice, no source): {listed}."
        )
    return f"Give, as typed: {listed}."


def _size(extra: ExtraPosition, units: Units) -> str:
    lengths = (
        (extra.inboard, "inboard", "outboard"),
        (extra.forward, "forward", "rearward"),
        (extra.up, "up", "down"),
    )
    said = [f"{plain(abs(v), units)} {a if v > 0 else b}" for v, a, b in lengths if v]
    tilts = (
        (extra.lean_in_deg, "top leaning in", "top leaning out"),
        (extra.toe_in_deg, "toeing in", "toeing out"),
    )
    said += [f"{abs(v):g}° {a if v > 0 else b}" for v, a, b in tilts if v]
    said += [f"{plain(extra.bulge, units)} each side"] if extra.bulge else []
    if extra.moves != ("wheel",):
        said.append("of " + ", ".join(extra.moves))
    return " ".join(said)
