"""Pairs of parts over a grid: what is certified at and between positions, joints, onsets."""

from __future__ import annotations

import gc
import subprocess
import sys
import weakref

import numpy as np
import pytest

from kinematics.clearance import Cancelled, Joint, all_pairs, clearances, distance, onset
from kinematics.shapes.pieces import Part, Ring, Rod, Sheet, box, point
from kinematics.shapes.profile import circle, rectangle, rounded


def part(name, *pieces, body=None, sagitta=()):
    return Part(name, body or name, "arm", tuple(pieces), sagitta=sagitta)


def moving_rod(travel, radius=24.0, off=30.0):
    ends = np.array([[[0.0, off, z], [0.0, off + 30.0, z]] for z in travel])
    return Rod(ends, radius)


def test_thin_tab_passed_between_two_coarse_samples_is_found():
    """A 1 mm tab, passed 1.0 mm away halfway between samples 20 mm apart."""
    tab = part("tab", box([0.0, 0.0, 10.0], [5.0, 5.0, 0.5]))
    rod = part("rod", moving_rod([0.0, 20.0, 40.0]))
    found = clearances([tab, rod], [(0, 1)], (3, 1))
    assert found.low[0, 0, 0] > 2.5
    assert 1.0 - 0.02 <= found.between_low[0, 0, 0] <= 1.0
    assert found.between_at[0, 0, 0] == pytest.approx(0.5, abs=0.1)
    assert found.worst[0] == found.between_low[0, 0, 0]


def test_overlap_between_two_clear_samples_is_found():
    tab = part("tab", box([0.0, 0.0, 50.0], [5.0, 10.0, 0.5]))
    rod = part("rod", moving_rod([0.0, 100.0]))
    found = clearances([tab, rod], [(0, 1)], (2, 1))
    assert found.low.min() > 20.0
    assert -4.02 <= found.between_low[0, 0, 0] <= -4.0


def test_sagitta_is_taken_off_between_positions():
    tab = part("tab", box([0.0, 0.0, 10.0], [5.0, 5.0, 0.5]))
    plain = part("rod", moving_rod([0.0, 1.0, 2.0]))
    bulging = part("rod", moving_rod([0.0, 1.0, 2.0]), sagitta=(np.array([0.25, 0.5]),))
    straight = clearances([tab, plain], [(0, 1)], (3, 1)).between_low[0, :, 0]
    found = clearances([tab, bulging], [(0, 1)], (3, 1)).between_low[0, :, 0]
    np.testing.assert_allclose(straight - found, [0.25, 0.5], atol=1e-9)


@pytest.mark.parametrize("seed", range(24))
def test_swept_scenes_are_never_over_reported(seed):
    _check_sweep(seed)


@pytest.mark.campaign
@pytest.mark.parametrize("block", range(10))
def test_many_swept_scenes_are_never_over_reported(block):
    for seed in range(100 + 200 * block, 300 + 200 * block):
        _check_sweep(seed)


def _check_sweep(seed):
    """Two pieces swept through five positions, against 100 poses sampled between each two."""
    rng = np.random.default_rng(seed)
    n = 5
    t = np.linspace(0.0, 1.0, n)
    pieces = []
    for k in range(2):
        at = rng.normal(size=3) * 60 * k
        path = at + t[:, None] * rng.normal(size=3) * 40
        axis = (
            np.array([0.0, 0.0, 1.0]) + t[:, None] * rng.normal(size=3) * 0.3 + rng.normal(size=3)
        )
        pieces.append(_swept(rng, path, axis))
    a, b = part("a", pieces[0]), part("b", pieces[1])
    found = clearances([a, b], [(0, 1)], (n, 1))
    for i in range(n - 1):
        share = np.linspace(0.0, 1.0, 100)
        between = distance(_lerp(pieces[0], i, share), _lerp(pieces[1], i, share))
        lowest = float(np.min(between.low + between.bound))
        assert found.between_low[0, i, 0] <= lowest + 1e-6
        if lowest > 0.0 and not any(isinstance(p, Ring) and p.hollow for p in pieces):
            turning = sum(_turning(piece, i) for piece in pieces)
            assert found.between_low[0, i, 0] >= lowest - 0.05 - turning


