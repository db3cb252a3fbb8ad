"""Every pair of every example, and of a corner with every kind of part: the two contact points
lie on the true surfaces and as far apart as the figure says."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from kinematics.project.edit import move_top
from kinematics.project.model import Project
from kinematics.studies.study import Study, look, set_up
from tests.clearance.exact import to_part
from tests.shapes.corners import EXAMPLES, project
from tests.shapes.whole import whole

ON = 1e-6
"""How far off its surface a contact point may lie, mm."""


def looked(car: Project, count: int = 2) -> Study:
    setting = set_up(replace(car, survey=None))
    low, high = setting.range
    racks = np.zeros(1)
    if (rack := setting.unfolded.rack) is not None:
        racks = np.array([0.8 * rack.least, rack.most])
    return look(setting, np.linspace(0.93 * low, 0.97 * high, count), racks)


def check(done: Study) -> tuple[int, int]:
    """How many figures were looked at, and how many of them are overlaps."""
    found, parts = done.clearances, done.parts
    pairs = np.array(found.pairs)
    n = found.low[0].size
    low, bound = found.low.reshape(-1, n), found.bound.reshape(-1, n)
    on = [x.reshape(-1, n, 3) for x in (found.point_a, found.point_b)]
    known = np.isfinite(low)
    apart = np.linalg.norm(on[0] - on[1], axis=2)
    high = low + bound
    clear, deep = known & (high > 0.0), known & (high <= 0.0)
    assert (bound[clear] <= 0.02).all()
    # Tyre and rim are hollow: how deep their own metal is entered is told with its error.
    hollow = np.array([not {"tyre", "wheel"}.isdisjoint(names) for names in done.names])
    assert (bound[deep & ~hollow[:, None]] <= 0.02).all()
    assert (apart[clear] >= low[clear] - ON).all()
    assert (apart[clear] <= high[clear] + ON).all()
    assert np.abs(apart[deep] + high[deep]).max(initial=0.0) <= ON
    own, other = np.full((2, *low.shape), np.nan), np.full((2, *low.shape), np.nan)
    for side in (0, 1):
        for number in np.unique(pairs):
            for values, column in ((own, side), (other, 1 - side)):
                rows = np.flatnonzero(pairs[:, column] == number)
                for pose in range(n) if rows.size else ():
                    values[side, rows, pose] = to_part(on[side][rows, pose], parts[number], pose)
    assert np.abs(own[:, clear]).max(initial=0.0) <= ON
    # Overlap: one point on the host's surface, the other in its own part and so deep in the host.
    for side in (0, 1):
        hosts = np.abs(own[side]) <= ON
        hosts &= (own[1 - side] <= ON) & (other[1 - side] <= high + ON)
        deep = deep & ~hosts
    assert not deep.any(), [(done.names[p], high[p, i]) for p, i in np.argwhere(deep)]
    return int(known.sum()), int((known & (high <= 0.0)).sum())


@pytest.mark.parametrize("name", [name for name in EXAMPLES if name != "rear-misread"])
def test_contact_points_of_every_pair_of_an_example(name: str) -> None:
    looked_at, _ = check(looked(project(name)))
    assert looked_at > 30


@pytest.mark.parametrize("shift", [(0.0, 0.0, 0.0), (-60.0, 90.0, -40.0)])
def test_contact_points_of_every_kind_of_part(shift: tuple[float, float, float]) -> None:
    """As it is, and with the top set where much of it overlaps."""
    looked_at, overlaps = check(looked(move_top(whole(), *shift)))
    assert looked_at > 600
    assert overlaps > 8
