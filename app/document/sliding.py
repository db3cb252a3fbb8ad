"""Whether one project is another with its top mount slid, and how far."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from kinematics.errors import ClearstrokeError
from kinematics.project.edit import move_top
from kinematics.project.model import Project

Array = NDArray[np.float64]
# Asked several times a frame of the same two.
_KNOWN: list[tuple[Project, Project, float | None]] = []
_KEEP = 4


def top_mount(project: Project | None) -> Array | None:
    """The top bearing's centre, mm; None without a coilover."""
    if project is None or project.coilover is None:
        return None
    return np.asarray(project.points[project.coilover.top.point], float)


def slid_by(before: Project, after: Project) -> float | None:
    """How far the top mount was slid, mm, if that is all that changed."""
    for start, end, by in _KNOWN:
        if start is before and end is after:
            return by
    by = _slid_by(before, after)
    _KNOWN.insert(0, (before, after, by))
    del _KNOWN[_KEEP:]
    return by


def _slid_by(before: Project, after: Project) -> float | None:
    was, now = top_mount(before), top_mount(after)
    if was is None or now is None:
        return None
    move = now - was
    try:
        same = move_top(before, float(move[0]), float(move[1]), float(move[2]))
    except ClearstrokeError:
        return None
    # Mostly the same to the last digit, which is found out a hundred times as fast.
    pairs = ((getattr(same, field), getattr(after, field)) for field in Project.__struct_fields__)
    alike = all(
        a is b or a == b or _alike(msgspec.to_builtins(a), msgspec.to_builtins(b)) for a, b in pairs
    )
    return float(np.linalg.norm(move)) if alike else None


def _alike(a: Any, b: Any) -> bool:
    """Whether two trees of plain data are the same, lengths to a millionth of a mm."""
    if isinstance(a, dict) and isinstance(b, dict):
        return a.keys() == b.keys() and all(_alike(a[k], b[k]) for k in a)
    if isinstance(a, list | tuple) and isinstance(b, list | tuple):
        return len(a) == len(b) and all(_alike(x, y) for x, y in zip(a, b, strict=True))
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= 1e-6
    return bool(a == b)
