"""Where the top must sit for a wanted share of bump."""

from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.errors import ClearstrokeError
from kinematics.motion import corner, move
from kinematics.project.files import read
from kinematics.statics.share import moved_top, stroke_ends, top_for_share

EXAMPLES = Path("assets/examples")


def coilover_length(project: object, travel: float) -> float:
    motion = move(corner(project), [travel], stops=False)
    ends = motion.linkage.project.coilover
    return float(np.linalg.norm(motion.point(ends.top) - motion.point(ends.foot)))


@pytest.mark.parametrize("name", ["rear-in-trouble", "front-strut"])
def test_the_moved_top_shares_the_travel_as_wanted(name: str) -> None:
    project = read(EXAMPLES / f"{name}.corner.json")
    found = top_for_share(project, 0.55)
    assert found.bump / (found.bump - found.droop) == pytest.approx(0.55, abs=1e-6)
    moved = moved_top(project, found.along)
    assert moved.points[project.coilover.top.point] == pytest.approx(found.xyz)
    # both ends of that travel are the ends of the stroke, on a motion solved for the moved corner
    shut, open_ = stroke_ends(project)
    assert coilover_length(moved, found.bump) == pytest.approx(shut, abs=1e-5)
    assert coilover_length(moved, found.droop) == pytest.approx(open_, abs=1e-5)
    assert coilover_length(moved, 0.0) == pytest.approx(found.length, abs=1e-6)


def test_the_stroke_is_what_the_stops_leave() -> None:
    project = read(EXAMPLES / "rear-in-trouble.corner.json")
    assert stroke_ends(project) == (pytest.approx(387.0), pytest.approx(515.0))
    strapped = msgspec.structs.replace(
        project, coilover=msgspec.structs.replace(project.coilover, droop_strap=500.0)
    )
    assert stroke_ends(strapped)[1] == 500.0


def test_what_can_not_be_shared_is_said() -> None:
    project = read(EXAMPLES / "rear-in-trouble.corner.json")
    with pytest.raises(ClearstrokeError, match="between 0 and 1"):
        top_for_share(project, 1.2)
    with pytest.raises(ClearstrokeError, match="no coilover"):
        top_for_share(read(EXAMPLES / "published-wishbones.corner.json"), 0.5)
