"""Where the panels of a tower stand and its gussets with them, from its few dimensions."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from kinematics.project.structure import Gusset, Tower

Array = npt.NDArray[np.float64]
Edges = dict[str, tuple[int, float, float | None, float]]


def sheet(tower: Tower, name: str) -> float:
    """The thickness of a panel (front, rear, inner, outer, lip), mm; top is the tower's own."""
    return tower.thickness_of.get(name, tower.thickness)  # type: ignore[call-overload,no-any-return]


def edges(tower: Tower) -> Edges:
    """By panel: the axis it faces along (0 forward, 1 outboard), its face, its foot, its lip.

    Signs are as distances from the centre plane grow: a lip positive away from the tower.
    """
    rear, front = sorted((tower.rear, tower.front))
    inner, outer = sorted((tower.inner, tower.outer))
    return {
        "front": (0, front, tower.front_down_to, tower.front_lip),
        "rear": (0, rear, tower.rear_down_to, -tower.rear_lip),
        "inner": (1, inner, tower.inner_down_to, -tower.inner_lip),
        "outer": (1, outer, tower.outer_down_to, tower.lip),
    }


def gusset_away(gusset: Gusset) -> float:
    """Which way a gusset stands off its panel's face: +1 as the panel's axis grows, or -1."""
    away = 1.0 if gusset.on in ("front", "outer") else -1.0
    return -away if gusset.inside else away


def gusset_triangle(tower: Tower, gusset: Gusset, out: float) -> Array | None:
    """Its square corner, the end of its level edge and its top, mm, car axes. (3, 3)

    ``out``: +1 on the left, -1 on the right. None where it has no foot: its panel is left out.
    """
    axis, face, foot, _ = edges(tower)[gusset.on]
    low = foot if gusset.foot is None else gusset.foot
    if low is None:
        return None
    away = gusset_away(gusset)
    if gusset.inside:
        face += away * sheet(tower, gusset.on)
    corners = [(face, low), (face + away * gusset.depth, low), (face, low + gusset.height)]
    points = [
        (across, out * gusset.at, z) if axis == 0 else (gusset.at, out * across, z)
        for across, z in corners
    ]
    return np.array(points)
