"""Where to look from, so that a contact is not hidden behind other parts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from app.stage.camera import Camera
from app.stage.pick import pick
from app.stage.scene import Scene

Array = NDArray[np.float64]
TURNS = (0, -20, 20, -40, 40, -70, 70, -105, 105, 150)  # degrees, nearest first
TILTS = (0, 14, -12, 30)
SKIN = 8.0  # mm: what is met so near the point is the part it lies on


def seen(scene: Scene, camera: Camera, point: Array) -> bool:
    """Whether nothing stands between the eye and a point."""
    eye = camera.eye
    way = point - eye
    far = float(np.linalg.norm(way))
    hit = pick(scene, eye, way / far)
    return hit is None or hit.depth > far - SKIN


def best_view(scene: Scene, camera: Camera, point: Array) -> Camera:
    """The camera turned as little as needed to see a point; as it is if nothing helps."""
    start = replace(camera, flat=False)
    for tilt in TILTS:
        for turn in TURNS:
            turned = start.turned(np.radians(turn), np.radians(tilt))
            if turned.elevation > np.radians(6) and seen(scene, turned, point):
                return turned
    return camera
