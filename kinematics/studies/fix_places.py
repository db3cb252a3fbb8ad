"""Fixes that the map of the mount's places gives: the least move to where nothing is wrong."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from kinematics.errors import ClearstrokeError
from kinematics.project.model import Project
from kinematics.studies.cure import AGAIN, SPRUNG, WELDED, Cure, Work, out_of
from kinematics.studies.cures_coilover import moved_mount
from kinematics.studies.fix import Amount, Remedy
from kinematics.studies.plan import TopMap
from kinematics.studies.study import Setting, racks
from kinematics.studies.top_map import top_map

if TYPE_CHECKING:
    from kinematics.studies.fix_shop import Shop

Array = npt.NDArray[np.float64]
Asked = Callable[[], bool]

REACH = 40
"""How far the mount is looked at moving each way, mm."""
SPARES = (0.0, 0.4)
"""Room to spare asked of a place, mm: more where, between the travels mapped, none was left."""
WIDE = 0.8
"""What mapping all of them is of the work of finding one."""
STEP = 2
"""Grid of places looked at first, mm; about the best it is then looked at to 1 mm."""


def placed(shop: Shop, name: str, with_tower: bool) -> Remedy | None:
    """The least move of the mount that keeps the rules, and the least that stops the touching.

    with_tower : its tower goes along. None for a corner without a mount to move.
    """
    setting = shop.bench.setting
    if setting.project.coilover is None:
        return None
    if not with_tower and setting.project.tower is None:
        return None
    places = _Places(setting, with_tower, shop.cancelled, shop.pace.within)
    remedy = Remedy(name, None, None, None)
    for spare in SPARES:
        try:
            remedy = _placed(shop, places, name, spare)
        except ClearstrokeError as error:  # a place that can't be
            return Remedy(name, None, None, None, str(error))
        if remedy.fix is None or remedy.rules is None or not remedy.fix.leaves:
            break
    return remedy


def _placed(shop: Shop, places: _Places, name: str, spare: float) -> Remedy:
    touching, kept = (places.amount(rules, spare) for rules in (False, True))
    best = kept or touching
    if best is None:
        why = f"no place within {REACH} mm of where the top mount is does it"
        if places.good_here(spare):  # what is wrong is none of its business
            why = "that changes nothing that is wrong"
        return Remedy(name, None, None, None, f"{name[:1].upper()}{name[1:]}: {why}.")
    cure = _cure(places.setting.project, name, places.with_tower, best)
    return Remedy(name, shop.checked(cure, best.amount, best.project), touching, kept)


class _Places:
    """The mount's places, mapped once for all that is asked of them."""

    def __init__(
        self,
        setting: Setting,
        with_tower: bool,
        cancelled: Asked | None,
        progress: Callable[[float], None],
    ) -> None:
        self.setting, self.with_tower, self.cancelled = setting, with_tower, cancelled
        self.progress = progress

    def good_here(self, spare: float) -> bool:
        """Whether nothing that its place changes breaks a rule where the mount is now."""
        return self._nearest(True, spare) == (0.0, 0.0)

    @cached_property
    def wide(self) -> TopMap:
        """All places looked at."""
        steps = np.arange(-REACH, REACH + 1.0, STEP)
        return self._mapped(steps, steps, lambda share: self.progress(WIDE * share))

    def amount(self, rules: bool, spare: float) -> Amount | None:
        """The least move of whole mm to a place that is good, with so much to spare, or None.

        None too where it is good as it is. Raises ClearstrokeError for one that can't be written.
        """
        spot = self._nearest(rules, spare)
        if spot is None or spot == (0.0, 0.0):
            return None
        moved = moved_mount(self.setting.project, spot[0], spot[1], 0.0, self.with_tower)
        far = math.hypot(*spot)
        return Amount(far, far, moved)

    def _nearest(self, rules: bool, spare: float) -> tuple[float, float] | None:
        spot = _nearest_on(self.wide, rules, spare, self._wrong_already)
        if spot is None:
            return None
        x, y = (at + np.arange(-STEP, STEP + 1.0) for at in spot)
        return _nearest_on(self._mapped(y, x), rules, spare, self._wrong_already) or spot

    @cached_property
    def _wrong_already(self) -> bool:
        """Whether joints, spring or damper are past a limit where the mount is now."""
        here = len(self.wide.along) // 2, len(self.wide.across) // 2
        return bool(self.wide.limits.wrong[here])

    def _mapped(
        self, across: Array, along: Array, progress: Callable[[float], None] | None = None
    ) -> TopMap:
        return top_map(
            self.setting, across, along, with_tower=self.with_tower, rack=racks(self.setting),
            progress=progress, cancelled=self.cancelled,
        )  # fmt: skip


def _nearest_on(
    plan: TopMap, rules: bool, spare: float, wrong_already: bool
) -> tuple[float, float] | None:
    """The nearest place (x, y) of a map that is good, its limits kept unless they are not now."""
    figure = plan.margin if rules else plan.clearance
    good = (figure >= spare) & (~plan.limits.wrong | wrong_already)
    way = np.where(good, np.hypot(plan.along[:, None], plan.across[None, :]), np.inf)
    if not np.isfinite(way).any():
        return None
    row, column = np.unravel_index(int(np.argmin(way)), way.shape)
    return float(plan.along[row]), float(plan.across[column])


def _cure(project: Project, name: str, with_tower: bool, best: Amount) -> Cure:
    """The move as a fix with its instruction."""
    assert project.coilover is not None
    top = project.coilover.top.point
    dx, dy, _ = (b - a for a, b in zip(project.points[top], best.project.points[top], strict=True))
    inward = -dy * out_of(project)
    ways = (
        (abs(inward), "inboard" if inward > 0 else "outboard"),
        (abs(dx), "forward" if dx > 0 else "rearward"),
    )
    how = " and ".join(f"{mm:g} mm {way}" for mm, way in ways if mm > 1e-6)
    words = f"Move the top mount and its tower {how}"
    work, caution, undoes = Work.REMADE, f"{SPRUNG} {WELDED}", f"the tower's seams are {AGAIN}"
    if not with_tower:
        words = f"Fit an adjustable plate and set the top mount {how}, the tower staying"
        work, undoes = Work.CUT, "the plate is replaced"
    return Cure(name, name, lambda p, mm: p, 0.0, work, lambda mm: words, (), caution, undoes)
