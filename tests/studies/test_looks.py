"""Looks at changed corners: as a full check gives, and no more of them than a fix needs."""

from __future__ import annotations

import time

import pytest

from kinematics.errors import ClearstrokeError
from kinematics.studies import bench as bench_module
from kinematics.studies.bench import Bench, Look
from kinematics.studies.cures import cures_for
from kinematics.studies.fixes import Shop, fixes, gaps, remedy
from tests.shapes.whole import whole

OFTEN = 24
"""Changed corners that one fix may be tried with: two amounts at first, then up to three steps to
where it does enough and some six of a root's search, for touching and for the rules."""


@pytest.fixture(scope="module")
def shop():
    return Shop(Bench(whole()))


@pytest.fixture(scope="module")
def cures(shop):
    return {cure.name: cure for cure in cures_for(shop.bench)}


@pytest.fixture
def looked(monkeypatch):
    """How many pairs were looked at each time that clearances were asked for."""
    counts: list[int] = []
    found = bench_module.clearances

    def counted(parts, pairs, *args, **kwargs):
        counts.append(len(pairs))
        return found(parts, pairs, *args, **kwargs)

    monkeypatch.setattr(bench_module, "clearances", counted)
    return counts


@pytest.mark.parametrize("name", ["lip trimmed", "lower link bracket inboard"])
def test_pairs_together_or_alone_are_as_a_full_check_gives_them(shop, cures, name):
    bench = shop.bench
    changed = cures[name].apply(bench.project, 4.7)
    full, one_by_one = gaps(changed), bench.changed(changed)
    together = bench.tried(changed, bench.troubles)
    assert len(together) == len(bench.troubles) > 8
    for names, gap in together.items():
        assert gap.low == pytest.approx(full[names].low, abs=1e-3)
        assert one_by_one.gaps([names])[names].low == pytest.approx(gap.low, abs=1e-9)


def test_what_a_change_leaves_alone_is_not_looked_at_again(shop, cures, looked):
    """Trimming the lip changes no pair but the lip's own; the tower's panels stay as they are."""
    bench = shop.bench
    found = bench.tried(cures["lip trimmed"].apply(bench.project, 4.7), bench.troubles)
    changed = [names for names in bench.troubles if "tower lip" in names]
    assert looked == [len(changed)]
    assert 0 < len(changed) < len(bench.troubles)
    for names in bench.troubles:
        assert (found[names] is bench.gaps[names]) == (names not in changed)


@pytest.mark.parametrize("name", ["lower link bracket inboard", "wheel of less offset"])
def test_many_troubles_take_few_looks(shop, cures, looked, monkeypatch, name):
    """All of them are asked of a changed corner at once, and only what decides is solved for."""
    changes = []
    changed = Bench.changed

    def counted(bench: Bench, project) -> Look:
        changes.append(project)
        return changed(bench, project)

    monkeypatch.setattr(Bench, "changed", counted)
    assert remedy(shop, cures[name]).fix is not None
    wrong = len(shop.bench.troubles)
    assert wrong > 8
    assert 0 < len(changes) <= OFTEN
    assert sum(n for n in looked if n <= wrong) < 8 * wrong


@pytest.mark.campaign
def test_every_fix_of_every_kind_of_part_is_tried_in_time():
    """Processor time, s: the first in a few, all in 15 for every 110 pairs of parts."""
    begun, told = time.process_time(), []
    found = fixes(whole(), told=lambda known: told.append(time.process_time() - begun))
    took = time.process_time() - begun
    assert len(found) == len(told) > 50
    assert told[0] < 5.0
    assert took < 15.0 * len(Bench(whole()).gaps) / 110.0


def test_a_changed_corner_out_of_all_reach_is_refused_not_found_clear(shop):
    bench = shop.bench
    with pytest.raises(ClearstrokeError, match="No position"):
        bench._motion_of(bench.setting.unfolded, bench.setting.linkage, (5000.0, 6000.0))
