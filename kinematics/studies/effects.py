"""What a change of the project does to the rest of the corner."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

import msgspec
import numpy as np

from kinematics.measures import measure
from kinematics.measures.ground import loaded_radius
from kinematics.motion import corner, move
from kinematics.project.model import Project
from kinematics.statics.fact import Fact
from kinematics.statics.facts import facts
from kinematics.statics.statics import statics
from kinematics.studies.movers import moves_alike
from kinematics.studies.ranges import through_nought
from kinematics.studies.study import Setting, racks, set_up

TRAVELS, RACKS = 17, 3
"""Positions at which springs, stops and joints are looked at."""


@dataclass(frozen=True, slots=True)
class Effects:
    """Changes from before to after: of figures at set-up height, and of the ends of travel.

    camber, toe : rad. half_track, wheelbase : of the contact point, outboard and forward, mm.
    scrub : mm, 0 where there is no steering axis. motion_ratio : none. bump, droop : travel gained
    (positive) or lost either way, mm. rate : of the wheel, N/mm, 0 where it is not known. ride :
    how far the car stands higher on its spring, mm, 0 where it is not known. radius : of the
    loaded tyre, mm.
    """

    camber: float
    toe: float
    half_track: float
    wheelbase: float
    scrub: float
    motion_ratio: float
    bump: float
    droop: float
    rate: float
    ride: float
    radius: float


@dataclass(frozen=True, eq=False)
class Standing:
    """What a corner is judged by besides clearance.

    figures : as in ``Effects``, before differences are taken. problems : what springs, stops,
    joints and shafts have against it, by kind and subject.
    """

    figures: Mapping[str, float]
    problems: Mapping[tuple[str, str], Fact]


def effects(before: Project, after: Project) -> Effects:
    """What differs between two projects of one corner."""
    return differences(stand(set_up(before)), stand(set_up(after)))


def differences(before: Standing, after: Standing) -> Effects:
    """What differs between two standings of one corner."""
    names = [field.name for field in fields(Effects)]
    return Effects(**{n: after.figures[n] - before.figures[n] for n in names})


def spoiled(before: Standing, after: Standing) -> tuple[Fact, ...]:
    """The problems of springs, stops, joints and shafts that were not there before."""
    return tuple(f for key, f in after.problems.items() if key not in before.problems)


def stand(setting: Setting, known: tuple[Setting, Standing] | None = None) -> Standing:
    """Look at a corner's figures, springs, stops, joints and shafts.

    known : a corner looked at before; what is the same as there is not looked at again.
    """
    motion = move(setting.linkage, [0.0])
    found = measure(setting.unfolded, motion).figures
    out = 1.0 if setting.project.side == "left" else -1.0

    def at(key: str) -> float:
        return float(np.nan_to_num(found[key][0, 0]))

    figures = {
        "camber": at("camber"),
        "toe": at("toe"),
        "half_track": out * at("contact_y"),
        "wheelbase": at("contact_x"),
        "scrub": at("scrub"),
        "motion_ratio": at("motion_ratio"),
        "bump": setting.range[1],
        "droop": -setting.range[0],
        "radius": loaded_radius(setting.project),
    }
    if known is not None and _sprung_alike(setting, known[0]):
        same = {name: known[1].figures[name] for name in ("rate", "ride")}
        return Standing(figures | same, known[1].problems)
    sprung, problems = _sprung(setting)
    return Standing(figures | sprung, problems)


def _sprung_alike(a: Setting, b: Setting) -> bool:
    """Whether springs, stops and joints do the same in two corners."""
    one, other = a.unfolded, b.unfolded
    same = (one.points, one.coilover, one.links) == (other.points, other.coilover, other.links)
    return same and a.range == b.range and moves_alike(one, other)


def _sprung(setting: Setting) -> tuple[dict[str, float], dict[tuple[str, str], Fact]]:
    """Ride height and wheel rate, and the problems of springs, stops, joints and shafts."""
    figures = {"rate": 0.0, "ride": 0.0}
    unfolded = setting.unfolded
    if unfolded.loads is not None:  # where a load case settles is not asked here
        loads = msgspec.structs.replace(unfolded.loads, cases={})
        unfolded = msgspec.structs.replace(unfolded, loads=loads)
    course = move(corner(unfolded), through_nought(*setting.range, TRAVELS), racks(setting, RACKS))
    if not course.reached.any():
        return figures, {}
    known = statics(course)
    if known.ride is not None and np.isfinite(known.ride.travel):
        # The body stands higher where the wheel stands lower in it.
        figures["ride"] = -known.ride.travel
        figures["rate"] = float(np.nan_to_num(known.ride.wheel_rate))
    return figures, {(f.kind, f.subject): f for f in facts(known) if f.problem}
