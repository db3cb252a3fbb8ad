"""What an adjuster does over its range, against corners set so one by one."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from kinematics.measures.adjusters import adjuster_effects
from kinematics.project.model import Adjuster
from tests.motion.corners import five_links, strut

PLATE = Adjuster(points=("top",), direction=(0.0, -1.0, 0.0), least=-10.0, most=10.0)
ROD = Adjuster(link="track rod", least=-3.0, most=3.0, set=1.0)


def test_each_over_its_range_with_the_others_as_set():
    project = msgspec.structs.replace(strut(), adjusters={"plate": PLATE, "rod": ROD})
    found = adjuster_effects(project)
    assert list(found) == ["plate", "rod"]
    least, now, most = found["plate"]
    assert (least.value, now.value, most.value) == (-10.0, 0.0, 10.0)
    assert least.figures["camber"] > now.figures["camber"] > most.figures["camber"]
    # As set they are one and the same corner.
    assert found["rod"][1].figures == pytest.approx(now.figures, abs=1e-12)
    short, _, long = found["rod"]
    # The track rod stands behind the axle: longer turns the wheel in.
    assert long.figures["toe"] > short.figures["toe"]
    arm = abs(strut().points["tie outer"][0] - strut().points["lower ball"][0])
    gained = long.figures["toe"] - short.figures["toe"]
    assert gained == pytest.approx(6.0 / arm, rel=0.06)


def test_what_can_not_be_put_together_says_so():
    far = Adjuster(points=("i1",), direction=(0.0, 1.0, 0.0), most=900.0)
    project = msgspec.structs.replace(five_links(), adjusters={"far": far})
    least, now, most = adjuster_effects(project)["far"]
    assert least.figures["camber"] == now.figures["camber"]
    assert most.figures == {}
    assert "can't be put together" in most.reason
    assert np.isnan(now.figures["caster"])  # not steered: it has none
