"""How a corner moves: links, joints and the rack, each between named points of named bodies."""

from __future__ import annotations

from typing import Annotated

from kinematics.project.basics import (
    CHASSIS,
    BodyName,
    End,
    Length,
    Name,
    PointName,
    Positive,
    Record,
    Tagged,
    says,
)

Two = tuple[BodyName, BodyName]
Line = tuple[PointName, PointName]


class Link(Record, frozen=True):
    """A rod with a ball at either end: a lateral link, track rod, toe link or pushrod.

    Its length is the distance between its two points, plus ``adjust``.
    """

    inner: Annotated[End, says("the end nearer the middle of the car")]
    outer: Annotated[End, says("the end nearer the wheel")]
    diameter: Annotated[Positive, says("of its tube")] = 25.0
    through: Annotated[
        tuple[PointName, ...], says("for a bent link: the points its tube passes, from the inner")
    ] = ()
    adjust: Annotated[Length, says("a threaded end wound out by this much is positive")] = 0.0
    adjust_range: Annotated[
        tuple[Length, Length] | None, says("least and most adjust there is thread for")
    ] = None


class Ball(Tagged, frozen=True, tag="ball"):
    """A ball joint, rod end or rubber bush taken as a ball: one point held by two bodies."""

    at: Annotated[PointName, says("the ball's middle")]
    bodies: Annotated[Two, says("the two it joins")]


class Hinge(Tagged, frozen=True, tag="hinge"):
    """A hinge: two bodies share the line through two points (an arm's two chassis bushes)."""

    along: Annotated[Line, says("two points of the hinge's line")]
    bodies: Annotated[Two, says("the two it joins")]


class Slide(Tagged, frozen=True, tag="slide"):
    """A straight slide without turning: the second body moves along the line in the first."""

    along: Annotated[Line, says("two points of the line")]
    bodies: Annotated[Two, says("the one that carries the line, then the one that slides")]


class PointOnLine(Tagged, frozen=True, tag="point_on_line"):
    """A point of the second body stays on a line carried by the first.

    A strut is this: the line is the damper rod carried by the upright, the point is the top
    bearing on the chassis; the strut slides along the rod, turns about it and tilts at the top.
    """

    line: Annotated[Line, says("two points of the line")]
    point: Annotated[PointName, says("the point that stays on it")]
    bodies: Annotated[
        Two, says("the one that carries the line, then the one that carries the point")
    ]


Joint = Ball | Hinge | Slide | PointOnLine


class Adjuster(Record, frozen=True, kw_only=True):
    """A shim, cam or threaded end: a named change that can be wound in, and its range.

    Of a ``link``, by which it gets longer; or of ``points``, by which they move along ``direction``
    on the ``body`` that carries them, while what is fixed to them keeps its shape. Nought is as
    measured.
    """

    link: Annotated[Name | None, says("the link that gets longer; else name points")] = None
    points: Annotated[tuple[PointName, ...], says("points that move together")] = ()
    body: Annotated[BodyName, says("the body they are shimmed or slotted on")] = CHASSIS
    direction: Annotated[
        tuple[float, float, float] | None, says("way the points move as it is wound in")
    ] = None
    least: Annotated[Length, says("the least it can be wound in")] = 0.0
    most: Annotated[Length, says("the most it can be wound in")]
    set: Annotated[Length, says("how far it is wound in now")] = 0.0


class Rack(Record, frozen=True):
    """A steering rack: the body ``rack`` slides along y by the rack travel, +y to the left."""

    least: Annotated[Length, says("rack travel at full lock one way, negative")] = -60.0
    most: Annotated[Length, says("rack travel at full lock the other way")] = 60.0
