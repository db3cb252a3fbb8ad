"""The map of top-mount places in an upright plane: fore-aft by height, or across by height."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from kinematics.studies.plan import TopMap
from kinematics.studies.study import Setting
from kinematics.studies.top_map import TRAVELS, top_map

Way = Literal["along", "across"]


def upright_map(
    setting: Setting,
    way: Way,
    run: npt.ArrayLike,
    heights: npt.ArrayLike,
    at: float = 0.0,
    with_tower: bool | None = None,
    rack: npt.ArrayLike = 0.0,
    travels: int = TRAVELS,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> TopMap:
    """Work out the worst of every mount position in an upright plane, offsets in mm.

    way : ``along``: run holds x offsets and ``at`` is the y offset of the plane; ``across``: run
    holds y offsets and ``at`` is the x offset. Of what comes back the rows are heights (``along``
    holds these) and the columns the run (``across``); its ``height`` is NaN. Raises as `top_map`.
    """
    levels = np.asarray(heights, float)
    rows: list[TopMap] = []
    for n, height in enumerate(levels.tolist()):

        def report(share: float, n: int = n) -> None:
            if progress is not None:
                progress((n + share) / len(levels))

        x, y = (run, [at]) if way == "along" else ([at], run)
        rows.append(top_map(setting, y, x, height, with_tower, rack, travels, report, cancelled))
    return replace(_stacked(rows, np.asarray(run, float), levels), plane=way, level=at)


def _stacked(
    rows: Sequence[TopMap], run: npt.NDArray[np.float64], levels: npt.NDArray[np.float64]
) -> TopMap:
    """Maps of one row or column of places each as one, a row for each."""
    first = rows[0]

    def joined(values: Sequence[npt.NDArray[Any]]) -> npt.NDArray[Any]:
        return np.stack([np.ravel(each) for each in values])

    whole = {
        f.name: joined([getattr(row, f.name) for row in rows])
        for f in fields(first)
        if getattr(getattr(first, f.name), "ndim", 0) == 2
    }
    limits: dict[str, Any] = {
        f.name: joined([getattr(row.limits, f.name) for row in rows])
        for f in fields(first.limits)
        if f.name != "joints"
    }
    changed: dict[str, Any] = {
        **whole, "across": run, "along": levels, "height": float("nan"), "slots": None,
    }  # fmt: skip
    return replace(first, limits=replace(first.limits, **limits), **changed)
