"""What is fabricated and what it must keep clear of: parts, the tower and the rules."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from kinematics.project.basics import (
    BodyName,
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
from kinematics.project.fittings import Arch, Beam, Caliper, Disc, IsA, RodEnd, Upright

Bend = Annotated[float, Meta(gt=0, le=90)]
Turn = Annotated[float, Meta(ge=-360, le=360)]
RollTurn = Annotated[Turn, says("about x; positive lifts its left side")]
PitchTurn = Annotated[Turn, says("about y, after x; positive lowers its front")]
SwingTurn = Annotated[Turn, says("about z, last; positive swings its front to the left")]


class Tube(Tagged, frozen=True, tag="tube"):
    """A round tube through two or more points of one body."""

    body: Annotated[BodyName, says("what carries it")]
    points: Annotated[
        tuple[PointName, ...], Meta(min_length=2), says("the points that its middle passes")
    ]
    diameter: Annotated[Positive, says("outside")]
    is_a: IsA = "arm"


class Plate(Tagged, frozen=True, tag="plate"):
    """A flat plate: the corners of its middle surface in order, and its thickness."""

    body: Annotated[BodyName, says("what carries it")]
    outline: Annotated[
        tuple[Xyz, ...], Meta(min_length=3), says("corners of its middle surface, in order")
    ]
    thickness: Annotated[Positive, says("of the sheet")]
    is_a: IsA = "chassis"


class Box(Tagged, frozen=True, tag="box"):
    """A box square to the vehicle axes when its body stands as measured."""

    body: Annotated[BodyName, says("what carries it")]
    least: Annotated[Xyz, says("its corner with the least x, y and z")]
    most: Annotated[Xyz, says("its corner with the most x, y and z")]
    is_a: IsA = "chassis"


class Cylinder(Tagged, frozen=True, tag="cylinder"):
    """A flat-ended cylinder between two points of one body: a hub, caliper envelope, joint."""

    body: Annotated[BodyName, says("what carries it")]
    points: Annotated[tuple[PointName, PointName], says("the middles of its two ends")]
    diameter: Annotated[Positive, says("outside")]
    is_a: IsA = "upright"


class ShaftJoint(Record, frozen=True):
    """The body of a drive-shaft joint, centred on the shaft's end."""

    diameter: Annotated[Positive, says("outside")]
    length: Annotated[Positive, says("along the shaft")]


class Shaft(Tagged, frozen=True, tag="shaft"):
    """A drive shaft between an inner joint on one body and an outer joint on another."""

    inner: Annotated[End, says("centre of the inner joint")]
    outer: Annotated[End, says("centre of the outer joint")]
    diameter: Annotated[Positive, says("of the shaft")] = 28.0
    inner_joint: Annotated[
        ShaftJoint | None, says("the inner joint's body; left out: none is checked")
    ] = None
    outer_joint: Annotated[
        ShaftJoint | None, says("the outer joint's body; left out: none is checked")
    ] = None
    inner_axis: Annotated[
        tuple[float, float, float] | None,
        says("of the inner joint's cup; left out: across the car"),
    ] = None
    inner_limit_deg: Annotated[Bend | None, says("from its maker")] = None
    outer_limit_deg: Annotated[Bend | None, says("from its maker")] = None
    pull_apart: Annotated[NotNegative | None, says("how far it may lengthen from set-up")] = None
    bottoming: Annotated[NotNegative | None, says("how far it may shorten from set-up")] = None
    cross_joints: Annotated[bool, says("cross joints, which turn unevenly when bent")] = False
    is_a: IsA = "shaft"


class Scan(Tagged, frozen=True, tag="scan"):
    """An imported mesh file beside the project, carried by a body.

    Its numbers are taken to mm by ``file_unit``; then, if ``mirrored``, y is negated (a left-hand
    scan used on the right); then it is turned by ``turn_deg`` and moved by ``move``. It turns about
    the file's own origin: first about x, then about y, then about z, the car's axes, which stay;
    a positive turn takes y to z, z to x, x to y (ISO 8855, right-handed).
    """

    body: Annotated[BodyName, says("what carries it")]
    file: Annotated[
        str, Meta(min_length=1, max_length=200), says("name of the mesh file, beside the project")
    ]
    file_unit: Annotated[Literal["mm", "cm", "m", "in"], says("what the mesh was made in")]
    mirrored: Annotated[bool, says("turned over to the other side as it is read")] = False
    turn_deg: Annotated[
        tuple[RollTurn, PitchTurn, SwingTurn],
        says(
            "turned about the file's own origin, about the car's x, then y, then z; positive lifts "
            "its left side, lowers its front, swings its front to the left"
        ),
    ] = (0.0, 0.0, 0.0)
    move: Annotated[
        Xyz,
        says("moved after that: where the file's own origin stands, x forward, y left, z up"),
    ] = (0.0, 0.0, 0.0)
    is_a: IsA = "scan"


