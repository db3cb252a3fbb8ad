"""The invented rear corner through the path a user takes: ``check``, its tables, its findings.

Invented data. The table of motion comes from two independent solvers that agree to 1e-12 mm; its
clearances were sampled by a third way, to about 0.3 mm.
"""

import csv
import json

import numpy as np
import pytest

from app.cli import main
from app.examples import find_project
from kinematics.findings import say
from kinematics.project.edit import move_top
from kinematics.project.files import read
from kinematics.studies.study import moment, study

# travel, wheel x, wheel y, camber, toe-in, damper, motion ratio
TABLE = np.array([
    [-80, 15.911, 730.197, 0.742, -0.397, 514.81, 0.799],
    [-40, 7.144, 736.829, -0.126, -0.041, 482.86, 0.798],
    [0, 0, 740, -1.000, 0.100, 450.92, 0.799],
    [40, -5.576, 739.877, -1.925, 0.044, 418.95, 0.800],
])  # fmt: skip
LIP = {-80: 92.5, -40: 57.7, 0: 25.5, 40: 2.2}
SPRING = {-80: -1.1, -40: 2.9, 0: 6.1}


def table(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("rear")
    assert main(["check", "rear-in-trouble", "--travel=-80:40:4", "--out", str(out)]) == 1
    return out


def test_motion_table(folder):
    got = table(folder / "motion.csv")
    names = ("travel_mm", "wheel_x_mm", "wheel_y_mm", "camber_deg", "toe_deg", "damper_mm",
             "motion_ratio")  # fmt: skip
    figures = np.array([[float(row[n]) for n in names] for row in got])
    digits = np.array([1e-9, 6e-4, 6e-4, 6e-4, 6e-4, 6e-3, 6e-4])  # half the last digit printed
    assert (np.abs(figures - TABLE) <= digits).all(), figures - TABLE[:4]


def test_clearance_table(folder):
    rows = table(folder / "clearance.csv")
    for parts, expected in (({"tyre", "tower lip"}, LIP), ({"spring", "radius arm"}, SPRING)):
        found = {round(float(r["travel_mm"])): float(r["clearance_mm"]) for r in rows
                 if {r["part_a"], r["part_b"]} == parts}  # fmt: skip
        for travel, mm in expected.items():
            assert found[travel] == pytest.approx(mm, abs=0.35), (parts, travel)


def test_contact_points_are_as_far_apart_as_the_table_says(folder):
    for row in table(folder / "clearance.csv"):
        if not row["clearance_mm"]:
            continue  # all of it is within the joint that holds the two
        a = np.array([float(row[f"a_{c}_mm"]) for c in "xyz"])
        b = np.array([float(row[f"b_{c}_mm"]) for c in "xyz"])
        gap, low = float(np.linalg.norm(a - b)), abs(float(row["clearance_mm"]))
        assert abs(gap - low) <= float(row["bound_mm"]) + 2e-6, row


def test_findings_file_tells_the_two_troubles(folder, tmp_path):
    assert main(["check", "rear-in-trouble", "--out", str(tmp_path)]) == 1
    found = json.loads((tmp_path / "findings.json").read_text(encoding="utf-8"))["findings"]
    wrong = [f for f in found if f["problem"]]
    assert [set(f["parts"]) for f in wrong] == [{"tyre", "tower lip"}, {"spring", "radius arm"}]


def worst(project, *parts):
    checked = study(project)
    p = next(i for i, names in enumerate(checked.names) if set(names) == set(parts))
    return float(checked.clearances.worst[p])


def test_moving_the_top_mount_puts_it_right():
    trouble = read(find_project("rear-in-trouble"))
    tyre, spring = ("tyre", "tower lip"), ("spring", "radius arm")
    both = move_top(trouble, -12, -16, 0)
    assert worst(both, *tyre) == pytest.approx(11.0, abs=0.4)
    assert worst(both, *spring) == pytest.approx(5.0, abs=0.4)
    assert worst(move_top(trouble, 0, -16, 0), *spring) == pytest.approx(2.25, abs=0.4)
    assert worst(move_top(trouble, -12, 0, 0), *tyre) == pytest.approx(-5.0, abs=0.4)


def test_the_second_file_is_right():
    checked = study(read(find_project("rear-put-right")))
    assert not any(f.is_problem for f in checked.findings), [say(f) for f in checked.findings]


def test_a_moment_is_the_same_as_the_study():
    checked = study(read(find_project("rear-in-trouble")), travel=[-50.0, 12.5, 60.0])
    now = moment(checked, 12.5)
    np.testing.assert_allclose(now.clearances.low[:, 0, 0], checked.clearances.low[:, 1, 0],
                               atol=0.03)  # fmt: skip
    assert now.measures["camber"][0, 0] == pytest.approx(checked.measures["camber"][1, 0])
