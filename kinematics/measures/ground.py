"""The wheel's two radii, as far as the ground is concerned."""

from __future__ import annotations

import re

from kinematics.errors import ClearstrokeError
from kinematics.project.model import Project, Rim, Tyre

LOADED_SHARE = 0.96
"""Loaded over free radius of a road tyre where neither is given: common practice, no source."""

_TYRE = re.compile(r"(\d{3}(?:\.\d+)?)(?:/(\d{2,3}))?\D*?(\d{2}(?:\.5)?)")
_RIM = re.compile(r"[x×*]\s*(\d{2}(?:\.5)?)")


def loaded_radius(project: Project) -> float:
    """Wheel centre to the ground under the car, mm: as given, else a share of the free radius.

    The free radius is the one given, else half of D = d + 2·S1·aspect/100 (UN R30) from the
    tyre's marking.
    """
    tyre = project.wheel.tyre
    if tyre.loaded_radius is not None:
        return float(tyre.loaded_radius)
    return LOADED_SHARE * _free_radius(tyre)


def _free_radius(tyre: Tyre) -> float:
    if tyre.free_radius is not None:
        return float(tyre.free_radius)
    found = _TYRE.search(tyre.size)
    if found is None:
        raise ClearstrokeError(
            f"wheel.tyre.size: the size '{tyre.size}' can't be read; write it as on the sidewall, "
            "such as 195/50R15, or give the radii."
        )
    width, aspect, code = found.groups()
    height = float(width) * float(aspect or 80.0) / 100.0
    return 0.5 * round(float(code) * 25.4) + height


def rim_diameter(rim: Rim) -> float:
    """The rim's nominal diameter in mm, over which toe in mm is read; NaN if not marked."""
    found = _RIM.search(rim.size)
    return float(found.group(1)) * 25.4 if found else float("nan")
