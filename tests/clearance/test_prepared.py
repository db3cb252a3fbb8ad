"""Single positions one after another, against the same asked afresh."""

from __future__ import annotations

import numpy as np
import pytest

from app.resources import assets
from kinematics.clearance import Joint, Prepared, clearances
from kinematics.motion import move
from kinematics.project.files import read
from kinematics.shapes.pieces import Part, Rod, box
from kinematics.studies.study import set_up


@pytest.mark.parametrize("name", ["rear-in-trouble", "front-strut"])
def test_positions_one_after_another_equal_those_asked_afresh(name):
    setting = set_up(read(assets() / "examples" / f"{name}.corner.json"))
    prepared = Prepared(setting.pairs.checked)
    rng = np.random.default_rng(4)
    for travel in rng.uniform(*(0.9 * np.array(setting.range)), 8):
        motion = move(setting.linkage, [travel])
        parts, joints = setting.builder(motion), setting.joints(motion)
        found = prepared.at(parts, joints)
        afresh = clearances(parts, setting.pairs.checked, joints=joints)
        assert np.array_equal(np.isfinite(found.low), np.isfinite(afresh.low))
        assert np.all(found.low <= afresh.low + afresh.bound + 1e-6)
        assert np.all(afresh.low <= found.low + found.bound + 1e-6)


def test_parts_of_another_make_are_laid_out_anew():
    prepared = Prepared([(0, 1)])
    block = Part("block", "a", "arm", (box([0.0, 0, 0], [10.0, 10, 10]),))
    for radius, reach in ((5.0, 60.0), (5.0, 80.0), (8.0, 80.0)):
        rod = Part("rod", "b", "arm", (Rod(np.array([[[reach, 0, 0], [reach, 9, 0]]]), radius),))
        found = prepared.at([block, rod])
        assert found.low[0, 0, 0] == pytest.approx(reach - 10.0 - radius, abs=0.02)
    two = Part("rod", "b", "arm", (*rod.pieces, Rod(np.array([[[20.0, 0, 0], [20, 9, 0]]]), 1.0)))
    assert prepared.at([block, two]).low[0, 0, 0] == pytest.approx(9.0, abs=0.02)


def test_what_a_ball_swallows_whole_is_apart_and_an_unknown_position_unknown():
    prepared = Prepared([(0, 1)])
    block = Part("block", "a", "arm", (box([0.0, 0, 0], [10.0, 10, 10]),))
    ends = np.array([[[0.0, 0, 0], [3, 0, 0]]])
    rod = Part("rod", "b", "arm", (Rod(ends, 2.0),))
    joint = Joint(0, 1, np.zeros(3), 30.0)
    assert prepared.at([block, rod], [joint]).low[0, 0, 0] == np.inf
    far = Part("rod", "b", "arm", (Rod(ends + 50.0, 2.0),))
    known = Prepared([(0, 1)])
    assert np.isfinite(known.at([block, far]).low[0, 0, 0])
    gone = Part("rod", "b", "arm", (Rod(ends * np.nan, 2.0),))
    assert np.isnan(known.at([block, gone]).low[0, 0, 0])
    assert np.isfinite(known.at([block, far]).low[0, 0, 0])
