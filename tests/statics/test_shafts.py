"""Drive shafts and hoses: plain geometry."""

import numpy as np
import pytest

from kinematics.statics import hoses, shafts


def test_a_shaft_lifted_at_its_outer_end() -> None:
    lift = np.array([-80.0, 0.0, 80.0])
    inner = np.zeros((3, 3))
    outer = np.stack([0 * lift, np.full(3, 400.0), lift], axis=-1)
    y = np.array([0.0, 1.0, 0.0])
    state = shafts.shaft_state(inner, outer, y, np.array([0.0, -1.0, 0.0]), 400.0)
    bend = np.arctan2(np.abs(lift), 400)
    assert state.inner == pytest.approx(bend)
    assert state.outer == pytest.approx(bend)  # an axis is a line, whichever way it points
    assert state.plunge == pytest.approx(np.hypot(400, lift) - 400)


def test_slack_is_what_is_left_of_the_hose() -> None:
    clips = np.array([[300.0, 0, 0], [0, 320.0, 0]])
    assert hoses.slack(np.zeros(3), clips, 310.0) == pytest.approx([10.0, -10.0])
