"""Random scenes of all kinds of solid against an independent, sampled judge.

The long campaign: pytest -m campaign tests/clearance/test_oracle.py
"""

from __future__ import annotations

import pytest

from tests.clearance.scenes import faults


def test_random_scenes():
    wrong = {seed: say for seed in range(150) if (say := faults(seed))}
    assert not wrong


@pytest.mark.campaign
@pytest.mark.parametrize("block", range(20))
def test_many_random_scenes(block):
    wrong = {
        seed: say
        for seed in range(1000 + 110 * block, 1110 + 110 * block)
        if (say := faults(seed, True))
    }
    assert not wrong
