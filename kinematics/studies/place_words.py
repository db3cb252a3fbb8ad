"""A place of the map in a fabricator's words: where it is, what is tightest, what else decides."""

from __future__ import annotations

import math

import numpy as np

from kinematics.findings.phrases import Units, position, room, steered
from kinematics.studies.place_limits import ROUNDING, Limits, SpringState, Stands
from kinematics.studies.plan import TopMap
from kinematics.studies.study import Setting
from kinematics.units import MINUS, show

NOT_STANDING = {
    Stands.PULLED_OUT: "The damper would be pulled right out at set-up height.",
    Stands.SHUT: "The damper would be shut at set-up height.",
    Stands.NO_FIT: "The strut can't be put together with its links there.",
}
_LEAN = 0.005
"""A change of camber or toe of fewer degrees is not spoken of."""


def say_place(setting: Setting, plan: TopMap, row: int, column: int, units: Units = "mm") -> str:
    """Everything about one place, problems beside the clearance first."""
    where = say_where(setting, plan, row, column, units)
    tight = say_tightest(setting, plan, row, column, units)
    if not tight:
        return f"{where}: {say_standing(plan.limits, row, column)}"
    wrong, rest = say_limits(plan, row, column, units)
    return " ".join([f"{where}: {tight}.", *wrong, *rest])


def say_where(setting: Setting, plan: TopMap, row: int, column: int, units: Units = "mm") -> str:
    """``16.0 mm inboard and 12.0 mm rearward`` of where the mount is; ``not moved``."""
    fore, y, up = plan.place(row, column)
    inward = -y if setting.project.side == "left" else y
    said = [
        f"{show(abs(mm), 'length', units)} {more if mm > 0 else less}"
        for mm, more, less in (
            (inward, "inboard", "outboard"),
            (fore, "forward", "rearward"),
            (up, "up", "down"),
        )
        if abs(mm) > 0.04
    ]
    return ", ".join([*said[:-2], " and ".join(said[-2:])]) if said else "not moved"


def say_tightest(setting: Setting, plan: TopMap, row: int, column: int, units: Units = "mm") -> str:
    """The pair that rules, what it has over its rule, and where; empty if nothing is known."""
    pair, left = int(plan.margin_pair[row, column]), float(plan.margin[row, column])
    if pair < 0 or math.isnan(left):
        return ""
    a, b = setting.names[pair]
    state = f"{room(left, units)} {'over' if left >= 0.0 else 'short of'} the rule"
    if math.isnan(setting.rule[pair]):
        state = f"{room(left, units)} {'clear' if left >= 0.0 else 'overlap'} (it has no rule)"
    travel = position(float(plan.margin_travel[row, column]), units)
    at = f"at {travel}" if travel != "0" else "at set-up height"
    turned = steered(float(plan.margin_rack[row, column]), units)
    return f"{state}, {a} to {b}, {at}{turned}"


def say_standing(limits: Limits, row: int, column: int) -> str:
    """Why the corner can't stand with its mount there; empty where it can."""
    return NOT_STANDING.get(Stands(int(limits.stands[row, column])), "")


def say_limits(
    plan: TopMap, row: int, column: int, units: Units = "mm"
) -> tuple[list[str], list[str]]:
    """Joints, spring, damper and lean at a place: what is past a limit, and the rest."""
    wrong: list[str] = []
    rest: list[str] = []
    limits = plan.limits
    if limits.stands[row, column] != Stands.YES:
        return [say_standing(limits, row, column)], []
    (wrong if limits.binds[row, column] else rest).extend(_joint(limits, row, column, units))
    (wrong if limits.spring_wrong[row, column] else rest).extend(
        _spring(limits, row, column, units)
    )
    short = float(limits.damper_left[row, column])
    if limits.short[row, column]:
        wrong.append(f"The damper is {room(short, units)} short of the travel asked for.")
    rest.append(_travel(plan, row, column, units))
    camber, toe = (math.degrees(x[row, column]) for x in (limits.camber, limits.toe))
    if abs(camber) > _LEAN or abs(toe) > _LEAN:
        said = f"Camber {camber:+.2f}°, toe {toe:+.2f}° from now."
        rest.append(said.replace("-", MINUS))
    return wrong, rest


def _joint(limits: Limits, row: int, column: int, units: Units) -> list[str]:
    number = int(limits.joint[row, column])
    if number < 0:
        return []
    swivel = limits.joints[number]
    left = math.degrees(limits.joint_left[row, column])
    what = (
        f"The bush at {swivel.point}" if swivel.kind == "twist" else f"The joint at {swivel.point}"
    )
    kind = "twist" if swivel.kind == "twist" else "angle"
    if left < -math.degrees(ROUNDING):
        travel = position(float(limits.joint_travel[row, column]), units)
        turned = steered(float(limits.joint_rack[row, column]), units)
        return [f"{what} is {math.ceil(-left * 10) / 10:.1f}° past its {kind} at {travel}{turned}."]
    return [f"{what} has {math.floor(left * 10) / 10:.1f}° of {kind} left."]


def _spring(limits: Limits, row: int, column: int, units: Units) -> list[str]:
    state = SpringState(int(limits.spring[row, column]))
    squash, left = float(limits.spring_squash[row, column]), float(limits.spring_left[row, column])
    if state == SpringState.LOOSE:
        return [f"The spring hangs loose by {room(squash, units)} at full droop."]
    if state == SpringState.TIGHT:
        return [f"The spring is pressed {room(left, units)} past its shortest safe length."]
    if state == SpringState.BOUND:
        return ["The spring is coil-bound at full bump."]
    said = []
    if state == SpringState.IN_LIP:
        said.append(f"{room(squash, units)} loose at full droop, held by its lip")
    elif np.isfinite(squash):
        said.append(f"still squashed {room(squash, units)} at full droop")
    if np.isfinite(left):
        said.append(f"{room(left, units)} above its shortest safe length at full bump")
    return [f"The spring is {', '.join(said)}."] if said else []


def _travel(plan: TopMap, row: int, column: int, units: Units) -> str:
    droop, bump = (position(float(x[row, column]), units) for x in (plan.droop, plan.bump))
    meets = float(plan.limits.meets[row, column])
    stop = f", its bump stop meets at {position(meets, units)}" if np.isfinite(meets) else ""
    return f"Full droop at {droop}, full bump at {bump}{stop}."
