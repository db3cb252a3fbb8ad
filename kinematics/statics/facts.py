"""From statics to facts: everything there is to say, problems first."""

from __future__ import annotations

import numpy as np

from kinematics.statics.fact import Fact
from kinematics.statics.joint_facts import (
    bearing_facts,
    clamp_facts,
    hose_facts,
    plate_facts,
    shaft_facts,
)
from kinematics.statics.loading import top_force
from kinematics.statics.spring_facts import rate_facts, ride_facts, spring_facts, stop_facts
from kinematics.statics.statics import Statics


def facts(known: Statics) -> tuple[Fact, ...]:
    """Everything there is to say, problems first, then in the order a builder asks."""
    found = [
        *ride_facts(known),
        *stop_facts(known),
        *spring_facts(known),
        *rate_facts(known),
        *bearing_facts(known),
        *plate_facts(known),
        *shaft_facts(known),
        *hose_facts(known),
        *clamp_facts(known),
        *force_facts(known),
        *strut_facts(known),
    ]
    return tuple(sorted(found, key=lambda fact: not fact.problem))


def force_facts(known: Statics) -> list[Fact]:
    """The load case that pushes hardest on the top mount, where it settles."""
    coilover = known.project.coilover
    if known.loading is None or coilover is None:
        return []
    top = coilover.top.point
    pushed = [(s, top_force(s.forces, top)[0, 0]) for s in known.loading.settled]
    pushed = [(s, force) for s, force in pushed if np.isfinite(force).all()]
    if not pushed:
        return []
    settled, force = max(pushed, key=lambda each: float(np.linalg.norm(each[1])))
    out = known.motion.linkage.mechanism.out
    figures = {"x": float(force[0]), "inboard": -out * float(force[1]), "z": float(force[2])}
    figures["unbalance"] = float(settled.forces.unbalance.max())
    notes = {"case": settled.case, "rests_on": settled.rests_on}
    return [
        Fact(
            "force", coilover.top.point, False, float(np.linalg.norm(force)), settled.travel, 0.0,
            figures=figures, notes=notes,
        )
    ]  # fmt: skip


def strut_facts(known: Statics) -> list[Fact]:
    """The load case that bends a strut most, where it settles."""
    if known.loading is None or not known.strut:
        return []
    case, load = max(known.strut.items(), key=lambda each: float(each[1].at_clamp[0]))
    travel = next(s.travel for s in known.loading.settled if s.case == case)
    figures = {"at_clamp": float(load.at_clamp[0]), "at_gland": float(load.at_gland[0])}
    notes = {"case": case}
    side = float(load.side[0])
    return [Fact("strut", "strut", False, side, travel, 0.0, figures=figures, notes=notes)]
