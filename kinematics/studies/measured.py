"""What the measuring leaves open in every clearance, and what a point that moved costs in it.

A clearance changes with each measured coordinate through where the bodies stand (exact, by
implicit differentiation) and through the shapes of the parts hung on the points; both are put
together for a small step of each coordinate, and the change of the certified distance is taken.
The readings' covariance then gives its standard deviation (first order).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import msgspec
import numpy as np
import numpy.typing as npt

from kinematics.clearance import Cancelled, Joint, clearances
from kinematics.errors import ClearstrokeError
from kinematics.motion import Motion, move
from kinematics.motion.sensitivity import STEP as TINY
from kinematics.motion.sensitivity import Dimension, nudged
from kinematics.project.model import (
    Arch,
    Beam,
    Caliper,
    Cylinder,
    Disc,
    PartSpec,
    Project,
    RodEnd,
    Shaft,
    Tube,
    Upright,
    Xyz,
)
from kinematics.project.names import OF_A_COILOVER, OF_A_WHEEL
from kinematics.project.unfold import unfold
from kinematics.shapes.build import Builder
from kinematics.shapes.upright import ends_of
from kinematics.survey import Surveyed, survey
from kinematics.survey.tools import is_taken

if TYPE_CHECKING:
    from kinematics.findings.finding import Finding
    from kinematics.studies.study import Setting, Study

Array = npt.NDArray[np.float64]

STEP = 0.2
"""mm that each coordinate is moved by: far more than the search's tolerance below, far less than
the sizes of what it moves."""
TIGHT = 1e-3
MATTERS = 0.5
"""mm of clearance that a moved point must cost to be spoken of."""


@dataclass(frozen=True)
class Spot:
    """One pair of parts at one position: its number, travel and rack, mm."""

    pair: int
    travel: float
    rack: float


def measured(project: Project) -> Surveyed | None:
    """The project's survey, or None where it has none that can be worked out."""
    if project.survey is None or not any(is_taken(r) for r in project.survey.readings):
        return None
    try:
        return survey(project)
    except ClearstrokeError:
        return None  # the survey itself says why; here there is just nothing to add


def with_doubt(
    done: Study,
    findings: Sequence[Finding],
    cancelled: Callable[[], bool] | None = None,
    found: Surveyed | None = None,
) -> tuple[Finding, ...]:
    """The findings with the standard deviation that the measuring leaves each clearance.

    Raises ``kinematics.clearance.Cancelled`` where ``cancelled`` says so.
    """
    known = measured(done.project) if found is None else found
    numbers = {frozenset(names): p for p, names in enumerate(done.names)}
    chosen = [
        (k, Spot(numbers[frozenset(f.parts)], f.travel, f.rack))
        for k, f in enumerate(findings)
        if f.fact is None and len(f.parts) == 2 and frozenset(f.parts) in numbers
    ]
    if known is None or not chosen:
        return tuple(findings)
    try:
        sigma = doubts(done.setting, known, [spot for _, spot in chosen], cancelled)
    except ClearstrokeError:
        return tuple(findings)
    out = list(findings)
    for (k, _), each in zip(chosen, sigma.tolist(), strict=True):
        out[k] = replace(out[k], doubt=each if np.isfinite(each) else None)
    return tuple(out)


