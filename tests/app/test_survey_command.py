"""``clearstroke survey``: what it says, its exit codes, the sheet printed and read back."""

import csv
import io
import json
from pathlib import Path

import msgspec
import numpy as np
import pypdf
import pytest

from app.cli import main
from app.examples import find_project
from app.paper.survey_sheet import write_sheet
from kinematics.project.files import read, write
from kinematics.project.mirror import mirror
from kinematics.project.model import Project
from kinematics.project.survey import DistanceReading
from kinematics.survey import SurveyError, survey
from kinematics.survey.table import read_csv, write_csv


def table(project: Project) -> list[list[str]]:
    out = io.StringIO()
    write_csv(project, out)
    return list(csv.reader(io.StringIO(out.getvalue())))


def text(rows: list[list[str]]) -> str:
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return out.getvalue()


def test_readings_that_agree_end_with_0(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["survey", "rear-in-trouble"]) == 0
    said = capsys.readouterr().out
    assert "They agree within what the tools can do" in said
    assert "(invented data)" in said
    assert "At set-up height: camber" in said
    assert "nose up" in said


def test_the_reading_that_lies_is_named_and_ends_with_1(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["survey", "rear-misread"]) == 1
    said = capsys.readouterr().out
    assert "radius arm ball, out from the centre string" in said
    assert "the other face of the 8 mm plate" in " ".join(said.split())


def test_it_is_told_to_another_program(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["survey", "rear-misread", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["agree"] is False
    assert told["suspects"][0]["too_large_by"] == pytest.approx(8.0, abs=2.5)
    assert len(told["readings"]) == len(read(find_project("rear-misread")).survey.readings)
    assert set(told["points"]["top bearing"]) == {"xyz_mm", "sigma_mm", "half_axes_mm"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["survey", "front-strut"], "no readings"),
        (["survey", "nowhere"], "not there"),
        (["survey", "rear-in-trouble", "--read", "/nowhere.csv"], "can't be read"),
    ],
)
def test_bad_input_ends_with_2(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == 2
    assert said in capsys.readouterr().err


def test_the_points_are_written_as_measured(tmp_path: Path) -> None:
    out = tmp_path / "measured.corner.json"
    assert main(["survey", "rear-in-trouble", "--write", str(out)]) == 0
    found = survey(read(find_project("rear-in-trouble")))
    assert read(out).points["top bearing"] == pytest.approx(found.place("top bearing").xyz)
    again = survey(read(out))
    assert again.place("top bearing").xyz == pytest.approx(found.place("top bearing").xyz, abs=1e-5)


def test_a_project_is_not_written_over_itself(tmp_path: Path) -> None:
    path = tmp_path / "mine.corner.json"
    write(read(find_project("rear-in-trouble")), path)
    assert main(["survey", str(path), "--write", str(path)]) == 2


def test_the_plan_says_what_suffices(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["survey", "rear-in-trouble", "--plan"]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "They fix every point" in said
    assert "Take these twice" in said
    assert "mount: plate above hat" in said


def test_the_sheet_is_a_page_with_a_box_for_each(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    assert main(["survey", "rear-in-trouble", "--sheet", str(path)]) == 0
    pages = pypdf.PdfReader(path).pages
    said = " ".join("\n".join(page.extract_text() for page in pages).split())
    assert len(pages) == 3
    assert float(pages[0].mediabox.width) == pytest.approx(595, abs=2)
    assert "lower link, eye to eye" in said
    assert "far edge (12)" in said
    assert "never a jack alone" in said
    with pytest.raises(SurveyError, match="no readings"):
        write_sheet(read(find_project("front-strut")), tmp_path / "none.pdf", "mm")


def test_a_filled_in_table_comes_back() -> None:
    project = read(find_project("rear-in-trouble"))
    rows = table(project)
    rows[4][4] = "25 1/8 in"
    rows[4][6] = "2026-04-02"
    rows[5][4] = "698,5"
    rows[6][4] = ""
    back = read_csv(project, text(rows)).survey.readings
    assert back[3].value == pytest.approx(25.125 * 25.4)
    assert back[3].date == "2026-04-02"
    assert back[4].value == 698.5
    assert back[5] == project.survey.readings[5]
    assert read_csv(project, text(table(project))) == project
    above = [["# Measuring sheet"], ["# A corner, with a comma \u00b7 lengths in mm", "more"]]
    assert read_csv(project, text([*above, *table(project)])) == project  # as a program saves it


@pytest.mark.parametrize(
    ("column", "entry", "said"),
    [
        (4, "4o5", "row 5: value:"),
        (0, "999", "none of the readings"),
        (1, "something else", "sheet of another one"),
        (3, "spoon", 'tool: "spoon" is not known'),
        (5, "furlong", "unit:"),
        (6, "yesterday", "is not a day"),
    ],
)
def test_a_bad_entry_is_named_by_row_and_column(column: int, entry: str, said: str) -> None:
    project = read(find_project("rear-in-trouble"))
    rows = table(project)
    rows[4][column] = entry
    with pytest.raises(SurveyError) as error:
        read_csv(project, text(rows))
    assert said in str(error.value)


def test_a_table_of_something_else_is_refused() -> None:
    project = read(find_project("rear-in-trouble"))
    for other in ("", "a,b\n1,2\n", "number,value\n"):
        with pytest.raises(SurveyError, match="no measuring sheet"):
            read_csv(project, other)


def test_what_was_tacked_is_told_in_clearance(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    project = read(find_project("rear-in-trouble"))
    at = np.add(project.points["top bearing"], (-12.0, -16.0, 0.0))
    readings = tuple(
        DistanceReading(
            between=("top bearing", name),
            value=round(float(np.linalg.norm(at - project.points[name])), 1),
            date="2026-04-11",
        )
        for name in ("upper link inner", "lower link inner", "radius arm ball", "coilover foot")
    )
    kept = msgspec.structs.replace(project.survey, as_built=readings)
    path = tmp_path / "tacked.corner.json"
    write(msgspec.structs.replace(project, survey=kept), path)
    assert main(["survey", str(path)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "As built, 2026-04-11, against the plan: top bearing: 20" in said
    assert "spring to radius arm" in said
    assert "as planned" in said


def test_left_is_compared_with_right(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "right.corner.json"
    write(mirror(read(find_project("rear-misread"))), path)
    assert main(["survey", "rear-in-trouble", "--against", str(path)]) == 0
    said = capsys.readouterr().out
    assert "Against Halfpenny rear right, one reading wrong:" in said  # the mirrored side's title
    assert "top bearing:" in said.split("Against")[1]


def test_inches_are_told_and_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    project = msgspec.structs.replace(read(find_project("rear-in-trouble")), units="in")
    path = tmp_path / "inches.corner.json"
    write(project, path)
    assert main(["survey", str(path)]) == 0
    assert "Points, in," in capsys.readouterr().out
    rows = table(project)
    assert rows[3][4] == "21.339"
    assert read_csv(project, text(rows)) == project
    rows[3][4] = "21 3/8"
    assert read_csv(project, text(rows)).survey.readings[2].value == pytest.approx(542.925)
