"""How far the trying of fixes is: ever on, to the end; and it stops when that is asked for."""

from __future__ import annotations

import threading

import pytest

from app.resources import assets
from kinematics.clearance import Cancelled
from kinematics.project.files import read
from kinematics.studies.bench import Bench
from kinematics.studies.best import best_of
from kinematics.studies.cures import MOVED, Choice, Own
from kinematics.studies.fix_pace import Pace
from kinematics.studies.fixes import fixes

FEW = Choice(only=frozenset(["wheel spacer", "lip trimmed", "two fixes together", MOVED]))


@pytest.fixture(scope="module")
def trouble():
    return read(assets() / "examples" / "rear-in-trouble.corner.json")


def test_a_share_only_ever_grows_whatever_an_attempt_takes():
    told = []
    pace = Pace(told.append)
    for end in (0.2, 0.7, 1.0):
        pace.begin(end)
        for _ in range(40):
            pace.look()
        pace.within(0.5)  # less than was told already: nothing goes back
        pace.within(1.0)
    pace.end()
    assert told == sorted(told)
    assert len(told) > 120
    assert told[-1] == 1.0
    assert sum(share < 0.2 for share in told) > 40


def test_trying_fixes_tells_how_far_it_is_all_the_way(trouble):
    """From the first look at the corner to the last pair."""
    told = []
    fixes(trouble, told.append, choice=Choice(FEW.without, FEW.only - {MOVED}))
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 60
    assert sum(share < 0.5 for share in told) > 30


def test_a_search_tells_how_far_it_is(trouble):
    told = []
    best_of(trouble, [Own("tower.lip", -20.0, 0.0)], told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0


@pytest.mark.parametrize("after", [0, 3, 60, 130])
def test_it_stops_when_that_is_asked_for(trouble, after):
    """Asked while the corner is looked at, a fix is tried, and the mount's places are mapped."""
    asks = 0
    lock = threading.Lock()

    def cancelled():
        nonlocal asks
        with lock:
            asks += 1
            return asks > after

    with pytest.raises(Cancelled):
        fixes(trouble, None, cancelled, choice=FEW)
    assert asks <= after + 100  # every piece of work that was handed out asks before it begins


def test_a_bench_asks_while_it_looks_and_tells_how_far(trouble):
    told, asked = [], []

    def cancelled():
        asked.append(1)
        return False

    Bench(trouble, None, cancelled, told.append)
    assert len(asked) > 3
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)
