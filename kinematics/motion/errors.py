"""What the solver says when it can't."""

from __future__ import annotations

from kinematics.errors import ClearstrokeError


class MotionError(ClearstrokeError):
    """A corner that can't be assembled or moved as asked; the message says why and what to do."""
