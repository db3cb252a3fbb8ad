"""The search: better than any of many random tries, within its bounds, its alignment held."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest

from app.resources import assets
from kinematics.clearance import Cancelled
from kinematics.errors import ClearstrokeError, EntryError
from kinematics.project.files import read
from kinematics.studies.best import best_of
from kinematics.studies.cures import Own
from kinematics.studies.cures_own import apply_of
from kinematics.studies.effects import effects
from kinematics.studies.fixes import gaps

OVER = (Own("tower.outer", -25.0, 0.0), Own("points.coilover foot.x", -15.0, 15.0))


@pytest.fixture(scope="module")
def trouble():
    return read(assets() / "examples" / "rear-in-trouble.corner.json")


@pytest.fixture(scope="module")
def found(trouble):
    return best_of(trouble, OVER)


def least(project):
    return min(gap.left for gap in gaps(project).values())


def test_it_ends_within_bounds_with_what_a_check_from_nothing_gives(found):
    for mine in OVER:
        assert mine.least <= found.amounts[mine.path] <= mine.most
    assert found.after == pytest.approx(least(found.project), abs=0.02)
    assert found.after > 0.0 > found.before


def test_no_random_try_is_better(trouble, found):
    rng = np.random.default_rng(7)
    for _ in range(12):
        project = trouble
        for mine in OVER:
            mm = float(rng.uniform(mine.least, mine.most))
            project = apply_of(trouble, mine.path)(project, mm)
        assert least(project) <= found.after + 0.05


def test_alignment_is_held(trouble):
    """The upper link may be made 6 mm longer, camber may go by 0.3 degrees only."""
    over = [Own("length of upper link", 0.0, 6.0)]
    held = best_of(trouble, over, camber=math.radians(0.3))
    change = effects(trouble, held.project)
    assert abs(change.camber) <= math.radians(0.31)
    assert 0.0 < held.amounts["length of upper link"] < 2.0


def test_what_cannot_be_searched_is_refused(trouble):
    with pytest.raises(EntryError, match="at least one"):
        best_of(trouble, [])
    with pytest.raises(EntryError, match="no number"):
        best_of(trouble, [Own("tower.colour", -1.0, 1.0)])
    with pytest.raises(Cancelled):
        best_of(trouble, OVER, cancelled=lambda: True)


def test_a_corner_without_a_position_that_can_be_reached_is_not_searched(trouble):
    """The top is 3 m up: no damper of its length gets there, at any travel."""
    points = {**trouble.points, "top bearing": (0.0, 275.0, 3300.0)}
    with pytest.raises(ClearstrokeError, match="nothing to search for"):
        best_of(msgspec.structs.replace(trouble, points=points), OVER)
