"""What statics has to say, as facts: no words beyond names, no rounding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from kinematics.statics.onset import Past

FactKind = Literal[
    "rides",  # where the corner stands on its spring
    "does not ride",  # topped out, or down on its stops
    "bump stops",  # what acts in bump, in which order, what is left
    "droop stops",
    "preload",  # how far the spring is still squashed at full droop
    "bottoms",  # the damper or the spring ends bump, not a bump stop
    "loose",  # the spring hangs loose in droop
    "tight",  # less than the safe gap between coils in bump
    "coil-bound",
    "rates",  # spring rates that are honest at both ends of the travel
    "coils",  # how much they grow, and hat and seat turn
    "rubs",  # spring round damper body
    "may buckle",
    "binds",  # a bearing past its limit
    "bearing",  # the bearing nearest its limit
    "twists",  # a bush past its twist
    "plate",  # the tilt that would centre the top bearing
    "shaft",  # angles and plunge used, where all are allowed
    "shaft bends",
    "shaft pulls apart",
    "shaft bottoms",
    "hose",  # its slack where it is tightest
    "clamp",
    "strut",  # what bends a strut most
    "force",  # the largest force at the top mount
    "ground",  # the part nearest to the ground
    "ground flat",  # the same with a flat tyre
    "scan",  # an imported mesh: its size, and what is doubtful
    "stack",  # the top mount's heights and slots
    "hose reach",  # how near a hose can come to tyre or spring
]


@dataclass(frozen=True)
class Fact:
    """One fact about springs, stops, joints, shafts, hoses or forces.

    kind : see `FactKind`. subject : the part or point it is about. problem : it makes a check
    fail. travel, rack : the position it is about (mm), if any. amount : the figure it turns on,
    in mm, rad or N as its kind has it; negative is past a limit. bump, droop : where it first
    passes the limit going either way (mm of travel). figures : more numbers by name, in mm, rad,
    N, N/mm and Hz. notes : names and reasons by what they are.
    """

    kind: FactKind
    subject: str
    problem: bool
    amount: float
    travel: float | None = None
    rack: float | None = None
    bump: float | None = None
    droop: float | None = None
    figures: Mapping[str, float] = field(default_factory=dict)
    notes: Mapping[str, str] = field(default_factory=dict)


def about(
    kind: FactKind, subject: str, problem: bool, worst: Past, amount: float, **figures: float
) -> Fact:
    """A fact about something with a limit, from its worst position and its onsets."""
    return Fact(
        kind, subject, problem, amount, worst.travel, worst.rack, worst.bump, worst.droop, figures
    )
