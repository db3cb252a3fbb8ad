"""What each kind of reading would read, and how that changes with everything: exact derivatives.

A reading is a function of points of one position, and of the floor frame, the hub's frame and
the mount's stack. ``Slope`` gathers its derivatives.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from kinematics.frames import Array
from kinematics.project.model import Project
from kinematics.project.survey import (
    AcrossReading,
    DistanceReading,
    HeightReading,
    HubReading,
    LeanReading,
    LevelReading,
    OffsetReading,
    PartReading,
    PlaneReading,
    RailReading,
    Reading,
    StackReading,
    WheelReading,
)
from kinematics.survey.standing import FACES, floor_frame
from kinematics.survey.tools import part_ends


@dataclass
class Slope:
    """A reading's predicted value and its derivatives: by points, stance, hub turn and stack.

    ``carrier`` (3, 3): by the carrier's turn of the wheel in another position, where it counts.
    """

    value: float
    points: list[tuple[int, Array]] = field(default_factory=list)
    stance: Array | None = None
    hub: Array | None = None
    stack: Array | None = None
    carrier: Array | None = None


@dataclass(frozen=True)
class Scene:
    """One position: points (n, 3), the floor's frame, the hub's frame there and what it was."""

    points: Array
    rotation: Array
    shift: Array
    rotation_by: Array
    hub: Array
    hub_before: Array
    turn: Array
    stack: Array


def scene(
    points: Array, stance: Array, ground: float, hub: Array, turn: Array, stack: Array
) -> Scene:
    """The scene of one position; ``turn`` is the carrier's since the points' own position."""
    rotation, shift, by = floor_frame(stance)
    shift = shift - np.array([0.0, 0.0, ground])
    return Scene(points, rotation, shift, by, turn @ hub, hub, turn, stack)


class Predictor:
    """Predicts the readings of one project; names are looked up once."""

    def __init__(self, project: Project) -> None:
        """``project`` is unfolded."""
        self.project = project
        self.at = {name: i for i, name in enumerate(project.points)}
        self.out = 1.0 if project.side == "left" else -1.0

    def __call__(self, reading: Reading, now: Scene) -> Slope:
        """Value and derivatives of a reading in a scene."""
        match reading:
            case DistanceReading(between=(a, b), plumbed=plumbed):
                return self._distance(a, b, plumbed, now)
            case PartReading(of=of):
                return self._distance(*part_ends(of, self.project), False, now)
            case OffsetReading():
                return self._offset(reading, now)
            case HeightReading():
                return self._height(reading, now)
            case RailReading():
                return self._rail(reading, now)
            case PlaneReading():
                return self._plane(reading, now)
            case AcrossReading(point=point):
                sign = 1.0 if now.points[self.at[point], 1] >= 0 else -1.0
                slope = np.array([0.0, 2.0 * sign, 0.0])
                i = self.at[point]
                return Slope(2.0 * abs(float(now.points[i, 1])), [(i, slope)])
            case HubReading():
                return self._hub(reading, now)
            case StackReading(between=(a, b)):
                slope = _face(a) - _face(b)
                return Slope(float(slope @ now.stack), stack=slope)
            case LevelReading(line=(a, b)):
                return self._level(a, b, now)
            case LeanReading(which=which):
                row = 0 if which == "nose up" else 1
                rise = now.rotation[2, row]
                slope = now.rotation_by[:, 2, row] / np.sqrt(1.0 - rise * rise)
                return Slope(float(np.arcsin(rise)), stance=_turning(slope))
            case WheelReading(which=which):
                return self._camber(now) if which == "camber" else self._toe(now)

    def _distance(self, a: str, b: str, plumbed: bool, now: Scene) -> Slope:
        i, j = self.at[a], self.at[b]
        d = now.points[j] - now.points[i]
        if not plumbed:
            length = max(float(np.linalg.norm(d)), 1e-9)
            return Slope(length, [(i, -d / length), (j, d / length)])
        level = now.rotation @ d
        level[2] = 0.0
        length = max(float(np.linalg.norm(level)), 1e-9)
        along = level / length
        by = now.rotation.T @ along
        stance = _turning(np.einsum("i,kij,j->k", along, now.rotation_by, d))
        return Slope(length, [(i, -by), (j, by)], stance)

    def _on_floor(self, point: str, axis: int, sign: float, now: Scene) -> Slope:
        """``sign`` times a coordinate of a point in the floor's frame."""
        i = self.at[point]
        p = now.points[i]
        value = sign * float(now.rotation[axis] @ p + now.shift[axis])
        stance = np.zeros(6)
        stance[:3] = sign * (now.rotation_by[:, axis] @ p)
        stance[3 + axis] = sign
        return Slope(value, [(i, sign * now.rotation[axis])], stance)

    def _offset(self, reading: OffsetReading, now: Scene) -> Slope:
        axis = 1 if reading.string == "centre" else 0
        sign = {"out": self.out, "in": -self.out, "front": 1.0, "rear": -1.0}[reading.way]
        slope = self._on_floor(reading.point, axis, sign, now)
        slope.value -= reading.string_at
        return slope

    def _height(self, reading: HeightReading, now: Scene) -> Slope:
        slope = self._on_floor(reading.point, 2, 1.0, now)
        if reading.face != "bearing":
            row = _face(reading.face)
            rise = now.rotation[2, 2]
            slope.value += float(row @ now.stack) * rise
            slope.stack = row * rise
            assert slope.stance is not None
            slope.stance[:3] += float(row @ now.stack) * now.rotation_by[:, 2, 2]
        if reading.above is not None:
            datum = self._on_floor(reading.above, 2, 1.0, now)
            assert slope.stance is not None
            assert datum.stance is not None
            slope.value -= datum.value
            slope.points += [(i, -by) for i, by in datum.points]
            slope.stance = slope.stance - datum.stance
        return slope

    def _rail(self, reading: RailReading, now: Scene) -> Slope:
        k, i, j = self.at[reading.point], *(self.at[name] for name in reading.rail)
        run = now.points[j] - now.points[i]
        length = max(float(np.linalg.norm(run)), 1e-9)
        along = run / length
        d = now.points[k] - now.points[i]
        part = float(d @ along)
        off = d - part * along
        far = max(float(np.linalg.norm(off)), 1e-9)
        away = off / far
        share = part / length
        return Slope(far, [(k, away), (i, -(1.0 - share) * away), (j, -share * away)])

    def _plane(self, reading: PlaneReading, now: Scene) -> Slope:
        k, (a, b, c) = self.at[reading.point], (self.at[name] for name in reading.plane)
        u, v = now.points[b] - now.points[a], now.points[c] - now.points[a]
        d = now.points[k] - now.points[a]
        square = _cross(u, v)
        size = max(float(np.linalg.norm(square)), 1e-9)
        n = square / size
        value = float(d @ n)
        # The plane turns with its points: dn = (I - n nᵀ) d(u × v) / |u × v|.
        left = (d - value * n) / size
        by_u, by_v = _cross(v, left), _cross(left, u)
        return Slope(value, [(k, n), (b, by_u), (c, by_v), (a, -n - by_u - by_v)])

    def _hub(self, reading: HubReading, now: Scene) -> Slope:
        survey = self.project.survey
        assert survey is not None
        assert survey.hub_face is not None
        k, h = self.at[reading.point], self.at[survey.hub_face]
        along = now.hub[:, ("front", "out", "up").index(reading.way)]
        d = now.points[k] - now.points[h]
        return Slope(float(along @ d), [(k, along), (h, -along)], hub=_cross(along, d))

    def _level(self, a: str, b: str, now: Scene) -> Slope:
        i, j = self.at[a], self.at[b]
        d = now.points[j] - now.points[i]
        length = max(float(np.linalg.norm(d)), 1e-9)
        up = now.rotation[2]
        rise = float(up @ d) / length
        steep = np.sqrt(max(1.0 - rise * rise, 1e-12))
        by = (up - rise * d / length) / length / steep
        stance = _turning(now.rotation_by[:, 2] @ d / length / steep)
        return Slope(float(np.arcsin(np.clip(rise, -1, 1))), [(i, -by), (j, by)], stance)

    def _camber(self, now: Scene) -> Slope:
        n, up = now.hub[:, 1], now.rotation[2]
        lean = float(n @ up)
        flat = -1.0 / np.sqrt(1.0 - lean * lean)
        stance = _turning(flat * (now.rotation_by[:, 2] @ n))
        return self._of_axis(-float(np.arcsin(lean)), flat * up, stance, now)

    def _toe(self, now: Scene) -> Slope:
        n = now.hub[:, 1]
        x, y = now.rotation[0] @ n, self.out * (now.rotation[1] @ n)
        square = x * x + y * y
        by = (y * now.rotation[0] - x * self.out * now.rotation[1]) / square
        turning = now.rotation_by @ n
        stance = _turning((y * turning[:, 0] - x * self.out * turning[:, 1]) / square)
        return self._of_axis(float(np.arctan2(x, y)), by, stance, now)

    def _of_axis(self, value: float, by: Array, stance: Array, now: Scene) -> Slope:
        """A reading of the wheel's axis, from its derivative by the axis in that position."""
        before = now.hub_before[:, 1]
        hub = _cross(before, now.turn.T @ by)
        return Slope(value, stance=stance, hub=hub, carrier=np.outer(by, before))


def _cross(a: Array, b: Array) -> Array:
    """The cross product of two vectors (3,); numpy's own takes ten times as long for one."""
    (a0, a1, a2), (b0, b1, b2) = a.tolist(), b.tolist()
    return np.array([a1 * b2 - a2 * b1, a2 * b0 - a0 * b2, a0 * b1 - a1 * b0])


def _turning(by: Array) -> Array:
    """Derivatives by the three angles, as derivatives by all six of the stance."""
    out = np.zeros(6)
    out[:3] = by
    return out


def _face(name: str) -> Array:
    return np.array([1.0 if name == face else 0.0 for face in FACES])
