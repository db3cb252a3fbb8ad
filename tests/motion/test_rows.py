"""Rows' derivatives against differences, and the bounds on them against many poses."""

from __future__ import annotations

import numpy as np
import pytest

from kinematics.motion import corner
from kinematics.motion.constants import constants
from kinematics.motion.row_rates import driver_rates, second
from kinematics.motion.rows import State, evaluate, jacobian, moved
from kinematics.motion.system import build
from tests.motion.corners import ALL


def ways(name):
    """How the corner of that name can be driven."""
    mechanism = corner(ALL[name]()).mechanism
    arm = ["lower arm"] if "lower arm" in mechanism.hinges else []
    return ["travel", *(["damper"] if mechanism.coilover else []), *arm]


SYSTEMS = [(name, by) for name in ALL for by in ways(name)]


def system_of(name, by):
    return build(corner(ALL[name]()).mechanism, by)


def shaken(system, rng, n):
    """Poses near that of entry, not on the constraints."""
    step = rng.uniform(-20.0, 20.0, (system.table.width, n))
    return moved(system.table, system.geometry, system.entry(n), step)


@pytest.mark.parametrize(("name", "by"), SYSTEMS)
def test_jacobian_and_second_derivatives(name, by):
    system = system_of(name, by)
    table, geo = system.table, system.geometry
    rng = np.random.default_rng(5)
    state = shaken(system, rng, 6)
    base = {"travel": 0.0, "damper": 430.0, "lower arm": 0.2}[by]
    drive, rack = base + rng.uniform(-0.1, 0.1, 6), rng.uniform(-20.0, 20.0, 6)
    direction = rng.normal(size=(table.width, 6))
    rows = evaluate(table, geo, state, drive, rack)
    slope = np.einsum("rcn,cn->rn", jacobian(table, geo, rows, state), direction)
    rates = driver_rates(table, geo, rows, drive)
    h = 1e-3

    def at(k, by_drive=0.0, by_rack=0.0, by_pose=1.0):
        pose = moved(table, geo, state, by_pose * k * h * direction)
        return evaluate(table, geo, pose, drive + by_drive * k * h, rack + by_rack * k * h).value

    def first(**which):
        return (at(-2, **which) - 8 * at(-1, **which) + 8 * at(1, **which) - at(2, **which)) / (
            12 * h
        )

    size = max(1.0, np.abs(slope).max())
    assert np.abs(first() - slope).max() <= 1e-8 * size
    assert np.abs(first(by_pose=0.0, by_rack=1.0) + rates[:, 1]).max() <= 1e-8
    if by != "lower arm":
        assert np.abs(first(by_pose=0.0, by_drive=1.0) + rates[:, 0]).max() <= 1e-8
    # Second derivatives along a steady motion with everything moving.
    which = {"by_drive": 1.0 if by != "lower arm" else 0.01, "by_rack": 1.0}
    h = 2e-1
    found = second(table, geo, rows, state, drive, direction, (which["by_drive"], 1.0))
    values = [at(k, **which) for k in (-2, -1, 0, 1, 2)]
    weights = np.array([-1, 16, -30, 16, -1]) / (12 * h * h)
    numeric = sum(w * v for w, v in zip(weights, values, strict=True))
    assert np.abs(numeric - found).max() <= 2e-7


@pytest.mark.parametrize("name", list(ALL))
def test_bounds_on_the_jacobian_hold(name):
    """|J'| ≤ K|v| and |J''| ≤ K2|v|² for random motions of poses on the constraints."""
    linkage = corner(ALL[name]())
    driven = linkage.driven()
    geo, table = driven.system.geometry, driven.system.table
    n = 300
    rng = np.random.default_rng(6)
    state = State(np.repeat(driven.state.centre, n, -1), np.repeat(driven.state.turn, n, -1))
    zero = np.zeros(n)
    rows = evaluate(table, geo, state, zero, zero)
    first, later, slack, most = constants(table, geo, rows, state)
    direction = rng.normal(size=(table.width, n))
    # Steady motions that keep lengths to first order stay on what the bounds speak of.
    matrix = jacobian(table, geo, rows, state)
    free = matrix[: table.rows]
    assert (np.sqrt((matrix**2).sum(axis=1)) <= most * (1 + 1e-9)).all()
    for i in range(n):
        lengths = free[: table.distances, :, i]
        if len(lengths):
            direction[:, i] -= np.linalg.pinv(lengths) @ (lengths @ direction[:, i])
    size = np.sqrt((direction**2).sum(axis=0))
    h = 1e-2
    near = []
    for k in (-1, 0, 1):
        pose = moved(table, geo, state, k * h * direction)
        near.append(jacobian(table, geo, evaluate(table, geo, pose, zero, zero), pose))
    change = np.sqrt((((near[2] - near[0]) / (2 * h)) ** 2).sum(axis=1))
    assert (change <= first * size * (1 + 1e-4) + 1e-9).all()
    bend = np.sqrt((((near[2] - 2 * near[1] + near[0]) / h**2) ** 2).sum(axis=1))
    assert (bend <= later * size**2 * (1 + 1e-3) + 1e-8).all()
    assert (slack > 0.0).all()