def _swept(rng, path, axis):
    axis = axis / np.linalg.norm(axis, axis=1)[:, None]
    kind = rng.integers(5)
    if kind == 0:
        return Rod(np.stack([path - 40 * axis, path + 40 * axis], axis=1), 8.0)
    if kind == 1:
        side = np.cross(axis, [1.0, 0.2, 0.1])
        corners = [path + 30 * axis, path + 25 * side, path - 30 * axis]
        return Sheet(np.stack(corners, axis=1), 1.5)
    if kind == 2:
        return Ring(
            path, axis, rectangle(0.0, 30.0, 0.0, 20.0), 10.0 * np.linspace(0, 1, len(path))
        )
    if kind == 3:
        return Ring(path, axis, rounded([(0, -20), (50, -20), (50, 20), (0, 20)], [0, 8, 8, 0]))
    barrel = rounded([(60, -20), (70, -20), (72, 20), (61, 20)], 1.0)
    return Ring(path, axis, barrel, hollow=True)


def _turning(piece, i):
    """What is taken off for a ring whose axis turns by an angle while it is stretched:
    (55 mm reach * angle^2 + 2 * stretch * angle) / 8, the angle taken from its chord: asin x is at
    most x + (pi / 2 - 1) x^3."""
    if not isinstance(piece, Ring):
        return 0.0
    x = 0.5 * np.linalg.norm(piece.axis[i + 1] - piece.axis[i])
    angle = 2.0 * x * (1.0 + (0.5 * np.pi - 1.0) * x * x)
    stretch = 0.0 if piece.stretch is None else abs(np.diff(piece.stretch)[i])
    return (55.0 * angle + 2.0 * stretch) * angle / 8.0


def _lerp(piece, i, share):
    """The piece's control points moved straight between positions i and i + 1."""

    def mix(array):
        s = share.reshape(-1, *([1] * (array.ndim - 1)))
        return (1 - s) * array[i] + s * array[i + 1]

    if isinstance(piece, Rod):
        return Rod(mix(piece.ends), piece.radius)
    if isinstance(piece, Sheet):
        return Sheet(mix(piece.corners), piece.half)
    axis = mix(piece.axis)
    axis /= np.linalg.norm(axis, axis=1)[:, None]
    stretch = None if piece.stretch is None else mix(piece.stretch)
    return Ring(mix(piece.centre), axis, piece.profile, stretch, piece.hollow)


def test_far_from_the_origin_nothing_changes():
    shift = np.array([1e6, -2e6, 3e5])
    ring = Ring(np.zeros((1, 3)), np.array([[0.0, 0.6, 0.8]]), rectangle(0, 50, -10, 10, 3))
    moved = Ring(ring.centre + shift, ring.axis, ring.profile)
    block = box([60.0, 30.0, 20.0], [5.0, 6.0, 7.0])
    here = distance(ring, block)
    there = distance(moved, box(np.array([60.0, 30.0, 20.0]) + shift, [5.0, 6.0, 7.0]))
    np.testing.assert_allclose(there.low, here.low, atol=1e-6)


def test_containment_is_overlap_either_way_round():
    outer, inner = box([0, 0, 0], [10, 20, 30]), box([1, 2, 3], [1, 2, 3])
    for a, b in ((outer, inner), (inner, outer)):
        found = distance(a, b)
        assert found.low[0] <= -10.0 <= found.low[0] + found.bound[0]


