"""What the corner looks like: one skin for every thing that moves, and where it stands.

The meshes are light and do not change with the motion: a viewer uploads them once and then
changes placements alone. Skins of checked parts show their exact solids; what stands outside a
solid there is an eye, a bolt or a boot within the joint's ball (`pairs`).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from kinematics.motion.motion import Motion
from kinematics.project.model import CHASSIS, Box, Cylinder, Plate, Project, Scan, Shaft, Tube
from kinematics.project.unfold import unfold
from kinematics.shapes import brakes, fitted
from kinematics.shapes.directions import frame
from kinematics.shapes.display import coilover, members, structure, upright
from kinematics.shapes.display.skin import Figure, Placement, Skin, fixed, skin
from kinematics.shapes.display.solid import solid_figure
from kinematics.shapes.display.wheel import rim_mesh, tyre_mesh
from kinematics.shapes.poses import Poses
from kinematics.shapes.scan import scan_of
from kinematics.shapes.sections import rim_section, tyre_section
from kinematics.shapes.wheel import axis, middle

CHORD_ERROR = 2.0
"""How far at most the surface of a checked part lies from its mesh, mm; most keep half of that.

But within a joint's ball, where a groove or sipe is cut in a tyre, behind a rim's flange, and for
what stands for all it sweeps: spokes for their cone, a coil for its envelope.
"""

__all__ = ["CHORD_ERROR", "Dresser", "Placement", "Skin", "place", "skins"]


class Dresser:
    """Makes a project's skins, and places them for many motions."""

    def __init__(self, project: Project, folder: Path | None = None) -> None:
        """`folder` is where the project's scans lie; None: where the program runs."""
        self.project = unfold(project)
        self._figures = tuple(_figures(self.project, folder))

    @property
    def skins(self) -> tuple[Skin, ...]:
        """Every skin, in a fixed order."""
        return tuple(figure.skin for figure in self._figures)

    def place(self, motion: Motion) -> dict[str, Placement]:
        """Where every skin stands at every pose of the motion, by name."""
        poses = Poses(motion)
        count = motion.shape[0] * motion.shape[1]
        placed = {}
        for figure in self._figures:
            rotation, origin, stretch = figure.place.at(poses)
            if len(origin) != count:
                rotation = np.broadcast_to(rotation, (count, 3, 3))
                origin = np.broadcast_to(origin, (count, 3))
                stretch = np.broadcast_to(stretch, (count,))
            still = figure.place.still
            placed[figure.skin.name] = Placement(rotation, origin, stretch, still)
        return placed


def skins(project: Project, folder: Path | None = None) -> tuple[Skin, ...]:
    """What every part of a project looks like. Scans are looked for in `folder`.

    Raises `ClearstrokeError` for markings and scans that can't be read.
    """
    return Dresser(project, folder).skins


def place(project: Project, motion: Motion, folder: Path | None = None) -> dict[str, Placement]:
    """Where every skin stands, by name. For many motions of one project keep a `Dresser`."""
    return Dresser(project, folder).place(motion)


def _figures(project: Project, folder: Path | None) -> Iterator[Figure]:
    yield from _wheel(project)
    if project.coilover is not None:
        yield from coilover.figures(project.coilover, project)
    yield from structure.tower_figures(project)
    for name, link in project.links.items():
        yield from members.link_figures(name, link, project)
    for name, spec in project.parts.items():
        if isinstance(spec, Tube):
            yield members.tube_figure(name, spec, project)
        elif isinstance(spec, Plate):
            yield structure.plate_figure(name, spec)
        elif isinstance(spec, Box):
            yield structure.box_figure(name, spec)
        elif isinstance(spec, Cylinder):
            yield structure.cylinder_figure(name, spec, project)
        elif isinstance(spec, Shaft):
            yield from members.shaft_figures(name, spec, project)
        elif isinstance(spec, Scan):
            yield structure.scan_figure(name, spec, scan_of(spec, folder))
        else:
            made = fitted.pieces(spec, project, CHASSIS)
            yield solid_figure(name, spec.is_a, spec.body, made)
    # What is drawn only makes way for a part of the same name.
    told = {*project.parts, *project.links}
    yield from (figure for figure in upright.figures(project) if figure.skin.name not in told)


def _wheel(project: Project) -> Iterator[Figure]:
    placer = fixed(project.wheel.body, middle(project), frame(axis(project)))
    yield Figure(skin("tyre", "tyre", tyre_mesh(tyre_section(project.wheel))), placer)
    yield Figure(skin("wheel", "wheel", rim_mesh(rim_section(project.wheel))), placer)
    if project.wheel.rim.weights:
        rings = brakes.weight_rings(project, CHASSIS)
        yield solid_figure(brakes.WEIGHTS, "wheel", project.wheel.body, rings)
