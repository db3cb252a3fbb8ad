"""The wheel's two radii, as far as the ground is concerned."""

from __future__ import annotations

from kinematics.project.markings import MarkingError, read_rim, read_tyre
from kinematics.project.model import Project, Rim, Tyre
from kinematics.units import MM_PER_INCH

LOADED_SHARE = 0.96
"""Loaded over free radius of a road tyre where neither is given: common practice, no source."""


def loaded_radius(project: Project) -> float:
    """Wheel centre to the ground under the car, mm: as given, else a share of the free radius.

    The free radius is the one given, else half of D = d + 2·S1·aspect/100 (UN R30) from the
    tyre's marking. Raises `MarkingError` for one that can't be read.
    """
    tyre = project.wheel.tyre
    if tyre.loaded_radius is not None:
        return float(tyre.loaded_radius)
    return LOADED_SHARE * _free_radius(tyre)


def _free_radius(tyre: Tyre) -> float:
    if tyre.free_radius is not None:
        return float(tyre.free_radius)
    return 0.5 * read_tyre(tyre.size).diameter


def rim_diameter(rim: Rim) -> float:
    """The rim's nominal diameter in mm, over which toe in mm is read; NaN if not marked."""
    try:
        return read_rim(rim.size).code * MM_PER_INCH
    except MarkingError:
        return float("nan")
