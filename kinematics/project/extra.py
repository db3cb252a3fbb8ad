"""How far parts give: bushes, bearings, tyre walls and sheet metal all do."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from kinematics.project.basics import Degrees, End, Length, Name, NotNegative, Record, says


class ExtraPosition(Record, frozen=True):
    """A place that parts can be pushed to at every position of the wheel, all of them as one.

    Shifts and tilts are as the car is seen, whatever the wheel's travel and steer.
    """

    moves: Annotated[
        tuple[Name, ...],
        Meta(min_length=1),
        says("wheel (tyre and rim), a part, or a body with all that it carries"),
    ] = ("wheel",)
    inboard: Annotated[Length, says("negative: outboard")] = 0.0
    forward: Annotated[Length, says("negative: rearward")] = 0.0
    up: Annotated[Length, says("negative: down")] = 0.0
    lean_in_deg: Annotated[Degrees, says("tilted with its top inboard; negative: outboard")] = 0.0
    toe_in_deg: Annotated[Degrees, says("turned with its front inboard; negative: outboard")] = 0.0
    about: Annotated[
        End | None, says("what it tilts and turns about; left out: the wheel centre")
    ] = None
    bulge: Annotated[
        NotNegative, says("the tyre's walls stand out by so much more on each side under load")
    ] = 0.0


USUAL_EXTRA_POSITIONS = {
    "pushed inboard": ExtraPosition(inboard=3.0),
    "pushed outboard": ExtraPosition(inboard=-3.0),
    "pushed forward": ExtraPosition(forward=3.0),
    "pushed rearward": ExtraPosition(forward=-3.0),
    "tyre bulging": ExtraPosition(bulge=3.0),
}
"""What a wheel on bushes gives, where nothing else is typed: common practice, no source."""
