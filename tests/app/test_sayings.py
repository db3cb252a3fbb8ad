"""What is said first of a corner, and of what is not known."""

from __future__ import annotations

import msgspec
import numpy as np

from app import examples
from app.document import reading
from app.document.sayings import sayings
from kinematics.project import files
from kinematics.studies.study import study


def test_a_corner_that_cant_stand_says_so_before_anything_else() -> None:
    """An inch typed as a millimetre leaves the links nowhere to be at set-up height."""
    project = files.read(examples.examples()["front-strut"])
    x, _, z = project.points["top bearing"]
    wrong = msgspec.structs.replace(
        project, points={**project.points, "top bearing": (x, 21.1875, z)}
    )
    travel = np.linspace(-80.0, 240.0, 9)
    first = sayings(study(wrong, travel=travel, rack=np.zeros(1)), None)[0][0]
    assert first.text == "This corner can't stand at set-up height."
    right = sayings(study(project, travel=np.linspace(-60.0, 60.0, 3), rack=np.zeros(1)), None)
    assert right[0][0].text.startswith("Nothing touches")


def test_an_unknown_clearance_is_said_to_be_unknown() -> None:
    for unknown in (float("nan"), float("inf")):
        assert reading.amount_words(unknown, "mm") == "not known here"
