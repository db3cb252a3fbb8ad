"""A fix by an amount: an edit of the project, and what work it takes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum

import msgspec

from kinematics.project.model import Project

Apply = Callable[[Project, float], Project]
Say = Callable[[float], str]

STUDS = (
    "Check that every wheel nut still has full thread of at least the stud's diameter, and that "
    "the spacer centres the wheel."
)
FITS = "Check that tyre and rim suit each other, the load they carry and your local rules."
WELDED = "Welded structure is for a qualified welder; have it inspected to your local rules."
SPRUNG = "Take the load off the spring and hold it before you undo anything."
BENT = (
    "A bent or offset arm is weaker than a straight one: have an engineer size it, and never heat "
    "a forging."
)


COMES_OFF = "nothing is undone: it comes off again"
AGAIN = "cut and welded again"


class Work(IntEnum):
    """How much is undone by a fix, least first."""

    ADJUSTED = 0
    BOLTED = 1
    CUT = 2
    REMADE = 3


@dataclass(frozen=True, eq=False)
class Cure:
    """One fix by an amount in mm.

    name : what it is. family : what kind of thing is changed; many fixes may share one. apply :
    the project with the fix by that amount (0: none). most : the largest sensible amount. say :
    the instruction for an amount in mm. sizes : what can be bought, ascending; empty: any whole
    mm. caution : what to mind. undoes : what is done again
    after it, as a sentence without capital and full stop. cannot : why it can do
    nothing here, where that is known without trying.
    """

    name: str
    family: str
    apply: Apply
    most: float
    work: Work
    say: Say
    sizes: tuple[float, ...] = ()
    caution: str = ""
    undoes: str = ""
    cannot: str = ""


def worded(template: str) -> Say:
    """An instruction with the amount at ``{}``."""
    return lambda mm: template.format(f"{mm:g}")


def out_of(project: Project) -> float:
    """Sign of y that is outboard."""
    return 1.0 if project.side == "left" else -1.0


def moved_point(project: Project, name: str, move: tuple[float, float, float]) -> Project:
    """The project with one point moved by (x forward, y outboard, z up) mm."""
    x, y, z = project.points[name]
    there = (x + move[0], y + out_of(project) * move[1], z + move[2])
    return msgspec.structs.replace(project, points={**project.points, name: there})


WAYS: dict[str, tuple[float, float, float]] = {
    "inboard": (0.0, -1.0, 0.0),
    "outboard": (0.0, 1.0, 0.0),
    "forward": (1.0, 0.0, 0.0),
    "rearward": (-1.0, 0.0, 0.0),
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
}
"""The six ways a thing is moved: (x forward, y outboard, z up)."""


def times(way: tuple[float, float, float], mm: float) -> tuple[float, float, float]:
    """So many mm of a way."""
    return way[0] * mm, way[1] * mm, way[2] * mm