def test_overlap_of_two_crossing_rods_is_the_deeper_depth():
    """Axes 5 apart, radii 20 and 10: the thin one's axis and more is inside the thick one, whose
    own axis lies inside the thin one: depths 20 (to the middle, no further) and 10."""
    thick = Rod(np.array([[[-50.0, 0, 0], [50, 0, 0]]]), 20.0)
    thin = Rod(np.array([[[0.0, -50, 5], [0, 50, 5]]]), 10.0)
    assert distance(thick, thin).low[0] == pytest.approx(-20.0, abs=0.02)


def test_bore_of_a_hollow_ring_is_open():
    """A rod through the middle of a torus, a caliper-like block in a barrel, one outside it."""
    axis = np.array([[0.0, 1.0, 0.0]])
    barrel = Ring(np.zeros((1, 3)), axis, rounded([(170, -90), (178, -90), (178, 90), (170, 90)]),
                  hollow=True)  # fmt: skip
    inside = distance(barrel, box([120.0, 0.0, 0.0], [30.0, 20.0, 40.0]))
    corner = 170.0 - np.hypot(150.0, 40.0)
    assert inside.low[0] <= corner <= inside.low[0] + inside.bound[0] + 1e-9
    assert inside.bound[0] <= 0.02
    outside = distance(barrel, box([200.0, 0.0, 0.0], [10.0, 20.0, 40.0]))
    assert outside.low[0] == pytest.approx(12.0, abs=0.02)
    torus = Ring(np.zeros((1, 3)), axis, circle(262.0, 0.0, 50.0), hollow=True)
    shaft = Rod(np.array([[[3.0, -400, 0], [3.0, 400, 0]]]), 14.0)
    assert distance(torus, shaft).low[0] == pytest.approx(262 - 50 - 3 - 14, abs=0.02)
    through = distance(barrel, Rod(np.array([[[0.0, 0, 0], [300, 0, 0]]]), 5.0))
    assert through.low[0] < 0.0


def test_joined_parts_are_checked_outside_the_ball():
    centre = np.zeros(3)
    link = part("link", Rod(np.array([[[0.0, 0, 0], [300, 0, 0]]]), 15.0))
    other = part("other", Rod(np.array([[[0.0, 0, 0], [0, 300, 0]]]), 15.0))
    grazing = part("grazing", Rod(np.array([[[0.0, 0, 0], [300, 20, 0]]]), 15.0))
    assert clearances([link, other], [(0, 1)]).low[0, 0, 0] < -14.0
    joint = Joint(0, 1, centre, 40.0)
    # Cut square at sqrt(40^2 - 15^2) from the joint: corners (37.081, 15) and (15, 37.081).
    cut = np.sqrt(40.0**2 - 15.0**2) - 15.0
    apart = clearances([link, other], [(0, 1)], joints=[joint]).low[0, 0, 0]
    assert apart == pytest.approx(np.hypot(cut, cut), abs=0.02)
    assert clearances([link, grazing], [(0, 1)], joints=[joint]).low[0, 0, 0] < -14.0


def test_nothing_outside_the_ball_goes_unchecked():
    """Points of trimmed pieces cover every sampled point of the piece outside the ball."""
    rng = np.random.default_rng(3)
    ball, radius = np.array([5.0, -3.0, 4.0]), 30.0
    pieces = [
        Rod(np.array([[[-60.0, 0, 0], [70, 10, 5]]]), 9.0),
        Sheet(np.array([[[-50.0, -40, 0], [60, -40, 0], [50, 55, 0], [-45, 50, 0]]]), 2.0),
        box([0, 0, 0], [40, 12, 15]),
        Ring(np.array([[-50.0, -3, 4]]), np.array([[1.0, 0, 0]]), rectangle(0, 18, 0, 100)),
    ]
    from kinematics.clearance.joints import trimmed

    for piece in pieces:
        cut = trimmed(part("p", piece), [(ball[None], radius)])
        x = rng.uniform(-80, 80, (4000, 3))
        probe = point(x)
        inside = distance(piece, probe).low <= -1e-6
        outside_ball = np.linalg.norm(x - ball, axis=1) > radius
        covered = np.zeros(len(x), bool)
        for new in cut.pieces:
            covered |= distance(new, probe).low <= 1e-6
        assert np.all(covered[inside & outside_ball])
        deep = inside & (np.linalg.norm(x - ball, axis=1) < 0.4 * radius)
        assert not np.all(covered[deep]) or not np.any(deep)


