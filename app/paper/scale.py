"""Straight scales and the figures along them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import overload

import numpy as np
from numpy.typing import NDArray

from app.look.numbers import plain, tick_decimals


@dataclass(frozen=True)
class Scale:
    """A straight map from ``low..high`` to ``start..end`` px."""

    low: float
    high: float
    start: float
    end: float

    @overload
    def __call__(self, value: float) -> float: ...
    @overload
    def __call__(self, value: NDArray[np.float64]) -> NDArray[np.float64]: ...
    def __call__(self, value: float | NDArray[np.float64]) -> float | NDArray[np.float64]:
        """Where the value lies, px."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def figure(value: float, step: float) -> str:
    """A value on the axis with the decimals its step needs and a true minus."""
    return plain(value, tick_decimals(step))
