"""The coilover lying down, foot to the left: damper, spring, bump stop and where each begins."""

from __future__ import annotations

from math import dist

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPen

from app.describe.drafting import Board, across, figure
from app.document.tree import Path
from kinematics.project.model import BumpStop, Coilover, InnerSpring, Project, Spring
from kinematics.shapes.coilover import stack, stop_radius

DAMPER: Path = ("coilover",)
SPRING: Path = ("coilover", "spring")
STOP: Path = ("coilover", "bump_stop")
CLAMP: Path = ("coilover", "clamp")
WITHIN = (STOP, ("coilover", "droop_stop"), ("coilover", "thread"))
"""Records of what the spring hides: it is drawn as an outline then."""


def draw(board: Board, project: Project) -> None:
    """The whole of it as long as it was measured, with the dimensions of the record in hand."""
    coilover = project.coilover
    if coilover is None:
        return
    ends = (project.points[end.point] for end in (coilover.foot, coilover.top))
    long = min(max(dist(*ends), coilover.closed), coilover.open)
    wide = _half(coilover)
    board.fit((-22.0, -wide), (max(coilover.open, long) + 22.0, wide), (10, 62, 10, 88))
    stop = stack(coilover)
    _damper(board, coilover, long, stop.body_top)
    bump = coilover.bump_stop
    if bump is not None:
        _bump_stop(board, bump, long - stop.stop, stop_radius(coilover, bump))
    if coilover.spring is not None:
        _spring(board, coilover.spring, long, faint=board.current[:2] in WITHIN)
    board.line((-20.0, 0.0), (coilover.open + 18.0, 0.0), "centre")
    if board.current[:2] == SPRING and coilover.spring is not None:
        _of_spring(board, coilover.spring, long)
    elif board.current[:2] == STOP and bump is not None:
        _of_stop(board, bump, long, stop.stop, stop_radius(coilover, bump))
    else:
        _of_damper(board, coilover, long, stop.body_top)
    eye, rise = 14.0 * board.per, QPointF(0.0, -24 * board.scale)
    board.word("foot", QPointF(board.place.left(), board.at(0, 0).y()) + rise, "left")
    board.word("top", board.at(long, 0) + rise + QPointF(eye, 0.0), "left")


def _half(coilover: Coilover) -> float:
    sizes = [coilover.body_diameter, 44.0]
    spring = coilover.spring
    if spring is not None:
        sizes += [spring.outside, spring.seat_outside or 0.0, spring.hat_outside or 0.0]
    return max(sizes) / 2 + 2.0


def _damper(board: Board, coilover: Coilover, long: float, body: float) -> None:
    r, rod = coilover.body_diameter / 2, coilover.shaft_diameter / 2
    board.box((body, -rod), (long, rod), "shaft")
    board.box((14.0, -r), (body, r), "damper")
    board.box((body - 6.0, -r * 0.86), (body, r * 0.86), "damper")
    thread = coilover.thread
    if thread is not None:
        w = thread.diameter / 2
        board.box((thread.start, -w), (thread.end, w), "damper")
        step, x = 5.0, thread.start + 4.0
        while x < thread.end - 1.0:
            board.line((x - 1.5, -w), (x + 1.5, w))
            x += step
    for x in (0.0, long):
        board.disc(x, 0.0, 14.0, "arm")
        board.disc(x, 0.0, 6.0, "tyre")


def _bump_stop(board: Board, stop: BumpStop, seat: float, r: float) -> None:
    """From its seat under the top down to its tip, packers above it; r its radius."""
    top = seat
    if stop.packer > 0:
        board.box((top - stop.packer, -r), (top, r), "arm")
        top -= stop.packer
    if stop.free <= 0:
        return
    waists = 3
    step = stop.free / waists
    upper = []
    for k in range(waists):
        a = top - k * step
        wide = r * (1.0 - 0.12 * k)
        upper += [
            (a, wide - 3),
            (a - step * 0.25, wide),
            (a - step * 0.75, wide),
            (a - step, wide - 4),
        ]
    board.shape([*upper, *((x, -y) for x, y in reversed(upper))], "scan")


