"""The sentence that says how far parts were let give."""

from __future__ import annotations

from kinematics.findings.give import Given
from kinematics.findings.phrases import Units
from kinematics.project.extra import ExtraPosition
from kinematics.project.model import Project
from kinematics.project.rules import extra_positions_of
from kinematics.units import show_plain


def say_give(given: Given | None, project: Project, units: Units = "mm") -> str:
    """How far parts were let give, and whether anybody typed it; empty where nothing was."""
    if given is None:
        return ""
    extras = extra_positions_of(project)
    if given.usual:
        sizes = "; ".join(_size(extra, units) for extra in extras.values())
        return f"Give, as usual (common practice, no source): {sizes}."
    return f"Give, as typed: {'; '.join(f'{n} ({_size(e, units)})' for n, e in extras.items())}."


def _size(extra: ExtraPosition, units: Units) -> str:
    lengths = (
        (extra.inboard, "inboard", "outboard"),
        (extra.forward, "forward", "rearward"),
        (extra.up, "up", "down"),
    )
    said = [f"{show_plain(abs(v), units)} {a if v > 0 else b}" for v, a, b in lengths if v]
    tilts = (
        (extra.lean_in_deg, "top leaning in", "top leaning out"),
        (extra.toe_in_deg, "toeing in", "toeing out"),
    )
    said += [f"{abs(v):g}° {a if v > 0 else b}" for v, a, b in tilts if v]
    said += [f"tyre {show_plain(extra.bulge, units)} out each side"] if extra.bulge else []
    what = "" if extra.moves == ("wheel",) else f"{' and '.join(extra.moves)} "
    return what + ", ".join(said)
