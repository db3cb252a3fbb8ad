"""Where to stand so that the corner fills the stage without running under what is written there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF

from app.stage.camera import Camera, to_pixels
from app.stage.scene import Piece

Array = NDArray[np.float64]
EDGE = 14.0  # px between the corner and the stage's edges or what is written
ARROW = 78.0  # px on the right for the arrow that says which way to pull
FARTHER = np.linspace(1.0, 1.9, 19)  # how much farther away to stand, nearest first
ACROSS, UP = np.linspace(-0.1, 0.6, 29), np.linspace(-0.3, 0.2, 11)
NEAR = 1.45  # times the corner's size: what keeps within that is shown with it
ROOMY = 1.18  # how much larger than the corner a square view is
DEAR = 0.08  # share of the points that words may lie over rather than see all half as large
LONG = 60.0  # mm: edges longer than this are looked at along their length
WHEEL = {"tyre", "wheel"}


def outline(pieces: Iterable[Piece], rise: Sequence[float] = ()) -> Array:
    """Points along the edges of what is shown, the wheel's also raised by ``rise``. (n, 3)"""
    found = []
    for piece in pieces:
        if not piece.shown:
            continue
        mesh = piece.mesh
        local = mesh.edges.astype(float)
        local[..., 2] += mesh.edge_along * piece.stretch
        ends = local @ piece.pose[:, :3].T + piece.pose[:, 3]
        size = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
        share = np.linspace(0, 1, 9)[:, None, None]
        long = ends[size > LONG]
        points = [ends[::3, 0], (long[:, 0] + share * (long[:, 1] - long[:, 0])).reshape(-1, 3)]
        points += [points[0] + (0.0, 0.0, z) for z in rise if piece.kind in WHEEL]
        found.append(np.concatenate(points))
    return np.concatenate(found) if found else np.zeros((0, 3))


def framed(
    camera: Camera,
    points: Array,
    size: tuple[int, int],
    taken: Sequence[QRectF],
    dear: float = 0.0,
) -> Camera:
    """The camera moved aside and away as little as needed; as it is where nothing helps.

    ``dear``: the share of the points that may be covered rather than stand twice as far away.
    """
    width, height = size
    # The middle of what is free beside the lowest thing written, the pad.
    low = max(taken, key=lambda box: box.bottom(), default=QRectF())
    wanted = 0.62 * low.right() / max(width, 1)
    if not len(points) or width < 1 or height < 1:
        return camera
    best, cost = camera, np.inf
    ups = np.array(sorted(UP, key=lambda up: abs(up + 0.02)))
    for farther in FARTHER:
        now = replace(camera, height=camera.height * float(farther), aside=(0.0, 0.0))
        spots = to_pixels(now.matrix(width / height), points, width, height)
        spots = spots[np.isfinite(spots).all(axis=1)]
        # Coarse cells: what matters is which are covered, not by how many points.
        spots = np.unique(np.round(spots / 6), axis=0) * 6
        for across in sorted(ACROSS, key=lambda a: abs(a - wanted)):
            moved = spots[:, 0] + across * width / 2, spots[:, 1] - ups[:, None] * height / 2
            for up, hidden in zip(ups, _hidden(*moved, size, taken), strict=True):
                aside = 0.02 * abs(up + 0.02) + 0.01 * abs(across - wanted)
                here = hidden + len(spots) * (aside + dear * (farther - 1.0))
                if here < cost:
                    best, cost = replace(now, aside=(float(across), float(up))), here
                if hidden == 0 and abs(up) < 0.05:
                    return best
        if cost < 1:
            return best
    return best


def with_near(camera: Camera, corner: Array, others: Iterable[Array]) -> Array:
    """The corner's points, with those of each other part that hardly makes the view wider. (n, 3)

    A rack is looked at with its corner; a rail that runs on along the car is not.
    """
    points = corner
    for other in others if len(corner) else ():
        both = np.concatenate([corner, other]) @ camera.axes.T
        size, alone = np.ptp(both, axis=0), np.ptp(corner @ camera.axes.T, axis=0)
        if len(other) and (size[:2] <= NEAR * alone[:2]).all():
            points = np.concatenate([points, other])
    return points


def squared(
    camera: Camera, points: Array, size: tuple[int, int], taken: Sequence[QRectF]
) -> Camera:
    """A square view's camera brought to where the points fill the stage."""
    if not len(points):
        return camera
    seen = points @ camera.axes.T
    low, high = seen.min(axis=0), seen.max(axis=0)
    across, up = ((high - low) * ROOMY)[:2]
    x, y, z = ((low + high) / 2 @ camera.axes).tolist()
    tall = max(up, across * max(1, size[1]) / max(1, size[0]))
    camera = replace(camera, target=(x, y, z), height=float(tall), aside=(0.0, 0.0))
    return framed(camera, points, size, taken, DEAR)


def _hidden(x: Array, y: Array, size: tuple[int, int], taken: Sequence[QRectF]) -> list[int]:
    """How many of spots at x (n,) and a row of y (m, n) are outside the stage or covered. (m,)"""
    bad = (x < EDGE) | (x > size[0] - ARROW) | (y < EDGE) | (y > size[1] - EDGE)
    for box in taken:
        wide = box.adjusted(-EDGE, -EDGE, EDGE, EDGE)
        bad |= (x > wide.left()) & (x < wide.right()) & (y > wide.top()) & (y < wide.bottom())
    return np.count_nonzero(bad, axis=1).tolist()