def _spring(board: Board, spring: Spring, long: float, faint: bool) -> None:
    low, high = spring.seat_from_foot, long - spring.end_from_top
    if spring.seat_outside is not None:
        w = spring.seat_outside / 2
        board.box((low - spring.seat_thickness, -w), (low, w), "arm")
    if spring.hat_outside is not None:
        w = spring.hat_outside / 2
        board.box((high, -w), (high + spring.hat_height, w), "arm")
    if high - low < 2 * spring.wire:
        return
    if faint:
        for side in (-1.0, 1.0):
            y = side * spring.outside / 2
            board.line((low, y), (high, y), "dashed")
        return
    coils = spring.total_coils or ((spring.active_coils or 6.0) + 2.0)
    _coils(board, low, high, spring.outside / 2, spring.wire, coils)


def _coils(board: Board, low: float, high: float, radius: float, wire: float, coils: float) -> None:
    """The wire's near side, turn by turn, over its far side."""
    painter, p = board.painter, board.palette
    turns = max(3, min(14, round(coils)))
    step = (high - low - wire) / turns
    r = radius - wire / 2
    for near in (False, True):
        for k in range(turns):
            x = low + wire / 2 + k * step
            a, b = (x, -r), (x + step / 2, r)
            if not near:
                a, b = (x + step / 2, r), (x + step, -r)
            for colour, width in ((p.ink, wire * board.per + 2.0 * board.scale),
                                  (p.part("spring"), wire * board.per - 0.4)):  # fmt: skip
                pen = QPen(QColor(colour), max(1.0, width))
                pen.setCapStyle(Qt.PenCapStyle.RoundCap)
                painter.setPen(pen)
                painter.drawLine(board.at(*a), board.at(*b))


def _of_damper(board: Board, coilover: Coilover, long: float, body: float) -> None:
    if board.current[:2] in (*WITHIN, CLAMP):
        _of_thread(board, coilover)
        _of_droop(board, coilover, body)
        _of_clamp(board, coilover)
        return
    units = board.units
    half = _half(coilover)
    for key, value, level in (("open", coilover.open, -12), ("closed", coilover.closed, -34)):
        board.line((value, -half), (value, half), "dashed")
        board.across(
            (*DAMPER, key), (0.0, -14.0), (value, -half), level, f"{key} {figure(value, units)}"
        )
    if coilover.body_length is not None or board.lit((*DAMPER, "body_length")):
        board.across(
            (*DAMPER, "body_length"),
            (0.0, -coilover.body_diameter / 2),
            (body, -coilover.body_diameter / 2),
            -56,
            f"body {figure(body, units)}",
        )
    strap = coilover.droop_strap
    if strap is not None or board.lit((*DAMPER, "droop_strap")):
        strap = strap or coilover.open
        board.across(
            (*DAMPER, "droop_strap"),
            (0.0, 14.0),
            (strap, 14.0),
            14,
            f"strap {figure(coilover.droop_strap, units)}",
        )
    for key, x, wide, words in (
        ("body_diameter", min(60.0, body / 2), coilover.body_diameter, "body"),
        ("shaft_diameter", max(body + 14.0, long - 30.0), coilover.shaft_diameter, "shaft"),
    ):
        at = QPointF(board.at(x, 0).x(), board.place.top() + 36 * board.scale)
        board.leader((*DAMPER, key), (x, wide / 2), at, f"{words} {across(wide, units)}")


def _of_thread(board: Board, coilover: Coilover) -> None:
    """The thread the spring seat runs on."""
    thread, units = coilover.thread, board.units
    if thread is None or board.current[:2] != ("coilover", "thread"):
        return
    path, y = ("coilover", "thread"), thread.diameter / 2
    for key, value, level in (("start", thread.start, 12), ("end", thread.end, 34)):
        words = f"{key} {figure(value, units)}"
        board.across((*path, key), (0.0, 14.0), (value, y), level, words)
    x = (thread.start + thread.end) / 2
    at = QPointF(board.at(x, 0).x(), board.place.bottom() - 40 * board.scale)
    board.leader((*path, "diameter"), (x, -y), at, across(thread.diameter, units))


