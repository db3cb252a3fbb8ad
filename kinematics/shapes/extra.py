"""Parts in an extra position: moved, tilted and bulged as bushes, bearings and tyre walls give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import radians

import numpy as np

from kinematics.motion.motion import Motion
from kinematics.project.model import End, ExtraPosition, Project
from kinematics.shapes.pieces import Array, Block, Mesh, Part, Piece, Ring, Rod, Sheet
from kinematics.shapes.poses import Poses, anchor
from kinematics.shapes.tower import outboard
from kinematics.shapes.wheel import WHEEL_PARTS, tyre


@dataclass(frozen=True, eq=False)
class Displaced:
    """The parts that an extra position moves.

    parts : by number. farthest : mm, no point of any of them is moved farther than this.
    """

    parts: dict[int, Part]
    farthest: float


def displaced(
    project: Project, extra: ExtraPosition, parts: Sequence[Part], motion: Motion
) -> Displaced:
    """Parts of an unfolded project as an extra position has them, over the motion's poses.

    Every point p goes to c + R (p - c) + d: c the pivot, which moves with its body, R and d as
    the car is seen. Two of its derivatives later |p''| has grown by at most |R - 1| |c''|, which
    is added to what the part strays between positions.
    """
    poses = Poses(motion)
    pivot = anchor(project, extra.about or End(project.wheel.centre, project.wheel.body))
    turn, shift = rotation(extra, outboard(project)), translation(extra, outboard(project))
    twist = float(np.linalg.norm(turn - np.eye(3), 2))
    centre = poses.carry(pivot.body, pivot.xyz[None])[:, 0]
    stray = twist * poses.stray(pivot.body, pivot.xyz[None]) if twist else 0.0
    moved, farthest = {}, 0.0
    for number, part in enumerate(parts):
        if not is_moved(part, extra):
            continue
        bulged = extra.bulge > 0.0 and part.name == "tyre"
        whole = tyre(project, extra.bulge)(poses) if bulged else part
        lever = twist * _reach(whole, centre) if twist else 0.0
        stands_out = extra.bulge if bulged else 0.0
        farthest = max(farthest, float(np.linalg.norm(shift)) + lever + stands_out)
        moved[number] = _moved(whole, centre, turn, shift, stray)
    return Displaced(moved, farthest)


def is_moved(part: Part, extra: ExtraPosition) -> bool:
    """Whether an extra position moves a part: by its name, its body's, or as part of the wheel."""
    of_wheel = part.name in WHEEL_PARTS and "wheel" in extra.moves
    return of_wheel or part.name in extra.moves or part.body in extra.moves


def rotation(extra: ExtraPosition, out: float) -> Array:
    """Its tilt and turn as a rotation (3, 3); `out` is the sign of y that is outboard."""
    lean, toe = out * radians(extra.lean_in_deg), -out * radians(extra.toe_in_deg)
    c, s = np.cos(lean), np.sin(lean)
    tilted = np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])
    c, s = np.cos(toe), np.sin(toe)
    turned = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    return np.asarray(turned @ tilted)


def translation(extra: ExtraPosition, out: float) -> Array:
    """Its shift (3,), mm, in car coordinates."""
    return np.array([extra.forward, 0.0 - out * extra.inboard, extra.up])


def _moved(part: Part, centre: Array, turn: Array, shift: Array, stray: Array | float) -> Part:
    if not np.any(turn - np.eye(3)):
        return replace(part, pieces=tuple(_shifted(piece, shift) for piece in part.pieces))
    strays = part.sagitta or (0.0,) * len(part.pieces)
    return replace(
        part,
        pieces=tuple(_turned(piece, centre, turn, shift) for piece in part.pieces),
        sagitta=tuple(own + stray for own in strays),
    )


def _shifted(piece: Piece, shift: Array) -> Piece:
    match piece:
        case Rod():
            return replace(piece, ends=piece.ends + shift)
        case Sheet() | Block():
            return replace(piece, corners=piece.corners + shift)
        case Ring():
            return replace(piece, centre=piece.centre + shift)
        case Mesh():
            return replace(piece, position=piece.position + shift)


def _turned(piece: Piece, centre: Array, turn: Array, shift: Array) -> Piece:
    def points(xyz: Array) -> Array:
        pivot = centre.reshape(len(centre), *(1,) * (xyz.ndim - 2), 3)
        return np.ascontiguousarray((xyz - pivot) @ turn.T + pivot + shift)

    match piece:
        case Rod():
            return replace(piece, ends=points(piece.ends))
        case Sheet() | Block():
            return replace(piece, corners=points(piece.corners))
        case Ring():
            axis = np.ascontiguousarray(piece.axis @ turn.T)
            return replace(piece, centre=points(piece.centre), axis=axis)
        case Mesh():
            return replace(piece, rotation=turn @ piece.rotation, position=points(piece.position))


def _reach(part: Part, centre: Array) -> float:
    """How far the part's farthest point is from the pivot at any pose, mm."""
    return max(
        float(np.nanmax(np.linalg.norm(corners - centre[:, None], axis=2), initial=0.0)) + beyond
        for corners, beyond in map(_corners, part.pieces)
    )


def _corners(piece: Piece) -> tuple[Array, float]:
    """Points (n, k, 3) of a piece, and how far beyond them it may reach, mm."""
    match piece:
        case Rod(ends=ends, radius=radius):
            return ends, radius
        case Sheet(corners=corners, half=half):
            return corners, half
        case Block(corners=corners):
            return corners, 0.0
        case Ring():
            longer = 0.0 if piece.stretch is None else float(np.nanmax(np.abs(piece.stretch)))
            height = max(abs(piece.profile.y_min), abs(piece.profile.y_max)) + longer
            return piece.centre[:, None], float(np.hypot(piece.profile.r_max, height))
        case Mesh():
            far = float(np.linalg.norm(piece.surface.triangles, axis=-1).max())
            return piece.position[:, None], far
