"""What can't be right in weights, stops, springs' extras and bearings, in plain sentences."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from kinematics.project.equipment import Coilover, Spring
from kinematics.project.loads import Bearing
from kinematics.project.model import Ball, Hinge, Project
from kinematics.project.unfold import unfold

Pairs = tuple[tuple[float, float], ...]


def load_problems(project: Project) -> Iterator[str]:
    """Sentences that begin with the path of the entry they are about."""
    loads = project.loads
    if loads is not None and loads.unsprung_kg >= loads.corner_kg:
        yield "loads.unsprung_kg: it must be less than corner_kg, of which it is a part."
    if project.coilover is not None:
        yield from _coilover(project.coilover)
    for name, stop in project.stops.items():
        if stop.solid > stop.meets:
            yield f"stops.{name}.solid: it must not be more than meets."
        yield from _curve(stop.curve, f"stops.{name}.curve")
    for name, bearing in project.bearings.items():
        yield from _bearing(bearing, f"bearings.{name}")


def load_cautions(project: Project) -> Iterator[str]:
    """Bearings at points where nothing swivels, and so are not looked at."""
    whole = unfold(project)
    swivels = {end.point for link in whole.links.values() for end in (link.inner, link.outer)}
    for joint in whole.joints.values():
        if isinstance(joint, Ball):
            swivels.add(joint.at)
        elif isinstance(joint, Hinge):
            swivels.update(joint.along)
    if whole.coilover is not None:
        swivels |= {whole.coilover.foot.point, whole.coilover.top.point}
    for point in project.bearings:
        if point not in swivels:
            yield f"bearings.{point}: no link, joint or coilover swivels there; it is not used."


def _coilover(coilover: Coilover) -> Iterator[str]:
    if coilover.bump_stop is not None:
        stop = coilover.bump_stop
        yield from _curve(stop.curve, "coilover.bump_stop.curve")
        if stop.full_squash is not None and stop.full_squash > stop.free - stop.solid:
            yield "coilover.bump_stop.full_squash: it is more than free less solid."
    if coilover.droop_stop is not None:
        yield from _curve(coilover.droop_stop.curve, "coilover.droop_stop.curve")
        if coilover.droop_stop.solid > coilover.droop_stop.free:
            yield "coilover.droop_stop: solid must not be more than free."
    if coilover.spring is not None:
        yield from _spring(coilover.spring)


def _spring(spring: Spring) -> Iterator[str]:
    yield from _curve(spring.curve, "coilover.spring.curve")
    if spring.helper is not None and spring.helper.solid >= spring.helper.free:
        yield "coilover.spring.helper: solid must be less than free."
    inner = spring.inner
    if inner is not None and inner.solid >= inner.free:
        yield "coilover.spring.inner: solid must be less than free."
    if inner is not None and inner.outside > spring.outside - 2.0 * spring.wire:
        yield "coilover.spring.inner.outside: it does not go inside the main spring."
    if spring.free is not None and spring.solid is not None and spring.solid >= spring.free:
        yield "coilover.spring.solid: it must be less than free, the length on the bench."


def _curve(pairs: Pairs | None, path: str) -> Iterator[str]:
    rising = [(0.0, 0.0), *(pair for pair in pairs or () if pair != (0.0, 0.0))]
    if any(not (b[0] > a[0] and b[1] > a[1]) for a, b in pairwise(rising)):
        yield f"{path}: squash and force must both rise from each pair to the next."


def _bearing(bearing: Bearing, path: str) -> Iterator[str]:
    ball, width, housing = bearing.ball, bearing.ball_width, bearing.housing_width
    sized = ball is not None and housing is not None and (width or bearing.spacer_neck)
    headed = bearing.head and housing and (bearing.clevis_gap or width)
    limited = bearing.limit_deg is not None or bearing.twist_limit_deg is not None
    if bearing.ends_travel and not (limited or sized or headed):
        yield f"{path}.ends_travel: it has no limit; give limit_deg, or its sizes."
    if bearing.axis is not None and not math.hypot(*bearing.axis) > 1e-6:
        yield f"{path}.axis: it has no direction."
    if ball is not None and width is not None and width >= ball:
        yield f"{path}.ball_width: it must be less than the ball's diameter."
    if housing is not None and any(
        limit is not None and housing > limit for limit in (ball, width)
    ):
        yield f"{path}.housing_width: it must not be more than the ball or its width."
    if ball is not None and bearing.spacer_neck is not None and bearing.spacer_neck >= ball:
        yield f"{path}.spacer_neck: it must be less than the ball's diameter."
    gap = bearing.clevis_gap
    if gap is not None and housing is not None and gap < housing:
        yield f"{path}.clevis_gap: the housing does not go into it."
