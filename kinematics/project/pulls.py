"""What of a part a hand can pull: an edge its own way, a corner in a plane or freely."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from kinematics.project.basics import Xyz
from kinematics.project.model import Project

Array = npt.NDArray[np.float64]
Entry = tuple[str | int, ...]


@dataclass(frozen=True, eq=False)
class Edge:
    """Something of a part that goes one way only: an edge of a panel, a gusset's tip.

    part : as in the project, or ``tower``. ends : (2, 3) mm, car coordinates. way : unit vector
    (3,) along which a pull is positive. entry : where its dimension is typed. pull : the project
    with it pulled by so many mm; raises ProjectError if nothing were left. line : (n, 3), all that
    is pulled with it.
    """

    part: str
    name: str
    ends: Array
    way: Array
    entry: Entry
    pull: Callable[[Project, float], Project]
    line: Array


@dataclass(frozen=True, eq=False)
class Corner:
    """A corner of a part: where it is, mm, car coordinates, and what it may be pulled in.

    part, entry : as of an edge. at : (3,). normal : unit vector (3,) square to the panel it stays
    in; None: it goes any way. pull : the project with it moved by (3,) mm, as far as that lies in
    its plane; raises ProjectError where it can't. line : (n, 3), the sides that meet in it.
    """

    part: str
    name: str
    at: Array
    normal: Array | None
    entry: Entry
    pull: Callable[[Project, Array], Project]
    line: Array


def xyz(values: Array) -> Xyz:
    """A place (3,) as a project holds it."""
    return float(values[0]), float(values[1]), float(values[2])
