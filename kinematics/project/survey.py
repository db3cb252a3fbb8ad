"""Readings as they were taken: with what, from where, to what, and in which position.

A reading without a value is one that is planned. Nothing is computed here.
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, field

from kinematics.project.basics import (
    Degrees,
    Length,
    Name,
    NotNegative,
    PointName,
    Positive,
    Record,
    Tagged,
    says,
)

LengthTool = Literal["tape", "rule", "calliper", "eye"]
AngleTool = Literal["inclinometer", "level", "eye"]
EndKind = Literal[
    "centre", "near edge", "far edge", "near face", "far face", "inner face", "outer face"
]
StackFace = Literal["plate", "bearing", "shoulder", "hat"]
Day = Annotated[str, Meta(max_length=10), says("the day it was taken, as 2026-03-28")]
NotNegativeDegrees = Annotated[float, Meta(ge=0, le=90)]


class To(Record, frozen=True):
    """What an end of a reading was measured to, so that half a hole or a plate is never lost.

    ``near`` is the side that the reading meets first, ``far`` the other; ``inner`` faces the
    middle of the car. ``size`` is the hole's or tube's diameter, or the plate's thickness. The
    point itself is the hole's centre, or the middle of the plate.
    """

    kind: EndKind = "centre"
    size: Annotated[NotNegative, says("diameter of the hole or tube, thickness of the plate")] = 0.0


class LengthReading(Tagged, frozen=True, kw_only=True):
    """What every reading of a length carries."""

    value: Annotated[Length | None, says("as read; left out: planned, not taken yet")] = None
    tool: Annotated[LengthTool, says("what it was read with; says how far it can be trusted")] = (
        "tape"
    )
    give_or_take: Annotated[
        Positive | None, says("two readings in three fall within this; left out: as the tool")
    ] = None
    to: Annotated[
        tuple[To, ...], Meta(max_length=2), says("for each end; left out: the point itself")
    ] = ()
    position: Annotated[
        str, Meta(max_length=60), says("of ``positions``; left out: the one the points are in")
    ] = ""
    other_side: Annotated[bool, says("taken on the other side of the car and turned round")] = False
    left_out: Annotated[bool, says("kept, but not used")] = False
    date: Day = ""
    note: str = ""


class AngleReading(Tagged, frozen=True, kw_only=True):
    """What every reading of an angle carries."""

    degrees: Annotated[Degrees | None, says("as read; left out: planned, not taken yet")] = None
    tool: Annotated[AngleTool, says("what it was read with")] = "inclinometer"
    give_or_take_deg: Annotated[
        NotNegativeDegrees | None,
        says("two readings in three fall within this; left out: as the tool"),
    ] = None
    position: Annotated[
        str, Meta(max_length=60), says("of ``positions``; left out: the one the points are in")
    ] = ""
    other_side: Annotated[bool, says("taken on the other side of the car and turned round")] = False
    left_out: Annotated[bool, says("kept, but not used")] = False
    date: Day = ""
    note: str = ""


class DistanceReading(LengthReading, frozen=True, kw_only=True, tag="distance"):
    """Between two points; ``plumbed``: between their plumb-bob marks on the floor."""

    between: tuple[PointName, PointName]
    plumbed: bool = False


class PartReading(LengthReading, frozen=True, kw_only=True, tag="part"):
    """A link from eye to eye, or the ``damper``, in place or on the bench."""

    of: Annotated[Name, says("a link's name, or damper")]


class OffsetReading(LengthReading, frozen=True, kw_only=True, tag="offset"):
    """A plumb-bob drop: level distance of a point from the centre string or the axle string."""

    point: PointName
    string: Literal["centre", "axle"]
    way: Annotated[
        Literal["out", "in", "front", "rear"],
        says("the way it is from the string: out or in of the centre, front or rear of the axle"),
    ]
    string_at: Annotated[Length, says("how far the string itself lies that way")] = 0.0


class RailReading(LengthReading, frozen=True, kw_only=True, tag="from_rail"):
    """Square off the straight line through two points, as of a rail's holes."""

    point: PointName
    rail: tuple[PointName, PointName]


