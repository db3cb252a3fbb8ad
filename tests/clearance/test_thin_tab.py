"""A thin tab that a link passes between two coarse samples of a whole study is found."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from kinematics.clearance import clearances
from kinematics.motion import move
from kinematics.project.model import Plate, Project
from kinematics.shapes.build import parts
from kinematics.shapes.pieces import Rod
from kinematics.studies.study import set_up, study
from tests.shapes.corners import TROUBLE, linkage, project


def with_tab(link: str, travel: float, gap: float) -> Project:
    """The corner with a tab of 0.3 mm, its point that near to a link at one travel alone."""
    car = project(TROUBLE)
    whole = {part.name: part for part in parts(car, move(linkage(TROUBLE), [travel]))}
    rod = whole[link].pieces[0]
    assert isinstance(rod, Rod)
    inner, outer = rod.ends[0]
    way = (outer - inner) / np.linalg.norm(outer - inner)
    beside = np.cross(way, [0.0, 0.0, 1.0])
    beside /= np.linalg.norm(beside)
    tip = inner + 0.6 * (outer - inner) + beside * (rod.radius + gap)
    outline = (tip, tip + 40.0 * beside - 10.0 * way, tip + 40.0 * beside + 10.0 * way)
    tab = Plate("chassis", tuple((float(x), float(y), float(z)) for x, y, z in outline), 0.3)
    return replace(car, parts={**car.parts, "tab": tab}, survey=None, extra_positions={})


@pytest.mark.parametrize(
    ("link", "travel", "gap"),
    [("upper link", -45.6, 0.4), ("lower link", 43.1, 0.1), ("upper link", 9.0, -0.2)],
)
def test_a_thin_tab_between_samples_40_mm_apart(link: str, travel: float, gap: float) -> None:
    car = with_tab(link, travel, gap)
    done = study(car, travel=np.linspace(-60.0, 60.0, 4))
    pair = next(k for k, names in enumerate(done.names) if set(names) == {link, "tab"})
    told = min(done.clearances.low[pair].min(), done.clearances.between_low[pair].min())
    setting = set_up(car)
    closely = move(setting.linkage, np.linspace(-60.0, 60.0, 2401))
    both = setting.builder.some(closely, setting.pairs.checked[pair])
    least = clearances(both, [(0, 1)], closely.shape, 1e-4).low.min()
    assert told <= least <= told + 0.02
    assert done.clearances.low[pair].min() > least + 0.3  # the samples alone know nothing of it
    finding = next(f for f in done.findings if set(f.parts) == {link, "tab"})
    assert finding.kind == ("contact" if told < 0.0 else "near")
    assert finding.travel == pytest.approx(travel, abs=8.0)
    # The finding says where it is, as closely, with its two points there.
    assert finding.amount <= least + 1e-9
    assert finding.bound <= 0.02 + 1e-3
    apart = np.linalg.norm(np.subtract(finding.point_a, finding.point_b))
    assert abs(finding.amount) == pytest.approx(apart, abs=finding.bound + 1e-6)
