"""Facts about bearings, the top plate, drive shafts, hoses and the strut's clamp."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kinematics.motion import Motion
from kinematics.motion.bearings import BearingUse
from kinematics.project.model import Hose, Shaft
from kinematics.statics import strut
from kinematics.statics.curves import Floats
from kinematics.statics.fact import Fact, FactKind, about
from kinematics.statics.onset import Left, past
from kinematics.statics.shafts import cross_joint_error
from kinematics.statics.statics import Statics, bearings_of, hose_slacks, shaft_states

#: Angle (rad) that tilting the top plate must save before it is worth saying.
WORTH_TILTING = np.radians(1.0)


def bearing_facts(known: Statics) -> list[Fact]:
    """Bearings and bushes past their limits; if no bearing is, the one that uses most of its."""
    bound: list[Fact] = []
    free: list[Fact] = []
    for i, use in enumerate(known.bearings):
        fact = _tilt(known, i, use)
        if fact is not None:
            (bound if fact.problem else free).append(fact)
        twist = _twist(known, i, use)
        if twist is not None and twist.problem:
            bound.append(twist)
    nearest = max(free, key=_share, default=None)
    if nearest is not None and not any(fact.kind == "binds" for fact in bound):
        bound.append(replace(nearest, kind="bearing"))
    return bound


def _share(fact: Fact) -> float:
    return fact.figures["angle"] / max(fact.figures["limit"], 1e-9)


def _tilt(known: Statics, i: int, use: BearingUse) -> Fact | None:
    def of(motion: Motion) -> Floats:
        return bearings_of(motion)[i].left

    return _against(known, use, "binds", use.limit, of, use.left)


def _twist(known: Statics, i: int, use: BearingUse) -> Fact | None:
    def of(motion: Motion) -> Floats:
        left = bearings_of(motion)[i].twist_left
        return np.full(motion.shape, np.nan) if left is None else left

    if use.twist_left is None:
        return None
    return _against(known, use, "twists", use.twist_limit, of, use.twist_left)


def _against(
    known: Statics, use: BearingUse, kind: FactKind, limit: float, of: Left, left: Floats
) -> Fact | None:
    """A bearing against one of its limits; None where it has none."""
    worst = past(known.motion, of, left) if np.isfinite(limit) else None
    if worst is None:
        return None
    notes = {"member": use.member, "by": use.limited_by, "usual": ", ".join(use.usual)}
    angle = limit - worst.left
    fact = about(kind, use.point, worst.left < 0.0, worst, worst.left, limit=limit, angle=angle)
    return replace(fact, notes=notes)


def plate_facts(known: Statics) -> list[Fact]:
    """The tilt of the top plate that would centre its bearing, where that saves a degree."""
    coilover = known.project.coilover
    if coilover is None or known.plate is None:
        return []
    use = next((u for u in known.bearings if u.point == coilover.top.point), None)
    if use is None or not np.isfinite(use.angle).any():
        return []
    now = float(np.nanmax(use.angle))
    saved = now - known.plate.largest
    if saved < WORTH_TILTING:
        return []
    figures = {
        "now": now,
        "then": known.plate.largest,
        "forward": known.plate.forward,
        "inboard": -known.motion.linkage.mechanism.out * known.plate.left,
    }
    return [Fact("plate", coilover.top.point, False, saved, figures=figures)]


def shaft_facts(known: Statics) -> list[Fact]:
    """Drive shafts bent, pulled apart or pushed home too far; of the others what they use."""
    found: list[Fact] = []
    for name, part in known.project.parts.items():
        if isinstance(part, Shaft):
            checks = (_shaft(known, name, *check) for check in _shaft_checks(part))
            wrong = [fact for fact in checks if fact is not None]
            found += wrong or _shaft_use(known, name, part)
    return found


def _shaft_use(known: Statics, name: str, part: Shaft) -> list[Fact]:
    """The most a shaft bends and slides over the motion."""
    state = known.shafts[name]
    if not np.isfinite(state.length).any():
        return []
    figures = {
        "inner": float(np.nanmax(state.inner)),
        "outer": float(np.nanmax(state.outer)),
        "shortest": float(np.nanmin(state.plunge)),
        "longest": float(np.nanmax(state.plunge)),
    }
    for end, limit in (("inner", part.inner_limit_deg), ("outer", part.outer_limit_deg)):
        if limit is not None:
            figures[f"{end}_limit"] = float(np.radians(limit))
    for key, amount in (("pull_apart", part.pull_apart), ("bottoming", part.bottoming)):
        if amount is not None:
            figures[key] = amount
    bend = max(figures["inner"], figures["outer"])
    if part.cross_joints:
        figures["uneven"] = float(cross_joint_error(bend))
    return [Fact("shaft", name, False, bend, figures=figures)]


def _shaft_checks(part: Shaft) -> list[tuple[FactKind, str, float, float]]:
    """(kind, attribute of the state, limit, way): limit - way * attribute must not be negative."""
    checks: list[tuple[FactKind, str, float, float]] = []
    for end, limit in (("inner", part.inner_limit_deg), ("outer", part.outer_limit_deg)):
        if limit is not None:
            checks.append(("shaft bends", end, float(np.radians(limit)), 1.0))
    if part.pull_apart is not None:
        checks.append(("shaft pulls apart", "plunge", part.pull_apart, 1.0))
    if part.bottoming is not None:
        checks.append(("shaft bottoms", "plunge", part.bottoming, -1.0))
    return checks


def _shaft(
    known: Statics, name: str, kind: FactKind, of_state: str, limit: float, way: float
) -> Fact | None:
    def of(motion: Motion) -> Floats:
        return np.asarray(limit - way * getattr(shaft_states(motion)[name], of_state))

    worst = past(known.motion, of, limit - way * getattr(known.shafts[name], of_state))
    if worst is None or worst.left >= 0.0:
        return None
    fact = about(kind, name, True, worst, worst.left, limit=limit)
    return replace(fact, notes={"end": of_state})


def hose_facts(known: Statics) -> list[Fact]:
    """Each hose where it is tightest; a problem where that is tighter than it should be."""
    found = [_hose(known, name, hose) for name, hose in known.project.hoses.items()]
    return [fact for fact in found if fact is not None]


def _hose(known: Statics, name: str, hose: Hose) -> Fact | None:
    def of(motion: Motion) -> Floats:
        return hose_slacks(motion)[name] - hose.least_slack

    worst = past(known.motion, of, known.hoses[name] - hose.least_slack)
    if worst is None:
        return None
    slack = worst.left + hose.least_slack
    return about("hose", name, worst.left < 0.0, worst, slack, wanted=hose.least_slack)


def clamp_facts(known: Statics) -> list[Fact]:
    """How deep a strut is held, and the camber its slot gives."""
    clamp = known.project.coilover.clamp if known.project.coilover else None
    if clamp is None:
        return []
    left, camber = strut.insertion_left(clamp), strut.slot_camber(clamp)
    figures = {} if camber is None else {"camber": camber}
    if left is not None:
        figures["insertion_left"] = left
    if left is None and camber is None:
        return []
    return [Fact("clamp", "strut", left is not None and left < 0.0, left or 0.0, figures=figures)]