PartSpec = (
    Tube | Plate | Box | Cylinder | Shaft | Scan | Beam | RodEnd | Disc | Caliper | Arch | Upright
)


Side = Literal["front", "rear", "inner", "outer"]


class Gusset(Record, frozen=True):
    """A triangle of plate welded square to a tower's panel, one edge on the panel, one level."""

    on: Annotated[Side, says("the panel it stands on")]
    at: Annotated[
        Length,
        says("where along the panel: x for inner and outer, distance from the centre plane else"),
    ]
    height: Annotated[Positive, says("of its edge on the panel")]
    depth: Annotated[Positive, says("of its level edge, away from the panel")]
    foot: Annotated[Length | None, says("height of its level edge; left out: the panel's foot")] = (
        None
    )
    thickness: Annotated[Positive | None, says("left out: the tower's")] = None
    inside: Annotated[bool, says("within the tower instead of outside")] = False


class Tower(Record, frozen=True):
    """A fabricated tower around the coilover's top, made of flat panels.

    The top plate spans ``rear`` to ``front`` (x) and ``inner`` to ``outer`` (distances from the
    car's centre plane), its upper surface at height ``top``. Panels hang from its four edges,
    their outer faces flush with them, down to the heights given (none: no such panel). The lip
    at the foot of the outer panel is a strip as thick as the panel, its underside at
    ``outer_down_to``; ``lip`` is its width from the panel's outer face, outboard if positive,
    inboard if negative.
    """

    front: Annotated[Length, says("x of its front edge")]
    rear: Annotated[Length, says("x of its rear edge")]
    inner: Annotated[Length, says("its inboard edge, from the car's centre plane")]
    outer: Annotated[Length, says("its outboard edge, from the car's centre plane")]
    top: Annotated[Length, says("height of its upper surface")]
    thickness: Annotated[Positive, says("of the sheet")] = 3.0
    front_down_to: Annotated[
        Length | None, says("height of the front panel's foot; left out: no such panel")
    ] = None
    rear_down_to: Annotated[
        Length | None, says("height of the rear panel's foot; left out: no such panel")
    ] = None
    inner_down_to: Annotated[
        Length | None, says("height of the inner panel's foot; left out: no such panel")
    ] = None
    outer_down_to: Annotated[
        Length | None, says("height of the outer panel's foot; left out: no such panel")
    ] = None
    lip: Annotated[
        Length, says("width of the fold at the outer panel's foot, outboard if positive")
    ] = 0.0
    front_lip: Annotated[Length, says("fold at the front panel's foot, forward if positive")] = 0.0
    rear_lip: Annotated[Length, says("fold at the rear panel's foot, rearward if positive")] = 0.0
    inner_lip: Annotated[Length, says("fold at the inner panel's foot, inboard if positive")] = 0.0
    thickness_of: Annotated[
        dict[Literal["front", "rear", "inner", "outer", "lip"], Positive],
        says("of panels that differ from the tower's thickness, by name"),
    ] = msgspec.field(default_factory=dict)
    gussets: Annotated[tuple[Gusset, ...], says("triangles of plate welded to its panels")] = ()
    bend_radius: Annotated[
        NotNegative | None, says("inside the folds; left out: as thick as the sheet")
    ] = None
    hole: Annotated[NotNegative, says("diameter of the hole round the top mount")] = 0.0
    moves_with_top: Annotated[bool, says("it goes along when the top mount is moved")] = True


class Rule(Record, frozen=True):
    """Keep ``at_least`` between two parts or classes of part (``anything`` matches all)."""

    between: Annotated[tuple[Name, Name], says("a part's name, a class of part, or anything")]
    at_least: Annotated[Length, says("room to keep")]
    why: Annotated[str, says("told in the report")] = ""
