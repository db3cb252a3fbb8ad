"""What a change of the project does to the rest of the corner."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from kinematics.measures import measure
from kinematics.motion import move
from kinematics.project.model import Project
from kinematics.studies.study import Setting, set_up


@dataclass(frozen=True, slots=True)
class Effects:
    """Changes from before to after: of figures at set-up height, and of the ends of travel.

    camber, toe : rad. half_track, wheelbase : of the contact point, outboard and forward, mm.
    scrub : mm, 0 where there is no steering axis. motion_ratio : none. bump, droop : travel gained
    (positive) or lost either way, mm.
    """

    camber: float
    toe: float
    half_track: float
    wheelbase: float
    scrub: float
    motion_ratio: float
    bump: float
    droop: float


def effects(before: Project, after: Project) -> Effects:
    """What differs between two projects of one corner."""
    one, other = _figures(set_up(before)), _figures(set_up(after))
    change = {field.name: other[field.name] - one[field.name] for field in fields(Effects)}
    return Effects(**change)


def _figures(setting: Setting) -> dict[str, float]:
    motion = move(setting.linkage, [0.0])
    found = measure(setting.unfolded, motion).figures
    out = 1.0 if setting.project.side == "left" else -1.0

    def at(key: str) -> float:
        return float(np.nan_to_num(found[key][0, 0]))

    return {
        "camber": at("camber"),
        "toe": at("toe"),
        "half_track": out * at("contact_y"),
        "wheelbase": at("contact_x"),
        "scrub": at("scrub"),
        "motion_ratio": at("motion_ratio"),
        "bump": setting.range[1],
        "droop": -setting.range[0],
    }
