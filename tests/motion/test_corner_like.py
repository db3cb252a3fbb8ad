"""A corner that moves as before need not be assembled anew: the same to the last digits."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.motion import Linkage, corner, corner_like, move
from kinematics.motion.motion import Motion
from kinematics.project.edit import move_top
from kinematics.project.files import read
from kinematics.project.model import Project
from kinematics.project.unfold import unfold

ASSETS = Path(__file__).parents[2] / "assets"
FILES = sorted(ASSETS.glob("*/*.corner.json"))
READ = {path.name.removesuffix(".corner.json"): unfold(read(path)) for path in FILES}
CORNERS = {name: project for name, project in READ.items() if project.coilover is not None}
BY = (-14.0, 9.0, 3.0)
TRAVEL, RACK = np.linspace(-30.0, 30.0, 7), np.array([-5.0, 0.0, 5.0])


def slides_freely(project: Project) -> bool:
    """Whether its coilover's top is of no link and no joint: told from the file alone."""
    assert project.coilover is not None
    top = project.coilover.top.point
    joints = [name for joint in project.joints.values() for name in _named(joint)]
    links = [e.point for x in project.links.values() for e in (x.inner, x.outer)]
    return top not in (*joints, *links, project.wheel.centre)


def _named(joint: object) -> list[str]:
    values = msgspec.to_builtins(joint).values()
    flat = [x for v in values for x in (v if isinstance(v, list) else [v])]
    return [x for x in flat if isinstance(x, str)]


def swept(project: Project, rack: bool, linkage: Linkage | None = None) -> Motion:
    return move(linkage or corner(project), TRAVEL, RACK if rack else RACK[1:2])


@pytest.mark.parametrize("name", CORNERS)
def test_a_slid_mount_moves_the_wheel_as_before_or_says_that_it_may_not(name: str) -> None:
    project = CORNERS[name]
    moved = unfold(move_top(project, *BY))
    start = corner(project)
    before = swept(project, project.rack is not None, start)
    found = corner_like(start, moved)
    assert (found is not None) == slides_freely(project)
    if found is None:
        return
    assert found.project is moved
    got, wanted = (swept(moved, project.rack is not None, x) for x in (found, corner(moved)))
    assert got.bodies == wanted.bodies
    assert np.array_equal(got.state, wanted.state)
    assert got.rotation == pytest.approx(wanted.rotation, abs=1e-12, nan_ok=True)
    assert got.position == pytest.approx(wanted.position, abs=1e-9, nan_ok=True)
    one, other = damper(got), damper(wanted)
    assert one == pytest.approx(other, abs=1e-9, nan_ok=True)
    assert not np.allclose(one, damper(before), equal_nan=True)  # the top was moved
    again = swept(project, project.rack is not None, start)
    assert np.array_equal(damper(again), damper(before), equal_nan=True)


def damper(motion: Motion) -> np.ndarray:
    """Its length from eye to eye, mm."""
    coilover = motion.linkage.project.coilover
    assert coilover is not None
    off = motion.point(coilover.foot) - motion.point(coilover.top)
    return np.asarray(np.linalg.norm(off, axis=-1))


def test_a_corner_whose_bushes_give_serves_again() -> None:
    project = CORNERS["rear-five-links"]
    given = msgspec.structs.replace(project, give=dict.fromkeys(list(project.links)[:2], 2000.0))
    moved = move_top(given, *BY)
    found = corner_like(corner(given), moved)
    assert found is not None
    got, wanted = (move(x, TRAVEL, [0.0]) for x in (found, corner(moved)))
    assert damper(got) == pytest.approx(damper(wanted), abs=1e-9, nan_ok=True)
    other = msgspec.structs.replace(moved, give={})
    assert corner_like(corner(given), other) is None


def test_what_moves_the_wheel_otherwise_is_assembled_anew() -> None:
    project = CORNERS["rear-five-links"]
    start, name = corner(project), next(iter(project.links))
    link = project.links[name]
    x, y, z = project.points[link.inner.point]
    points = {**project.points, link.inner.point: (x, y, z + 0.1)}
    longer = {**project.links, name: msgspec.structs.replace(link, adjust=0.2)}
    for changed in (
        {"points": points},
        {"links": longer},
        {"setup_wheel_z": project.points[project.wheel.centre][2] + 1.0},
    ):
        assert corner_like(start, msgspec.structs.replace(project, **changed)) is None
    assert corner_like(start, msgspec.structs.replace(project, title="another")) is not None
