"""Where a held point goes over travel and over rack, and which way a rack turns the wheel."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from app.document.live import column, limits, placements
from kinematics.studies.study import Study

if TYPE_CHECKING:
    from app.stage.pick import Hit

Array = NDArray[np.float64]


def way_by_travel(found: Study | None, hit: Hit, rack: float) -> tuple[Array, Array]:
    """A held point's places over the travel that is real. Values (n,), points (n, 3)."""
    assert found is not None
    points = _carried(found, hit)[:, column(found, rack)]
    low, high = limits(found, rack)
    travel = np.asarray(found.travel)
    kept = (travel >= low - 1e-9) & (travel <= high + 1e-9)
    return travel[kept], points[kept]


def way_by_rack(found: Study | None, hit: Hit, travel: float) -> tuple[Array, Array]:
    """A held point's places over the rack's travel at the nearest travel sample."""
    assert found is not None
    row = int(np.argmin(np.abs(np.asarray(found.travel) - travel)))
    return np.asarray(found.rack), _carried(found, hit)[row]


def steer_by_rack(found: Study | None, travel: float) -> tuple[Array, Array] | None:
    """Rack positions (n,) and the wheel's steer angle at each, rad, at the nearest travel."""
    steer = found.measures.figures.get("steer") if found is not None else None
    if found is None or steer is None:
        return None
    row = int(np.argmin(np.abs(np.asarray(found.travel) - travel)))
    return np.asarray(found.rack), np.asarray(steer[row])


def _carried(found: Study, hit: Hit) -> Array:
    """The held point of a skin at every pose of the study, NaN where it knows no such skin.

    (nz, ns, 3)
    """
    placed = placements(found).get(hit.piece.name)
    if placed is None:  # it came since, and the study with it is not there yet
        return np.full((len(found.travel), len(found.rack), 3), np.nan)
    count = len(found.travel) * len(found.rack)
    local = np.broadcast_to(hit.local, (len(placed.origin), 3)).copy()
    local[:, 2] += hit.along * np.asarray(placed.stretch)
    world = np.einsum("nij,nj->ni", placed.rotation, local) + placed.origin
    world = np.broadcast_to(world, (count, 3)) if len(world) == 1 else world
    return np.asarray(world.reshape(len(found.travel), len(found.rack), 3))
