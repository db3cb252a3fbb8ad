"""Exact sensitivities agree with differences of whole re-solved corners."""

from __future__ import annotations

import zlib
from functools import partial

import msgspec
import numpy as np
import pytest

from kinematics.measures import measure, sensitivity
from kinematics.measures.figures import FIGURES
from kinematics.motion import corner, move
from kinematics.project.model import End, Link
from kinematics.project.unfold import unfold
from tests.motion.corners import ALL

TRAVEL = [-45.0, 0.0, 30.0]


def resolved(project, racks, by="travel", travel=TRAVEL):
    return measure(project, move(corner(project), travel, racks, by=by, stops=False)).figures


def shifted(project, name, axis, h):
    points = {k: list(v) for k, v in project.points.items()}
    points[name][axis] += h
    return msgspec.structs.replace(project, points={k: tuple(v) for k, v in points.items()})


def lengthened(project, name, h):
    link = project.links[name]
    links = {**project.links, name: msgspec.structs.replace(link, adjust=link.adjust + h)}
    return msgspec.structs.replace(project, links=links)


def differences(change, racks, h=1e-3):
    """Five-point differences: error of order h⁴."""
    f = {k: resolved(change(k * h), racks) for k in (-2, -1, 1, 2)}
    return {
        key: (f[-2][key] - 8 * f[-1][key] + 8 * f[1][key] - f[2][key]) / (12 * h) for key in f[1]
    }


@pytest.mark.parametrize("name", list(ALL))
def test_against_differences(name):
    project = msgspec.structs.replace(unfold(ALL[name]()), wheelbase=2450.0)
    linkage = corner(project)
    racks = [-15.0, 10.0] if "rack" in linkage.bodies else [0.0]
    rng = np.random.default_rng(zlib.crc32(name.encode()))
    points = list(project.points)
    dims = [f"{p}.{'xyz'[rng.integers(3)]}" for p in rng.permutation(points)[:4]]
    dims.append(f"{project.wheel.centre}.z")
    dims += list(project.links)[:1]
    motion = move(linkage, TRAVEL, racks, stops=False)
    found = sensitivity(project, motion, dims)
    values = measure(project, motion).figures
    assert set(found.figures) == set(FIGURES)
    for key, value in values.items():
        # A slope wherever there is a figure, and nowhere else.
        assert (np.isfinite(found.figures[key]) == np.isfinite(value)).all(), key
    for k, dim in enumerate(found.dims):
        if dim.axis is None:
            slopes = differences(lambda h, n=dim.name: lengthened(project, n, h), racks)
        else:
            slopes = differences(lambda h, n=dim.name, a=dim.axis: shifted(project, n, a, h), racks)
        for key, slope in slopes.items():
            # Differences of a figure of size F carry its rounding, about 1e-13 F / h; those of
            # an instant centre far away carry its high derivatives too.
            close = 1e-6 if "centre" in key else 1e-8
            size = np.nanmax(np.abs(values[key]), initial=0.0)
            allowed = close * np.abs(slope) + 2e-9 * max(size, 1.0) * 0.5
            off = np.abs(found.figures[key][k] - slope)
            assert (np.isnan(slope) | (off <= allowed)).all(), (str(dim), key, off.max())


def test_a_longer_link_moves_points_as_the_rows_say():
    project = unfold(ALL["rigid radius arm"]())
    motion = move(corner(project), TRAVEL)
    found = sensitivity(project, motion, ["upper link"])
    h = 1e-3
    near = [
        move(corner(lengthened(project, "upper link", s * h)), TRAVEL).point("foot")
        for s in (1, -1)
    ]
    slope = (near[0] - near[1]) / (2 * h)
    np.testing.assert_allclose(found.shift("upright", project.points["foot"])[0], slope, atol=1e-8)


def test_by_arm_angle_too():
    project = unfold(ALL["wishbones"]())
    motion = move(corner(project), [-0.1, 0.1], by="lower arm")
    found = sensitivity(project, motion, ["Q.z"]).figures["camber"][0]
    h = 1e-3
    near = [
        resolved(shifted(project, "Q", 2, s * h), [0.0], "lower arm", [-0.1, 0.1])["camber"]
        for s in (1, -1)
    ]
    np.testing.assert_allclose(found, (near[0] - near[1]) / (2 * h), rtol=1e-6)


def test_through_bushes_that_give():
    """Every figure has exact slopes there too, those that are rates by a second differentiation."""
    base = unfold(ALL["five links"]())
    extra = Link(End("i4"), End("o2", "upright"))
    project = msgspec.structs.replace(
        base, links={**base.links, "extra": extra}, give={"extra": 4000.0, "link 2": 9000.0}
    )
    motion = move(corner(project), TRAVEL, stops=False)
    dims = ["o2.x", "i4.z", "o5.y", "link 3"]
    found = sensitivity(project, motion, dims).figures
    values = measure(project, motion).figures
    for k, dim in enumerate(dims):
        name, _, axis = dim.partition(".")
        change = lengthened if not axis else partial(shifted, axis="xyz".index(axis))
        # Wide differences: resting places are found to about 1e-12 mm, which a narrow one shows.
        slopes = differences(lambda h, c=change, n=name: c(project, name=n, h=h), [0.0], h=0.1)
        assert set(found) == set(slopes)
        for key, slope in slopes.items():
            got = found[key][k]
            assert (np.isnan(got) == np.isnan(slope)).all(), key
            size = np.nanmax(np.abs(values[key]), initial=0.0)
            allowed = 1e-8 * np.abs(slope) + 1e-12 * max(size, 1.0)
            off = np.abs(got - slope)
            assert (np.isnan(slope) | (off <= allowed)).all(), (dim, key, np.nanmax(off))
    assert np.isfinite(found["camber_gain"]).all()
    assert np.abs(found["camber_gain"]).max() > 1e-8


@pytest.mark.parametrize("name", list(ALL))
def test_what_is_out_of_reach_has_no_slope(name):
    """And what can be reached beside it has the slope it has alone."""
    project = unfold(ALL[name]())
    linkage = corner(project)
    dims = list(project.points)[:2]
    far = move(linkage, [0.0, 2000.0], [0.0], stops=False)
    assert far.reached.ravel().tolist() == [True, False]
    both = sensitivity(project, far, dims).figures
    alone = sensitivity(project, move(linkage, [0.0], [0.0], stops=False), dims).figures
    assert np.isnan(both["camber"][:, 1]).all()
    for key, slopes in both.items():
        np.testing.assert_allclose(slopes[:, :1], alone[key], rtol=1e-6, atol=1e-9, err_msg=key)
