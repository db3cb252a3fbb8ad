"""The top mount's plate and bearing housing as exact solids, and its stack in heights."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kinematics.project.model import MountPlate, Project
from kinematics.shapes.pieces import BOX_FACES, Array
from kinematics.shapes.plain import corners
from kinematics.shapes.poses import point
from kinematics.shapes.recipe import Carried, Recipe, block, carried, drum, ring

TOP_MOUNT = "top mount"


def stack_heights(project: Project) -> dict[str, float]:
    """What the builder marks and turns, by name: height above the top bearing's centre, mm.

    Square to the plate; along the damper for shoulder and top hat. Empty without a coilover or
    without a top mount described.
    """
    mount, coilover = project.top_mount, project.coilover
    if mount is None or coilover is None:
        return {}
    found = {"plate surface": 0.0 - mount.bearing_above, "bearing centre": 0.0}
    if mount.shoulder_below is not None:
        found["shaft shoulder"] = -mount.shoulder_below
    if coilover.spring is not None:
        found["top hat"] = -coilover.spring.end_from_top
    return found


def recipes(project: Project) -> Iterator[Recipe]:
    """The plate and the bearing's housing, where their sizes are given."""
    coilover = project.coilover
    if coilover is None:
        return
    if found := solids(project, coilover.top.body):
        yield carried(TOP_MOUNT, coilover.top.body, "tower", found)


def solids(project: Project, body: str) -> list[Carried]:
    """The pieces carried by a body; none where no size is given."""
    mount, coilover = project.top_mount, project.coilover
    if mount is None or coilover is None:
        return []
    centre = point(project, coilover.top.point)
    found = []
    if mount.housing_diameter is not None:
        half = mount.housing_height / 2
        profile = drum(mount.housing_diameter / 2, -half, half)
        found.append(ring(body, centre, np.array([0.0, 0.0, 1.0]), profile))
    if mount.plate is not None:
        surface = centre[2] - mount.bearing_above
        half_size = np.array([mount.plate.length / 2, mount.plate.width / 2])
        least = np.array([*(centre[:2] - half_size), surface - mount.plate.thickness])
        most = np.array([*(centre[:2] + half_size), surface])
        found.append(block(body, corners(least, most), BOX_FACES))
    return found


def bolt_places(plate: MountPlate) -> Array:
    """Middles (n, 2) of a plate's bolts, mm forward and left of the bearing; none without a circle.

    Evenly round the circle, the first half a step from straight ahead.
    """
    if not plate.bolt_circle:
        return np.zeros((0, 2))
    turn = 2 * np.pi * (np.arange(plate.bolts) + 0.5) / plate.bolts
    return np.asarray(plate.bolt_circle / 2 * np.column_stack([np.cos(turn), np.sin(turn)]))
