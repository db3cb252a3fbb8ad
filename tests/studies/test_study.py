"""The whole job in one call: default ranges, racks, cancelling, a moment, an edit."""

import itertools

import msgspec
import numpy as np
import pytest
import trimesh

from app.examples import examples, find_project
from kinematics.clearance import Cancelled
from kinematics.errors import ClearstrokeError
from kinematics.findings.statics import say_fact
from kinematics.project.edit import move_top
from kinematics.project.files import read
from kinematics.project.mirror import mirror
from kinematics.project.model import Scan
from kinematics.studies import pair_look
from kinematics.studies import study as whole
from kinematics.studies.ranges import through_nought
from kinematics.studies.study import moment, racks, set_up, study, travels


@pytest.fixture(scope="module")
def trouble():
    return read(find_project("rear-in-trouble"))


def test_travel_goes_from_full_droop_to_full_bump_through_setup_height(trouble):
    z = travels(set_up(trouble))
    assert len(z) == 161
    assert 0.0 in z
    assert (np.diff(z) > 0).all()
    checked = study(trouble, travel=[z[0], z[-1]])
    damper = checked.measures["damper"][:, 0]
    assert damper[0] == pytest.approx(515, abs=1e-6)  # open
    assert damper[1] == pytest.approx(365 + 22, abs=1e-6)  # closed and the stop solid


@pytest.mark.parametrize(
    ("low", "high", "count"), [(-80, 80, 161), (-10, 150, 161), (-1e-3, 80, 5), (-80, 1e-3, 5)]
)
def test_nought_is_always_among_the_positions(low, high, count):
    z = through_nought(low, high, count)
    assert len(z) == count
    assert z[0] == low
    assert z[-1] == high
    assert 0.0 in z
    assert (np.diff(z) > 0).all()


def test_a_range_on_one_side_has_no_nought():
    np.testing.assert_allclose(through_nought(20, 60, 5), [20, 30, 40, 50, 60])


def test_steered_corners_go_lock_to_lock():
    project = read(find_project("front-wishbones"))
    r = racks(set_up(project))
    assert len(r) == 5
    assert r[0] == project.rack.least
    assert r[-1] == project.rack.most
    assert 0.0 in r


def test_rack_asked_of_an_unsteered_corner_is_refused(trouble):
    with pytest.raises(ClearstrokeError, match="no steering rack"):
        study(trouble, travel=[0.0], rack=[-5, 5])
    assert study(trouble, travel=[0.0], rack=[0.0]).rack.tolist() == [0]


@pytest.mark.parametrize("bad", [[], [np.nan], [np.inf, 1]])
def test_positions_that_are_no_numbers_are_refused(trouble, bad):
    with pytest.raises(ClearstrokeError):
        study(trouble, travel=bad)


def test_positions_come_back_in_rising_order(trouble):
    assert study(trouble, travel=[10, -10, 10, 0]).travel.tolist() == [-10, 0, 10]


def test_few_positions_find_what_many_find(trouble):
    """What lies between two far positions is checked as closely as ever."""
    z = travels(set_up(trouble))
    many, few = study(trouble), study(trouble, travel=[z[0], 0.0, z[-1]])
    assert few.travel.tolist() == [z[0], 0.0, z[-1]]
    assert [(f.kind, f.parts) for f in few.findings] == [(f.kind, f.parts) for f in many.findings]
    for a, b in zip(few.findings, many.findings, strict=True):
        assert a.amount == pytest.approx(b.amount, abs=0.03)
        assert a.touches.bump == pytest.approx(b.touches.bump, abs=0.02)
    half = int(np.flatnonzero(z == 0.0)[0])
    np.testing.assert_allclose(few.clearances.low[:, 0], many.clearances.low[:, 0], atol=0.05)
    least = np.nanmin(many.clearances.between_low[:, half:, 0], axis=1)
    np.testing.assert_allclose(few.clearances.between_low[:, 1, 0], least, atol=0.05)
    at = few.clearances.between_at
    assert not ((at < 0) | (at > 1)).any()
    assert few.measures["camber"].shape == few.reached.shape == (3, 1)


def test_cancelling_and_progress(trouble):
    with pytest.raises(Cancelled):
        study(trouble, cancelled=lambda: True)
    told = []
    study(trouble, travel=[0.0, 1.0], progress=told.append)
    assert told[0] == 0.0  # at once, so that work shows before it is long
    assert told[-1] == 1.0  # and not before all is done
    assert told == sorted(told)
    assert max(b - a for a, b in itertools.pairwise(told)) < 0.6


def test_looking_again_for_first_touches_is_cancelled_too(trouble, monkeypatch):
    looked = []

    def look_of(setting, pair):
        look = pair_look.pair_look(setting, pair)
        return lambda travel, rack: (looked.append(pair), look(travel, rack))[1]

    monkeypatch.setattr(whole, "pair_look", look_of)
    with pytest.raises(Cancelled):
        study(trouble, travel=[0.0, 79.0], cancelled=lambda: bool(looked))
    assert len(looked) == 1


