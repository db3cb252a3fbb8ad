"""Springs, stops, joints, shafts, hoses and forces as curves for the strips."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from app.board import Curve, Line
from kinematics.motion.bearings import BearingUse
from kinematics.project.model import Shaft
from kinematics.statics import sprung
from kinematics.statics.elements import elements
from kinematics.statics.figures import FIGURES, figures
from kinematics.statics.forces import Forces
from kinematics.statics.loading import top_force
from kinematics.statics.statics import Statics
from kinematics.studies.study import Study
from kinematics.units import MM_PER_INCH

Array = NDArray[np.float64]
SPRINGS, JOINTS, SHAFTS, FORCES = "Springs and stops", "Joints", "Shaft and hose", "Forces"
SHORT = {
    "stroke_used": "Stroke used", "stroke_left": "Stroke left", "stop_squash": "Stop squash",
    "spring_turn": "Hat and seat turn", "stop_force": "Stop force",
}  # fmt: skip
STEEPEST = 4.0  # of the middle wheel rate: a bump stop near solid would hide all the rest
NEAREST = 3  # joints drawn together


def statics_curves(study: Study, j: int) -> dict[str, Curve]:
    """Every curve of statics at one rack column, by key; those of springs alone while a mount
    slides, when the rest is not worked out."""
    units = study.project.units
    known = study.statics
    found: list[Curve] = []
    if len(study.travel) > 1:
        found += _springs(study, j, units)
    if known is not None:
        found += _joints(known, j)
        found += _shafts(known, j, units)
        found += _forces(known, j, len(study.rack))
    return {c.key: replace(c, title=c.title[:1].upper() + c.title[1:]) for c in found}


def _springs(study: Study, j: int, units: str) -> Iterator[Curve]:
    known, motion = study.statics, study.motion
    if known is not None:
        values = known.figures
    else:
        project = motion.linkage.project
        coilover = project.coilover
        sheet = None if coilover is None else sprung.sheet(coilover)
        values = figures(motion, elements(project), coilover, sheet)
    for key, grid in values.items():
        line = grid[:, j]
        if not np.isfinite(line).any():
            continue
        if key == "wheel_rate":
            line = np.where(line > STEEPEST * np.nanmedian(line), np.nan, line)
        factor, unit, decimals = _scale(FIGURES[key].quantity, units)
        yield Curve(
            key, SHORT.get(key, FIGURES[key].label), unit, decimals, (Line(line * factor),),
            FIGURES[key].help, group=SPRINGS,
        )  # fmt: skip


def _joints(known: Statics, j: int) -> Iterator[Curve]:
    limited = [use for use in known.bearings if use.limit > 0.0]
    limited = sorted(limited, key=_share, reverse=True)[:NEAREST]
    if limited:
        lines = tuple(
            Line(100.0 * use.angle[:, j] / use.limit, use.point, i == 0)
            for i, use in enumerate(limited)
        )
        most = max(105.0, *(float(np.nanmax(line.values, initial=0.0)) for line in lines))
        yield Curve(
            "joints", "Joints", "%", 0, lines,
            "Share of its limit that each of the joints nearest their limits uses.",
            guides=((100.0, "limit"),), span=(0.0, 1.1 * most), group=JOINTS,
        )  # fmt: skip
    for use in known.bearings:
        yield _joint(use, use.angle[:, j], use.limit, "")
        if use.twist is not None:
            yield _joint(use, np.abs(use.twist[:, j]), use.twist_limit, " twist")


def _joint(use: BearingUse, angle: Array, limit: float, twist: str) -> Curve:
    guides = ((math.degrees(limit), "limit"),) if math.isfinite(limit) else ()
    return Curve(
        f"joint{twist}: {use.point}, {use.member}", f"{use.point}{twist}", "°", 1,
        (Line(np.degrees(angle)),), f"Angle used at {use.point}, on {use.member}.",
        guides=guides, group=JOINTS,
    )  # fmt: skip


def _share(use: BearingUse) -> float:
    known = np.isfinite(use.angle)
    return float(np.max(use.angle, initial=0.0, where=known)) / use.limit


def _shafts(known: Statics, j: int, units: str) -> Iterator[Curve]:
    per, unit = (MM_PER_INCH, "in") if units == "in" else (1.0, "mm")
    for name, state in known.shafts.items():
        part = known.project.parts[name]
        assert isinstance(part, Shaft)
        for end, angle, limit in (
            ("inner", state.inner, part.inner_limit_deg),
            ("outer", state.outer, part.outer_limit_deg),
        ):
            guides = () if limit is None else ((limit, "limit"),)
            yield Curve(
                f"{name}: {end}", f"{name} {end}", "°", 1, (Line(np.degrees(angle[:, j])),),
                f"Angle of the {name} at its {end} joint.", guides=guides, group=SHAFTS,
            )  # fmt: skip
        yield Curve(
            f"{name}: plunge", f"{name} plunge", unit, 1 if per == 1.0 else 3,
            (Line(state.plunge[:, j] / per),),
            f"How much the {name} is longer than at set-up height.", signed=True, group=SHAFTS,
        )  # fmt: skip
    for name, slack in known.hoses.items():
        least = known.project.hoses[name].least_slack / per
        yield Curve(
            f"{name}: slack", f"{name} slack", unit, 1 if per == 1.0 else 2,
            (Line(slack[:, j] / per),), f"Length of the {name} less the way between its clips.",
            guides=((least, "asked for"),), group=SHAFTS,
        )  # fmt: skip


def _forces(known: Statics, j: int, racks: int) -> Iterator[Curve]:
    """Each member in the load case that loads it hardest, standing still beside it."""
    loading, coilover = known.loading, known.project.coilover
    if loading is None or coilover is None or not loading.grid.held:
        return
    forces, top = loading.grid, coilover.top.point
    size = np.linalg.norm(top_force(forces, top), axis=-1)[:, j::racks]
    yield from _force(forces, "top mount", size, "Force on the top mount.")
    many = [joint.member for joint in forces.joints]
    for joint in forces.joints:
        alone = many.count(joint.member) == 1
        name = joint.member if alone else f"{joint.member}, {joint.place}"
        axial = joint.axial
        if axial is None:
            yield from _force(forces, name, joint.size[:, j::racks], f"Force in {name}.")
        elif joint.member != "coilover":
            help_ = f"Force along {name}: pull positive, push negative."
            yield from _force(forces, name, axial[:, j::racks], help_)


def _force(forces: Forces, name: str, values: Array, help_: str) -> Iterator[Curve]:
    known = np.isfinite(values)
    if not known.any():
        return
    most = np.max(np.abs(values), axis=1, initial=0.0, where=known)
    hardest = int(np.argmax(most))
    lines = [Line(values[hardest] / 1000.0, forces.cases[hardest])]
    if hardest:
        lines.append(Line(values[0] / 1000.0, forces.cases[0], False))
    yield Curve(
        f"force: {name}", name, "kN", 2, tuple(lines),
        f"{help_} The coilover pushes as hard as the load case needs at each height. "
        "This sizes nothing.",
        group=FORCES,
    )  # fmt: skip


def _scale(quantity: str, units: str) -> tuple[float, str, int]:
    """Factor, unit and decimals of a figure on the screen."""
    if quantity == "length":
        return (1 / MM_PER_INCH, "in", 2) if units == "in" else (1.0, "mm", 1)
    return {
        "angle": (180 / math.pi, "°", 1),
        "force": (0.001, "kN", 2),
        "force_per_length": (1.0, "N/mm", 1),
    }.get(quantity, (1.0, "", 2))
