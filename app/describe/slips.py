"""Coordinates that look mistyped: inches taken for millimetres, a digit short, a sign turned."""

from __future__ import annotations

from app.document.tree import Path
from kinematics.project.model import Project
from kinematics.units import MM_PER_INCH, show_plain

FAR = 100.0  # mm a point jumps before it is asked about (a habit)
NEAR = 0.25  # as a share: so near to where it was is what it was meant to be


def slip(path: Path, before: Project | None, now: Project | None) -> str:
    """What may have been meant by a coordinate just typed, as a question; empty if nothing shows.

    path : the entry, ``("points", name, axis)``.
    """
    if before is None or now is None or path[0] != "points" or path[-1] not in (0, 1, 2):
        return ""
    name, k = str(path[1]), int(path[2])
    if name not in before.points or name not in now.points:
        return ""
    was, typed = before.points[name][k], now.points[name][k]
    if abs(typed - was) < FAR:
        return ""
    meant = _meant(was, typed, now.units)
    if not meant:
        return ""
    jump = show_plain(round(abs(typed - was)), now.units)
    return f"{name} {'xyz'[k]} went {jump}, from {show_plain(was, now.units)}. {meant}"


def _meant(was: float, typed: float, units: str) -> str:
    other = MM_PER_INCH if units == "mm" else 1.0 / MM_PER_INCH
    if _like(typed * other, was):
        figure = show_plain(typed, "mm" if units == "mm" else "in", bare=True)
        return f"Was {figure} {'in' if units == 'mm' else 'mm'} meant? Then type its unit with it."
    if _like(-typed, was):
        return "Is its sign turned?"
    if _like(10.0 * typed, was) or _like(0.1 * typed, was):
        return "Is a digit missing, or one too many?"
    return ""


def _like(value: float, was: float) -> bool:
    return abs(value - was) <= NEAR * abs(was)
