"""The coilover as exact solids on the moving line from its foot to its top bearing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from kinematics.frames import unit
from kinematics.project.coils import growth_in, spring_rate
from kinematics.project.model import BumpStop, Coilover, Helper, Project, Spring
from kinematics.shapes.pieces import Array, Part, Piece, Ring, Rod
from kinematics.shapes.poses import Anchor, Poses, anchor
from kinematics.shapes.recipe import Carried, Recipe, drum, ring

MOUNT_STACK = 35.0
"""Top bearing centre down to the bump stop's seat when nothing says so, mm: common practice."""
SPRING_AS_DRAWN = 100.0
"""Length of the spring's profile before it is stretched, mm."""

SHORTEST = 1.0
"""Length a spring is drawn and checked at least at, mm, where seat and top hat have met."""
STOP_SHARE = 0.9
"""Bump stop's diameter as a share of the damper's body, where none is typed: common practice, no
source."""


@dataclass(frozen=True, slots=True)
class Stack:
    """Where things sit along a coilover, mm.

    body_top : foot eye centre up to the top of the damper's body. stop : top bearing centre down
    to the bump stop's seat, which the body would meet when the damper is closed with the stop off.
    """

    body_top: float
    stop: float


def stack(coilover: Coilover) -> Stack:
    """The stack; a body length not given follows from the closed length and the spring's top."""
    if coilover.body_length is not None:
        return Stack(coilover.body_length, max(coilover.closed - coilover.body_length, 0.0))
    stop = MOUNT_STACK if coilover.spring is None else max(coilover.spring.end_from_top, 10.0)
    return Stack(coilover.closed - stop, stop)


def recipes(coilover: Coilover, project: Project) -> Iterator[Recipe]:
    """Damper body and shaft, spring, and what else of the coilover has its diameter given."""
    foot, top = anchor(project, coilover.foot), anchor(project, coilover.top)
    yield _body(coilover, foot, top)
    yield _shaft(coilover, foot, top)
    if (stop := shown_stop(coilover)) is not None:
        yield _bump_stop(coilover, stop, foot, top)
    if (spring := coilover.spring) is not None:
        yield _spring(spring, coilover.closed, foot, top)
        if spring.seat_outside is not None:
            yield _seat(spring, spring.seat_outside, foot, top)
        if spring.hat_outside is not None:
            yield _top_hat(spring, spring.hat_outside, foot, top)
        if spring.helper is not None and spring.helper.outside is not None:
            yield _helper(spring, spring.helper, spring.helper.outside, foot, top)


def _body(coilover: Coilover, foot: Anchor, top: Anchor) -> Recipe:
    radius, length = coilover.body_diameter / 2, stack(coilover).body_top
    profile = drum(radius, 0.0, length)

    thread, ends = coilover.thread, foot_pieces(coilover, foot)

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        piece = Ring(line.at(0.0), line.direction, profile)
        body = _part("damper body", "damper", piece, line.stray(length, radius))
        eyes = [solid.make(poses) for solid in ends]
        strays = [poses.stray(foot.body, solid.hull) for solid in ends]
        body = replace(body, pieces=(*body.pieces, *eyes), sagitta=(*body.sagitta, *strays))
        if thread is None:
            return body
        wide, far = thread.diameter / 2, max(abs(thread.start), abs(thread.end))
        long = drum(wide, 0.0, thread.end - thread.start)
        sleeve = Ring(line.at(thread.start), line.direction, long)
        sagitta = (*body.sagitta, line.stray(far, wide))
        return replace(body, pieces=(*body.pieces, sleeve), sagitta=sagitta)

    return make


def foot_pieces(coilover: Coilover, foot: Anchor) -> list[Carried]:
    """The eye at the foot as a cylinder along its bolt, or a clevis's two cheeks.

    The bolt is carried by what carries the foot; about it they look the same however the damper
    leans.
    """
    end = coilover.foot_end
    if end is None:
        return []
    out, within = end.width / 2, end.gap / 2
    spans = [(-out, -within), (within, out)] if within > 0.0 else [(-out, out)]
    axis = unit(np.asarray(end.axis, float))
    return [ring(foot.body, foot.xyz, axis, drum(end.diameter / 2, *span)) for span in spans]


def _shaft(coilover: Coilover, foot: Anchor, top: Anchor) -> Recipe:
    length, radius = stack(coilover).body_top, coilover.shaft_diameter / 2

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        piece = Rod(ends(line.at(length), line.end), radius)
        return _part(
            "damper shaft", "damper", piece, np.maximum(line.stray(length), line.end_stray)
        )

    return make


def stop_radius(coilover: Coilover, stop: BumpStop) -> float:
    """The bump stop's outer radius, mm."""
    return (stop.diameter or STOP_SHARE * coilover.body_diameter) / 2


def shown_stop(coilover: Coilover) -> BumpStop | None:
    """The bump stop, where it is not inside the spring at every length of the damper.

    Inside the spring's envelope nothing comes nearer to it than to the spring, which is checked.
    """
    stop, spring, place = coilover.bump_stop, coilover.spring, stack(coilover)
    if stop is None or stop.free <= SHORTEST:
        return None
    inside = (
        spring is not None
        and stop_radius(coilover, stop) <= spring.outside / 2
        and spring.end_from_top <= place.stop + stop.packer
        and spring.seat_from_foot <= place.body_top
    )
    return None if inside else stop


