"""Brake disc, caliper and balance weights as exact pieces about the wheel's axis."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians

import numpy as np

from kinematics.frames import unit
from kinematics.project.model import Caliper, Disc, Project, Weights
from kinematics.shapes.fabricated import sector
from kinematics.shapes.pieces import Array, Ring
from kinematics.shapes.poses import Poses
from kinematics.shapes.profile import Profile, rectangle
from kinematics.shapes.recipe import Carried, Recipe, carried, drum, ring
from kinematics.shapes.sections import SHELL, RimSection, rim_section
from kinematics.shapes.wheel import axis, middle

WEIGHTS = "balance weights"


def hub_face(project: Project) -> Array:
    """Where the hub's face meets the wheel's axis (3,), as measured: the spacer is outside it.

    Without an offset marked, the rim's centre plane.
    """
    offset = rim_section(project.wheel).face or 0.0
    return np.asarray(middle(project) + (offset - project.wheel.rim.spacer) * axis(project))


def disc(spec: Disc, project: Project, body: str) -> list[Carried]:
    """The disc, full to its middle."""
    n = axis(project)
    profile = drum(spec.diameter / 2, -spec.inboard - spec.thickness, -spec.inboard)
    return [ring(body, hub_face(project), n, profile)]


def disc_middle(spec: Disc, project: Project) -> Array:
    """Where the wheel's axis meets the middle of the disc's thickness (3,), as measured."""
    return hub_face(project) - (spec.inboard + spec.thickness / 2) * axis(project)


def caliper(spec: Caliper, project: Project, body: str) -> list[Carried]:
    """Blocks that hold the caliper's envelope."""
    n = axis(project)
    forward = unit(np.array([1.0, 0.0, 0.0]) - n[0] * n)
    up = np.cross(n, forward)
    up = up if up[2] > 0.0 else -up
    half, at = radians(spec.span_deg) / 2, radians(spec.at_deg)
    return sector(
        body, hub_face(project), (forward, up, n), (spec.inner_radius, spec.outer_radius),
        (at - half, at + half), (spec.outboard - spec.depth, spec.outboard),
    )  # fmt: skip


def weights(project: Project) -> Iterator[Recipe]:
    """The weights of the rim as rings, since they turn."""
    if project.wheel.rim.weights:
        yield carried(
            WEIGHTS, project.wheel.body, "wheel", weight_rings(project, project.wheel.body)
        )


def weight_rings(project: Project, body: str) -> list[Carried]:
    """A hollow ring for every place of weights."""
    section, n = rim_section(project.wheel), axis(project)
    return [
        _hollow(body, middle(project), n, _weight(spec, section))
        for spec in project.wheel.rim.weights
    ]


def _weight(spec: Weights, section: RimSection) -> Profile:
    low, high = spec.outboard - spec.width / 2, spec.outboard + spec.width / 2
    on = inside_radius(section, low, high) if spec.on_radius is None else spec.on_radius
    return rectangle(max(on - spec.height, 1.0), on, low, high)


def inside_radius(section: RimSection, low: float, high: float) -> float:
    """The least radius of the barrel's inside between two heights along the axis, mm."""
    found = section.well - SHELL
    radii = []
    for outline in section.rings().values():
        points = np.array(outline)
        y = np.clip([low, high], points[:, 1].min(), points[:, 1].max())
        if y[1] - y[0] > 1e-9 or low <= points[:, 1].min() <= high:
            radii.append(min(_inner_at(points, float(v)) for v in (*y, *points[:, 1])
                             if low - 1e-9 <= v <= high + 1e-9))  # fmt: skip
    return min(radii, default=found)


def _inner_at(outline: Array, y: float) -> float:
    """The least r of a closed outline (k, 2) at a height that it reaches."""
    a, b = outline, np.roll(outline, -1, axis=0)
    rises = b[:, 1] - a[:, 1]
    share = np.where(np.abs(rises) > 1e-12, (y - a[:, 1]) / np.where(rises == 0.0, 1.0, rises), 0.0)
    on = (share >= -1e-9) & (share <= 1.0 + 1e-9)
    on &= (np.abs(rises) > 1e-12) | (np.abs(a[:, 1] - y) < 1e-9)
    return float(np.min(np.where(on, a[:, 0] + share * (b[:, 0] - a[:, 0]), np.inf)))


def _hollow(body: str, centre: Array, n: Array, profile: Profile) -> Carried:
    solid = ring(body, centre, n, profile)

    def make(poses: Poses) -> Ring:
        return Ring(*poses.axis(body, centre, n), profile, hollow=True)

    return Carried(solid.hull, make)
