"""Where a held point goes, also of a part that the study on show does not know yet."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from app import examples
from app.document import live, ways
from kinematics.project.files import read


def test_a_part_newer_than_the_study_has_no_way_yet_and_one_it_knows_has() -> None:
    found = live.movable(read(examples.examples()["rear-in-trouble"]))

    def held(name: str) -> SimpleNamespace:
        return SimpleNamespace(piece=SimpleNamespace(name=name), local=np.zeros(3), along=0.0)

    travel, points = ways.way_by_travel(found, held("tyre"), 0.0)
    assert len(travel) == len(points) > 2
    assert np.isfinite(points).all()
    travel, points = ways.way_by_travel(found, held("balance weights"), 0.0)
    assert len(travel) == len(points) > 2
    assert np.isnan(points).all()