def _of_clamp(board: Board, coilover: Coilover) -> None:
    """The upright's clamp round the strut's lower end, its two bolts, the slot of one."""
    clamp = coilover.clamp
    if clamp is None or board.current[:2] != CLAMP:
        return
    units, r, low = board.units, coilover.body_diameter / 2, 20.0
    end = low + clamp.insertion
    board.box((low, r), (end, r + 9.0), "upright")
    board.box((low, -r), (end, -r - 9.0), "upright")
    spacing = clamp.bolt_spacing or clamp.insertion * 0.6
    places = [(low + end - spacing) / 2, (low + end + spacing) / 2]
    for x in places:
        board.disc(x, 0.0, 7.0, "tyre")
    slot = max(clamp.slot, 1.0) / 2
    least = clamp.least_insertion
    board.across(
        (*CLAMP, "insertion"),
        (low, r + 9.0),
        (end, r + 9.0),
        14,
        f"held {figure(clamp.insertion, units)}",
    )
    if board.lit((*CLAMP, "least_insertion")):
        far = low + (least or clamp.insertion)
        board.across(
            (*CLAMP, "least_insertion"),
            (low, r + 9.0),
            (far, r + 9.0),
            36,
            f"at least {figure(least, units)}",
        )
    board.across(
        (*CLAMP, "bolt_spacing"),
        (places[0], 0.0),
        (places[1], 0.0),
        -78,
        f"bolts {figure(clamp.bolt_spacing, units)}",
    )
    if board.lit((*CLAMP, "slot")):
        ends = [(places[1] + side * slot, -7.0) for side in (-1.0, 1.0)]
        board.across((*CLAMP, "slot"), ends[0], ends[1], 36, f"slot {figure(clamp.slot, units)}")


def _of_droop(board: Board, coilover: Coilover, body: float) -> None:
    """The stop inside the damper, seen as through its wall."""
    stop = coilover.droop_stop
    if stop is None or board.current[:2] != ("coilover", "droop_stop"):
        return
    r = coilover.body_diameter / 2 - 6.0
    board.box((body - 8.0 - stop.free, -r), (body - 8.0, r), "scan")
    for key, value, level in (("free", stop.free, 14), ("solid", stop.solid, 34)):
        board.across(
            ("coilover", "droop_stop", key),
            (body - 8.0 - value, r),
            (body - 8.0, r),
            level,
            f"{key} {figure(value, board.units)}",
        )


def _of_spring(board: Board, spring: Spring, long: float) -> None:
    if board.current[:3] == (*SPRING, "helper") and spring.helper is not None:
        _second(board, "helper", spring, long)
        return
    if board.current[:3] == (*SPRING, "inner") and spring.inner is not None:
        _second(board, "inner", spring, long)
        return
    units, r = board.units, spring.outside / 2
    low, high = spring.seat_from_foot, long - spring.end_from_top
    seat, hang = figure(low, units), figure(spring.end_from_top, units)
    board.across((*SPRING, "seat_from_foot"), (0.0, -14.0), (low, -r), -12, seat)
    board.across((*SPRING, "end_from_top"), (high, -r), (long, -14.0), -12, hang)
    for key, value, level, words in (
        ("free", spring.free, -36, "on the bench"),
        ("solid", spring.solid, -60, "flat"),
    ):
        if value is not None or board.lit((*SPRING, key)):
            far = high - (value or high - low)
            board.across(
                (*SPRING, key), (far, -r), (high, -r), level, f"{words} {figure(value, units)}"
            )
    above = board.place.top()
    for key, share, y, words in (
        ("outside", 0.30, r, f"outside {across(spring.outside, units)}"),
        ("wire", 0.72, r - spring.wire / 2, f"wire {across(spring.wire, units)}"),
    ):
        x = low + (high - low) * share
        at = QPointF(board.at(x, 0).x(), above + 36 * board.scale)
        board.leader((*SPRING, key), (x, y), at, words)
    _of_ends(board, spring, low, high)


