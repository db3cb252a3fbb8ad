"""Where a steered tyre meets a post, against the same pair looked at every twentieth of a mm."""

import numpy as np
import pytest
from msgspec.structs import replace

from app.examples import find_project
from app.paper.record import record
from kinematics.clearance import clearances
from kinematics.motion import move
from kinematics.project.files import read
from kinematics.project.model import Box, ExtraPosition
from kinematics.shapes.extra import displaced
from kinematics.studies.study import study

RACKS = (-40.0, 0.0, 15.0, 40.0)


@pytest.fixture(scope="module")
def checked():
    car = read(find_project("front-wishbones"))
    x, y, z = car.points[car.wheel.centre]
    post = Box("chassis", (x + 250.0, y - 140.0, z + 180.0), (x + 300.0, y - 100.0, z + 200.0))
    give = {"forward": ExtraPosition(forward=3.0), "rearward": ExtraPosition(forward=-3.0)}
    car = replace(car, parts={**car.parts, "post": post}, extra_positions=give)
    return study(car, travel=np.linspace(-10.0, 40.0, 11), rack=RACKS)


@pytest.fixture(scope="module")
def told(checked):
    return next(f for f in checked.findings if set(f.parts) == {"tyre", "post"})


def densely(checked, extra=None, step=0.05):
    """The pair's clearance (nz, ns) at travels a step apart."""
    setting = checked.setting
    pair = next(k for k, names in enumerate(setting.names) if set(names) == {"tyre", "post"})
    travel = np.linspace(-10.0, 40.0, round(50.0 / step) + 1)
    motion = move(setting.linkage, travel, RACKS)
    parts = setting.builder.some(motion, setting.pairs.checked[pair])
    if extra is not None:
        moved = displaced(setting.unfolded, extra, parts, motion).parts
        parts = [moved.get(k, part) for k, part in enumerate(parts)]
    return travel, clearances(parts, [(0, 1)], motion.shape, 1e-3).low[0]


def same(held, travel, low, level):
    """Whether stretches hold what is below a level, and end within the step about it."""
    for j, rack in enumerate(RACKS):
        own = [(s.low, s.high) for s in held if s.rack == rack]
        inside = np.any([(travel >= a) & (travel <= b) for a, b in own] or [travel != travel], 0)
        below = low[:, j] < level
        assert not (below & ~inside).any()
        wider = below.copy()
        wider[1:] |= below[:-1]
        wider[:-1] |= below[1:]
        assert not (inside & ~wider).any()


def test_all_travel_with_contact_and_under_the_rule_is_told_rack_by_rack(checked, told):
    travel, low = densely(checked)
    same(told.touching, travel, low, 0.0)
    same(told.nearer, travel, low, told.rule)
    assert {s.rack for s in told.touching} == {40.0}
    assert {s.rack for s in told.nearer} == {0.0, 15.0, 40.0}
    assert told.touches.bump == min(s.low for s in told.touching)
    assert (told.touches.bump_rack, told.touches.droop) == (40.0, None)


def test_with_give_as_well(checked, told):
    travel, low = densely(checked)
    for extra in checked.project.extra_positions.values():
        low = np.minimum(low, densely(checked, extra)[1])
    same(told.give.touching, travel, low, 0.0)
    assert told.give.touches.bump < told.touches.bump


def test_they_are_in_the_record(checked, told):
    found = next(f for f in record(checked, "mm")["findings"] if "post" in f["parts"])
    assert [s["rack_mm"] for s in found["under_rule"]] == [0.0, 15.0, 40.0]
    (only,) = found["touching"]
    assert only["from_mm"] == pytest.approx(told.touches.bump, abs=1e-5)
    assert only["to_mm"] == 40.0
    assert found["with_give"]["touching"]