def test_onset_in_bump_and_droop():
    """A rod rises towards a plate and falls towards another: gaps 30 and 20 at travel 0."""
    travel = np.linspace(-40.0, 40.0, 17)
    above = part("above", box([0, 0, 50.0], [100, 100, 10.0]))

    def at(z):
        z = np.asarray(z, float)
        ends = np.stack(
            [np.stack([0 * z - 20, 0 * z, z], 1), np.stack([0 * z + 20, 0 * z, z], 1)], 1
        )
        return [above, part("rod", Rod(ends, 10.0))]

    found = clearances(at(travel), [(0, 1)], (len(travel), 1))
    for level, expected in ((0.0, 30.0), (5.0, 25.0), (12.3, 17.7)):
        first = onset(at, (0, 1), travel, found, level)
        assert first.bump == pytest.approx(expected, abs=0.05)
        assert first.bump <= expected + 1e-6
        assert first.droop is None
        assert first.intervals[-1][1] == 40.0
    already = onset(at, (0, 1), travel, found, 35.0)
    assert already.bump == 0.0
    assert already.droop == 0.0


def test_unknown_poses_stay_unknown():
    travel = np.array([0.0, 1.0, np.nan, 3.0])
    found = clearances(
        [part("tab", box([0, 0, 10], [5, 5, 0.5])), part("rod", moving_rod(travel))],
        [(0, 1)],
        (4, 1),
    )
    assert np.array_equal(np.isnan(found.low[0, :, 0]), [False, False, True, False])
    assert np.array_equal(np.isnan(found.between_low[0, :, 0]), [False, True, True])
    assert np.isfinite(found.worst[0])


def test_cut_off_keeps_a_certified_bound_and_cancel_stops():
    tab, rod = part("tab", box([0, 0, 10], [5, 5, 0.5])), part("rod", moving_rod([0.0], off=500.0))
    found = clearances([tab, rod], [(0, 1)], cutoff=100.0)
    full = clearances([tab, rod], [(0, 1)])
    assert 100.0 <= found.low[0, 0, 0] <= full.low[0, 0, 0] + full.bound[0, 0, 0]
    assert np.isinf(found.bound[0, 0, 0])
    with pytest.raises(Cancelled):
        clearances([tab, rod], [(0, 1)], cancelled=lambda: True)
    assert all_pairs([tab, rod, part("more", moving_rod([0.0]), body="tab")]) == ((0, 1), (1, 2))


def test_wrong_counts_are_named():
    with pytest.raises(ValueError, match="3 poses; 2 or 1"):
        clearances(
            [part("tab", box([0, 0, 10], [5, 5, 0.5])), part("rod", moving_rod([0.0, 1, 2]))],
            [(0, 1)],
            (2, 1),
        )


