"""The invented rear corner, its clearances sampled by two independent solvers (to about 0.3 mm).

Not published: invented data, worked out twice outside this project. What it checks here is that
the parts built from a project's few sizes are the solids meant: tyre, spring, seat, arm, lip.
"""

import numpy as np
import pytest
from msgspec.structs import replace

from kinematics.clearance import clearances
from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.project.edit import move_top
from kinematics.project.model import Project
from kinematics.shapes.build import Builder
from tests.shapes.corners import TROUBLE, linkage, project

TRAVEL = np.array([-80.0, -40.0, 0.0, 40.0, 79.9])


def between(which: Project, a: str, b: str, travel: np.ndarray = TRAVEL) -> np.ndarray:
    """Clearances of two parts at travels of the corner, mm."""
    same = which.points == project(TROUBLE).points
    motion = move(linkage(TROUBLE) if same else corner(which), travel, [0.0])
    found = Builder(which)(motion)
    names = [part.name for part in found]
    pair = [(names.index(a), names.index(b))]
    return clearances(found, pair, grid=(len(travel), 1)).low[0, :, 0]


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        ("tyre", "tower lip", [92.5, 57.7, 25.5, 2.2, -5.0]),
        ("spring", "radius arm", [-1.1, 2.9, 6.1, None, None]),
    ],
)
def test_clearances_over_travel(a: str, b: str, expected: list[float | None]) -> None:
    found = between(project(TROUBLE), a, b)
    for value, wanted in zip(found, expected, strict=True):
        if wanted is not None:
            assert value == pytest.approx(wanted, abs=0.3)


@pytest.mark.parametrize(
    ("a", "b", "lowest"),
    [("spring seat", "radius arm", 4.0), ("spring", "drive shaft", 46.6)],
)
def test_other_pairs_at_their_lowest(a: str, b: str, lowest: float) -> None:
    travel = np.linspace(-80.0, 79.9, 33)
    assert between(project(TROUBLE), a, b, travel).min() == pytest.approx(lowest, abs=0.3)


@pytest.mark.parametrize(("spacer", "clearance"), [(5.0, 0.0), (15.0, 10.0)])
def test_a_spacer_clears_the_tyre(spacer: float, clearance: float) -> None:
    before = project(TROUBLE)
    rim = replace(before.wheel.rim, spacer=spacer)
    after = replace(before, wheel=replace(before.wheel, rim=rim))
    assert between(after, "tyre", "tower lip")[-1] == pytest.approx(clearance, abs=0.3)


def test_trimming_the_lip_clears_the_tyre() -> None:
    before = project(TROUBLE)
    assert before.tower is not None
    after = replace(before, tower=replace(before.tower, lip=before.tower.lip - 15.0))
    assert between(after, "tyre", "tower lip")[-1] == pytest.approx(10.0, abs=0.3)


@pytest.mark.parametrize(
    ("dx", "dy", "tyre", "spring"),
    [(-12.0, -16.0, 11.0, 5.0), (0.0, -16.0, None, 2.25), (-12.0, 0.0, -5.0, None)],
)
def test_moving_top_and_tower(
    dx: float, dy: float, tyre: float | None, spring: float | None
) -> None:
    after = move_top(project(TROUBLE), dx, dy, 0.0)
    if tyre is not None:
        assert between(after, "tyre", "tower lip")[-1] == pytest.approx(tyre, abs=0.3)
    if spring is not None:
        worst = between(after, "spring", "radius arm", np.linspace(-78.5, 79.0, 41)).min()
        assert worst == pytest.approx(spring, abs=0.3)
