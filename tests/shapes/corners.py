"""Corners the shapes are tested on: the shipped examples, solved once a run."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from kinematics.motion.grid import move
from kinematics.motion.limits import travel_range
from kinematics.motion.linkage import Linkage, corner
from kinematics.motion.motion import Motion
from kinematics.project.files import read
from kinematics.project.model import Project

FOLDER = Path(__file__).parents[2] / "assets" / "examples"
EXAMPLES = sorted(path.name.removesuffix(".corner.json") for path in FOLDER.glob("*.corner.json"))
TROUBLE = "rear-in-trouble"


@cache
def project(name: str) -> Project:
    return read(FOLDER / f"{name}.corner.json")


@cache
def linkage(name: str) -> Linkage:
    return corner(project(name))


@cache
def motion(name: str, count: int = 9) -> Motion:
    low, high = travel_range(linkage(name))
    return move(linkage(name), np.linspace(low + 0.05, high - 0.05, count), [0.0])


def moved(name: str, *travel: float) -> Motion:
    return move(linkage(name), np.array(travel), [0.0])
