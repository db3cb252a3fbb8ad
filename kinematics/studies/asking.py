"""Whether to go on: asked again and again within long work."""

from __future__ import annotations

from collections.abc import Callable

from kinematics.clearance import Cancelled

Asked = Callable[[], bool]


def go_on(cancelled: Asked | None) -> None:
    """Raises Cancelled once that is asked for."""
    if cancelled is not None and cancelled():
        raise Cancelled
