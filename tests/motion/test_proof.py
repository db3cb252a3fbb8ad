"""The proof lets no other assembly pass for the one of set-up height."""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.motion import Reach, corner, grid, move
from kinematics.motion.proof import anchors, prove_chain, spacing
from kinematics.motion.rows import State
from kinematics.motion.solve import polish, residual
from tests.motion.corners import ALL, five_links


def other_assemblies(linkage, count=200):
    """Other ways the corner fits together at set-up height, from random starts."""
    driven = linkage.driven()
    system, geo = driven.system, driven.system.geometry
    rng = np.random.default_rng(2)
    centre = np.repeat(driven.state.centre, count, -1) + rng.normal(0, 120, (1, 3, count))
    turn = rng.normal(size=(1, 4, count))
    turn /= np.linalg.norm(turn, axis=1, keepdims=True)
    zero = np.zeros(count)
    with np.errstate(all="ignore"):
        found = polish(system, geo, State(centre, turn), zero, zero, 60)
        good = residual(system, geo, found, zero, zero) < 1e-9
    apart = np.abs(np.abs((found.turn[0] * driven.state.turn[0]).sum(axis=0)) - 1.0)
    return found.take(np.flatnonzero(good & (apart > 1e-3)))


def test_other_assemblies_are_refused():
    linkage = corner(five_links())
    others = other_assemblies(linkage)
    assert others.size >= 3
    driven = linkage.driven()
    system, geo, start = driven.system, driven.system.geometry, driven.by_driver
    values = np.array([-2.0, -1.0, 0.5, 1.0])
    marks = np.isin(values, anchors(values, 0.0, spacing(system, geo, start, 0)))
    ok = np.ones((4, 1), dtype=bool)
    own = move(linkage, values).solved
    proved = prove_chain(system, geo, start, values, own, ok, marks, 0)
    assert np.isfinite(proved).all()
    for k in range(min(others.size, 4)):
        # The other assembly, closed at the same travels, in place of one pose and of all.
        away = others.take(np.full(4, k))
        away = polish(system, geo, away, values, np.zeros(4), 20)
        if residual(system, geo, away, values, np.zeros(4)).max() > 1e-9:
            continue
        assert np.isinf(prove_chain(system, geo, start, values, away, ok, marks, 0)).all()
        one = State(own.centre.copy(), own.turn.copy())
        one.centre[..., 3], one.turn[..., 3] = away.centre[..., 3], away.turn[..., 3]
        mixed = prove_chain(system, geo, start, values, one, ok, marks, 0)
        assert np.isinf(mixed[3])
        assert np.isfinite(mixed[:3]).all()


@pytest.fixture
def flipping(monkeypatch):
    """A solver whose quick way leads to another assembly beyond +20, closed all the same."""
    linkage = corner(five_links())
    others = other_assemblies(linkage)
    real = grid.sweep

    def flipped(system, geo, start, values, along=0):
        state, ok = real(system, geo, start, values, along)
        far = np.flatnonzero(values > 20.0)
        for k in range(others.size):
            away = polish(
                system, geo, others.take(np.full(len(far), k)), values[far], 0.0 * values[far], 20
            )
            if residual(system, geo, away, values[far], 0.0 * values[far]).max() < 1e-9:
                state.centre[..., far], state.turn[..., far] = away.centre, away.turn
                return state, ok
        pytest.fail("no other assembly found")

    expected = move(linkage, TRAVEL)
    monkeypatch.setattr(grid, "sweep", flipped)
    return linkage, expected


TRAVEL = np.linspace(-40.0, 40.0, 41)


def test_a_flip_is_seen_and_mended(flipping):
    linkage, expected = flipping
    unproved = move(linkage, TRAVEL, prove=False)
    assert unproved.closure.max() < 1e-9  # closed, and yet not the same assembly
    off = np.abs(unproved.point("foot") - expected.point("foot")).max(axis=-1)
    assert off.max() > 1.0
    proved = move(linkage, TRAVEL)
    assert proved.reached.all()
    np.testing.assert_allclose(proved.point("foot"), expected.point("foot"), atol=1e-9)


def test_a_flip_that_can_not_be_mended_is_announced(flipping, monkeypatch):
    linkage, _ = flipping
    monkeypatch.setattr(grid, "_follow", lambda *given: given[-2].__setitem__(slice(None), True))
    motion = move(linkage, TRAVEL)
    assert (motion.state[TRAVEL > 20.0] == Reach.JUMP).all()
    assert (motion.state[TRAVEL <= 20.0] == Reach.REACHED).all()
    assert np.isnan(motion.point("foot")[TRAVEL > 20.0]).all()
    assert "same way of fitting together" in motion.reason(40)


@pytest.mark.parametrize("name", list(ALL))
def test_conditioning_is_reported(name):
    linkage = corner(ALL[name]())
    motion = move(linkage, [-40.0, 0.0, 40.0])
    assert (motion.conditioning >= 1.0).all()
    assert motion.conditioning.max() < 200.0