def doubts(
    setting: Setting,
    found: Surveyed,
    spots: Sequence[Spot],
    cancelled: Callable[[], bool] | None = None,
) -> Array:
    """Standard deviation (spots,) of each clearance, mm, from the readings alone.

    What was not measured counts as exact. Raises ``MotionError`` for a corner through rubber.
    """
    names = list(found.net.project.points)
    wanted = [
        Dimension(names[i // 3], i % 3)
        for i in np.flatnonzero(np.diag(found.covariance) > 0).tolist()
    ]
    index = [3 * names.index(d.name) + (d.axis or 0) for d in wanted]
    slopes = clearance_slopes(setting, wanted, spots, cancelled)
    covariance = found.covariance[np.ix_(index, index)]
    square = np.einsum("si,ij,sj->s", slopes, covariance, slopes)
    return np.asarray(np.sqrt(square))


def clearance_slopes(
    setting: Setting,
    dims: Sequence[Dimension],
    spots: Sequence[Spot],
    cancelled: Callable[[], bool] | None = None,
) -> Array:
    """How each clearance changes per mm of each coordinate, (spots, dims)."""
    places = list(dict.fromkeys((s.travel, s.rack) for s in spots))
    out = np.full((len(spots), len(dims)), np.nan)
    builders = [_builder(setting, d, spots) for d in dims]
    for travel, rack in places:
        motion = move(setting.linkage, [travel], [rack], stops=False)
        mine = [k for k, s in enumerate(spots) if (s.travel, s.rack) == (travel, rack)]
        if not motion.reached.all():
            continue
        base = _distances(setting, setting.builder, motion, [spots[k] for k in mine], None)
        for d, (dim, (nudge, _)) in enumerate(zip(dims, nudged(motion, dims), strict=True)):
            if cancelled is not None and cancelled():
                raise Cancelled
            moved = _stepped(motion, nudge)
            there = _distances(setting, builders[d], moved, [spots[k] for k in mine], dim)
            out[mine, d] = (there - base) / STEP
    return out


def _builder(setting: Setting, dim: Dimension, spots: Sequence[Spot]) -> Builder:
    """What makes the parts with a coordinate moved: another one only where a part hangs on it."""
    names = {name for s in spots for name in setting.names[s.pair]}
    if dim.name not in hung_on(setting.unfolded, names):
        return setting.builder
    return Builder(_shifted(setting.unfolded, dim), setting.folder)


def hung_on(project: Project, parts: Collection[str]) -> frozenset[str]:
    """The points that the parts so named are shaped by; the project is unfolded."""
    found: set[str] = set()
    coilover = project.coilover
    if coilover is not None and not {*OF_A_COILOVER}.isdisjoint(parts):
        found |= {coilover.foot.point, coilover.top.point}
    if coilover is not None and not {"top mount", "tower"}.isdisjoint(parts):
        found.add(coilover.top.point)
    if not {*OF_A_WHEEL}.isdisjoint(parts):
        found.add(project.wheel.centre)
    for name, link in project.links.items():
        if name in parts:
            found |= {link.inner.point, link.outer.point, *link.through}
    for name, part in project.parts.items():
        if any(each == name or each.startswith(f"{name} ") for each in parts):
            found |= _shaped_by(part, project)
    return frozenset(found)


def _shaped_by(part: PartSpec, project: Project) -> set[str]:
    """The points that one of a project's own parts is made from."""
    match part:
        case Tube(points=points) | Cylinder(points=points) | Beam(points=points):
            return set(points)
        case Shaft(inner=inner, outer=outer):
            return {inner.point, outer.point}
        case RodEnd(at=at, shank_to=to):
            return {at} if to is None else {at, to}
        case Arch(centre=centre):
            return {centre}
        case Disc() | Caliper():
            return {project.wheel.centre}
        case Upright():
            return {project.wheel.centre, *ends_of(part, unfold(project))}
        case _:
            return set()


def _shifted(project: Project, dim: Dimension) -> Project:
    at = list(project.points[dim.name])
    at[dim.axis or 0] += STEP
    moved: Xyz = (at[0], at[1], at[2])
    return msgspec.structs.replace(project, points={**project.points, dim.name: moved})


def _stepped(motion: Motion, nudge: Motion) -> Motion:
    """The motion with one coordinate moved by ``STEP``, to first order."""
    return replace(
        motion,
        flat_rotation=motion.flat_rotation + nudge.flat_rotation.imag / TINY * STEP,
        flat_position=motion.flat_position + nudge.flat_position.imag / TINY * STEP,
        xyz=motion.xyz + nudge.xyz.imag / TINY * STEP,
    )


def _distances(
    setting: Setting,
    builder: Builder,
    motion: Motion,
    spots: Sequence[Spot],
    dim: Dimension | None,
) -> Array:
    """The clearance (spots,) of each spot's pair in a motion of one pose."""
    pairs = [setting.pairs.checked[s.pair] for s in spots]
    numbers = sorted({i for pair in pairs for i in pair})
    parts = builder.some(motion, numbers)
    local = [(numbers.index(i), numbers.index(j)) for i, j in pairs]
    centres = _joints(setting, motion, dim)
    joints = [
        Joint(numbers.index(j.a), numbers.index(j.b), centre, j.radius)
        for j, centre in zip(setting.pairs.joints, centres, strict=True)
        if (j.a, j.b) in pairs
    ]
    found = clearances(parts, local, tol=TIGHT, joints=joints, threads=1)
    return np.asarray(found.low[:, 0, 0])


def _joints(setting: Setting, motion: Motion, dim: Dimension | None) -> list[Array]:
    """The centres of the joints' balls, moved along where the coordinate is theirs."""
    centres = list(setting.pairs.centres(motion))
    if dim is None:
        return centres
    at = np.array(setting.unfolded.points[dim.name])
    for k, joint in enumerate(setting.pairs.joints):
        if np.abs(joint.at.xyz - at).max() < 1e-9:
            centres[k] = centres[k] + STEP * np.eye(3)[dim.axis or 0]
    return centres


@dataclass(frozen=True)
class Change:
    """What a pair's worst clearance was as planned and is as built, mm."""

    parts: tuple[str, str]
    before: float
    after: float


def effect_of(done: Study, moves: Mapping[str, Array], most: int = 8) -> tuple[Change, ...]:
    """What small moves (3,) of points do to the clearances found, to first order, where they stand.

    Quick; ``cost_of_moving`` checks the whole motion anew.
    """
    numbers = {frozenset(names): p for p, names in enumerate(done.names)}
    chosen = [f for f in done.findings if frozenset(f.parts) in numbers and f.fact is None][:most]
    spots = [Spot(numbers[frozenset(f.parts)], f.travel, f.rack) for f in chosen]
    dims = [Dimension(name, axis) for name in moves for axis in range(3)]
    if not spots or not dims:
        return ()
    shift = np.concatenate([np.asarray(moves[name], float) for name in moves])
    change = clearance_slopes(done.setting, dims, spots) @ shift
    return tuple(
        Change((f.parts[0], f.parts[1]), f.amount, f.amount + float(each))
        for f, each in zip(chosen, change, strict=True)
        if np.isfinite(each)
    )


def cost_of_moving(plan: Project, built: Project, most: int = 8) -> tuple[Change, ...]:
    """The clearances that change between plan and as built, those left with least first."""
    from kinematics.studies.study import study

    was, now = study(plan), study(built)
    before = dict(zip(was.names, was.clearances.worst, strict=True))
    found = [
        Change(names, float(before[names]), float(worst))
        for names, worst in zip(now.names, now.clearances.worst, strict=True)
        if np.isfinite([worst, before.get(names, np.inf)]).all()
        and abs(before[names] - worst) > MATTERS
    ]
    found.sort(key=lambda change: min(change.before, change.after))
    return tuple(found[:most])