def test_shapes_and_clearance_load_no_compiler():
    """Opening a project must not wait for numba: it is loaded at the first clearance."""
    code = (
        "import sys, kinematics.clearance, kinematics.shapes.pieces; "
        "sys.exit('numba' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_both_bores_are_open_where_two_hollow_rings_meet():
    """Two links of a chain; a hoop inside a barrel; two barrels side by side."""
    hoop = circle(100.0, 0.0, 10.0)
    first = Ring(np.zeros((1, 3)), np.array([[0.0, 0, 1]]), hoop, hollow=True)
    chained = Ring(np.array([[70.0, 0, 0]]), np.array([[0.0, 1, 0]]), hoop, hollow=True)
    found = distance(first, chained)
    # Where they pass through each other's plane their middle lines are 70 apart.
    assert found.low[0] <= 50.0 <= found.low[0] + found.bound[0] + 1e-9
    assert found.bound[0] <= 0.02
    inner = Ring(np.array([[7.0, 0, 0]]), np.array([[0.0, 0, 1]]), circle(60.0, 0.0, 10.0),
                 hollow=True)  # fmt: skip
    nested = distance(first, inner)
    assert nested.low[0] <= 13.0 <= nested.low[0] + nested.bound[0] + 1e-9
    assert nested.bound[0] <= 0.02
    beside = Ring(np.array([[250.0, 0, 0]]), np.array([[0.0, 0, 1]]), hoop, hollow=True)
    assert distance(first, beside).low[0] == pytest.approx(30.0, abs=0.02)


def test_a_hollow_ring_entered_from_outside_is_as_deep_as_a_filled_one():
    outline = rounded([(150, -60), (230, -60), (230, 60), (150, 60)], 30.0)
    tyre = Ring(np.zeros((1, 3)), np.array([[0.0, 1, 0]]), outline, hollow=True)
    lip = box([225.0, 0.0, 0.0], [10.0, 15.0, 90.0])
    found = distance(tyre, lip)
    assert found.low[0] == pytest.approx(-15.0, abs=0.02)
    assert found.bound[0] <= 0.02


@pytest.mark.parametrize("radius", [2.0, 12.0, 500.0])
def test_a_part_that_was_cut_is_let_go(radius):
    """Nothing is cut by the small ball, all by the large one: none of it is kept for ever."""
    from kinematics.clearance.joints import trimmed

    tab = part("tab", box([0.0, 0.0, 10.0], [5.0, 5.0, 5.0]))
    first = trimmed(tab, [(np.zeros((1, 3)), radius)])
    assert trimmed(tab, [(np.zeros((1, 3)), radius)]) is first
    assert (first is tab) == (radius == 2.0)
    seen = weakref.ref(tab)
    del tab, first
    gc.collect()
    assert seen() is None


def test_a_cut_is_the_same_at_one_position_as_over_many():
    """Rods and rings are cut in plain numbers at one position, in arrays over several."""
    from kinematics.clearance.joints import trimmed

    rng = np.random.default_rng(8)
    for _ in range(60):
        start, way = rng.normal(size=3) * 40, rng.normal(size=3) * 60
        axis = way[None] / np.linalg.norm(way)
        drum = rectangle(0.0, 12.0, -5.0, 70.0)
        pieces = (
            Rod(np.array([[start, start + way]]), 9.0),
            Rod(np.array([[start, start + way]]), 0.0),
            Ring(start[None], axis, drum),
            Ring(start[None], axis, rectangle(0.0, 8.0, 0.0, 30.0), rng.uniform(-10, 40, 1)),
        )
        ball = (rng.normal(size=(1, 3)) * 40, float(rng.uniform(5.0, 60.0)))
        once = trimmed(part("p", *pieces), [ball])
        many = trimmed(part("p", *(_twice(p) for p in pieces)), [ball])
        assert len(once.pieces) == len(many.pieces)
        for a, b in zip(once.pieces, many.pieces, strict=True):
            assert type(a) is type(b)
            fields = ("ends",) if isinstance(a, Rod) else ("centre", "axis", "stretch")
            for name in fields:
                one, two = getattr(a, name), getattr(b, name)
                if one is not None or two is not None:
                    np.testing.assert_allclose(one, two[:1], atol=1e-9)


def _twice(piece):
    if isinstance(piece, Rod):
        return Rod(np.repeat(piece.ends, 2, axis=0), piece.radius)
    stretch = None if piece.stretch is None else np.repeat(piece.stretch, 2)
    centre, axis = np.repeat(piece.centre, 2, axis=0), np.repeat(piece.axis, 2, axis=0)
    return Ring(centre, axis, piece.profile, stretch)
