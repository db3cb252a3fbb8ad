"""The proof lets no other assembly pass for the one of set-up height."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kinematics.motion import Reach, corner, move, sweep
from kinematics.motion.chebyshev import nodes
from kinematics.motion.proof import LIMIT, distance, near, vouch_and_mend
from kinematics.motion.rows import State, evaluate, jacobian, moved
from kinematics.motion.solve import polish, residual
from kinematics.motion.sweep import lanes
from kinematics.motion.track import NODES, lay, posed, unit
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


def laid(linkage, state=None, span=(-40.0, 40.0)):
    """A track about set-up height, of this assembly or of another."""
    driven = linkage.driven()
    system, geo, start = driven.system, driven.system.geometry, driven.by_driver
    if state is None:
        return lay(system, geo, start.state, 0.0, start.other, start.rate, span, 0)
    rate = lanes(system, geo, state, 0.0, np.zeros(1), 0).rate
    return lay(system, geo, state, 0.0, np.zeros(1), rate, span, 0)


def test_another_assembly_is_sound_but_not_ours():
    linkage = corner(five_links())
    driven = linkage.driven()
    geo = driven.system.geometry
    others = other_assemblies(linkage)
    assert others.size >= 3
    own = laid(linkage)
    proof, _ = vouch_and_mend(driven.system, geo, own)
    assert np.isfinite(proof.number).all()
    assert (near(geo, own, 0.0, driven.state) < proof.room).all()
    seen = 0
    for k in range(others.size):
        track = laid(linkage, others.take(np.array([k])), (-2.0, 2.0))
        proof, _ = vouch_and_mend(driven.system, geo, track)
        if np.isfinite(proof.number).all():
            seen += 1
            assert (near(geo, track, 0.0, driven.state) > 10.0 * proof.room).all()
    assert seen


@pytest.mark.parametrize("node", range(NODES))
def test_one_node_of_another_assembly_spoils_the_proof(node):
    linkage = corner(five_links())
    driven = linkage.driven()
    system, geo = driven.system, driven.system.geometry
    own = laid(linkage)
    others, spoiled = other_assemblies(linkage), 0
    z = 40.0 * nodes(NODES)[node : node + 1]
    for k in range(others.size):
        away = polish(system, geo, others.take(np.array([k])), z, np.zeros(1), 20)
        if not residual(system, geo, away, z, np.zeros(1))[0] < 1e-9:
            continue
        table = own.table.copy()
        table[:3, 0, node], table[3:7, 0, node] = away.centre[0, :, 0], away.turn[0, :, 0]
        proof, _ = vouch_and_mend(system, geo, replace(own, table=table))
        assert np.isinf(proof.number).all()
        spoiled += 1
    assert spoiled


@pytest.mark.parametrize("name", list(ALL))
def test_the_bounds_hold_at_every_point_of_the_stretch(name):
    """Z and Y of the proof against 1,001 samples of the polynomials they bound."""
    linkage = corner(ALL[name]())
    driven = linkage.driven()
    system, geo, m = driven.system, driven.system.geometry, driven.system.table.width
    track = laid(linkage)
    proof, _ = vouch_and_mend(system, geo, track)
    assert np.isfinite(proof.number).all()
    z = np.linspace(-40.0, 40.0, 1001)
    table = track.taken(track.weights(z))
    state = unit(posed(table, track.bodies))
    rows = evaluate(system.table, geo, state, z, np.zeros(1001))
    inverse = table[7 * track.bodies :].reshape(m, m, -1)
    slopes = jacobian(system.table, geo, rows, state)[system.used]
    off = np.einsum("ijn,jn->in", inverse, rows.value[system.used])
    left = np.einsum("ijn,jkn->ikn", inverse, slopes) - np.eye(m)[:, :, None]
    assert np.linalg.norm(left, axis=(0, 1)).max() <= proof.loose[0] * (1 + 1e-6) + 1e-13
    # h = Y·κ/(1 - Z)², and κ ≤ 0.2/room.
    kappa = 0.2 * (1.0 - proof.loose[0]) / proof.room[0]
    most = proof.number[0] * (1.0 - proof.loose[0]) ** 2 / kappa
    assert np.linalg.norm(off, axis=0).max() <= most * (1 + 1e-6) + 1e-12


@pytest.mark.parametrize("name", list(ALL))
def test_no_other_solution_within_the_room(name):
    """Newton's method from random poses within the room comes back to the branch, or leaves."""
    linkage = corner(ALL[name]())
    driven = linkage.driven()
    system, geo = driven.system, driven.system.geometry
    proof, _ = vouch_and_mend(system, geo, laid(linkage))
    rng = np.random.default_rng(4)
    n = 200
    step = rng.normal(size=(system.table.width, n))
    step *= proof.room[0] * rng.uniform(size=n) / np.linalg.norm(step, axis=0)
    away = moved(system.table, geo, driven.state, step)
    found = polish(system, geo, away, np.zeros(n), np.zeros(n), 20)
    good = residual(system, geo, found, np.zeros(n), np.zeros(n)) < 1e-9
    apart = distance(geo, found, driven.state)
    assert good.all()
    assert ((apart < 1e-7) | (apart > proof.room[0])).all()
    assert (apart < 1e-7).all()


@pytest.fixture
def flipping(monkeypatch):
    """A solver whose stretches run along another assembly, closed all the same."""
    linkage = corner(five_links())
    others = other_assemblies(linkage)
    real = sweep.lay

    def flipped(system, geo, state, at, other, rate, span, along, settled):
        for k in range(others.size):
            away = others.take(np.array([k]))
            own = sweep.lanes(system, geo, away, 0.0, other, along).rate
            track = real(system, geo, away, 0.0, other, own, (-1.0, 1.0), along)
            if track.good.all():
                return replace(track, low=span[0], high=span[1])
        pytest.fail("no other assembly found")

    expected = move(corner(five_links()), TRAVEL)
    monkeypatch.setattr(sweep, "lay", flipped)
    return linkage, expected


TRAVEL = np.linspace(-1.0, 1.0, 41)


def test_a_flip_is_refused_and_announced(flipping):
    linkage, expected = flipping
    unproved = move(linkage, TRAVEL, prove=False)
    assert unproved.closure.max() < 1e-9  # closed, and yet not the same assembly
    off = np.abs(unproved.point("foot") - expected.point("foot")).max(axis=-1)
    assert off.max() > 1.0
    refused = move(linkage, TRAVEL)
    assert (refused.state[TRAVEL != 0.0] == Reach.JUMP).all()
    assert np.isnan(refused.point("foot")[TRAVEL != 0.0]).all()
    assert refused.state[20, 0] == Reach.REACHED
    assert "same way of fitting together" in refused.reason(40)


@pytest.mark.parametrize("name", list(ALL))
def test_the_proof_number_comes_with_the_motion(name):
    linkage = corner(ALL[name]())
    motion = move(linkage, np.linspace(-60.0, 60.0, 25), stops=False)
    assert (motion.proof[motion.reached] <= LIMIT).all()
    assert np.isnan(move(corner(ALL[name]()), [5.0], prove=False, stops=False).proof).all()


@pytest.mark.parametrize("name", list(ALL))
def test_conditioning_is_reported(name):
    linkage = corner(ALL[name]())
    motion = move(linkage, [-40.0, 0.0, 40.0])
    assert (motion.conditioning >= 1.0).all()
    assert motion.conditioning.max() < 200.0