@pytest.mark.parametrize("name", examples())
def test_a_moment_equals_the_study_on_every_example(name):
    project = read(find_project(name))
    checked = study(project, travel=[-30.0, 7.5, 30.0])
    now = moment(checked, 7.5)
    mid = int(np.argmin(np.abs(checked.rack)))
    np.testing.assert_allclose(
        now.clearances.low[:, 0, 0], checked.clearances.low[:, 1, mid], atol=0.05
    )
    for key in ("camber", "toe", "wheel_y"):
        assert now.measures[key][0, 0] == pytest.approx(checked.measures[key][1, mid], abs=1e-9)
    assert now.names == checked.names


def test_the_mirrored_corner_finds_the_same(trouble):
    left, right = study(trouble), study(mirror(trouble))
    assert len(left.findings) == len(right.findings)
    for a, b in zip(left.findings, right.findings, strict=True):
        assert (a.kind, a.parts) == (b.kind, b.parts)
        assert a.amount == pytest.approx(b.amount, abs=0.03)
        if a.point_a is not None:
            np.testing.assert_allclose(np.array(a.point_a) * (1, -1, 1), b.point_a, atol=3)


def test_first_touches_are_where_the_clearance_is_nought(trouble):
    checked = study(trouble)
    for finding in checked.findings:
        for onset, level in ((finding.touches, 0.0), (finding.under, finding.rule)):
            for at in (onset.bump, onset.droop):
                if at is None or abs(at) < 1e-6:
                    continue
                now = moment(checked, at)
                p = next(i for i, n in enumerate(now.names) if set(n) == set(finding.parts))
                assert now.clearances.low[p, 0, 0] == pytest.approx(level, abs=0.03)


def test_moving_the_top_takes_the_tower_along_when_it_says_so(trouble):
    moved = move_top(trouble, -12, -16, 5)
    assert moved.points["top bearing"] == (76, 502, 645)
    assert (moved.tower.inner, moved.tower.outer) == (424, 576)
    assert (moved.tower.rear, moved.tower.front) == (-32, 178)
    assert (moved.tower.top, moved.tower.outer_down_to) == (663, 575)
    stays = move_top(trouble, -12, -16, 5, with_tower=False)
    assert stays.tower == trouble.tower
    assert stays.points["top bearing"] == (76, 502, 645)
    assert trouble.points["top bearing"] == (88, 518, 640)


def test_moving_the_top_on_the_right_hand_side(trouble):
    right = mirror(trouble)
    assert move_top(right, -12, 16, 0) == mirror(move_top(trouble, -12, -16, 0))


def test_without_a_coilover_there_is_no_top_to_move():
    with pytest.raises(ClearstrokeError, match="no coilover"):
        move_top(read(find_project("published-wishbones")), 1, 0, 0)


def test_scans_are_looked_for_beside_the_project(trouble, tmp_path):
    ball = trimesh.creation.icosphere(radius=15.0)
    ball.apply_translation((0.0, 560.0, 700.0)).export(tmp_path / "arch.stl")
    parts = {**trouble.parts, "wheel arch": Scan("chassis", "arch.stl", "mm")}
    scanned = msgspec.structs.replace(trouble, parts=parts)
    checked = study(scanned, travel=[0.0, 20.0], folder=tmp_path)
    assert ("tyre", "wheel arch") in checked.names
    with pytest.raises(ClearstrokeError, match=r"arch\.stl"):
        study(scanned, travel=[0.0])


def test_a_scan_tells_its_size_and_what_is_doubtful(trouble, tmp_path):
    ball = trimesh.creation.icosphere(radius=15.0)
    ball.apply_translation((0.0, 560.0, 700.0))
    opened = trimesh.Trimesh(ball.vertices, ball.faces[:-1])
    opened.export(tmp_path / "arch.stl")
    scanned = msgspec.structs.replace(
        trouble, parts={**trouble.parts, "bulkhead": Scan("chassis", "arch.stl", "mm")}
    )
    checked = study(scanned, travel=[0.0, 1.0], folder=tmp_path)
    (fact,) = [f for f in checked.facts if f.kind == "scan"]
    words = say_fact(fact)
    assert words.startswith("The scan bulkhead is 30 × 30 × 30 mm (1.2 × 1.2 × 1.2 in).")
    assert "open, so it has no inside" in words


def test_two_scans_are_measured_against_each_other(trouble, tmp_path):
    """Two balls of radius 15, one on the upright, 90 mm apart: 60 mm between them."""
    for name, at in (("one", (0.0, 700.0, 620.0)), ("other", (0.0, 700.0, 530.0))):
        ball = trimesh.creation.icosphere(subdivisions=4, radius=15.0)
        ball.apply_translation(at).export(tmp_path / f"{name}.stl")
    parts = {
        **trouble.parts,
        "one": Scan("chassis", "one.stl", "mm"),
        "other": Scan("upright", "other.stl", "mm"),
    }
    checked = study(
        msgspec.structs.replace(trouble, parts=parts), travel=[0.0, 5.0], folder=tmp_path
    )
    pair = checked.names.index(("one", "other"))
    low = checked.clearances.low[pair, :, 0]
    assert low[0] == pytest.approx(60.0, abs=1.0)
    assert low[1] == pytest.approx(55.0, abs=1.5)
    assert checked.clearances.worst[pair] > 50.0
