"""Fixes at the tower: its lip trimmed, a panel shorter, a panel moved away."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from kinematics.project.model import Project, Tower
from kinematics.studies.cure import AGAIN, WELDED, Apply, Cure, Work, out_of, worded

BEARING = 6.0
"""Sheet that must be left between the top mount's hole and a moved panel, mm."""
FARTHEST = 30.0

PANELS = {
    "front panel": ("front", 1.0, "rearward"),
    "rear panel": ("rear", -1.0, "forward"),
    "inner panel": ("inner", -1.0, "outboard"),
    "outer panel": ("outer", 1.0, "inboard"),
}
"""Of every panel: its field, which way it faces, and the way it is moved, toward the mount."""


def cures_of_tower(project: Project, tower: Tower) -> Iterator[Cure]:
    """What can be cut from the tower or set elsewhere, the top mount staying."""
    if tower.lip:
        yield Cure(
            "lip trimmed",
            "tower's edges trimmed",
            _trim,
            abs(tower.lip),
            Work.CUT,
            worded("Trim {} mm off the tower's lip"),
            (),
            WELDED,
            "the panel's edge is less stiff without what is trimmed off",
        )
    if tower.outer_down_to is not None:
        room = tower.top - tower.thickness - tower.outer_down_to
        yield Cure(
            "outer panel shorter",
            "tower's edges trimmed",
            _shorten,
            max(room - 1.0, 0.0),
            Work.CUT,
            worded("Shorten the tower's outer panel by {} mm, its lip with it"),
            (),
            WELDED,
            "the panel's foot and its lip are made again",
        )
    for name, (field, sign, way) in PANELS.items():
        most = min(_room(project, tower, field, sign), FARTHEST)
        if most >= 1.0 and _hangs(tower, field):
            yield Cure(
                f"{name} moved",
                "tower's panels moved",
                _set(field, -sign),
                most,
                Work.REMADE,
                worded(f"Set the tower's {name} {{}} mm {way}, the mount staying"),
                (),
                WELDED,
                f"the tower's seams are {AGAIN}",
            )


def _hangs(tower: Tower, field: str) -> bool:
    return getattr(tower, f"{field}_down_to") is not None


def _room(project: Project, tower: Tower, field: str, sign: float) -> float:
    """How far an edge can come in before it reaches the mount's hole, mm."""
    assert project.coilover is not None or tower.hole == 0.0
    if project.coilover is None:
        return FARTHEST
    x, y, _ = project.points[project.coilover.top.point]
    at = x if field in ("front", "rear") else out_of(project) * y
    edge: float = getattr(tower, field)
    return sign * (edge - at) - tower.hole / 2 - BEARING


def _tower(project: Project, **changes: object) -> Project:
    assert project.tower is not None
    return msgspec.structs.replace(project, tower=msgspec.structs.replace(project.tower, **changes))


def _trim(project: Project, mm: float) -> Project:
    assert project.tower is not None
    lip = project.tower.lip
    left = max(abs(lip) - mm, 0.0)
    return _tower(project, lip=left if lip > 0.0 else -left)


def _shorten(project: Project, mm: float) -> Project:
    assert project.tower is not None
    assert project.tower.outer_down_to is not None
    return _tower(project, outer_down_to=project.tower.outer_down_to + mm)


def _set(field: str, sign: float) -> Apply:
    def apply(project: Project, mm: float) -> Project:
        assert project.tower is not None
        return _tower(project, **{field: getattr(project.tower, field) + sign * mm})

    return apply
