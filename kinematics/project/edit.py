"""Edits that give a new project: the old one stays as it was."""

from __future__ import annotations

import msgspec

from kinematics.errors import ProjectError
from kinematics.project.model import (
    CHASSIS,
    Arch,
    Beam,
    Box,
    Cylinder,
    Gusset,
    PartSpec,
    Plate,
    Project,
    TopMount,
    Tower,
    Tube,
)

Move = tuple[float, float, float]


def move_top(
    project: Project, dx: float, dy: float, dz: float, with_tower: bool | None = None
) -> Project:
    """The project with its top mount moved by (dx, dy, dz) mm in car coordinates.

    ``with_tower`` says whether the tower, and every other chassis part that is a tower, goes
    along; by default as the tower itself says. Raises ProjectError without a coilover.
    """
    if project.coilover is None:
        raise ProjectError("This corner has no coilover, so there is no top mount to move.")
    if with_tower is None:
        with_tower = project.tower is None or project.tower.moves_with_top
    move = (dx, dy, dz)
    mount = project.top_mount
    if mount is not None and not with_tower:
        mount = _slid(mount, dx, -dy if project.side == "left" else dy)
    moved = {project.coilover.top.point}
    tower, parts = project.tower, project.parts
    if with_tower:
        moved.update(*(_points(p) for p in parts.values() if _is_tower(p)))
        tower = None if tower is None else _tower(tower, move, project.side)
        parts = {n: _part(p, move) if _is_tower(p) else p for n, p in parts.items()}
    points = {n: _shift(xyz, move) if n in moved else xyz for n, xyz in project.points.items()}
    return msgspec.structs.replace(
        project, points=points, top_mount=mount, tower=tower, parts=parts
    )


def _slid(mount: TopMount, forward: float, inboard: float) -> TopMount:
    """The mount moved over a tower that stays: its plate goes along in its slots."""
    plate = mount.plate
    if plate is None:
        return mount
    plate = msgspec.structs.replace(
        plate,
        set_forward=plate.set_forward + forward,
        set_inboard=plate.set_inboard + inboard,
    )
    return msgspec.structs.replace(mount, plate=plate)


def _is_tower(part: PartSpec) -> bool:
    return part.is_a == "tower" and getattr(part, "body", None) == CHASSIS


def _points(part: PartSpec) -> tuple[str, ...]:
    if isinstance(part, Tube | Cylinder | Beam):
        return part.points
    return (part.centre,) if isinstance(part, Arch) else ()


def _part(part: PartSpec, move: Move) -> PartSpec:
    if isinstance(part, Box):
        return msgspec.structs.replace(
            part, least=_shift(part.least, move), most=_shift(part.most, move)
        )
    if isinstance(part, Plate):
        return msgspec.structs.replace(part, outline=tuple(_shift(p, move) for p in part.outline))
    return part


def _tower(tower: Tower, move: Move, side: str) -> Tower:
    dx, dz = move[0], move[2]
    outward = move[1] if side == "left" else -move[1]
    edges = ("front_down_to", "rear_down_to", "inner_down_to", "outer_down_to")
    heights = {e: h + dz for e in edges if (h := getattr(tower, e)) is not None}
    return msgspec.structs.replace(
        tower,
        front=tower.front + dx,
        rear=tower.rear + dx,
        inner=tower.inner + outward,
        outer=tower.outer + outward,
        top=tower.top + dz,
        gussets=tuple(_gusset(gusset, dx, outward, dz) for gusset in tower.gussets),
        **heights,
    )


def _gusset(gusset: Gusset, dx: float, outward: float, dz: float) -> Gusset:
    along = outward if gusset.on in ("front", "rear") else dx
    foot = None if gusset.foot is None else gusset.foot + dz
    return msgspec.structs.replace(gusset, at=gusset.at + along, foot=foot)


def _shift(xyz: Move, move: Move) -> Move:
    return (xyz[0] + move[0], xyz[1] + move[1], xyz[2] + move[2])
