"""The project: one corner of one car, as the builder entered it.

Every class here is a frozen record that maps one to one onto the project file
(``NAME.corner.json``, see ``docs/file-format.md``). Lengths are millimetres once read; a
file written in inches is converted at the edge. Axes are ISO 8855 vehicle axes: x forward,
y left, z up. Nothing is computed here.

Names tie the records together: a *point* is named once and belongs to whatever body carries
it; a *body* is a rigid thing that moves (``chassis`` is the one that does not). Every joint,
link and part says which body it is on.
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from kinematics.project.arrangements import (
    LOWER_ARM,
    UPPER_ARM,
    Arm,
    Arrangement,
    FiveLinks,
    HArm,
    RadiusArm,
    Strut,
    StrutLinks,
    TrailingArm,
    Wishbones,
)
from kinematics.project.basics import (
    CHASSIS,
    RACK,
    UPRIGHT,
    BodyName,
    Degrees,
    End,
    Length,
    Name,
    NotNegative,
    PointName,
    Positive,
    Record,
    Tagged,
    Xyz,
    says,
)
from kinematics.project.equipment import (
    AboveNought,
    BumpStop,
    Clamp,
    Coilover,
    DroopStop,
    FootEnd,
    Helper,
    InnerSpring,
    Rim,
    Spring,
    Thread,
    Tyre,
    Wheel,
)
from kinematics.project.extra import ExtraPosition
from kinematics.project.fittings import Arch, Beam, Caliper, Disc, RodEnd, Upright, Weights
from kinematics.project.joints import (
    Adjuster,
    Ball,
    Hinge,
    Joint,
    Link,
    PointOnLine,
    Rack,
    Slide,
)
from kinematics.project.loads import Bearing, Hose, LoadCase, Loads, OutsideStop, Strap
from kinematics.project.mount import MountPlate, TopMount
from kinematics.project.structure import (
    Box,
    Cylinder,
    Gusset,
    PartSpec,
    Plate,
    Rule,
    Scan,
    Shaft,
    ShaftJoint,
    Tower,
    Tube,
)
from kinematics.project.survey import Survey

__all__ = [
    "CHASSIS",
    "LOWER_ARM",
    "RACK",
    "UPPER_ARM",
    "UPRIGHT",
    "Adjuster",
    "Arch",
    "Arm",
    "Arrangement",
    "Ball",
    "Beam",
    "Bearing",
    "BodyName",
    "Box",
    "BumpStop",
    "Caliper",
    "Clamp",
    "Coilover",
    "Cylinder",
    "Degrees",
    "Disc",
    "DroopStop",
    "End",
    "ExtraPosition",
    "FiveLinks",
    "FootEnd",
    "Gusset",
    "HArm",
    "Helper",
    "Hinge",
    "Hose",
    "InnerSpring",
    "Joint",
    "Length",
    "Link",
    "LoadCase",
    "Loads",
    "MountPlate",
    "Name",
    "NotNegative",
    "OutsideStop",
    "PartSpec",
    "Plate",
    "PointName",
    "PointOnLine",
    "Positive",
    "Project",
    "Rack",
    "RadiusArm",
    "Record",
    "Rim",
    "RodEnd",
    "Rule",
    "Scan",
    "Shaft",
    "ShaftJoint",
    "Slide",
    "Spring",
    "Strap",
    "Strut",
    "StrutLinks",
    "Survey",
    "Tagged",
    "Thread",
    "TopMount",
    "Tower",
    "TrailingArm",
    "Tube",
    "Tyre",
    "Upright",
    "Weights",
    "Wheel",
    "Wishbones",
    "Xyz",
]


class Project(Record, frozen=True, kw_only=True):
    """One corner of one car: what moves, what is on it, and what must stay clear.

    An ``arrangement`` is a short way to say the usual; ``bodies``, ``links`` and ``joints`` add
    to it or do without it. ``rules`` left out means the usual ones; an empty list means none.
    """

    clearstroke: Annotated[Literal[1], says("version of this file format")] = 1
    title: Annotated[str, says("what the builder calls it")]
    data: Annotated[
        Literal["measured", "invented", "published"], says("where the numbers come from")
    ] = "measured"
    source: Annotated[str, says("who measured it, or where it was published")] = ""
    notes: Annotated[str, says("anything else worth keeping")] = ""
    units: Annotated[Literal["mm", "in"], says("unit of every length in the file")] = "mm"
    side: Annotated[Literal["left", "right"], says("left has y positive")] = "left"
    ground_z: Annotated[Length, says("height of the ground in these axes at set-up")] = 0.0
    setup_wheel_z: Annotated[
        Length | None,
        says("wheel centre height at set-up, when it was measured in another position"),
    ] = None
    points: Annotated[dict[Name, Xyz], says("every point once, by name")]
    arrangement: Annotated[
        Arrangement | None,
        says("a ready-made one; left out: all of it is in bodies, links and joints"),
    ] = None
    bodies: Annotated[tuple[Name, ...], says("moving bodies besides the arrangement's")] = ()
    links: Annotated[dict[Name, Link], says("rods with a ball at either end, by name")] = (
        msgspec.field(default_factory=dict)
    )
    joints: Annotated[dict[Name, Joint], says("what else holds bodies together, by name")] = (
        msgspec.field(default_factory=dict)
    )
    adjusters: Annotated[
        dict[Name, Adjuster], says("shims and adjusters by name, with their ranges")
    ] = msgspec.field(default_factory=dict)
    rack: Annotated[Rack | None, says("the steering rack; left out: nothing is steered by one")] = (
        None
    )
    wheel: Annotated[Wheel, says("the wheel, and how it stood when it was measured")]
    coilover: Annotated[Coilover | None, says("damper and spring; left out: none is fitted")] = None
    top_mount: Annotated[TopMount | None, says("the stack at the top of the coilover")] = None
    tower: Annotated[Tower | None, says("what carries the top of the coilover")] = None
    parts: Annotated[
        dict[Name, PartSpec], says("everything else that is checked for room, by name")
    ] = msgspec.field(default_factory=dict)
    travel: Annotated[
        tuple[Length, Length] | None,
        says("most droop (negative) and most bump to look at; left out: as the damper allows"),
    ] = None
    rules: Annotated[
        tuple[Rule, ...] | None, says("room to keep; left out: the usual rules; empty: none")
    ] = None
    wheelbase: Annotated[
        Positive | None, says("front to rear axle; for the Ackermann error of a steered corner")
    ] = None
    give: Annotated[
        dict[Name, AboveNought | None],
        says(
            "links and balls whose bushes give as the corner moves: radial stiffness, or null for "
            "a usual one"
        ),
    ] = msgspec.field(default_factory=dict)
    extra_positions: Annotated[
        dict[Name, ExtraPosition] | None,
        says(
            "how far the wheel and bushed parts give, by name; left out: as a wheel usually does "
            "(common practice, no source); empty: they don't"
        ),
    ] = None
    loads: Annotated[Loads | None, says("weight on this corner, and the load cases")] = None
    bearings: Annotated[
        dict[PointName, Bearing], says("rod ends, ball joints and bushes, by their point")
    ] = msgspec.field(default_factory=dict)
    stops: Annotated[dict[Name, OutsideStop], says("bump stops beside the damper, by name")] = (
        msgspec.field(default_factory=dict)
    )
    straps: Annotated[dict[Name, Strap], says("limit straps beside the damper, by name")] = (
        msgspec.field(default_factory=dict)
    )
    hoses: Annotated[dict[Name, Hose], says("brake hoses and lines, by name")] = msgspec.field(
        default_factory=dict
    )
    survey: Annotated[
        Survey | None, says("how the corner was measured; the points are what it comes to")
    ] = None
