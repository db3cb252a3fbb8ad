"""Load cases: what the road does to the tyre, as forces on the body that carries the wheel.

The forces at the contact are multiples of the weight on the corner. The unsprung parts take their
share of the same accelerations, as a force at the wheel centre. The wheel turns freely on its
bearing, so that nothing turns its carrier about the wheel's axis unless a brake or motor mounted
on that carrier does: only then is the contact force felt at the contact; else at the bearing.
The small second couples of bent shaft joints are left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.project.loads import LoadCase, Loads
from kinematics.statics.curves import Floats
from kinematics.statics.reactions import wrench

#: Standard gravity, m/s^2 (ISO 80000-3): 1 kg weighs this many newtons.
GRAVITY = 9.80665

STANDING = "standing"

#: Taken when a project types none: common practice, no source.
USUAL_CASES: dict[str, LoadCase] = {
    STANDING: LoadCase(),
    "3 g bump": LoadCase(up=3.0),
    "1 g braking": LoadCase(back=1.0),
    "1 g cornering": LoadCase(inboard=1.0),
    "1 g driving": LoadCase(back=-1.0),
    "bump and braking": LoadCase(up=3.0, back=1.0),
    "bump and cornering": LoadCase(up=3.0, inboard=1.0),
    "braking and cornering": LoadCase(back=0.7, inboard=0.7),
}


@dataclass(frozen=True)
class WheelPoses:
    """The wheel at each position (n, 3): its centre, its axis pointing outboard, its contact."""

    centre: Floats
    axis: Floats
    contact: Floats


def cases_of(loads: Loads) -> dict[str, LoadCase]:
    """The project's load cases, or the usual ones; standing still comes first in either."""
    typed = USUAL_CASES if loads.cases is None else loads.cases
    return {STANDING: LoadCase(), **typed}


def editable_cases(loads: Loads) -> dict[str, LoadCase]:
    """The cases a builder can change: the typed ones, else the usual; standing still is fixed."""
    return {name: case for name, case in cases_of(loads).items() if name != STANDING}


def road(case: LoadCase, loads: Loads, wheel: WheelPoses, out: float) -> Floats:
    """The load case as force and moment about the car's origin on the wheel's carrier: (n, 6).

    ``out`` is +1 on a left-hand corner, -1 on a right-hand one. N and N mm.
    """
    weight = np.array([-case.back, -out * case.inboard, case.up]) * GRAVITY
    at_contact = np.broadcast_to(weight * loads.corner_kg, wheel.contact.shape)
    own = np.broadcast_to(-weight * loads.unsprung_kg, wheel.centre.shape)
    felt = wrench(at_contact, wheel.contact) + wrench(own, wheel.centre)
    mount = loads.brake if case.back >= 0.0 else loads.drive
    return felt - _spin(wheel, at_contact, keep=mount == "outboard")


def _spin(wheel: WheelPoses, at_contact: Floats, *, keep: bool) -> Floats:
    """The couple about the wheel's axis that the bearing does not pass on.

    With the brake or motor on the carrier, what fore-and-aft force makes is passed on in full;
    the rest (a leaning wheel's contact is not quite below its axle) rolls the wheel instead.
    """
    force = at_contact.copy()
    if keep:
        force[:, 0] = 0.0
    moment = np.cross(wheel.contact - wheel.centre, force)
    about = np.sum(moment * wheel.axis, axis=-1, keepdims=True) * wheel.axis
    return np.concatenate([np.zeros_like(about), about], axis=-1)