class PlaneReading(LengthReading, frozen=True, kw_only=True, tag="from_plane"):
    """Square off the plane through three points; positive on the side from which they turn left."""

    point: PointName
    plane: tuple[PointName, PointName, PointName]


class HeightReading(LengthReading, frozen=True, kw_only=True, tag="height"):
    """Height above the floor, or above a datum point."""

    point: PointName
    above: Annotated[PointName | None, says("a datum point; left out: the floor")] = None
    floor_correction: Annotated[
        Length, says("how much the floor stood higher there than where the datum is")
    ] = 0.0
    face: Annotated[
        StackFace, says("for the top mount: which face of its stack the height was taken at")
    ] = "bearing"


class AcrossReading(LengthReading, frozen=True, kw_only=True, tag="across"):
    """From a point to its twin on the other side of the car."""

    point: PointName


class HubReading(LengthReading, frozen=True, kw_only=True, tag="hub"):
    """A point of the upright from its hub face: depth along the axis, or across it.

    ``front`` and ``up`` are across the face as the upright lay on the bench.
    """

    point: PointName
    way: Literal["out", "front", "up"]


class StackReading(LengthReading, frozen=True, kw_only=True, tag="stack"):
    """The mount's stack, square to a level plate: how far the first face lies above the second.

    ``plate`` is the plate's upper surface, ``bearing`` the bearing's centre, ``shoulder`` where
    the shaft is clamped, ``hat`` where the spring's end sits.
    """

    between: tuple[StackFace, StackFace]


class LevelReading(AngleReading, frozen=True, kw_only=True, tag="level"):
    """The line between two points against level: positive with the second one higher."""

    line: tuple[PointName, PointName]


class LeanReading(AngleReading, frozen=True, kw_only=True, tag="lean"):
    """How the body sits on its stands."""

    which: Literal["nose up", "left side up"]


class WheelReading(AngleReading, frozen=True, kw_only=True, tag="wheel"):
    """Camber by a gauge against plumb, or toe against the centre string; signs as in ``wheel``."""

    which: Literal["camber", "toe"]


Reading = (
    DistanceReading
    | PartReading
    | OffsetReading
    | RailReading
    | PlaneReading
    | HeightReading
    | AcrossReading
    | HubReading
    | StackReading
    | LevelReading
    | LeanReading
    | WheelReading
)
Axes = Literal["x", "y", "z", "xy", "xz", "yz", "xyz"]


class Stands(Record, frozen=True):
    """How the body stood to the floor and its strings; ``null`` means: found from the readings."""

    nose_up_deg: Degrees | None = 0.0
    left_up_deg: Degrees | None = 0.0
    turned_deg: Annotated[Degrees | None, says("nose to the left of the centre string")] = 0.0
    forward: Annotated[Length | None, says("of the axle string")] = 0.0
    left: Annotated[Length | None, says("of the centre string")] = 0.0
    lifted: Annotated[Length | None, says("above where it sits at set-up height")] = 0.0


class Position(Record, frozen=True):
    """Another position some readings were taken in; a hub height or damper length goes with it."""

    on_stands: Annotated[bool, says("the body sat on the same stands; else level, at set-up")] = (
        True
    )


class Survey(Record, frozen=True, kw_only=True):
    """How the corner was measured: readings, datums, and how the car stood."""

    readings: tuple[Reading, ...] = ()
    datums: Annotated[
        dict[PointName, Axes], says("coordinates taken as they stand in ``points``")
    ] = field(default_factory=dict)
    stands: Stands = Stands()
    positions: dict[Name, Position] = field(default_factory=dict)
    hub_face: Annotated[PointName | None, says("centre of the hub's mounting face")] = None
    symmetry: Annotated[
        Positive, says("how far the two sides may differ; two in three within this")
    ] = 2.0
    settled: Annotated[
        tuple[PointName, ...], says("of two places that fit, the one near ``points`` is right")
    ] = ()
    tacked: Annotated[
        tuple[PointName, ...],
        says("the points measured again after tacking; left out: those as_built begins with"),
    ] = ()
    as_built: Annotated[
        tuple[Reading, ...], says("taken again after tacking, to be held against the points")
    ] = ()
