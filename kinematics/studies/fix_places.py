"""Fixes that the map of the mount's places gives: the least move to where nothing is wrong."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from kinematics.errors import ClearstrokeError
from kinematics.project.model import Project
from kinematics.studies.cure import SPRUNG, WELDED, Cure, Work, out_of
from kinematics.studies.cures_coilover import moved_mount
from kinematics.studies.fix import Amount, Remedy
from kinematics.studies.study import Setting, racks
from kinematics.studies.top_map import top_map

if TYPE_CHECKING:
    from kinematics.studies.fix_shop import Shop

Asked = Callable[[], bool]

REACH = 40
"""How far the mount is looked at moving each way, mm."""
SPARES = (0.0, 0.4)
"""Room to spare asked of a place, mm: more where, between the travels mapped, none was left."""
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
    remedy = Remedy(name, None, None, None)
    for spare in SPARES:
        remedy = _placed(shop, name, with_tower, spare)
        if remedy.fix is None or remedy.rules is None or not remedy.fix.leaves:
            break
    return remedy


def _placed(shop: Shop, name: str, with_tower: bool, spare: float) -> Remedy:
    setting, asked = shop.bench.setting, shop.cancelled
    touching, kept = (_amount(setting, with_tower, rules, spare, asked) for rules in (False, True))
    best = kept or touching
    if best is None:
        why = f"no place within {REACH} mm of where the top mount is does"
        return Remedy(name, None, None, None, f"{name[:1].upper()}{name[1:]}: {why}.")
    cure = _cure(setting.project, name, with_tower, best)
    try:
        return Remedy(name, shop.checked(cure, best.amount, best.project), touching, kept)
    except ClearstrokeError as error:
        return Remedy(name, None, None, None, str(error))


def _amount(
    setting: Setting, with_tower: bool, rules: bool, spare: float, cancelled: Asked | None
) -> Amount | None:
    spot = _nearest(setting, with_tower, rules, spare, cancelled)
    if spot is None:
        return None
    try:
        moved = moved_mount(setting.project, spot[0], spot[1], 0.0, with_tower)
    except ClearstrokeError:
        return None
    far = math.hypot(*spot)
    return Amount(far, far, moved)


def _nearest(
    setting: Setting, with_tower: bool, rules: bool, spare: float, cancelled: Asked | None
) -> tuple[float, float] | None:
    """The nearest place of whole mm (x, y) that the map finds good, or None."""
    x = y = np.arange(-REACH, REACH + 1.0, STEP)
    best = None
    rack = racks(setting)
    for _ in range(2):
        plan = top_map(setting, y, x, with_tower=with_tower, rack=rack, cancelled=cancelled)
        figure = plan.margin if rules else plan.clearance
        way = np.where(figure >= spare, np.hypot(x[:, None], y[None, :]), np.inf)
        if not np.isfinite(way).any():
            return best
        row, column = np.unravel_index(int(np.argmin(way)), way.shape)
        best = float(x[row]), float(y[column])
        x, y = (at + np.arange(-STEP, STEP + 1.0) for at in best)
    return best


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
    work, caution, undoes = Work.REMADE, f"{SPRUNG} {WELDED}", "the tower's seams"
    if not with_tower:
        words = f"Fit an adjustable plate and set the top mount {how}"
        work, undoes = Work.CUT, "the plate"
    return Cure(name, name, lambda p, mm: p, 0.0, work, lambda mm: words, (), caution, undoes)
