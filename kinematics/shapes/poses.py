"""Where the bodies are at every pose, flattened, and how far points stray between poses.

Poses of a travel x rack grid are flattened to n = nz * ns, travel slowest. Between two travel
samples a point p(z) leaves the straight chord by at most max|p''| h^2 / 8 (the error of linear
interpolation), so a *stray* (mm) is a bound on that, and stray x 8 / h^2 a bound on |p''|.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import unit
from kinematics.motion.motion import Motion
from kinematics.project.model import CHASSIS, End, Project

Array = NDArray[np.float64]

Asked: TypeAlias = dict[str, dict[bytes, Array]]
"""By body, the points (3,) whose strays have been asked for, by their bytes."""

_STILL = (np.eye(3)[None], np.zeros((1, 3)))


class Anchor(NamedTuple):
    """A point (3,) as measured, and the body that carries it."""

    body: str
    xyz: Array


def point(project: Project, name: str) -> Array:
    """A point of the project by name, (3,) mm, as measured."""
    return np.asarray(project.points[name], float)


def anchor(project: Project, end: End) -> Anchor:
    """Where the end of a link, coilover or shaft is, and what carries it."""
    return Anchor(end.body, point(project, end.point))


class Poses:
    """The poses of a motion, for carrying points along; points are given as measured.

    Without a motion there is the chassis alone. `asked` gathers, by body, the points whose strays
    are wanted: hand the same one on from motion to motion.
    """

    def __init__(self, motion: Motion | None = None, asked: Asked | None = None) -> None:
        self._motion = motion
        self.intervals = 0 if motion is None else len(motion.travel) - 1
        self._frames = {CHASSIS: _STILL}
        self._strays: dict[str, dict[bytes, Array]] = {}
        self._asked = {} if asked is None else asked
        self._lines: dict[tuple[int, int], Line] = {}

    @property
    def motion(self) -> Motion:
        """The motion these are the poses of."""
        if self._motion is None:
            raise ValueError("nothing moves here")
        return self._motion

    def carry(self, body: str, xyz: Array) -> Array:
        """Points (m, 3) carried by a body: (n, m, 3); n = 1 on the chassis."""
        if body == CHASSIS:
            return xyz[None]
        rotation, position = self.frame(body)
        return np.ascontiguousarray(xyz @ rotation.transpose(0, 2, 1) + position[:, None])

    def frame(self, body: str) -> tuple[Array, Array]:
        """Rotation (n, 3, 3) and position (n, 3) of a body; n = 1 for the chassis."""
        if body not in self._frames:
            at = self.motion.number(body)
            self._frames[body] = (
                np.ascontiguousarray(np.moveaxis(self.motion.flat_rotation[at], -1, 0)),
                np.ascontiguousarray(self.motion.flat_position[at].T),
            )
        return self._frames[body]

    def axis(self, body: str, centre: Array, way: Array) -> tuple[Array, Array]:
        """A carried axis: a point of it (n, 3) and its unit direction (n, 3)."""
        rotation, position = self.frame(body)
        turned = rotation @ way
        turned /= np.sqrt(np.einsum("ni,ni->n", turned, turned))[:, None]
        return rotation @ centre + position, turned

    def stray(self, body: str, xyz: Array) -> Array | float:
        """Greatest stray (nz - 1, ns) of the hull of points (m, 3) carried by a body, mm.

        p'' depends affinely on where the point lies in its body, so its size is convex there
        and greatest at a corner of the hull.
        """
        if body == CHASSIS or self.intervals == 0:
            return 0.0
        self._work_out(body, xyz)
        found = self._strays[body]
        return np.asarray(np.max([found[corner.tobytes()] for corner in xyz], axis=0))

    def _work_out(self, body: str, xyz: Array) -> None:
        """Fill in the strays of points, and of all others asked for of earlier motions.

        Many points at once cost little more than one, and a project asks for the same ones of
        every motion.
        """
        known, asked = self._strays.setdefault(body, {}), self._asked.setdefault(body, {})
        asked.update((corner.tobytes(), corner) for corner in xyz)
        new = {key: corner for key, corner in tuple(asked.items()) if key not in known}
        if not new:
            return
        with np.errstate(invalid="ignore"):  # Nothing known times nothing moved.
            bound = self.motion.bulge(body, np.array(list(new.values())))
        known.update(zip(new, bound * self.squares / 8.0, strict=True))

    @cached_property
    def squares(self) -> Array:
        """(nz - 1, 1) the intervals' lengths squared, mm^2."""
        return np.asarray(np.diff(self.motion.travel)[:, None] ** 2)

    def line(self, start: Anchor, end: Anchor) -> Line:
        """The moving line from one carried point to another."""
        key = (id(start), id(end))  # Recipes hold on to their anchors and share them.
        if key not in self._lines:
            here, there = start.xyz[None], end.xyz[None]
            self._lines[key] = Line(
                self,
                self.carry(start.body, here)[:, 0],
                self.carry(end.body, there)[:, 0],
                self.stray(start.body, here),
                self.stray(end.body, there),
            )
        return self._lines[key]


