"""The depth buffer: right outline, right order, right direction of light."""

import numpy as np
import trimesh

from app.paper.raster import Look, depth_at, mesh, picture

INK = (0, 0, 0)
FRONT = np.array([[0, 1, 0], [0, 0, 1], [1, 0, 0]], float)  # right +y, up +z, toward the eye +x


def solid(made, colour, part):
    return mesh(np.array(made.vertices), np.array(made.faces), colour, part)


def ball(centre, radius):
    made = trimesh.creation.icosphere(4, radius)
    made.apply_translation(centre)
    return made


def look(px_per_mm=2.0, size=201):
    return Look(FRONT, (0.0, 0.0), px_per_mm, size, size)


def test_a_ball_covers_the_area_of_its_circle():
    drawn = picture([solid(ball((0, 0, 0), 40), (200, 200, 200), 0)], look(), INK)
    covered = (drawn[..., 3] == 255).sum()
    assert abs(covered / (np.pi * 80**2) - 1) < 0.03  # its outline is a pixel thick


def test_the_nearer_part_is_seen():
    red, blue = (
        solid(ball((50, 0, 0), 10), (250, 0, 0), 0),
        solid(ball((0, 0, 0), 30), (0, 0, 250), 1),
    )
    for order in ([red, blue], [blue, red]):
        drawn = picture(order, look(), INK)
        assert drawn[100, 100, 0] > 100
        assert drawn[100, 100, 2] == 0
        assert drawn[100, 145, 2] > 100


def test_interpenetrating_parts_are_cut_where_they_meet():
    # A plate through a ball: what of the ball stands in front of the plate is seen, in a circle.
    plate = trimesh.creation.box((2, 120, 120))
    plate.apply_translation((20, 0, 0))
    drawn = picture(
        [solid(plate, (0, 250, 0), 0), solid(ball((0, 0, 0), 30), (250, 0, 0), 1)], look(), INK
    )
    seen = (drawn[..., 0] > 60).sum()
    radius = np.sqrt(30**2 - 21**2)
    assert abs(seen / (np.pi * (2 * radius - 1) ** 2) - 1) < 0.05


def test_depth_at_the_middle_is_that_of_the_surface():
    corners = solid(ball((0, 0, 0), 40), INK, 0).corners
    assert abs(depth_at(corners, look()) - 40) < 0.2
    assert depth_at(corners, Look(FRONT, (300.0, 0.0), 2.0, 9, 9)) == -np.inf


def test_places_on_the_page():
    at = look().place(np.array([7.0, 10.0, -20.0]))
    np.testing.assert_allclose(at, [100.5 + 20, 100.5 + 40, 7])


def test_light_comes_over_the_left_shoulder():
    drawn = picture([solid(ball((0, 0, 0), 40), (200, 200, 200), 0)], look(), INK).astype(int)
    assert drawn[60, 60, 0] > drawn[140, 140, 0] + 40


def test_nothing_in_view_is_an_empty_picture():
    far = solid(ball((0, 500, 0), 10), (200, 200, 200), 0)
    assert not picture([far], look(), INK).any()


def test_a_fold_gets_a_line_and_a_round_does_not():
    box = picture([solid(trimesh.creation.box((40, 40, 40)), (200, 200, 200), 0)],
                  Look(np.array([[-0.7071, 0.7071, 0], [0, 0, 1], [0.7071, 0.7071, 0]]),
                       (0, 0), 2, 201, 201), INK).astype(int)  # fmt: skip
    middle = box[100, 95:106, 0]
    assert middle.min() < 0.7 * middle.max()
    rod = trimesh.creation.cylinder(20, 60, sections=48)
    smooth = picture([solid(rod, (200, 200, 200), 0)], look(), INK).astype(int)[100, 70:130, 0]
    assert np.abs(np.diff(smooth)).max() < 12
