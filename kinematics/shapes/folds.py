"""What is folded and welded onto a tower's panels: lips, gussets, and where the sheet bends."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from kinematics.project.model import Gusset, Tower
from kinematics.shapes.pieces import Array
from kinematics.shapes.plain import prism

Box = tuple[Array, Array]
Edges = dict[str, tuple[int, float, float | None, float]]


class Bend(NamedTuple):
    """A fold: the sheet's two names, the outer corner it runs along (2, 3), thickness, radius."""

    between: tuple[str, str]
    line: Array
    thickness: float
    radius: float


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


def lips(tower: Tower, out: float) -> dict[str, Box]:
    """The folds at the feet of the panels as boxes (least, most), mm, by the panel's name."""
    spans = (tuple(sorted((tower.rear, tower.front))), tuple(sorted((tower.inner, tower.outer))))
    found = {}
    for name, (axis, face, foot, width) in edges(tower).items():
        if foot is None or width == 0.0:
            continue
        across = sorted((face, face + width))
        x, y = (across, spans[1]) if axis == 0 else (spans[0], across)
        y = sorted((out * y[0], out * y[1]))
        high = foot + sheet(tower, "lip")
        found[name] = np.array([x[0], y[0], foot]), np.array([x[1], y[1], high])
    return found


def gussets(tower: Tower, out: float) -> Iterator[tuple[Array, tuple[tuple[int, ...], ...]]]:
    """Corners and faces of every gusset's prism: a triangle square to its panel."""
    for gusset in tower.gussets:
        if (facet := _triangle(tower, gusset, out)) is not None:
            yield prism(facet, gusset.thickness or tower.thickness)


def _triangle(tower: Tower, gusset: Gusset, out: float) -> Array | None:
    axis, face, foot, _ = edges(tower)[gusset.on]
    low = foot if gusset.foot is None else gusset.foot
    if low is None:
        return None
    away = 1.0 if gusset.on in ("front", "outer") else -1.0
    if gusset.inside:
        face, away = face - away * sheet(tower, gusset.on), -away
    corners = [(face, low), (face + away * gusset.depth, low), (face, low + gusset.height)]
    points = [
        (across, out * gusset.at, z) if axis == 0 else (gusset.at, out * across, z)
        for across, z in corners
    ]
    return np.array(points)


def bends(tower: Tower, out: float) -> list[Bend]:
    """Where the tower's sheet is folded: top to each panel, and each panel to its lip."""
    rear, front = sorted((tower.rear, tower.front))
    inner, outer = sorted((tower.inner, tower.outer))
    found = []
    for name, (axis, face, foot, width) in edges(tower).items():
        if foot is None:
            continue
        folds = [(("top", name), tower.top, tower.thickness)]
        if width:
            folds.append(((name, f"{name} lip"), foot, sheet(tower, "lip")))
        for between, z, thickness in folds:
            line = (
                [(face, out * y, z) for y in (inner, outer)]
                if axis == 0
                else [(x, out * face, z) for x in (rear, front)]
            )
            radius = thickness if tower.bend_radius is None else tower.bend_radius
            found.append(Bend(between, np.array(line), thickness, radius))
    return found
