"""Parts described by how they are made: box arms, rod ends, uprights, brakes, wheel arches."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from kinematics.project.basics import (
    CHASSIS,
    UPRIGHT,
    BodyName,
    Length,
    NotNegative,
    PointName,
    Positive,
    Record,
    Tagged,
    says,
)

IsA = Annotated[
    Literal["arm", "link", "shaft", "upright", "tower", "chassis", "scan"],
    says("the class that rules see it as"),
]
Direction = tuple[float, float, float]
Turn = Annotated[float, Meta(ge=-360, le=360)]


class Beam(Tagged, frozen=True, tag="beam"):
    """A fabricated box section through two or more points of one body, mitred at its bends.

    Its width lies level, or as near as can be to ``width_along``; its height square to that.
    """

    body: Annotated[BodyName, says("what carries it")]
    points: Annotated[tuple[PointName, ...], Meta(min_length=2), says("the points that it passes")]
    width: Annotated[Positive, says("outside")]
    height: Annotated[Positive, says("outside")]
    width_along: Annotated[Direction | None, says("direction that its width runs along")] = None
    offset_width: Annotated[
        Length,
        says(
            "its middle off the line through the points, along its width as typed; outboard, or "
            "else forward, if no direction is"
        ),
    ] = 0.0
    offset_height: Annotated[Length, says("the same along its height, upward if positive")] = 0.0
    is_a: IsA = "arm"


class RodEnd(Tagged, frozen=True, tag="rod_end"):
    """A rod end's head, or a ball joint's housing, about a point, and its shank if that is said."""

    body: Annotated[BodyName, says("what carries it")]
    at: Annotated[PointName, says("the ball's middle")]
    head: Annotated[Positive, says("outside diameter of its head")]
    width: Annotated[Positive, says("of the head, along its bolt")]
    axis: Annotated[Direction, says("direction of its bolt")] = (1.0, 0.0, 0.0)
    shank_to: Annotated[PointName | None, says("point of the same body that its shank runs to")] = (
        None
    )
    shank: Annotated[Positive, says("diameter of the shank")] = 12.0
    is_a: IsA = "arm"


class Disc(Tagged, frozen=True, tag="disc"):
    """A brake disc: it turns with the wheel, on the hub face."""

    diameter: Annotated[Positive, says("outside")]
    thickness: Annotated[Positive, says("over both faces")]
    inboard: Annotated[
        Length, says("hub face to the disc's outboard side; negative: outboard of the face")
    ] = 0.0
    body: Annotated[BodyName, says("the wheel's carrier")] = UPRIGHT
    is_a: IsA = "upright"


class Caliper(Tagged, frozen=True, tag="caliper"):
    """A brake caliper's envelope about the wheel's axis, as callipers and a square read it."""

    inner_radius: Annotated[Positive, says("wheel axis to its inner side")]
    outer_radius: Annotated[Positive, says("wheel axis to its outer side: what meets the rim")]
    at_deg: Annotated[
        Turn, says("where its middle is, seen from the side: 0 forward, 90 up, 180 rearward")
    ]
    span_deg: Annotated[Annotated[float, Meta(gt=0, le=120)], says("from end to end")]
    outboard: Annotated[
        Length, says("its outboard side, outboard of the hub face; negative: inboard")
    ]
    depth: Annotated[Positive, says("from there to its inboard side")]
    body: Annotated[BodyName, says("the wheel's carrier")] = UPRIGHT
    is_a: IsA = "upright"


class Upright(Tagged, frozen=True, tag="upright"):
    """An upright: the hub's carrier about the wheel's axis, and a web from it to each joint.

    The webs are flat, ``thickness`` the way that lies nearest to the wheel's axis, and taper from
    ``width_at_hub`` to ``width``, where they end at the joint's centre.
    """

    diameter: Annotated[Positive, says("outside, of the hub's carrier")]
    depth: Annotated[Positive, says("of the hub's carrier, along the wheel's axis")]
    inboard: Annotated[Length, says("hub face to the carrier's outboard end")]
    thickness: Annotated[Positive, says("of its webs, along the wheel's axis")]
    width: Annotated[Positive, says("of its webs at the joints")]
    width_at_hub: Annotated[
        Positive | None, says("of its webs at the hub's carrier; left out: as at the joints")
    ] = None
    points: Annotated[
        tuple[PointName, ...],
        says("what its webs run to; none: the joints on its body that none of its tubes reaches"),
    ] = ()
    body: Annotated[BodyName, says("the wheel's carrier")] = UPRIGHT
    is_a: IsA = "upright"


class Arch(Tagged, frozen=True, tag="arch"):
    """A wheel arch: a rolled sheet about a line across the car, with a lip at its outer edge."""

    centre: Annotated[PointName, says("on the line it is rolled about")]
    radius: Annotated[Positive, says("inside")]
    inner: Annotated[Length, says("its inboard edge, from the car's centre plane")]
    outer: Annotated[Length, says("its outboard edge, from the car's centre plane")]
    from_deg: Annotated[Turn, says("seen from the side: 0 forward, 90 up, 180 rearward")] = 0.0
    to_deg: Annotated[Turn, says("where it ends, seen the same way")] = 180.0
    thickness: Annotated[Positive, says("of the sheet")] = 1.0
    lip: Annotated[NotNegative, says("depth of the return at its outer edge, inside")] = 0.0
    body: Annotated[BodyName, says("what carries it")] = CHASSIS
    is_a: IsA = "chassis"


class Weights(Record, frozen=True):
    """Balance weights stuck in the barrel or clipped on a flange: all round, since they turn."""

    outboard: Annotated[
        Length, says("their middle outboard of the rim's centre plane; negative: inboard")
    ]
    width: Annotated[Positive, says("along the wheel's axis")]
    height: Annotated[Positive, says("how far they stand in from what they are stuck to")]
    on_radius: Annotated[
        Positive | None, says("of the surface they are stuck to; left out: the barrel's inside")
    ] = None
