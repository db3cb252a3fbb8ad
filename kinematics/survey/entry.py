"""Entries of a measuring table as they are typed: what was measured to, with what, how far off."""

from __future__ import annotations

import re
from typing import Any, get_args

from kinematics.errors import EntryError
from kinematics.project.survey import AngleReading, EndKind, LengthReading, Reading, To
from kinematics.survey.tools import ANGLE_TOOLS, LENGTH_TOOLS
from kinematics.units import (
    MINUS,
    Units,
    read_degrees,
    read_length,
    read_number,
    show_typed,
    unit_of,
)

KINDS: tuple[EndKind, ...] = get_args(EndKind)
MOST_ENDS = 2


def read_to(text: str, units: Units = "mm") -> tuple[To, ...]:
    """What each end was measured to: ``centre``, ``near edge 12``, ``near face 8, far edge 12``.

    Raises ``EntryError`` in one sentence.
    """
    parts = [part.strip() for part in re.split(r"[,;]\s*(?=[a-z])", text.strip()) if part.strip()]
    if len(parts) > MOST_ENDS:
        raise EntryError("A reading has two ends at most.")
    ends = tuple(_end(part, units) for part in parts)
    return () if all(end.kind == "centre" for end in ends) else ends


def _end(text: str, units: Units) -> To:
    kind = next((k for k in KINDS if text.lower().startswith(k)), None)
    if kind is None:
        raise EntryError(f'"{text}" is none of {", ".join(KINDS)}.')
    rest = text[len(kind) :].strip(" ()⌀ø")
    if kind == "centre":
        return To()
    if not rest:
        what = "diameter" if "edge" in kind else "thickness"
        raise EntryError(f"Give the {what} after {kind}, such as {kind} 12.")
    return To(kind=kind, size=read_length(rest, units))


def show_to(reading: Reading, units: Units = "mm") -> str:
    """The same as it is typed; empty where the point itself was measured to."""
    if isinstance(reading, AngleReading) or not reading.to:
        return ""
    return ", ".join(
        f"{end.kind} {_figure(end.size, units)}" if end.kind != "centre" else end.kind
        for end in reading.to
    )


def read_tool(text: str, reading: Reading, units: Units = "mm") -> dict[str, Any]:
    """The tool, and how far off it may be if typed: ``tape``, ``tape 2``, ``level 0.3``.

    Returns the changed fields. Raises ``EntryError``.
    """
    angle = isinstance(reading, AngleReading)
    known = ANGLE_TOOLS if angle else LENGTH_TOOLS
    word, _, rest = text.strip().lower().replace("±", " ").partition(" ")
    if word not in known:
        raise EntryError(f'"{text.strip()}" is not known; use {", ".join(known)}.')
    typed = rest.strip()
    if angle:
        return {"tool": word, "give_or_take_deg": _above(read_number(typed)) if typed else None}
    return {"tool": word, "give_or_take": _above(read_length(typed, units)) if typed else None}


def _above(value: float) -> float:
    if not value > 0:
        raise EntryError("How far off a reading may be is more than nought.")
    return value


def show_tool(reading: Reading, units: Units = "mm") -> str:
    """The tool as it is typed."""
    if isinstance(reading, AngleReading):
        typed = reading.give_or_take_deg
        return reading.tool if typed is None else f"{reading.tool} ±{typed:.4g}"
    typed = reading.give_or_take
    return reading.tool if typed is None else f"{reading.tool} ±{_figure(typed, units)}"


def read_value(text: str, reading: Reading, units: Units = "mm") -> dict[str, Any]:
    """The value as read; nothing typed means not taken yet. Raises ``EntryError``."""
    if isinstance(reading, LengthReading):
        return {"value": read_length(text, units) if text.strip() else None}
    degrees = read_degrees(text) if text.strip() else None
    if degrees is not None and not abs(degrees) <= 90:
        raise EntryError(f'"{text.strip()}" is no angle against level or plumb.')
    return {"degrees": degrees}


def show_value(reading: Reading, units: Units = "mm") -> str:
    """The value as it is typed, without its unit."""
    if isinstance(reading, LengthReading):
        if reading.value is None:
            return ""
        return _figure(reading.value, units)
    return "" if reading.degrees is None else f"{reading.degrees:.7g}"


def _figure(mm: float, units: Units) -> str:
    """A length as a field holds it, without its unit and needless noughts; no length is a 0."""
    text = show_typed(mm, "length", units, bare=True).replace(MINUS, "-")
    if mm and not float(text):
        return f"{unit_of('length', units).of(mm):.2g}"
    return text.rstrip("0").rstrip(".") if "." in text else text
