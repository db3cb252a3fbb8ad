"""The top mount as the builder sees it: a plate bolted to the tower, a bearing, the stack below."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from kinematics.project.basics import Length, NotNegative, Positive, Record, says


class MountPlate(Record, frozen=True):
    """The plate that carries the top bearing, and the slots it can be shifted in.

    Its edges run fore-aft and across; the bearing is at its middle.
    """

    length: Annotated[Positive, says("fore-aft")]
    width: Annotated[Positive, says("across the car")]
    thickness: Annotated[Positive, says("of the plate")]
    bolts: Annotated[int, Meta(ge=2, le=12), says("how many bolts hold it")] = 4
    bolt_circle: Annotated[Positive | None, says("diameter through their middles")] = None
    bolt_diameter: Annotated[Positive, says("of each bolt")] = 8.0
    slot_forward: Annotated[
        NotNegative, says("how far it can be shifted fore-aft in its slots, end to end")
    ] = 0.0
    slot_inboard: Annotated[
        NotNegative, says("how far it can be shifted across the car in its slots, end to end")
    ] = 0.0
    set_forward: Annotated[Length, says("where it stands now, forward of the slots' middle")] = 0.0
    set_inboard: Annotated[Length, says("where it stands now, inboard of the slots' middle")] = 0.0


class TopMount(Record, frozen=True):
    """The stack at the coilover's top, from the plate's surface that a builder marks down.

    The top bearing's centre is the coilover's top point; the top hat hangs ``end_from_top`` of
    the spring below it.
    """

    bearing_above: Annotated[
        Length, says("bearing centre above the plate's upper surface; negative: below")
    ] = 0.0
    shoulder_below: Annotated[
        NotNegative | None, says("bearing centre down to the shoulder that the shaft seats on")
    ] = None
    housing_diameter: Annotated[Positive | None, says("of the bearing's housing")] = None
    housing_height: Annotated[Positive, says("of the housing, half of it above the centre")] = 20.0
    plate: Annotated[
        MountPlate | None, says("what carries the bearing; left out: its place is free")
    ] = None


Range = tuple[float, float]


def slot_range(mount: TopMount | None) -> tuple[Range, Range] | None:
    """How far the top can still be shifted in its slots: (least, most) forward, then inboard, mm.

    From where it stands. None for a mount without a plate, whose place is free.
    """
    if mount is None or mount.plate is None:
        return None
    plate = mount.plate
    return (
        (-plate.slot_forward / 2 - plate.set_forward, plate.slot_forward / 2 - plate.set_forward),
        (-plate.slot_inboard / 2 - plate.set_inboard, plate.slot_inboard / 2 - plate.set_inboard),
    )
