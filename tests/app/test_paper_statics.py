"""The tables and the sheet of statics, read back."""

import csv
import io
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from app.paper.export import export
from app.paper.force_picture import hardest
from app.paper.statics_page import shown_cases
from app.paper.statics_tables import forces_csv, statics_csv
from kinematics.project.files import read
from kinematics.studies.study import Study, study


@pytest.fixture(scope="module")
def checked() -> Study:
    project = read(Path("assets/examples/rear-in-trouble.corner.json"))
    return study(project, travel=np.linspace(-80, 79.9, 9))


def table(fill, checked: Study) -> list[dict[str, str]]:
    out = io.StringIO()
    fill(checked, out)
    return list(csv.DictReader(io.StringIO(out.getvalue())))


def test_statics_csv_has_a_row_a_position(checked: Study) -> None:
    rows = table(statics_csv, checked)
    assert len(rows) == 9
    middle = rows[4]
    assert float(middle["wheel_rate_n_per_mm"]) == pytest.approx(31.98, abs=0.01)
    assert float(middle["stroke_used_mm"]) == pytest.approx(515 - 450.92, abs=0.1)
    assert {
        "top bearing: angle_deg", "drive shaft: plunge_mm", "brake hose: slack_mm",
        "radius arm ball: twist_deg", "upper link inner: angle_left_deg",
    } <= set(middle)  # fmt: skip


def test_forces_csv_balances_the_upright(checked: Study) -> None:
    """The forces on the upright written for standing still carry the sprung weight."""
    rows = [row for row in table(forces_csv, checked) if row["case"] == "standing"]
    up = sum(
        float(row["z_n"]) * (1 if row["on"] == "upright" else -1)
        for row in rows
        if "upright" in (row["on"], row["against"]) and row["at_x_mm"]
    )
    assert up == pytest.approx(-280 * 9.80665, abs=1e-3)
    assert {row["member"] for row in rows} == {
        "radius arm ball", "upper link", "lower link", "coilover", "spring", "bump stop",
    }  # fmt: skip
    pushes = {row["member"]: -float(row["pull_n"]) for row in rows if row["pull_n"]}
    assert pushes["spring"] + pushes["bump stop"] == pytest.approx(pushes["coilover"], abs=1e-3)


def test_the_sheet_says_where_it_rides_and_warns(checked: Study, tmp_path: Path) -> None:
    export(checked, "statics", tmp_path / "statics.pdf", "mm")
    words = " ".join(page.extract_text() for page in PdfReader(tmp_path / "statics.pdf").pages)
    words = " ".join(words.split())
    assert "The car rides at −0.4 of travel." in words
    assert "Wheel rate" in words
    assert "top mount, inboard" in words
    assert "This sizes nothing" in words


def test_the_case_in_the_picture_is_in_the_table(tmp_path: Path) -> None:
    """On the strut it is not among the first six."""
    strut = study(read(Path("assets/examples/front-strut.corner.json")), [-70, 0, 70], [0])
    export(strut, "statics", tmp_path / "statics.pdf", "mm")
    words = " ".join(PdfReader(tmp_path / "statics.pdf").pages[0].extract_text().split())
    cases = [settled.case for settled in shown_cases(strut)]
    assert hardest(strut).case == cases[-1] == "bump and cornering"
    assert len(cases) == 6
    assert "Other cases are in forces.csv" in words


def test_a_figure_of_statics_has_a_plot_of_its_own(checked: Study, tmp_path: Path) -> None:
    for what, title in (("wheel_rate", "Wheel rate"), ("spring_loose", "Spring loose")):
        export(checked, what, tmp_path / "plot.pdf", "mm")
        words = PdfReader(tmp_path / "plot.pdf").pages[0].extract_text()
        assert title in " ".join(words.split())


def test_a_corner_without_springs_says_so(tmp_path: Path) -> None:
    bare = study(read(Path("assets/examples/published-wishbones.corner.json")), travel=[-10, 0, 10])
    export(bare, "statics", tmp_path / "statics.pdf", "in")
    words = PdfReader(tmp_path / "statics.pdf").pages[0].extract_text()
    assert "Nothing is known of springs or loads." in " ".join(words.split())
    assert table(forces_csv, bare) == []
