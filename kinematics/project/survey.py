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

    kind: Annotated[EndKind, says("what of it was touched")] = "centre"
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
    note: Annotated[str, says("anything worth keeping about it")] = ""


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
    note: Annotated[str, says("anything worth keeping about it")] = ""


class DistanceReading(LengthReading, frozen=True, kw_only=True, tag="distance"):
    """Between two points; ``plumbed``: between their plumb-bob marks on the floor."""

    between: Annotated[tuple[PointName, PointName], says("the two points")]
    plumbed: Annotated[bool, says("between their plumb-bob marks on the floor")] = False


class PartReading(LengthReading, frozen=True, kw_only=True, tag="part"):
    """A link from eye to eye, or the ``damper``, in place or on the bench."""

    of: Annotated[Name, says("a link's name, or damper")]


class OffsetReading(LengthReading, frozen=True, kw_only=True, tag="offset"):
    """A plumb-bob drop: level distance of a point from the centre string or the axle string."""

    point: Annotated[PointName, says("the point it was dropped from")]
    string: Annotated[Literal["centre", "axle"], says("the string it was measured from")]
    way: Annotated[
        Literal["out", "in", "front", "rear"],
        says("the way it is from the string: out or in of the centre, front or rear of the axle"),
    ]
    string_at: Annotated[Length, says("how far the string itself lies that way")] = 0.0


class RailReading(LengthReading, frozen=True, kw_only=True, tag="from_rail"):
    """Square off the straight line through two points, as of a rail's holes."""

    point: Annotated[PointName, says("the point that was measured")]
    rail: Annotated[tuple[PointName, PointName], says("two points of the line")]


class PlaneReading(LengthReading, frozen=True, kw_only=True, tag="from_plane"):
    """Square off the plane through three points; positive on the side from which they turn left."""

    point: Annotated[PointName, says("the point that was measured")]
    plane: Annotated[tuple[PointName, PointName, PointName], says("three points of the plane")]


class HeightReading(LengthReading, frozen=True, kw_only=True, tag="height"):
    """Height above the floor, or above a datum point."""

    point: Annotated[PointName, says("the point that was measured")]
    above: Annotated[PointName | None, says("a datum point; left out: the floor")] = None
    floor_correction: Annotated[
        Length, says("how much the floor stood higher there than where the datum is")
    ] = 0.0
    face: Annotated[
        StackFace, says("for the top mount: which face of its stack the height was taken at")
    ] = "bearing"


class AcrossReading(LengthReading, frozen=True, kw_only=True, tag="across"):
    """From a point to its twin on the other side of the car."""

    point: Annotated[PointName, says("the point on this side")]


class HubReading(LengthReading, frozen=True, kw_only=True, tag="hub"):
    """A point of the upright from its hub face: depth along the axis, or across it.

    ``front`` and ``up`` are across the face as the upright lay on the bench.
    """

    point: Annotated[PointName, says("the point of the upright")]
    way: Annotated[Literal["out", "front", "up"], says("out along the axis, or across the face")]


class StackReading(LengthReading, frozen=True, kw_only=True, tag="stack"):
    """The mount's stack, square to a level plate: how far the first face lies above the second.

    ``plate`` is the plate's upper surface, ``bearing`` the bearing's centre, ``shoulder`` where
    the shaft is clamped, ``hat`` where the spring's end sits.
    """

    between: Annotated[
        tuple[StackFace, StackFace],
        says("the face that is told of, then the face it was measured from"),
    ]


class LevelReading(AngleReading, frozen=True, kw_only=True, tag="level"):
    """The line between two points against level: positive with the second one higher."""

    line: Annotated[tuple[PointName, PointName], says("from the first point to the second")]


class LeanReading(AngleReading, frozen=True, kw_only=True, tag="lean"):
    """How the body sits on its stands."""

    which: Annotated[Literal["nose up", "left side up"], says("the way that is positive")]


class WheelReading(AngleReading, frozen=True, kw_only=True, tag="wheel"):
    """Camber by a gauge against plumb, or toe against the centre string; signs as in ``wheel``."""

    which: Annotated[Literal["camber", "toe"], says("what was read")]


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

    nose_up_deg: Annotated[Degrees | None, says("nose higher than tail")] = 0.0
    left_up_deg: Annotated[Degrees | None, says("left side higher than right")] = 0.0
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

    readings: Annotated[tuple[Reading, ...], says("as they were taken")] = ()
    datums: Annotated[
        dict[PointName, Axes], says("coordinates taken as they stand in ``points``")
    ] = field(default_factory=dict)
    stands: Annotated[Stands, says("how the body stood meanwhile")] = Stands()
    positions: Annotated[
        dict[Name, Position], says("other positions that readings were taken in, by name")
    ] = field(default_factory=dict)
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
