"""Brake hoses and lines: the slack of a length between two clips."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def slack(clip_a: Floats, clip_b: Floats, length: float) -> Floats:
    """Hose length less the straight distance between its clips, mm; negative is torn.

    clip_a, clip_b : (..., 3) positions of the clips, mm. ``length`` is the free hose between
    them. The straight line is the least any hose needs; a real one also needs its bends, so
    some slack must be left at every position.
    """
    return np.asarray(length - np.linalg.norm(clip_b - clip_a, axis=-1))
