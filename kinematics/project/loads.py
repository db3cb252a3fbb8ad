"""What the corner carries and what limits it: weights, load cases, bearings, stops, hoses."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from kinematics.project.basics import (
    BodyName,
    End,
    Name,
    NotNegative,
    Positive,
    Record,
    says,
)

Kilograms = Annotated[float, Meta(gt=0, le=20_000)]
Spread = Annotated[float, Meta(ge=0, le=90)]
Times = Annotated[float, Meta(ge=-100, le=100)]
Newtons = Annotated[float, Meta(ge=0)]
ForcePoints = Annotated[
    tuple[tuple[NotNegative, Newtons], ...],
    says("pairs of squash and force, both rising; 0, 0 may be left out"),
]


class LoadCase(Record, frozen=True):
    """The forces at the tyre's contact, as multiples of the weight on this corner."""

    up: Annotated[Times, says("1 is the car standing still")] = 1.0
    back: Annotated[Times, says("rearward: braking; negative: driving forward")] = 0.0
    inboard: Annotated[Times, says("toward the car: this wheel outside in a corner")] = 0.0


class Loads(Record, frozen=True):
    """The weight on this corner and where brake and drive torque go.

    ``brake`` and ``drive``: ``outboard`` when the caliper or hub motor sits on the upright, whose
    links then feel the torque; ``inboard`` when a drive shaft takes it to the chassis.
    """

    corner_kg: Annotated[Kilograms, says("as the scales under this wheel read it, loaded")]
    unsprung_kg: Annotated[
        Annotated[float, Meta(ge=0, le=2_000)],
        says("of that: wheel, tyre, hub, brake and half of each link, spring and shaft"),
    ] = 0.0
    brake: Annotated[
        Literal["outboard", "inboard"],
        says("outboard: a caliper on the upright; inboard: a drive shaft takes it to the chassis"),
    ] = "outboard"
    drive: Annotated[
        Literal["outboard", "inboard"],
        says("outboard: a motor in the hub; inboard: a drive shaft brings it from the chassis"),
    ] = "inboard"
    cases: Annotated[
        dict[Name, LoadCase] | None,
        says("load cases by name; left out means the usual ones (common practice, no source)"),
    ] = None


class Bearing(Record, frozen=True):
    """What lets a member swivel at one point: a rod end, ball joint, spherical bearing or bush.

    Its limit is ``limit_deg``, or follows from its sizes; the smaller when both are given.
    """

    rubber: Annotated[bool, says("a bonded bush: it twists and cones instead of sliding")] = False
    bolt: Annotated[
        Literal["across", "along"] | None,
        says("its bolt runs across the member, or along it as a damper shaft does; usual if out"),
    ] = None
    axis: Annotated[
        tuple[float, float, float] | None,
        says("direction of its bolt, or of the plate's bore for a bolt along; usual if out"),
    ] = None
    held_by: Annotated[BodyName | None, says("body that holds the bolt; usual if out")] = None
    limit_deg: Annotated[Spread | None, says("tilt either way, from its maker")] = None
    twist_limit_deg: Annotated[Spread | None, says("for a bonded bush: twist either way")] = None
    ends_travel: Annotated[
        bool, says("its limit is hard: the wheel goes no farther. Else it is only reported")
    ] = False
    ball: Annotated[Positive | None, says("diameter of the ball")] = None
    ball_width: Annotated[Positive | None, says("of the ball across its flats")] = None
    housing_width: Annotated[Positive | None, says("of the housing round the ball")] = None
    head: Annotated[Positive | None, says("outside diameter of a rod end's head")] = None
    clevis_gap: Annotated[
        Positive | None, says("between the cheeks; left out: ball and spacers fill it")
    ] = None
    spacer_neck: Annotated[
        Positive | None, says("diameter of misalignment spacers beside the ball")
    ] = None
    spacer_length: Annotated[NotNegative, says("of the misalignment spacer on each side")] = 0.0


class OutsideStop(Record, frozen=True):
    """A bump stop beside the damper: between a point of a moving body and one of another."""

    on: Annotated[End, says("where it sits")]
    against: Annotated[End, says("what it meets")]
    meets: Annotated[Positive, says("distance between the two points when it first touches")]
    solid: Annotated[Positive, says("distance between them when it will squash no more")]
    curve: ForcePoints | None = None
    packer: Annotated[
        NotNegative, says("height of packers under it, besides what the two distances allow for")
    ] = 0.0


class Strap(Record, frozen=True):
    """A limit strap or cable beside the damper."""

    ends: Annotated[tuple[End, End], says("its two fixings")]
    length: Annotated[Positive, says("pulled taut, fixing to fixing")]


class Hose(Record, frozen=True):
    """A brake hose or line between two clips."""

    ends: Annotated[tuple[End, End], says("its two clips")]
    length: Annotated[Positive, says("between the clips, laid straight")]
    least_slack: Annotated[NotNegative, says("slack to keep at every position")] = 20.0
