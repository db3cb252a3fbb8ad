"""The invented rear corner measured hanging at full droop, and brought to set-up height.

Invented data; the figures are those of two solvers outside this project that agree to 1e-12 mm.
"""

from pathlib import Path

import msgspec
import numpy as np
import pytest

from kinematics.measures import measure
from kinematics.motion import corner, move
from kinematics.motion.linkage import damper_length
from kinematics.project.files import read
from kinematics.project.model import Project
from kinematics.survey import survey
from tests.survey.made import full_survey, read_off

EXAMPLE = Path(__file__).parents[2] / "assets" / "examples" / "rear-in-trouble.corner.json"
DROOP = -80.0


def hanging() -> Project:
    """The corner with its points where they are at full droop."""
    project = read(EXAMPLE)
    linkage = corner(project)
    motion = move(linkage, [DROOP], stops=False)
    points = {name: tuple(float(v) for v in motion.point(name)[0, 0]) for name in project.points}
    found = measure(project, motion)
    wheel = msgspec.structs.replace(
        project.wheel,
        camber_deg=float(np.degrees(found["camber"][0, 0])),
        toe_deg=float(np.degrees(found["toe"][0, 0])),
    )
    return msgspec.structs.replace(project, points=points, wheel=wheel, setup_wheel_z=276.0)


@pytest.fixture(scope="module")
def measured() -> Project:
    """Readings of the hanging corner, and only rough points to begin from."""
    project = read_off(full_survey(hanging()))
    rng = np.random.default_rng(4)
    rough = {
        name: tuple(float(round(v + e)) for v, e in zip(p, rng.uniform(-25, 25, 3), strict=True))
        for name, p in project.points.items()
    }
    wheel = msgspec.structs.replace(project.wheel, camber_deg=0.0, toe_deg=0.0)
    return msgspec.structs.replace(project, points=rough, wheel=wheel)


def test_the_hub_hung_where_the_table_says(measured: Project) -> None:
    found = survey(measured)
    assert found.place("wheel centre").xyz == pytest.approx([15.911, 730.197, 196.0], abs=6e-4)
    assert found.wheel == pytest.approx((0.742, -0.397), abs=6e-4)


def test_it_comes_back_at_set_up_height(measured: Project) -> None:
    project = survey(measured).project
    linkage = corner(project)
    motion = move(linkage, [0.0])
    found = measure(project, motion)
    assert np.degrees(found["camber"][0, 0]) == pytest.approx(-1.000, abs=5e-4)
    assert np.degrees(found["toe"][0, 0]) == pytest.approx(0.100, abs=5e-4)
    hub = motion.point("wheel centre")[0, 0]
    assert hub == pytest.approx([0.0, 740.0, 276.0], abs=5e-4)
    assert damper_length(linkage) == pytest.approx(450.920, abs=5e-4)
