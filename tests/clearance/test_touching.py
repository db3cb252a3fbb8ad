"""Pieces whose cores meet along an edge or in a flat: their points against the definition of the
distance to a segment and to a polygon (the slow judge's)."""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.clearance import distance
from kinematics.shapes.pieces import Rod, Sheet
from tests.clearance.oracle import Polygons, Solid, sd


def rod(*ends):
    p, q = np.array(ends, float)
    return Solid(Rod(np.array([[p, q]]), 3.0), (p + q) / 2, 0.0, "rod", (p, q, 3.0))


def sheet(*corners):
    face = np.array([corners], float)
    return Solid(Sheet(face, 2.0), face.mean(axis=1)[0], 0.0, "sheet", (Polygons(face), 2.0))


TOUCHING = {
    "rods, end to side": (rod((20, 20, 0), (20, -20, 0)), rod((0, 10, 0), (20, 10, 0))),
    "rods, a slanting end": (rod((-10, -40, 0), (-10, 40, 0)), rod((-20, -40, 0), (-10, -30, 0))),
    "sheets along an edge": (
        sheet((30, -30, 0), (30, 10, 0), (40, 10, 0), (40, -30, 0)),
        sheet((40, -10, 0), (90, -10, 0), (90, 30, 0)),
    ),
    "rod through a sheet's edge": (
        sheet((20, 0, -20), (20, 0, 20), (30, 0, 20), (30, 0, -20)),
        rod((30, -30, 0), (30, 40, 0)),
    ),
    "a sheet's edge across a sheet": (
        sheet((0, -40, -20), (0, -40, 10), (0, 10, 10), (0, 10, -20)),
        sheet((-10, 10, 0), (10, 10, 0), (10, 20, 0), (-10, 20, 0)),
    ),
    "rod in a sheet's flat": (
        sheet((20, -20, 0), (20, 30, 0), (40, 30, 0)),
        rod((30, 10, 0), (0, 30, 0)),
    ),
}


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("scene", TOUCHING)
def test_touching_cores_have_their_points_where_the_figure_says(scene, turned):
    a, b = TOUCHING[scene][::-1] if turned else TOUCHING[scene]
    found = distance(a.piece, b.piece)
    figure = found.low[0] + found.bound[0]
    assert np.linalg.norm(found.point_a - found.point_b) == pytest.approx(-figure, abs=1e-6)
    host, on_host, probe, deep = a, found.point_a, b, found.point_b
    if abs(sd(a, found.point_a)[0]) > 1e-6:
        host, on_host, probe, deep = b, found.point_b, a, found.point_a
    assert sd(host, on_host)[0] == pytest.approx(0.0, abs=1e-6)
    assert sd(probe, deep)[0] <= 1e-6
    assert sd(host, deep)[0] == pytest.approx(figure, abs=1e-6)
