"""What is folded and welded onto a tower's panels: lips, gussets, and where the sheet bends."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from kinematics.project.model import Tower
from kinematics.project.panels import edges, gusset_triangle, sheet
from kinematics.shapes.pieces import Array
from kinematics.shapes.plain import prism

Box = tuple[Array, Array]


class Bend(NamedTuple):
    """A fold: the sheet's two names, the outer corner it runs along (2, 3), thickness, radius."""

    between: tuple[str, str]
    line: Array
    thickness: float
    radius: float


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
        if (facet := gusset_triangle(tower, gusset, out)) is not None:
            yield prism(facet, gusset.thickness or tower.thickness)


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