@dataclass(eq=False)
class Line:
    """A line between two points that move on their own: a damper, a link, a drive shaft.

    start, end : (n, 3) mm (n = 1 for a point that stands still). start_stray, end_stray : their
    strays, mm.
    """

    poses: Poses
    start: Array
    end: Array
    start_stray: Array | float
    end_stray: Array | float
    _frame: tuple[Array, Array] | None = None

    @cached_property
    def length(self) -> Array:
        """(n,) mm."""
        way = self.end - self.start
        return np.asarray(np.sqrt(np.einsum("ni,ni->n", way, way)))

    @cached_property
    def direction(self) -> Array:
        """(n, 3) unit, from start to end."""
        return np.asarray((self.end - self.start) / self.length[:, None])

    def frame(self, up: Array) -> Array:
        """Rotations (n, 3, 3): third column the direction, first as near as can be to `up` (3,).

        Remembered by `up` itself: all that is drawn on one line shares it.
        """
        if self._frame is None or self._frame[0] is not up:
            z = self.direction
            x = unit(up - (z @ up)[:, None] * z)
            out = np.empty((len(z), 3, 3))
            out[:, :, 0], out[:, :, 2] = x, z
            for i, j, k in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
                out[:, i, 1] = z[:, j] * x[:, k] - z[:, k] * x[:, j]
            self._frame = up, out
        return self._frame[1]

    def at(self, from_start: Array | float = 0.0) -> Array:
        """Points (n, 3) this far from the start, mm."""
        return self.start + np.multiply(from_start, self.direction.T).T

    def below(self, from_end: float) -> Array:
        """Points (n, 3) this far from the end, towards the start, mm."""
        return self.end - from_end * self.direction

    def stray(self, reach: float, radius: float = 0.0, from_end: bool = False) -> Array | float:
        """Stray (nz - 1, ns) of points up to `reach` along from the start and `radius` beside.

        With d = end - start, L = |d|, u = d / L and P the projection square to u:
        u' = P d' / L, and u'' = P d'' / L - 2 (u.d') P d' / L^2 - u |P d'|^2 / L^2. With
        |d''| <= A and |d'| <= V over the interval, and 2 (u.d') |P d'| <= V^2,
        |u''| <= sqrt((A / L + V^2 / L^2)^2 + (V / L)^4). A direction e square to u and turning
        with it without spin has e' = -u (e.u') and so e'' = -u' (e.u') - u (e.u''), no longer
        than sqrt(|u'|^4 + |u''|^2). V itself is at most the mean speed |d1 - d0| / h plus A h / 2,
        and L at least the shorter end's less half the way and the stray. A point start + y u + r e
        then has |p''| <= |start''| + y |u''| + r |e''|.
        """
        if self.poses.intervals == 0:
            return 0.0
        turning, beside = self._turning
        total = self.end_stray if from_end else self.start_stray
        if reach:
            total = total + abs(reach) * turning
        return total + radius * beside if radius else total

    @cached_property
    def _turning(self) -> tuple[Array, Array]:
        """Strays (nz - 1, ns) of u and of e, per mm of reach and of radius."""
        nz, ns = self.poses.motion.shape
        squares = self.poses.squares
        h = np.sqrt(squares)
        d = np.broadcast_to(self.end - self.start, (nz * ns, 3)).reshape(nz, ns, 3)
        stray = np.broadcast_to(self.start_stray + self.end_stray, (nz - 1, ns))
        way = np.linalg.norm(np.diff(d, axis=0), axis=-1)
        length = np.linalg.norm(d, axis=-1)
        shortest = np.minimum(length[1:], length[:-1]) - way / 2 - stray
        shortest = np.maximum(shortest, 1e-3)
        a = 8.0 * stray / squares
        v = way / h + a * h / 2.0
        first = v / shortest
        second = np.hypot(a / shortest + first**2, first**2)
        return second * squares / 8.0, np.hypot(first**2, second) * squares / 8.0
