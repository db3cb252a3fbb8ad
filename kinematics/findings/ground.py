"""Facts about the ground: what is lowest, with the tyre up and with it flat."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from kinematics.findings.ground_room import Room, foot, room
from kinematics.findings.rules import rule_between
from kinematics.findings.sharpen import Closer, Grid, first_under, sharpened
from kinematics.motion import Motion, move
from kinematics.project.model import Project, Rule
from kinematics.project.rules import GROUND
from kinematics.shapes.build import Builder
from kinematics.shapes.pieces import Part
from kinematics.shapes.wheel import WHEEL_PARTS
from kinematics.statics.fact import Fact

Array = npt.NDArray[np.float64]

SET_UP = 1e-6
"""Travel that counts as set-up height, mm."""


def ground_facts(
    project: Project,
    parts: Sequence[Part],
    motion: Motion,
    builder: Builder,
    rules: Sequence[Rule],
    places: Callable[[float], str] = lambda travel: "",
) -> list[Fact]:
    """What comes nearest to level ground, tyre up and tyre flat, over the whole travel.

    ``builder`` made the ``parts`` over the motion. The ground is where the loaded tyre stands on
    it at each position, the car's floor parallel to it: both wheels of the axle rise alike. A flat
    tyre stands on its rim's flange, no rubber counted, or on its ``flat_radius``. Wheel and tyre
    themselves are left out. Between travels the figure holds too; between rack positions nothing
    is known. ``places`` names a travel.
    """
    numbers = [k for k, part in enumerate(parts) if part.name not in WHEEL_PARTS and part.pieces]
    if not numbers or not motion.reached.any():
        return []
    below = [parts[k] for k in numbers]
    named = [((p.name, GROUND), (p.kind, GROUND)) for p in below]
    asked = np.array([rule_between(rules, *names) or 0.0 for names in named])
    found = []
    for kind, flat in (("ground", False), ("ground flat", True)):
        on = foot(project, flat)
        near = room(project, below, motion, on)
        look = _look(project, builder, motion, on, numbers)
        found.append(_fact(kind, [p.name for p in below], asked, near, motion, look, places))
    return found


def _look(
    project: Project, builder: Builder, motion: Motion, on: Array, numbers: Sequence[int]
) -> Closer:
    """Looks again at one part between two travels."""

    def look(k: int, travel: Array, rack: float) -> tuple[Array, Array]:
        again = move(motion.linkage, travel, [rack])
        found = room(project, builder.some(again, [numbers[k]]), again, on)
        return found.low[0, :, 0], found.between[0, :, 0]

    return look


def _fact(
    kind: str,
    names: Sequence[str],
    asked: Array,
    near: Room,
    motion: Motion,
    look: Closer,
    places: Callable[[float], str],
) -> Fact:
    """The part with the least room over its rule, and where it has the least."""
    grid = Grid(motion.travel, motion.rack, near.low, near.between)
    least = sharpened(grid, asked, look)
    k = least.number
    figures = {"rule": float(asked[k]), "bound": least.bound}
    here = int(np.argmin(np.abs(motion.travel)))
    if abs(motion.travel[here]) < SET_UP and np.isfinite(near.low[k, here]).any():
        figures["at_setup"] = float(np.nanmin(near.low[k, here]))
    notes = {"place": places(least.travel), "racks": str(len(motion.rack))}
    bump, droop = first_under(grid, k, float(asked[k]), look)
    return Fact(
        kind,  # type: ignore[arg-type]
        names[k], bool(least.low < asked[k]), least.low, least.travel, least.rack, bump, droop,
        figures, notes,
    )  # fmt: skip
