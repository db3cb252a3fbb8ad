"""A single position says what the whole study says there."""

from pathlib import Path

import numpy as np
import pytest

from kinematics.motion import corner, move
from kinematics.project.files import read
from kinematics.statics.cases import cases_of
from kinematics.statics.here import here
from kinematics.statics.statics import statics

EXAMPLES = sorted(Path("assets/examples").glob("*.corner.json"))
SPRUNG = [path for path in EXAMPLES if read(path).coilover is not None]


@pytest.mark.parametrize("path", SPRUNG, ids=lambda path: path.name.split(".")[0])
def test_here_is_the_study_at_one_position(path: Path) -> None:
    linkage = corner(read(path))
    steered = linkage.project.rack is not None
    motion = move(linkage, np.linspace(-60.0, 60.0, 7), [-20.0, 0.0, 20.0] if steered else [0.0])
    whole = statics(motion)
    name, case = list(cases_of(linkage.project.loads).items())[5]
    for i, j in ((0, 0), (4, motion.shape[1] - 1)):
        found = here(move(linkage, [motion.travel[i]], [motion.rack[j]], start=motion), case)
        for key, values in whole.figures.items():
            expected = values[i, j]
            assert found.figures[key] == pytest.approx(expected, rel=1e-7, abs=1e-6, nan_ok=True)
        for mine, theirs in zip(found.bearings, whole.bearings, strict=True):
            assert mine.angle[0, 0] == pytest.approx(theirs.angle[i, j], abs=1e-9)
        for hose, slack in whole.hoses.items():
            assert found.hoses[hose] == pytest.approx(slack[i, j], abs=1e-6)
        row, flat = whole.loading.grid.cases.index(name), i * motion.shape[1] + j
        for one, other in zip(found.forces.joints, whole.loading.grid.joints, strict=True):
            assert one.force[0, 0] == pytest.approx(other.force[row, flat], abs=1e-4)


def test_a_corner_without_springs_has_no_figures_and_no_forces() -> None:
    bare = corner(read(EXAMPLES[0].with_name("published-wishbones.corner.json")))
    found = here(move(bare, [10.0]))
    assert found.figures == {}
    assert found.forces is None
    assert found.pushes == {}
