"""The map of top-mount places as a record: what is worst at every place, and the best place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import numpy.typing as npt

from kinematics.studies.place_limits import Limits, worse_limits

Array = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
Range = tuple[float, float]

EDGE = 1e-6
"""mm: a place this near to the end of a slot is in it."""


@dataclass(frozen=True, eq=False)
class TopMap:
    """What is worst at every position of the top mount, (ny, nx) each.

    across (nx,) : y offsets and along (ny,) : x offsets of the mount from where it is, mm, in car
    coordinates; height : the z offset. clearance : the lowest of any pair the move changes, a
    certified lower bound. margin : the lowest clearance less its rule, or less nothing for a pair
    without one. ``*_pair`` number the pair
    in the setting's pairs (-1: none), ``*_travel`` say where in the travel, mm. droop, bump : the
    ends of travel there, mm, the nearest of all rack positions. NaN where the damper can't stand at
    set-up height. travels : those looked at where they lie between droop and bump, besides these
    two, mm. ``*_rack`` say at which of the rack positions looked at, mm. limits : what else
    decides there: joints, spring, damper, camber and toe. with_tower : the tower goes along. slots
    : how far the top can be shifted in its plate's slots from where it is, mm: (least, most) of x
    and then of y in car coordinates, as ``along`` and ``across``; None for no slotted plate.
    plane : seen from above, or upright and ``along`` or ``across`` the car: rows are then heights;
    level : the y or x offset of an upright one, mm.
    """

    across: Array
    along: Array
    height: float
    clearance: Array
    clearance_pair: Ints
    clearance_travel: Array
    margin: Array
    margin_pair: Ints
    margin_travel: Array
    droop: Array
    bump: Array
    travels: Array
    clearance_rack: Array
    margin_rack: Array
    limits: Limits
    with_tower: bool
    slots: tuple[Range, Range] | None = None
    plane: Literal["top", "along", "across"] = "top"
    level: float = 0.0

    def place(self, row: int, column: int) -> tuple[float, float, float]:
        """Offsets (x, y, z) of a position from where the mount is, car coordinates, mm."""
        down, right = float(self.along[row]), float(self.across[column])
        if self.plane == "along":
            return right, self.level, down
        return (self.level, right, down) if self.plane == "across" else (down, right, self.height)

    @property
    def good(self) -> Bools:
        """Where every rule is kept and neither joints, spring nor damper are past a limit."""
        return np.asarray((self.margin >= 0.0) & ~self.limits.wrong)

    @property
    def room(self) -> Array:
        """The less of ``margin`` and what joints, spring and damper have left: 0 or more is good.

        For its sign and the line where that changes: it mixes mm and degrees. NaN: can't stand.
        """
        return np.minimum(self.margin, self.limits.spare)

    @property
    def best(self) -> tuple[int, int]:
        """The position (row, column) with the largest margin, of those where nothing else is wrong.

        Of all where that is nowhere. Raises ValueError where none can stand.
        """
        return self._best(np.isfinite(self.margin))

    @property
    def in_slots(self) -> Bools:
        """The positions that the plate's slots reach, the tower staying; all without slots."""
        inside = np.ones(self.margin.shape, dtype=bool)
        if self.slots is not None:
            (rearmost, foremost), (least, most) = self.slots
            fore = (self.along >= rearmost - EDGE) & (self.along <= foremost + EDGE)
            side = (self.across >= least - EDGE) & (self.across <= most + EDGE)
            inside &= fore[:, None] & side[None, :]
        return inside

    @property
    def best_in_slots(self) -> tuple[int, int] | None:
        """As `best`, of the positions that the slots reach; None without slots or any that stands.

        Speaks of sliding the plate only where the tower stays.
        """
        inside = self.in_slots & np.isfinite(self.margin)
        return self._best(inside) if self.slots is not None and inside.any() else None

    def _best(self, among: Bools) -> tuple[int, int]:
        sound = among & ~self.limits.wrong
        figure = np.where(sound if sound.any() else among, self.margin, np.nan)
        row, column = np.unravel_index(int(np.nanargmax(figure)), figure.shape)
        return int(row), int(column)


def worse(a: TopMap, b: TopMap) -> TopMap:
    """The worse of two rack positions, position by position; unknown in one is unknown."""
    first = ~(b.clearance < a.clearance) & ~np.isnan(b.clearance) | np.isnan(a.clearance)
    tight = ~(b.margin < a.margin) & ~np.isnan(b.margin) | np.isnan(a.margin)
    return replace(
        a,
        clearance=np.where(first, a.clearance, b.clearance),
        clearance_pair=np.where(first, a.clearance_pair, b.clearance_pair),
        clearance_travel=np.where(first, a.clearance_travel, b.clearance_travel),
        clearance_rack=np.where(first, a.clearance_rack, b.clearance_rack),
        margin=np.where(tight, a.margin, b.margin),
        margin_pair=np.where(tight, a.margin_pair, b.margin_pair),
        margin_travel=np.where(tight, a.margin_travel, b.margin_travel),
        margin_rack=np.where(tight, a.margin_rack, b.margin_rack),
        droop=np.maximum(a.droop, b.droop),
        bump=np.minimum(a.bump, b.bump),
        limits=worse_limits(a.limits, b.limits),
    )
