"""Skins: display meshes that move as one, and where they are placed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import unit
from kinematics.project.model import CHASSIS
from kinematics.shapes.display.mesh import Mesh
from kinematics.shapes.pieces import Array
from kinematics.shapes.poses import Anchor, Poses


@dataclass(frozen=True, eq=False)
class Skin:
    """What one moving thing looks like, in a local frame of its own.

    part : the name of the `Part` it shows, or of a part that is only drawn. name : unique.
    kind : as a part's, or ``mount`` for the top mount. vertices : (m, 3) mm; faces : (k, 3),
    anticlockwise from outside. along : (m,) share of the stretch added to local z, or None.
    closed : every component is watertight. checked : False for what is drawn without sizes
    given, and so never reported as touching.
    """

    part: str
    name: str
    kind: str
    vertices: NDArray[np.float32]
    faces: NDArray[np.int32]
    along: NDArray[np.float32] | None = None
    closed: bool = True
    checked: bool = True


@dataclass(frozen=True, eq=False)
class Placement:
    """Where a skin stands: world = rotation @ (vertex + (0, 0, along * stretch)) + origin.

    rotation : (n, 3, 3); origin : (n, 3) mm; stretch : (n,) mm; n = poses, travel slowest.
    still : nothing on the corner moves it.
    """

    rotation: Array
    origin: Array
    stretch: Array
    still: bool = False


@dataclass(frozen=True, eq=False)
class Placer:
    """What places a skin.

    at : rotation (n, 3, 3), origin (n, 3) and stretch (n,) at every pose; n = 1 where `still`.
    """

    at: Callable[[Poses], tuple[Array, Array, Array]]
    still: bool = False


class Figure(NamedTuple):
    """A skin and what places it."""

    skin: Skin
    place: Placer


def skin(
    name: str,
    kind: str,
    mesh: Mesh,
    part: str | None = None,
    checked: bool = True,
    stretches: bool = False,
    closed: bool = True,
) -> Skin:
    """A skin of a mesh; its vertices rounded to 0.0001 mm, so that equal shapes stay equal."""
    return Skin(
        part if part is not None else name,
        name,
        kind,
        np.round(mesh.vertices, 4).astype(np.float32),
        mesh.faces.astype(np.int32),
        mesh.along.astype(np.float32) if stretches else None,
        closed,
        checked,
    )


def fixed(body: str, origin: Array, rotation: Array | None = None) -> Placer:
    """Carried by a body: local frame at `origin` (3,) and `rotation` (3, 3) as measured."""
    turn = np.eye(3) if rotation is None else rotation
    if body == CHASSIS:
        still = (turn[None], np.asarray(origin, float)[None], np.zeros(1))
        return Placer(lambda poses: still, still=True)

    def place(poses: Poses) -> tuple[Array, Array, Array]:
        carried, position = poses.frame(body)
        return carried @ turn, carried @ origin + position, np.zeros(len(position))

    return Placer(place)


def on_line(
    start: Anchor,
    end: Anchor,
    up: Array,
    from_end: bool = False,
    stretch: Callable[[Array], Array] | None = None,
) -> Placer:
    """Local z along a moving line, local x as near as can be to `up`; at its start or its end.

    `stretch` gives the stretch (n,) from the line's length (n,).
    """

    def place(poses: Poses) -> tuple[Array, Array, Array]:
        line = poses.line(start, end)
        turned = line.frame(up)
        origin = line.end if from_end else line.start
        if len(origin) != len(turned):
            origin = np.broadcast_to(origin, turned.shape[:2])
        return turned, origin, np.zeros(len(turned)) if stretch is None else stretch(line.length)

    return Placer(place)


def bolt_way(start: Anchor, end: Anchor) -> Array:
    """The vehicle axis an eye's bolt is drawn along: fore-aft, or across for fore-aft members."""
    way = unit(end.xyz - start.xyz)
    return np.array([1.0, 0.0, 0.0]) if abs(way[0]) < 0.8 else np.array([0.0, 1.0, 0.0])