def stop_length(coilover: Coilover, stop: BumpStop, length: Array) -> Array:
    """The bump stop's length (n,) in a damper of some lengths (n,): once the body has come up to
    it, what lies between that and its seat."""
    place = stack(coilover)
    room = length - place.body_top - place.stop - stop.packer
    return np.asarray(np.clip(room, min(SHORTEST, stop.free), stop.free))


def _bump_stop(coilover: Coilover, stop: BumpStop, foot: Anchor, top: Anchor) -> Recipe:
    """A cylinder under its seat, full to its middle, where the shaft is.

    Its length bends where the body meets it: between two positions by no more than a quarter of
    what the damper moves.
    """
    high, radius = stack(coilover).stop + stop.packer, stop_radius(coilover, stop)
    profile = drum(radius, 0.0, stop.free)

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        squash = stop_length(coilover, stop, line.length) - stop.free
        piece = Ring(line.below(high), -line.direction, profile, squash)
        stray = line.stray(high + stop.free, radius, from_end=True)
        return _part("bump stop", "damper", piece, stray + _steps(line.length, poses) / 4)

    return make


def _spring(spring: Spring, closed: float, foot: Anchor, top: Anchor) -> Recipe:
    """The spring's envelope: a cylinder from seat to top hat that follows the damper.

    As wide as typed at every length; or, where its coils are let grow, as wide at every length as
    they are with the damper closed, which they nowhere exceed.
    """
    low, high = spring.seat_from_foot, spring.end_from_top
    radius = spring.outside / 2 + growth(spring, closed) / 2
    profile = drum(radius, 0.0, SPRING_AS_DRAWN)

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        stretch = np.maximum(line.length - low - high, SHORTEST) - SPRING_AS_DRAWN
        piece = Ring(line.at(low), line.direction, profile, stretch)
        sagitta = np.maximum(line.stray(low, radius), line.stray(high, radius, from_end=True))
        return _part("spring", "spring", piece, sagitta)

    return make


def growth(spring: Spring, closed: float) -> float:
    """How much wider than typed the spring is taken, mm on the diameter; `closed` as a damper's."""
    if not spring.coils_grow:
        return 0.0
    grown = growth_in(spring, closed - spring.seat_from_foot - spring.end_from_top)
    return 0.0 if grown is None else max(float(grown), 0.0)


def _helper(spring: Spring, helper: Helper, outside: float, foot: Anchor, top: Anchor) -> Recipe:
    """The helper's envelope under the top hat, as long as the two springs' rates leave it.

    Both carry one force: of a squash x the helper takes k / (k + its own rate), k the main
    spring's, until it is flat. Where the main spring's rate or length is not known it is as long
    as on the bench. Its length bends where it is first squashed and goes flat: between two
    positions by no more than a quarter of what the damper moves.
    """
    high, radius, profile = spring.end_from_top, outside / 2, drum(outside / 2, 0.0, helper.free)

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        long = helper_length(spring, helper, line.length - spring.seat_from_foot - high)
        piece = Ring(line.below(high), -line.direction, profile, long - helper.free)
        bend = _steps(line.length, poses) / 4
        stray = line.stray(high + helper.free, radius, from_end=True) + bend
        return _part("helper spring", "spring", piece, stray)

    return make


def helper_length(spring: Spring, helper: Helper, room: Array) -> Array:
    """The helper's length (n,) when both springs have `room` (n,) mm between them."""
    stiff = spring_rate(spring)
    if stiff is None or spring.free is None:
        return np.full(room.shape, helper.free)
    squash = np.maximum(spring.free + helper.free - room, 0.0)
    share = stiff / (stiff + helper.rate_n_per_mm)
    return np.asarray(np.maximum(helper.free - share * squash, helper.solid))


def _steps(length: Array, poses: Poses) -> Array | float:
    """How much a damper's length (n,) changes over each travel interval, (nz - 1, ns) mm."""
    if poses.intervals == 0:
        return 0.0
    nz, ns = poses.motion.shape
    return np.abs(np.diff(np.broadcast_to(length, nz * ns).reshape(nz, ns), axis=0))


def _top_hat(spring: Spring, outside: float, foot: Anchor, top: Anchor) -> Recipe:
    """The top hat's rim: a disc on the spring's upper end."""
    high, radius = spring.end_from_top, outside / 2
    profile = drum(radius, 0.0, spring.hat_height)

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        piece = Ring(line.below(high), line.direction, profile)
        far = max(high, spring.hat_height - high)
        return _part("top hat", "damper", piece, line.stray(far, radius, from_end=True))

    return make


def _seat(spring: Spring, outside: float, foot: Anchor, top: Anchor) -> Recipe:
    high = spring.seat_from_foot
    low, radius = high - spring.seat_thickness, outside / 2
    profile = drum(radius, 0.0, spring.seat_thickness)

    def make(poses: Poses) -> Part:
        line = poses.line(foot, top)
        piece = Ring(line.at(low), line.direction, profile)
        return _part("spring seat", "damper", piece, line.stray(max(-low, high), radius))

    return make


def _part(name: str, kind: str, piece: Piece, sagitta: Array | float) -> Part:
    """A part of the coilover, which moves with the line from foot to top: a body of its own."""
    return Part(name, "coilover", kind, (piece,), sagitta=(sagitta,))


def ends(a: Array, b: Array) -> Array:
    """Two points over poses (n, 3) or (1, 3) as the ends (n, 2, 3) of a rod."""
    a, b = np.broadcast_arrays(a, b)
    return np.ascontiguousarray(np.stack([a, b], axis=1))
