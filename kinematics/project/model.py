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
from msgspec import Meta

CHASSIS = "chassis"
UPRIGHT = "upright"
RACK = "rack"

Length = Annotated[float, Meta(extra={"quantity": "length"}, description="length")]
Positive = Annotated[float, Meta(gt=0, extra={"quantity": "length"}, description="length above 0")]
NotNegative = Annotated[
    float, Meta(ge=0, extra={"quantity": "length"}, description="length, 0 or more")
]
Degrees = Annotated[float, Meta(description="angle in degrees")]
Name = Annotated[str, Meta(min_length=1, max_length=60)]
Xyz = tuple[Length, Length, Length]


class Record(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Base of every record in a project file: frozen, unknown keys refused."""


class Tagged(Record, frozen=True, tag_field="kind"):
    """Base of the records that say which kind they are in a ``kind`` field."""


# --- how it moves -----------------------------------------------------------------------


class End(Record, frozen=True):
    """One end of a link or coilover: a named point carried by a named body."""

    point: Name
    body: Name = CHASSIS


class Link(Record, frozen=True):
    """A two-ball rod: a lateral link, tie rod, toe link, pushrod or integral link.

    ``adjust`` is added to the length between its end points as entered (a threaded end wound
    out is positive), within ``adjust_range`` when that is given.
    """

    inner: End
    outer: End
    diameter: Positive = 25.0
    through: tuple[Name, ...] = ()
    adjust: Length = 0.0
    adjust_range: tuple[Length, Length] | None = None


class Ball(Tagged, frozen=True, tag="ball"):
    """A ball joint, rod end or rubber bush taken as a ball: one point held by two bodies."""

    at: Name
    bodies: tuple[Name, Name]


class Hinge(Tagged, frozen=True, tag="hinge"):
    """A hinge: two bodies share the line through two points (an arm's two chassis bushes)."""

    along: tuple[Name, Name]
    bodies: tuple[Name, Name]


class Slide(Tagged, frozen=True, tag="slide"):
    """A straight slide without turning: the second body moves along the line in the first."""

    along: tuple[Name, Name]
    bodies: tuple[Name, Name]


class PointOnLine(Tagged, frozen=True, tag="point_on_line"):
    """A point of the second body stays on a line carried by the first.

    A strut is this: the line is the damper rod carried by the upright, the point is the top
    bearing on the chassis; the strut slides along the rod, turns about it and tilts at the top.
    """

    line: tuple[Name, Name]
    point: Name
    bodies: tuple[Name, Name]


Joint = Ball | Hinge | Slide | PointOnLine


class Rack(Record, frozen=True):
    """A steering rack: the body ``rack`` slides along +y by the rack travel, chassis fixed."""

    least: Length = -60.0
    most: Length = 60.0


# --- ready-made arrangements: each unfolds to bodies, links, joints and arm tubes -----------


class Arm(Record, frozen=True):
    """An arm on two chassis pivots with one outer ball joint, made of two tubes."""

    front: Name
    rear: Name
    outer: Name
    diameter: Positive = 30.0


class Wishbones(Tagged, frozen=True, tag="wishbones"):
    """Upper and lower arm and a steering or toe link (``tie_inner`` on the rack if steered)."""

    lower: Arm
    upper: Arm
    tie_inner: Name
    tie_outer: Name
    steered: bool = True


class Strut(Tagged, frozen=True, tag="strut"):
    """A strut clamped to the upright, a lower arm, and a steering or toe link.

    The strut's line runs through the coilover's ``foot`` and ``top`` points.
    """

    lower: Arm
    tie_inner: Name
    tie_outer: Name
    steered: bool = True


class StrutLinks(Tagged, frozen=True, tag="strut_links"):
    """A rear strut on two lateral links and a trailing radius rod, each (inner, outer)."""

    front_link: tuple[Name, Name]
    rear_link: tuple[Name, Name]
    radius_rod: tuple[Name, Name]


class FiveLinks(Tagged, frozen=True, tag="five_links"):
    """Five links from chassis to upright, each (inner, outer) by name."""

    links: dict[Name, tuple[Name, Name]]


class RadiusArm(Tagged, frozen=True, tag="radius_arm"):
    """Lateral links and a forward or rearward radius arm.

    ``rigid`` True: the arm is bolted solid to the upright and has one ball on the chassis; two
    lateral links hold the rest. False: the arm is a rod with a ball at either end, its outer
    one ``arm_outer``, and four lateral links are needed.
    """

    arm_chassis: Name
    lateral: dict[Name, tuple[Name, Name]]
    arm_outer: Name | None = None
    rigid: bool = True
    through: tuple[Name, ...] = ()
    diameter: Positive = 38.0


class TrailingArm(Tagged, frozen=True, tag="trailing_arm"):
    """A trailing or semi-trailing arm: the upright is one with the arm, on one chassis hinge."""

    inner_pivot: Name
    outer_pivot: Name
    diameter: Positive = 45.0


class HArm(Tagged, frozen=True, tag="h_arm"):
    """A lower H-arm on a chassis hinge, an upper link, a toe link and an integral link.

    The H-arm carries the upright on the ball ``outer``; the integral link from ``arm_post`` on
    the arm to ``upright_post`` on the upright stops the upright winding up.
    """

    front: Name
    rear: Name
    outer: Name
    upper: tuple[Name, Name]
    toe: tuple[Name, Name]
    arm_post: Name
    upright_post: Name
    diameter: Positive = 35.0


Arrangement = (
    Wishbones | Strut | StrutLinks | FiveLinks | RadiusArm | TrailingArm | HArm
)

# --- wheel and tyre ------------------------------------------------------------------------


class Tyre(Record, frozen=True):
    """A tyre by its size marking; the rest overrides what the marking gives."""

    size: str
    free_radius: Positive | None = None
    section_width: Positive | None = None
    loaded_radius: Positive | None = None
    shoulder_radius: Positive | None = None
    tread_width: Positive | None = None
    growth: NotNegative = 0.0


class Rim(Record, frozen=True):
    """A rim by its marking, such as ``6.5Jx15 ET25``, and the spacer behind it."""

    size: str
    bolts: str | None = None
    centre_bore: Positive | None = None
    spacer: NotNegative = 0.0
    disc_thickness: Positive = 12.0


class Wheel(Record, frozen=True):
    """The wheel on its carrier. Its axis points outboard.

    Give ``camber_deg`` and ``toe_deg`` (top leaning out positive, toe-in positive) or an
    ``axis`` vector in the position the points were measured in.
    """

    centre: Name
    tyre: Tyre
    rim: Rim
    body: Name = UPRIGHT
    camber_deg: Degrees = 0.0
    toe_deg: Degrees = 0.0
    axis: tuple[float, float, float] | None = None


# --- coilover --------------------------------------------------------------------------------


class BumpStop(Record, frozen=True):
    """The bump stop on the damper shaft: lengths free and fully squashed, and any packer."""

    free: NotNegative
    solid: NotNegative
    packer: NotNegative = 0.0


class Spring(Record, frozen=True):
    """A coil spring between the spring seat and the top hat.

    ``seat_from_foot`` is measured along the damper from the foot eye centre to the seat;
    ``top_from_top`` from the top bearing centre down to the spring's upper end.
    """

    outside: Positive
    wire: Positive
    seat_from_foot: Length
    top_from_top: Length
    free: Positive | None = None
    rate_n_per_mm: Annotated[float, Meta(gt=0)] | None = None
    active_coils: Annotated[float, Meta(gt=0)] | None = None
    seat_outside: Positive | None = None


class Coilover(Record, frozen=True):
    """Damper and spring between the foot and the top bearing centre.

    ``open`` and ``closed`` are eye centre to eye centre with spring and bump stop off.
    ``body_length`` runs from the foot eye centre to the top of the damper body.
    """

    foot: End
    top: End
    open: Positive
    closed: Positive
    body: Positive = 50.0
    body_length: Positive | None = None
    shaft: Positive = 14.0
    spring: Spring | None = None
    bump_stop: BumpStop | None = None
    droop_strap: Positive | None = None


# --- parts -------------------------------------------------------------------------------------


class Tube(Tagged, frozen=True, tag="tube"):
    """A round tube through two or more points of one body."""

    body: Name
    points: Annotated[tuple[Name, ...], Meta(min_length=2)]
    diameter: Positive
    is_a: Name = "arm"


class Plate(Tagged, frozen=True, tag="plate"):
    """A flat plate: its outline's corners in order (its middle surface) and its thickness."""

    body: Name
    outline: Annotated[tuple[Xyz, ...], Meta(min_length=3)]
    thickness: Positive
    is_a: Name = "chassis"


class Box(Tagged, frozen=True, tag="box"):
    """A box square to the vehicle axes when its body stands as measured."""

    body: Name
    least: Xyz
    most: Xyz
    is_a: Name = "chassis"


class Cylinder(Tagged, frozen=True, tag="cylinder"):
    """A flat-ended cylinder between two points of one body: a hub, caliper envelope, joint."""

    body: Name
    points: tuple[Name, Name]
    diameter: Positive
    is_a: Name = "upright"


class Shaft(Tagged, frozen=True, tag="shaft"):
    """A drive shaft between an inner joint on one body and an outer joint on another."""

    inner: End
    outer: End
    diameter: Positive = 28.0
    inner_joint: tuple[Positive, Positive] | None = None
    outer_joint: tuple[Positive, Positive] | None = None
    is_a: Name = "shaft"


class Scan(Tagged, frozen=True, tag="scan"):
    """An imported mesh file beside the project, carried by a body."""

    body: Name
    file: str
    file_unit: Literal["mm", "cm", "m", "in"]
    is_a: Name = "scan"


PartSpec = Tube | Plate | Box | Cylinder | Shaft | Scan


class Tower(Record, frozen=True):
    """A fabricated tower around the coilover's top, made of flat panels.

    The top plate spans ``rear`` to ``front`` (x) and ``inner`` to ``outer`` (the distance from
    the car's centre plane), its upper surface at height ``top``. Panels hang from its four
    edges down to the heights given (None: no such panel). ``lip`` is the width of a fold at the
    foot of the outer panel, turned outboard (positive) or inboard (negative). When
    ``moves_with_top`` the tower goes along when the top mount is moved.
    """

    front: Length
    rear: Length
    inner: Length
    outer: Length
    top: Length
    thickness: Positive = 3.0
    front_down_to: Length | None = None
    rear_down_to: Length | None = None
    inner_down_to: Length | None = None
    outer_down_to: Length | None = None
    lip: Length = 0.0
    hole: NotNegative = 0.0
    moves_with_top: bool = True


class Rule(Record, frozen=True):
    """Keep ``at_least`` between two parts or classes of part (``anything`` matches all)."""

    between: tuple[Name, Name]
    at_least: Length
    why: str = ""


class Project(Record, frozen=True, kw_only=True):
    """One corner of one car. See the module docstring for axes and names.

    The points are where they were measured; ``setup_wheel_z`` is the height of the wheel
    centre at set-up height when that differs (a car measured hanging on its dampers).
    """

    clearstroke: Literal[1] = 1
    title: str
    data: Literal["measured", "invented", "published"] = "measured"
    source: str = ""
    notes: str = ""
    units: Literal["mm", "in"] = "mm"
    side: Literal["left", "right"] = "left"
    ground_z: Length = 0.0
    setup_wheel_z: Length | None = None
    points: dict[Name, Xyz]
    arrangement: Arrangement | None = None
    bodies: tuple[Name, ...] = ()
    links: dict[Name, Link] = {}
    joints: dict[Name, Joint] = {}
    rack: Rack | None = None
    wheel: Wheel
    coilover: Coilover | None = None
    tower: Tower | None = None
    parts: dict[Name, PartSpec] = {}
    travel: tuple[Length, Length] | None = None
    rules: tuple[Rule, ...] | None = None
