"""Where the eye is: turning, tilting, sliding and coming nearer, with the horizon kept level."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
LENS = np.radians(26.0)  # height of the view: long enough that parallels look parallel
SQUARE = {"front": (0.0, 0.0), "side": (np.pi / 2, 0.0), "top": (0.0, np.pi / 2)}


@dataclass(frozen=True)
class Camera:
    """An eye ``distance`` mm from ``target``, seen from azimuth (from +x to +y) and elevation.

    ``height`` is the height in mm of what is seen at the target's depth: one number for both
    kinds of view, so that switching to a square view keeps the scale. ``flat`` has no
    perspective.
    """

    target: tuple[float, float, float] = (0.0, 0.0, 0.0)
    azimuth: float = -0.7
    elevation: float = 0.35
    height: float = 1200.0
    flat: bool = False
    aside: tuple[float, float] = (0.0, 0.0)  # shift of the picture, in parts of its half size

    @property
    def distance(self) -> float:
        """From the eye to the target, mm."""
        return float(self.height / (2 * np.tan(LENS / 2)))

    @property
    def axes(self) -> Array:
        """Rows: right, up and towards the eye, in vehicle axes. (3, 3)"""
        return _axes(self.azimuth, self.elevation)

    @property
    def eye(self) -> Array:
        """Where the eye stands. (3,)"""
        return np.asarray(self.target) + self.axes[2] * self.distance

    def matrix(self, aspect: float) -> Array:
        """From vehicle axes to clip space, for a picture ``aspect`` times as wide as high."""
        return _matrix(self, aspect)

    def _matrix(self, aspect: float) -> Array:
        axes = self.axes
        view = np.eye(4)
        view[:3, :3] = axes
        view[:3, 3] = -axes @ self.eye
        d, half = self.distance, self.height / 2
        near, far = max(d * 0.1, d - 4000.0), d + 6000.0
        lens = np.zeros((4, 4))
        lens[0, 0] = 1 / (half * aspect)
        lens[1, 1] = 1 / half
        if self.flat:
            near = d - 6000.0
            lens[2, 2], lens[2, 3] = -2 / (far - near), -(far + near) / (far - near)
            lens[3, 3] = 1.0
        else:
            lens[0, 0] *= d
            lens[1, 1] *= d
            lens[2, 2], lens[2, 3] = -(far + near) / (far - near), -2 * far * near / (far - near)
            lens[3, 2] = -1.0
        shift = np.eye(4)
        shift[0, 3], shift[1, 3] = self.aside
        return np.asarray(shift @ lens @ view)

    def turned(self, azimuth: float, elevation: float) -> Camera:
        """Turned and tilted by these angles, never over the top."""
        tilt = float(np.clip(self.elevation + elevation, np.radians(-60), np.radians(89.0)))
        return replace(self, azimuth=self.azimuth + azimuth, elevation=tilt, flat=False)

    def slid(self, right: float, up: float) -> Camera:
        """The target moved in the plane of the picture, mm."""
        moved = np.asarray(self.target) + right * self.axes[0] + up * self.axes[1]
        return replace(self, target=_xyz(moved))

    def nearer(self, factor: float, toward: Array) -> Camera:
        """Come nearer by ``factor``, keeping the point ``toward`` where it is in the picture."""
        height = float(np.clip(self.height * factor, 60.0, 8000.0))
        share = 1 - height / self.height
        offset = toward - np.asarray(self.target)
        offset -= self.axes[2] * (offset @ self.axes[2])
        target = np.asarray(self.target) + offset * share
        return replace(self, height=height, target=_xyz(target))

    def squared(self, name: str, out: float) -> Camera:
        """The square view by name; ``out`` is +1 on a left corner, seen from outside."""
        azimuth, elevation = SQUARE[name]
        return replace(self, azimuth=azimuth * out, elevation=elevation, flat=True)


@lru_cache(maxsize=32)
def _axes(azimuth: float, elevation: float) -> Array:
    ca, sa = np.cos(azimuth), np.sin(azimuth)
    ce, se = np.cos(elevation), np.sin(elevation)
    back = np.array([ce * ca, ce * sa, se])
    right = np.array([-sa, ca, 0.0])
    made = np.stack([right, np.cross(back, right), back])
    made.setflags(write=False)
    return made


@lru_cache(maxsize=32)
def _matrix(camera: Camera, aspect: float) -> Array:
    made = camera._matrix(aspect)
    made.setflags(write=False)
    return made


def _xyz(point: Array) -> tuple[float, float, float]:
    return float(point[0]), float(point[1]), float(point[2])


def to_pixels(matrix: Array, points: Array, width: float, height: float) -> Array:
    """Picture coordinates (right, down) of points (..., 3); NaN behind the eye. (..., 2)"""
    clip = points @ matrix[:3, :3].T + matrix[:3, 3]
    w = points @ matrix[3, :3] + matrix[3, 3]
    w = np.where(w > 1e-9, w, np.nan)
    x = (clip[..., 0] / w + 1) * width / 2
    y = (1 - clip[..., 1] / w) * height / 2
    return np.stack([x, y], axis=-1)


def ray(matrix: Array, x: float, y: float, width: float, height: float) -> tuple[Array, Array]:
    """Start and unit direction of the line of sight through a pixel."""
    flat = np.array([2 * x / width - 1, 1 - 2 * y / height])
    back = np.linalg.inv(matrix)
    ends = np.array([[*flat, -1.0, 1.0], [*flat, 1.0, 1.0]]) @ back.T
    near, far = ends[0, :3] / ends[0, 3], ends[1, :3] / ends[1, 3]
    return near, (far - near) / np.linalg.norm(far - near)


def blend(a: Camera, b: Camera, share: float) -> Camera:
    """Between two cameras, for the short glide from one to the other."""
    turn = (b.azimuth - a.azimuth + np.pi) % (2 * np.pi) - np.pi
    mix = lambda p, q: p + (q - p) * share  # noqa: E731
    return Camera(
        target=tuple(mix(p, q) for p, q in zip(a.target, b.target, strict=True)),
        azimuth=float(a.azimuth + turn * share),
        elevation=float(mix(a.elevation, b.elevation)),
        height=float(mix(a.height, b.height)),
        flat=b.flat if share >= 1 else a.flat and b.flat,
        aside=b.aside,
    )