def _of_ends(board: Board, spring: Spring, low: float, high: float) -> None:
    """Seat and top hat."""
    units, above, r = board.units, board.place.top(), spring.outside / 2
    middle = low - spring.seat_thickness / 2
    for key, wide, x, words in (
        ("seat_outside", spring.seat_outside, middle, "seat"),
        ("hat_outside", spring.hat_outside, high + spring.hat_height / 2, "top hat"),
    ):
        if wide is not None or board.lit((*SPRING, key)):
            # Beside its part, where the thin dimensions stand.
            aside = (-1 if key == "seat_outside" else 1) * 46 * board.scale
            at = QPointF(board.at(x, 0).x() + aside, above + 12 * board.scale)
            board.leader(
                (*SPRING, key), (x, (wide or 2 * r) / 2), at, f"{words} {across(wide, units)}"
            )
    for key, a, b in (
        ("seat_thickness", low - spring.seat_thickness, low),
        ("hat_height", high, high + spring.hat_height),
        ("locating_lip", low, low + max(spring.locating_lip, 2.0)),
        (
            "thread_pitch",
            low - spring.seat_thickness - spring.thread_pitch,
            low - spring.seat_thickness,
        ),
    ):
        if board.lit((*SPRING, key)):
            board.across((*SPRING, key), (a, r), (b, r), 14, figure(getattr(spring, key), units))


def _second(board: Board, which: str, spring: Spring, long: float) -> None:
    """The helper stacked on the main spring, or the spring within it: as on the bench."""
    found = spring.helper if which == "helper" else spring.inner
    assert found is not None
    low, high, units = spring.seat_from_foot, long - spring.end_from_top, board.units
    r = (found.outside or spring.outside) / 2
    a, b = (high - found.free, high) if which == "helper" else (low, low + found.free)
    board.box((a, -r), (b, r), "spring", faint=True)
    path = (*SPRING, which)
    ends = (b - found.solid, b) if which == "helper" else (a, a + found.solid)
    board.across(
        (*path, "free"), (a, -r), (b, -r), -12, f"on the bench {figure(found.free, units)}"
    )
    board.across(
        (*path, "solid"), (ends[0], -r), (ends[1], -r), -36, f"flat {figure(found.solid, units)}"
    )
    x = (a + b) / 2
    at = QPointF(board.at(x, 0).x(), board.place.top() + 14 * board.scale)
    board.leader((*path, "outside"), (x, r), at, f"outside {across(found.outside, units)}")
    if isinstance(found, InnerSpring):
        x = a + (b - a) * 0.8
        at = QPointF(board.at(x, 0).x(), board.place.top() + 38 * board.scale)
        board.leader(
            (*path, "wire"), (x, r - found.wire / 2), at, f"wire {across(found.wire, units)}"
        )


def _of_stop(board: Board, stop: BumpStop, long: float, seat: float, r: float) -> None:
    units = board.units
    top = long - seat
    tip = top - stop.packer
    board.across(
        (*STOP, "free"),
        (tip - stop.free, -r),
        (tip, -r),
        -12,
        f"as bought {figure(stop.free, units)}",
    )
    board.across(
        (*STOP, "solid"),
        (tip - stop.solid, -r),
        (tip, -r),
        -36,
        f"squashed flat {figure(stop.solid, units)}",
    )
    if stop.packer > 0 or board.lit((*STOP, "packer")):
        board.across(
            (*STOP, "packer"), (tip, r), (top, r), 14, f"packer {figure(stop.packer, units)}"
        )
    squash = stop.full_squash
    if squash is not None or board.lit((*STOP, "full_squash")):
        words = figure(squash, units)
        squash = stop.free - stop.solid if squash is None else squash
        board.across(
            (*STOP, "full_squash"),
            (tip - stop.free, r),
            (tip - stop.free + squash, r),
            34,
            f"full bump {words}",
        )
    # Off to the side: above it stand packer and full bump.
    x = tip - stop.free * 0.4
    at = QPointF(board.at(tip - stop.free, 0).x(), board.place.top() + 54 * board.scale)
    at -= QPointF(56 * board.scale, 0.0)
    board.leader((*STOP, "diameter"), (x, r), at, f"outside {across(stop.diameter, units)}")
