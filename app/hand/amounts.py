"""How far something goes: typed, along its way or for each axis; or by a step of a key."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt

from app.look import numbers
from kinematics.errors import EntryError
from kinematics.project.entries import FARTHEST
from kinematics.units import Units, read_length

Array = NDArray[np.float64]
AXES = "xyz"
BEGINS = "0123456789+-−.,(xyzXYZ½¼¾⅛⅜⅝⅞"
"""What an amount begins with; other keys keep what they do."""
WHICH = "Say which way as well: x 12, y 12 or z 12. Or pull it a little first."
STEPS: dict[Units, tuple[float, float, float]] = {
    "mm": (1.0, 10.0, 0.1),
    "in": (25.4 / 16, 25.4 / 2, 25.4 / 64),  # as a builder's rule is divided
}
"""A step of a key, one with Shift and one with Alt, mm."""
STEPS_SAID: dict[Units, str] = {
    "mm": "1 mm, with Shift 10, with Alt 0.1",
    "in": "1/16 in, with Shift 1/2, with Alt 1/64",
}
WORDS = (("inboard", "outboard"), ("forward", "rearward"), ("up", "down"))


def read_move(text: str, units: Units, along: Array | None) -> Array:
    """What is typed as a move (3,) in mm, car axes: ``12``, ``1/2 in``, ``x 12``, ``x 12 z -3``.

    A bare amount goes ``along`` that unit vector (3,). Raises EntryError, in one sentence, where
    it can't be read, goes farther than a car reaches, or no way that is known.
    """
    move = _read_move(text, units, along)
    if float(np.abs(move).max()) > FARTHEST:
        raise EntryError("That is farther than a car reaches.")
    return move


def _read_move(text: str, units: Units, along: Array | None) -> Array:
    pieces = re.split(r"([xyz])", text.strip().lower())
    if len(pieces) == 1:
        amount = read_length(text, units)
        if along is None:
            raise EntryError(WHICH)
        return amount * np.asarray(along)
    if pieces[0].strip():
        raise EntryError(f'"{text.strip()}" has an amount without its axis. Try x 12 z -3.')
    move = np.zeros(3)
    for axis, amount_of in zip(pieces[1::2], pieces[2::2], strict=True):
        move[AXES.index(axis)] += read_length(amount_of.strip(" ,;="), units)
    return move


def key_step(units: Units, modifiers: Qt.KeyboardModifier) -> float:
    """How far a key moves what it moves, mm: a coarse step with Shift, a fine one with Alt."""
    plain, coarse, fine = STEPS[units]
    if modifiers & Qt.KeyboardModifier.AltModifier:
        return fine
    return coarse if modifiers & Qt.KeyboardModifier.ShiftModifier else plain


def moved_words(move: Array, out: float, units: Units) -> str:
    """'34.8 mm forward, 40.0 down' of a move in car axes; ``out``: 1 on the left, -1 on the right.

    What rounds to nothing is left out.
    """
    inward = (-out * float(move[1]), float(move[0]), float(move[2]))
    least = 0.05 if units == "mm" else 0.0127
    told = [
        f"{numbers.length(abs(by), units)} {pair[0] if by > 0 else pair[1]}"
        for by, pair in zip(inward, WORDS, strict=True)
        if abs(by) >= least
    ]
    if not told:
        return "as it was"
    return ", ".join([told[0].replace(" ", f" {units} ", 1), *told[1:]])
