"""Everything statics has to draw, as grids over travel and rack in the builder's units."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.document.board import Choice
from kinematics.errors import ClearstrokeError
from kinematics.motion.bearings import BearingUse
from kinematics.project.model import Shaft
from kinematics.statics import sprung
from kinematics.statics.elements import elements
from kinematics.statics.figures import FIGURES, figures
from kinematics.statics.forces import Forces
from kinematics.statics.loading import top_force
from kinematics.statics.statics import Statics
from kinematics.studies.study import Study
from kinematics.units import Units, chart_unit, unit_of

Array = NDArray[np.float64]
SPRINGS, JOINTS, SHAFTS, FORCES = "Springs and stops", "Joints", "Shaft and hose", "Forces"
SHORT = {
    "stroke_used": "Stroke used", "stroke_left": "Stroke left", "stop_squash": "Stop squash",
    "spring_turn": "Hat and seat turn", "stop_force": "Stop force",
}  # fmt: skip
STEEPEST = 4.0  # of the middle wheel rate: a bump stop near solid would hide all the rest


@dataclass(frozen=True, eq=False)
class Grid(Choice):
    """A figure of statics; ``group`` is the heading it is found under.

    label : what the line is called where that says more than the title. also : further lines, by
    label.
    """

    group: str = ""
    label: str = ""
    also: tuple[tuple[str, Array], ...] = ()
    signed: bool = False


def statics_grids(study: Study, units: Units | None = None) -> list[Grid]:
    """Every figure of statics; of springs alone while a mount slides, when the rest waits.

    ``units`` left out: the project's own.
    """
    units, known = units or study.project.units, study.statics
    found: list[Grid] = []
    if len(study.travel) > 1:
        found += _springs(study, units)
    if known is not None:
        found += _joints(known)
        found += _shafts(known, units)
        found += _forces(known, (len(study.travel), len(study.rack)), units)
    return [replace(g, title=g.title[:1].upper() + g.title[1:]) for g in found]


def _springs(study: Study, units: Units) -> Iterator[Grid]:
    known, motion = study.statics, study.motion
    if known is not None:
        every = known.figures
    else:
        project = motion.linkage.project
        coilover = project.coilover
        try:
            sheet = None if coilover is None else sprung.sheet(coilover)
            every = figures(motion, elements(project), coilover, sheet)
        except ClearstrokeError:  # a spring that can't be: the check says so
            return
    for key, values in every.items():
        if not np.isfinite(values).any():
            continue
        shown = values
        if key == "wheel_rate":
            shown = np.where(values > STEEPEST * np.nanmedian(values), np.nan, values)
        unit, title = chart_unit(FIGURES[key].quantity, units), SHORT.get(key, FIGURES[key].label)
        yield Grid(
            key, title, unit.name, unit.decimals, unit.of(shown), FIGURES[key].help,
            group=SPRINGS,
        )  # fmt: skip


def _joints(known: Statics) -> Iterator[Grid]:
    for use in known.bearings:
        yield _joint(use, use.angle, use.limit, "")
        if use.twist is not None:
            yield _joint(use, np.abs(use.twist), use.twist_limit, " twist")


def _joint(use: BearingUse, angle: Array, limit: float, twist: str) -> Grid:
    guides = ((math.degrees(limit), "limit"),) if math.isfinite(limit) else ()
    return Grid(
        f"joint{twist}: {use.point}, {use.member}", f"{use.point}{twist}", "°", 1,
        np.degrees(angle), f"Angle used at {use.point}, on {use.member}.", guides, JOINTS,
    )  # fmt: skip


def _shafts(known: Statics, units: Units) -> Iterator[Grid]:
    unit = unit_of("length", units)
    for name, state in known.shafts.items():
        part = known.project.parts[name]
        assert isinstance(part, Shaft)
        for end, angle, limit in (
            ("inner", state.inner, part.inner_limit_deg),
            ("outer", state.outer, part.outer_limit_deg),
        ):
            guides = () if limit is None else ((limit, "limit"),)
            words = f"Angle of the {name} at its {end} joint."
            title = f"{name} {end}"
            yield Grid(f"{name}: {end}", title, "°", 1, np.degrees(angle), words, guides, SHAFTS)
        words = f"How much the {name} is longer than at set-up height."
        yield Grid(
            f"{name}: plunge", f"{name} plunge", unit.name, unit.decimals, unit.of(state.plunge),
            words, group=SHAFTS, signed=True,
        )  # fmt: skip
    for name, slack in known.hoses.items():
        asked = ((unit.of(known.project.hoses[name].least_slack), "asked for"),)
        words = f"Length of the {name} less the way between its clips."
        yield Grid(
            f"{name}: slack", f"{name} slack", unit.name, unit.decimals, unit.of(slack), words,
            asked, SHAFTS,
        )  # fmt: skip


def _forces(known: Statics, shape: tuple[int, int], units: Units) -> Iterator[Grid]:
    """Each member in the load case that loads it hardest, standing still beside it."""
    loading, coilover = known.loading, known.project.coilover
    if loading is None or coilover is None or not loading.grid.held:
        return
    forces = loading.grid
    size = np.linalg.norm(top_force(forces, coilover.top.point), axis=-1)
    yield from _force(forces, "top mount", size, "Force on the top mount.", shape, units)
    many = [joint.member for joint in forces.joints]
    for joint in forces.joints:
        alone = many.count(joint.member) == 1
        name = joint.member if alone else f"{joint.member}, {joint.place}"
        if joint.axial is None:
            yield from _force(forces, name, joint.size, f"Force in {name}.", shape, units)
        elif joint.member != "coilover":
            words = f"Force along {name}: pull positive, push negative."
            yield from _force(forces, name, joint.axial, words, shape, units)


def _force(
    forces: Forces, name: str, values: Array, words: str, shape: tuple[int, int], units: Units
) -> Iterator[Grid]:
    known = np.isfinite(values)
    if not known.any():
        return
    hardest = int(np.argmax(np.max(np.abs(values), axis=1, initial=0.0, where=known)))
    unit = chart_unit("force", units)
    grids = unit.of(values.reshape(-1, *shape))
    yield Grid(
        f"force: {name}", name, unit.name, unit.decimals, grids[hardest],
        f"{words} The coilover pushes as hard as the load case needs at each height. This sizes "
        "nothing.",
        group=FORCES, label=forces.cases[hardest],
        also=((forces.cases[0], grids[0]),) if hardest else (),
    )  # fmt: skip
