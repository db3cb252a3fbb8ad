"""Facts about the ground: what is lowest, with the tyre up and with it flat."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from kinematics.findings.rules import rule_between
from kinematics.measures import Measures
from kinematics.measures.ground import loaded_radius
from kinematics.project.model import Project, Rule
from kinematics.project.rules import GROUND
from kinematics.shapes.lowest import lowest
from kinematics.shapes.pieces import Part
from kinematics.shapes.wheel import WHEEL_PARTS
from kinematics.statics.fact import Fact, FactKind

Array = npt.NDArray[np.float64]

SET_UP = 1e-6
"""Travel that counts as set-up height, mm."""


def ground_facts(
    project: Project,
    parts: Sequence[Part],
    measures: Measures,
    rules: Sequence[Rule],
    places: Callable[[float], str] = lambda travel: "",
) -> list[Fact]:
    """What comes nearest to level ground, tyre up and tyre flat, over the positions measured.

    The ground is where the loaded tyre stands on it at each position, the car's floor parallel to
    it: both wheels of the axle rise alike. A flat tyre stands on its rim's flange, no rubber
    counted, or on its ``flat_radius``. Wheel and tyre themselves are left out. ``places`` names
    a travel.
    """
    known = {part.name: part for part in parts}
    up = measures["contact_z"]
    flat = _flat(project, known["wheel"], measures)
    heights = {
        part.name: lowest(part) for part in parts if part.name not in WHEEL_PARTS and part.pieces
    }
    names = tuple(heights)
    if not names or not np.isfinite(up).any():
        return []
    every = np.array([np.broadcast_to(h, up.size).reshape(up.shape) for h in heights.values()])
    asked = np.array(
        [rule_between(rules, (n, GROUND), (known[n].kind, GROUND)) or 0.0 for n in names]
    )
    found = (
        _fact("ground", names, every - up, asked, measures),
        _fact("ground flat", names, every - flat, asked, measures),
    )
    return [replace(fact, notes={"place": places(fact.travel or 0.0)}) for fact in found]


def _flat(project: Project, wheel: Part, measures: Measures) -> Array:
    """Height of the ground under a flat tyre, (nz, ns) mm."""
    up, typed = measures["contact_z"], project.wheel.tyre.flat_radius
    if typed is None:
        return np.broadcast_to(lowest(wheel), up.size).reshape(up.shape)
    sunk = loaded_radius(project) - typed
    return np.asarray(up + sunk * np.cos(measures["camber"]))


def _fact(
    kind: FactKind, names: tuple[str, ...], room: Array, asked: Array, measures: Measures
) -> Fact:
    """The part with the least room over its rule, where it has the least."""
    over = room - asked[:, None, None]
    k, i, j = np.unravel_index(np.nanargmin(over), over.shape)
    least = np.nanmin(np.where(np.isnan(over[k]), np.inf, over[k]), axis=1)
    here = int(np.argmin(np.abs(measures.travel)))
    figures = {"rule": float(asked[k])}
    if abs(measures.travel[here]) < SET_UP and np.isfinite(room[k, here]).any():
        figures["at_setup"] = float(np.nanmin(room[k, here]))
    return Fact(
        kind, names[k], bool(over[k, i, j] < 0.0), float(room[k, i, j]),
        float(measures.travel[i]), float(measures.rack[j]),
        first_outward(measures.travel, least),
        first_outward(-measures.travel[::-1], least[::-1], -1.0), figures,
    )  # fmt: skip


def first_outward(out: Array, left: Array, sign: float = 1.0) -> float | None:
    """The travel outward before which all is well, at rising `out`; None where all of it is."""
    start = int(np.searchsorted(out, 0.0))
    bad = np.flatnonzero(left[start:] < 0.0)
    if bad.size == 0:
        return None
    return sign * float(out[start + max(int(bad[0]) - 1, 0)])
