"""Ready-made arrangements: each stands for bodies, links, joints and the tubes of its arms.

``BODIES`` are the moving bodies an arrangement brings, by the names that a coilover foot, a
drive shaft or a part may be put on.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Annotated, ClassVar

from kinematics.project.basics import (
    UPRIGHT,
    Name,
    PointName,
    Positive,
    Record,
    Tagged,
    says,
)

LOWER_ARM = "lower arm"
UPPER_ARM = "upper arm"

InnerOuter = Annotated[
    tuple[PointName, PointName], says("the point on the chassis, then the point on the upright")
]


class Arm(Record, frozen=True):
    """An arm on two chassis pivots with one outer ball joint, made of two tubes."""

    front: Annotated[PointName, says("its front pivot, on the chassis")]
    rear: Annotated[PointName, says("its rear pivot, on the chassis")]
    outer: Annotated[PointName, says("its ball joint, on the upright")]
    diameter: Annotated[Positive, says("of its two tubes")] = 30.0


class Wishbones(Tagged, frozen=True, tag="wishbones"):
    """Upper and lower arm and a track rod (on the rack) or, unsteered, a toe link."""

    BODIES: ClassVar[tuple[str, ...]] = (UPRIGHT, LOWER_ARM, UPPER_ARM)

    lower: Annotated[Arm, says("the lower arm")]
    upper: Annotated[Arm, says("the upper arm")]
    tie_inner: Annotated[PointName, says("on the rack if steered, else on the chassis")]
    tie_outer: Annotated[PointName, says("on the upright")]
    steered: Annotated[bool, says("the track rod is on the rack; else it is a toe link")] = True


class Strut(Tagged, frozen=True, tag="strut"):
    """A strut clamped to the upright, a lower arm, and a track rod or, unsteered, a toe link.

    The strut's line runs through the coilover's ``foot`` and ``top`` points.
    """

    BODIES: ClassVar[tuple[str, ...]] = (UPRIGHT, LOWER_ARM)

    lower: Annotated[Arm, says("the lower arm")]
    tie_inner: Annotated[PointName, says("on the rack if steered, else on the chassis")]
    tie_outer: Annotated[PointName, says("on the upright")]
    steered: Annotated[bool, says("the track rod is on the rack; else it is a toe link")] = True


class StrutLinks(Tagged, frozen=True, tag="strut_links"):
    """A rear strut clamped to the upright, two lateral links and a radius rod."""

    BODIES: ClassVar[tuple[str, ...]] = (UPRIGHT,)

    front_link: InnerOuter
    rear_link: InnerOuter
    radius_rod: InnerOuter


class FiveLinks(Tagged, frozen=True, tag="five_links"):
    """Five links from chassis to upright, each named."""

    BODIES: ClassVar[tuple[str, ...]] = (UPRIGHT,)

    links: Annotated[dict[Name, InnerOuter], says("five of them; each becomes a link so named")]


class RadiusArm(Tagged, frozen=True, tag="radius_arm"):
    """A forward or rearward radius arm, and lateral links.

    ``rigid``: the arm is bolted solid to the upright and has one ball on the chassis; two
    lateral links hold the rest. Not rigid: the arm is a rod with a ball at either end, its
    outer one ``arm_outer``, and four lateral links are needed.
    """

    BODIES: ClassVar[tuple[str, ...]] = (UPRIGHT,)

    arm_chassis: Annotated[PointName, says("the arm's pivot on the chassis")]
    lateral: Annotated[dict[Name, InnerOuter], says("each becomes a link of that name")]
    arm_outer: Annotated[
        PointName | None, says("its ball on the upright, where it is not rigid")
    ] = None
    rigid: Annotated[bool, says("bolted solid to the upright")] = True
    through: Annotated[
        tuple[PointName, ...],
        says("the points the arm's tube passes, from the upright; it ends at arm_chassis"),
    ] = ()
    diameter: Annotated[Positive, says("of the arm's tube")] = 38.0


class TrailingArm(Tagged, frozen=True, tag="trailing_arm"):
    """A trailing or semi-trailing arm: the upright is one with the arm, on one chassis hinge.

    It swings about the line through its two pivots: square to the car for a trailing arm,
    swept for a semi-trailing one.
    """

    BODIES: ClassVar[tuple[str, ...]] = (UPRIGHT,)

    inner_pivot: Annotated[PointName, says("its pivot nearer the middle of the car")]
    outer_pivot: Annotated[PointName, says("its pivot nearer the wheel")]
    diameter: Annotated[Positive, says("of the arm's tubes")] = 45.0


class HArm(Tagged, frozen=True, tag="h_arm"):
    """A lower H-arm on a chassis hinge, an upper link, a toe link and an integral link.

    The lower arm carries the upright on the ball ``outer``; the integral link from ``arm_post``
    on the arm to ``upright_post`` on the upright stops the upright winding up.
    """

    BODIES: ClassVar[tuple[str, ...]] = (UPRIGHT, LOWER_ARM)

    front: Annotated[PointName, says("the lower arm's front pivot, on the chassis")]
    rear: Annotated[PointName, says("the lower arm's rear pivot, on the chassis")]
    outer: Annotated[PointName, says("the lower arm's ball, on the upright")]
    upper: InnerOuter
    toe: InnerOuter
    arm_post: Annotated[PointName, says("end of the integral link on the lower arm")]
    upright_post: Annotated[PointName, says("end of the integral link on the upright")]
    diameter: Annotated[Positive, says("of the lower arm's tubes")] = 35.0


Arrangement = Wishbones | Strut | StrutLinks | FiveLinks | RadiusArm | TrailingArm | HArm


def lines(arrangement: Arrangement | None) -> Iterator[tuple[str, str, str]]:
    """Every line of an arrangement that two of its points give, a hinge's, a link's or a tube's:
    the entry it comes from, and the two points' names."""
    match arrangement:
        case Wishbones():
            yield from _arm("lower.", arrangement.lower)
            yield from _arm("upper.", arrangement.upper)
            yield "tie_inner", arrangement.tie_inner, arrangement.tie_outer
        case Strut():
            yield from _arm("lower.", arrangement.lower)
            yield "tie_inner", arrangement.tie_inner, arrangement.tie_outer
        case StrutLinks():
            yield "front_link", *arrangement.front_link
            yield "rear_link", *arrangement.rear_link
            yield "radius_rod", *arrangement.radius_rod
        case FiveLinks(links=links):
            yield from ((f"links.{name}", *link) for name, link in links.items())
        case RadiusArm(lateral=links, arm_outer=outer):
            tube = (outer, *arrangement.through) if outer else arrangement.through
            for one, other in pairwise((*tube, arrangement.arm_chassis)):
                yield "through", one, other
            yield from ((f"lateral.{name}", *link) for name, link in links.items())
        case TrailingArm():
            yield "inner_pivot", arrangement.inner_pivot, arrangement.outer_pivot
        case HArm():
            yield from _arm("", arrangement)
            yield "upper", *arrangement.upper
            yield "toe", *arrangement.toe
            yield "arm_post", arrangement.arm_post, arrangement.upright_post
        case _:
            pass


def _arm(path: str, arm: Arm | HArm) -> Iterator[tuple[str, str, str]]:
    yield f"{path}front", arm.front, arm.rear
    yield f"{path}front", arm.front, arm.outer
    yield f"{path}rear", arm.rear, arm.outer
