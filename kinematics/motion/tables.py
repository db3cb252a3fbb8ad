"""Which constraint rows there are and what they act between; no geometry."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array

Index = slice | NDArray[np.intp]
GROUND = -1
"""Stands for the chassis in row tables, and for the rack, whose shift is added apart."""


def index_of(rows: NDArray[np.intp]) -> Index:
    """A slice where the rows are contiguous: views are cheaper than copies."""
    if len(rows) and rows[-1] - rows[0] + 1 == len(rows):
        return slice(int(rows[0]), int(rows[-1]) + 1)
    return rows


@dataclass(frozen=True)
class Group:
    """The rows whose end is on one body (``GROUND``: the chassis or the rack).

    ``rows`` indexes all rows; ``normals`` the along rows among them, counted from the first
    along row, and only for the A ends.
    """

    body: int
    rows: Index
    normals: Index | None = None


@dataclass(frozen=True)
class Table:
    """Which rows there are and what they act between; no geometry.

    The ``distances`` come first of the ``rows``, then the along rows. ``racked`` (rows,) is +1
    where the ``b`` end rides on the rack, -1 where the ``a`` end does. ``hinged`` says for each
    body whether it has one column (a turn about a chassis hinge) or six. ``driver`` is the
    driver's row and ``by`` its kind: ``travel``, ``damper`` or ``angle``; ``none`` if missing.
    """

    rows: int
    distances: int
    a_on: tuple[Group, ...]
    b_on: tuple[Group, ...]
    racked: Array
    hinged: tuple[bool, ...]
    columns: tuple[slice, ...]
    driver: int
    by: str

    @cached_property
    def width(self) -> int:
        """The number of unknowns."""
        return sum([1 if hinged else 6 for hinged in self.hinged])

    @cached_property
    def halves(self) -> Array:
        """What force times parting is multiplied by (rows, 1): ½ for distances, 1 for the rest."""
        return np.where(np.arange(self.rows) < self.distances, 0.5, 1.0)[:, None]

    @cached_property
    def ends(self) -> tuple[tuple[NDArray[np.intp], NDArray[np.intp]], ...]:
        """Of the A ends, then of the B ends that move: their rows and their bodies."""
        out = []
        for groups in (self.a_on, self.b_on):
            on = np.full(self.rows, GROUND, dtype=np.intp)
            for group in groups:
                on[group.rows] = group.body
            moving = np.flatnonzero(on != GROUND)
            out.append((moving, on[moving]))
        return tuple(out)

    @cached_property
    def sliding(self) -> Index | None:
        """The along rows whose direction turns with a body that is solved for; None if none."""
        found = [
            np.arange(self.rows)[group.rows]
            for group in self.a_on
            if group.body != GROUND and group.normals is not None
        ]
        rows = np.concatenate([*found, np.zeros(0, dtype=np.intp)])
        rows = rows[rows >= self.distances]
        return index_of(rows) if len(rows) else None

    @cached_property
    def a_moves(self) -> bool:
        """Whether any A end is on a body that is solved for."""
        return len(self.ends[0][0]) > 0

    @cached_property
    def lead(self) -> Index:
        """The rows whose A end is on a body that is solved for."""
        return index_of(self.ends[0][0])

    @cached_property
    def dense(self) -> bool:
        """Whether one free body has the moving end of every row: the usual corner."""
        return (
            self.hinged == (False,)
            and len(self.b_on) == 1
            and [group.body for group in self.a_on] == [GROUND]
        )
