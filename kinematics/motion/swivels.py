"""Angle limits of spherical bearings, rod ends and bushes, and the angle a member uses.

Pure geometry over arrays; angles in rad, sizes in mm, directions as unit vectors with the three
components last. An *across* bearing has its bolt across the member (a rod end, an eye, a tie-rod
end); an *along* bearing has its pin along the member (a damper shaft in a top bearing).

The tilt from sizes is the closed form of the ball's edge meeting the housing's; it agrees within
1 degree with the tilt listed for the K series of ISO 12240-4 (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kinematics.motion.roots import roots_together

Floats = NDArray[np.float64]
Axis = tuple[float, float, float]


def tilt_from_sizes(ball: float, ball_width: float, housing_width: float) -> float:
    """Tilt at which the shoulders of the ball meet the housing's edge; rad.

    asin(B/dk) - asin(C1/dk): ``ball`` is the ball's diameter dk, ``ball_width`` the inner ring's
    width B across its flats, ``housing_width`` the housing's C1. Raises ValueError when B or C1
    is not below dk, or C1 is above B.
    """
    if not 0.0 < housing_width <= ball_width < ball:
        raise ValueError(
            f"a bearing needs housing width ≤ ball width < ball diameter; "
            f"got {housing_width:g}, {ball_width:g}, {ball:g} mm"
        )
    return float(np.arcsin(ball_width / ball) - np.arcsin(housing_width / ball))


def tilt_with_spacers(ball: float, housing_width: float, neck: float) -> float:
    """Tilt at which a misalignment spacer of ``neck`` diameter meets the housing's edge; rad.

    acos(C1/dk) - asin(neck/dk): the same meeting of edges as `tilt_from_sizes`, with the spacer's
    neck in place of the flat's rim sqrt(dk^2 - B^2).
    """
    if not (0.0 < housing_width < ball and 0.0 < neck < ball):
        raise ValueError(
            f"housing width and spacer neck must be below the ball diameter {ball:g} mm; "
            f"got {housing_width:g} and {neck:g} mm"
        )
    return float(np.arccos(housing_width / ball) - np.arcsin(neck / ball))


def tilt_in_clevis(
    gap: float, head: float, housing_width: float, *, square_edges: bool = True
) -> float:
    """Tilt at which the head of a rod end meets the cheeks of its clevis; rad.

    ``gap`` is the clear width between the cheeks, ``head`` the head's diameter. With square edges
    asin(gap/q) - atan(C1/head), q the head's corner to corner; with ``square_edges`` False the
    head is rounded to a ball of its diameter: asin(gap/head) - asin(C1/head). A head too small
    to reach either cheek may turn right over: pi/2.
    """
    if not 0.0 < housing_width <= gap:
        raise ValueError(f"a head {housing_width:g} mm wide does not enter a {gap:g} mm clevis")
    reach = float(np.hypot(head, housing_width)) if square_edges else head
    if gap >= reach:
        return float(np.pi / 2)
    return float(np.arcsin(gap / reach) - np.arcsin(housing_width / reach))


def angle_between(a: ArrayLike, b: ArrayLike) -> Floats:
    """Angle between two lines (0 to pi/2), accurate for small angles too; rad."""
    a, b = np.asarray(a, float), np.asarray(b, float)
    sine = np.linalg.norm(np.cross(a, b), axis=-1)
    cosine = np.abs(np.sum(a * b, axis=-1))
    return np.asarray(np.arctan2(sine, cosine))


def across_alone(member: ArrayLike, bolt: ArrayLike) -> Floats:
    """Angle used where only one end has its bolt across the member: asin|member . bolt|; rad.

    The member is free to turn about its own length, so the housing settles square to the bolt as
    far as the member's direction lets it.
    """
    return np.pi / 2 - angle_between(member, bolt)


def across_both(
    member: Floats, bolts: tuple[Floats, Floats], limits: tuple[float, float] = (1.0, 1.0)
) -> tuple[Floats, Floats]:
    """Angles used at the two ends of a member whose bolts run across it at both ends; rad.

    member, bolts : (..., 3) unit directions with the set-up position first along the leading
    axis: index 0 is how the ends were clocked when tightened. One turn of the member about its
    own length serves both ends; it is taken where the worse share of the limits is least (a
    rod that is free to turn finds it when one end touches).
    """
    u = member
    e1, e2 = _square_frame(u)
    amplitude, azimuth = zip(*(_polar(b, e1, e2) for b in bolts), strict=True)
    turned = [a - a[:1] for a in azimuth]
    # a bolt is a line, not an arrow: half a turn changes nothing
    apart = (turned[1] - turned[0] + np.pi / 2) % np.pi - np.pi / 2

    def angles(share: Floats) -> tuple[Floats, Floats]:
        return (
            _tilt(amplitude[0], u, bolts[0], apart * share),
            _tilt(amplitude[1], u, bolts[1], apart * (1.0 - share)),
        )

    def worse(share: Floats) -> Floats:
        """How much more of its limit the first end uses than the second."""
        first, second = angles(share)
        return np.asarray(first / limits[0] - second / limits[1])

    # Where one end uses more whatever the turn, all of the turn is the other's.
    low, high = np.zeros_like(apart), np.ones_like(apart)
    at_low, at_high = np.minimum(worse(low), 0.0), np.maximum(worse(high), 0.0)
    return angles(roots_together(worse, low, high, at_low, at_high, close=1e-13))


def twist_about(bolt: Floats, member: Floats) -> Floats:
    """How far the member has turned about the bolt since index 0 of the leading axis; rad.

    bolt, member : (..., 3) unit directions seen from the body that holds the bolt, so that
    ``bolt`` is one direction, (3,).
    """
    flat = member - np.sum(member * bolt, axis=-1, keepdims=True) * bolt
    start = flat[:1]
    sine = np.sum(np.cross(np.broadcast_to(start, flat.shape), flat) * bolt, axis=-1)
    return np.asarray(np.arctan2(sine, np.sum(start * flat, axis=-1)))


def square_to(member: ArrayLike, *, upright: bool = False) -> Floats:
    """The bolt direction taken when none is given: square to the member, and level or upright.

    A member within 37 degrees of upright (a coilover) gets a bolt running fore and aft. Members
    and bolts are (..., 3).
    """
    u = np.asarray(member, float)
    steep = np.abs(u[..., 2:]) > 0.8
    seed = np.array([1.0, 0.0, 0.0])
    level = np.where(steep, seed - u[..., :1] * u, np.cross(u, [0.0, 0.0, 1.0]))
    bolt = np.where(steep | (not upright), level, np.array([0.0, 0.0, 1.0]) - u[..., 2:] * u)
    return np.asarray(bolt / np.linalg.norm(bolt, axis=-1, keepdims=True))


def _square_frame(u: Floats) -> tuple[Floats, Floats]:
    """Two directions square to each member, carried without turn from the one at index 0."""
    start = u[:1]
    seed = np.eye(3)[np.argmin(np.abs(start), axis=-1)]
    e0 = np.cross(start, seed)
    e0 = e0 / np.linalg.norm(e0, axis=-1, keepdims=True)
    # the smallest rotation from start to u applied to e0
    e1 = e0 - np.sum(e0 * u, axis=-1, keepdims=True) / (
        1.0 + np.sum(start * u, axis=-1, keepdims=True)
    ) * (start + u)
    return e1, np.cross(u, e1)


def _polar(b: Floats, e1: Floats, e2: Floats) -> tuple[Floats, Floats]:
    along1, along2 = np.sum(b * e1, axis=-1), np.sum(b * e2, axis=-1)
    return np.hypot(along1, along2), np.arctan2(along2, along1)


def _tilt(amplitude: Floats, u: Floats, bolt: Floats, turn: Floats) -> Floats:
    """Angle between a bolt and a housing square to u, the housing turned away by ``turn``."""
    lean = np.sum(u * bolt, axis=-1)
    along, away = amplitude * np.cos(turn), np.hypot(lean, amplitude * np.sin(turn))
    return np.asarray(np.arctan2(away, along))
