"""What ruler, strips and plots show: travel, bands, stops, figures, in the units of the screen."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from app.look.palette import State
from kinematics.units import Units

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Band:
    """A stretch of travel in one state, worst pair at each height."""

    low: float
    high: float
    state: State


@dataclass(frozen=True)
class Stop:
    """A height worth naming: bump stop meets, ride height, droop end, a limit. mm of travel."""

    travel: float
    label: str


@dataclass(frozen=True)
class Line:
    """One curve of a strip: values against the board's travel, NaN where unknown."""

    values: Array
    label: str = ""
    main: bool = True


@dataclass(frozen=True)
class Curve:
    """One figure against travel, as a strip shows it; ``help`` says its sign convention.

    ``group`` is the heading it is found under where there are many; ``note`` says of what
    position the curves are where that is not the one on show.
    """

    key: str
    title: str
    unit: str
    decimals: int
    lines: tuple[Line, ...]
    help: str = ""
    signed: bool = False
    guides: tuple[tuple[float, str], ...] = ()
    span: tuple[float, float] | None = None
    group: str = ""
    note: str = ""


@dataclass(frozen=True, eq=False)
class Choice:
    """A figure that can be plotted: values (nz, ns) in screen units, and what it means.

    guides : values worth a dashed line, each with a word.
    """

    key: str
    title: str
    unit: str
    decimals: int
    values: Array
    help: str
    guides: tuple[tuple[float, str], ...] = ()


@dataclass(frozen=True)
class Board:
    """One steer's worth of a study: what stands at each height. Travel in mm, low to high.

    ``note`` names the steer the bands are of where the corner stands at another.
    """

    travel: Array
    low: float
    high: float
    low_reason: str = ""
    high_reason: str = ""
    bands: tuple[Band, ...] = ()
    stops: tuple[Stop, ...] = ()
    curves: dict[str, Curve] = field(default_factory=dict)
    units: Units = "mm"
    note: str = ""


EMPTY = Board(np.array([-60.0, 60.0]), -60.0, 60.0)
