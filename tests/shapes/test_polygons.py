import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinematics.shapes.polygons import Floats, doubled_area, merged, triangulate, turned


def star(radii: list[float]) -> Floats:
    turn = 2 * np.pi * np.arange(len(radii)) / len(radii)
    return np.column_stack([np.cos(turn), np.sin(turn)]) * np.array(radii)[:, None]


def area(points: Floats, faces: list[list[int]]) -> float:
    return sum(doubled_area(points[face]) / 2 for face in faces)


@given(st.lists(st.floats(1.0, 10.0), min_size=3, max_size=14))
def test_triangles_fill_the_outline_and_face_one_way(radii: list[float]) -> None:
    loop = star(radii)
    faces = triangulate([loop]).tolist()
    assert len(faces) == len(loop) - 2
    assert all(doubled_area(loop[face]) >= -1e-9 for face in faces)
    assert area(loop, faces) == pytest.approx(doubled_area(loop) / 2)


@settings(max_examples=40)
@given(st.lists(st.floats(1.0, 10.0), min_size=3, max_size=14))
def test_facets_joined_fill_the_same_and_are_convex(radii: list[float]) -> None:
    loop = star(radii)
    facets = merged(triangulate([loop]).tolist(), loop)
    assert area(loop, facets) == pytest.approx(doubled_area(loop) / 2)
    for facet in facets:
        edge = np.roll(loop[facet], -1, axis=0) - loop[facet]
        after = np.roll(edge, -1, axis=0)
        assert np.all(edge[:, 0] * after[:, 1] - edge[:, 1] * after[:, 0] >= -1e-8)


def test_a_convex_outline_stays_one_facet() -> None:
    loop = star([5.0] * 9)
    assert len(merged(triangulate([loop]).tolist(), loop)) == 1


@settings(max_examples=25)
@given(st.integers(1, 4), st.integers(3, 12), st.floats(0.2, 0.8))
def test_holes_are_left_out(count: int, sides: int, size: float) -> None:
    outline = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    places = [(2.0, 2.0), (5.0, 5.0), (8.0, 8.0), (2.0, 7.0)][:count]
    holes = [turned(star([size] * sides) + np.array(place), -1) for place in places]
    points = np.concatenate([outline, *holes])
    faces = triangulate([outline, *holes]).tolist()
    hole = -sum(doubled_area(h) / 2 for h in holes)
    assert area(points, faces) == pytest.approx(100.0 - hole)


def test_holes_that_touch_the_outline_are_refused() -> None:
    outline = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)])
    far_off = turned(star([1.0] * 4) + np.array([30.0, 5.0]), -1)
    with pytest.raises(ValueError, match="inside"):
        triangulate([outline, far_off])
