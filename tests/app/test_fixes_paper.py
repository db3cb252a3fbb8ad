"""Fixes on paper: what is drawn, how many sheets a file has, and the report that takes them."""

from __future__ import annotations

import json
import re

import pytest
from PySide6.QtGui import QImage, QPainter

from app.cli import main
from app.commands import check
from app.paper import fixes_page, fixes_table, report
from app.paper.folder import write_folder
from app.paper.media import application, image, write
from app.resources import assets
from kinematics.project.files import read
from kinematics.studies.cures import Choice
from kinematics.studies.fixes import fixes
from kinematics.studies.study import study

TRIED = frozenset(["wheel spacer", "lip trimmed", "radius arm offset forward", "bump-stop packer",
                   "two fixes together"])  # fmt: skip


@pytest.fixture(scope="module")
def found():
    project = read(assets() / "examples" / "rear-in-trouble.corner.json")
    remedies = fixes(project, choice=Choice(only=TRIED))
    return project, remedies, study(project, travel=[60.0, 78.0])


def drawn(page, monkeypatch):
    """The words a page draws, in order."""
    said = []
    for module in (fixes_page, fixes_table, report):
        whole = module.text

        def tell(painter, x, y, words, *rest, whole=whole, **more):
            said.append(words)
            return whole(painter, x, y, words, *rest, **more)

        monkeypatch.setattr(module, "text", tell)
    application()
    picture = QImage(page.wide, page.high, QImage.Format.Format_RGB32)
    painter = QPainter(picture)
    try:
        page.draw(painter)
    finally:
        painter.end()
    monkeypatch.undo()
    return " ".join(said).replace("\N{NO-BREAK SPACE}", " ")


def sheets(path):
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", path.read_bytes()))


def test_the_report_says_the_first_fix_and_the_sheets_say_all(found, monkeypatch, tmp_path):
    _, remedies, checked = found
    page = report.report_page(checked, "mm", remedies)
    first = drawn(page, monkeypatch)
    assert "First fix: bend or offset the radius arm 9 mm forward" in first
    assert "and fit a 15 mm wheel spacer: keeps all rules. See the sheets of fixes." in first
    ranked, table = (drawn(each, monkeypatch) for each in page.rest)
    for words in ("Keeps all rules.", "track 15.0 mm wider on this side",
                  "Nothing is undone: it comes off again.",
                  "5 mm just stops the touching", "Bolted on.", "full thread"):  # fmt: skip
        assert words in ranked
    assert "15.0 (15.0)" in table
    assert "even 20 mm leaves the tyre 1.0 mm into the tower lip" in table
    assert table.count("bolted on") == 1
    write(page, tmp_path / "report.pdf")
    assert sheets(tmp_path / "report.pdf") == 3
    assert not image(page.rest[1]).isNull()


def test_a_report_without_fixes_is_one_sheet(found, monkeypatch, tmp_path):
    _, _, checked = found
    page = report.report_page(checked, "in")
    assert page.rest == ()
    assert "fix" not in drawn(page, monkeypatch).lower().replace("prefix", "")


def test_the_folder_takes_the_fixes_along(found, tmp_path):
    """On paper, and as data that says the same."""
    _, remedies, checked = found
    write_folder(checked, tmp_path / "out", "mm", remedies)
    assert sheets(tmp_path / "out" / "report.pdf") == 3
    told = json.loads((tmp_path / "out" / "findings.json").read_text(encoding="utf-8"))["fixes"]
    assert [each["fix"] for each in told] == [remedy.name for remedy in remedies]
    fixed = {each["fix"]: each for each in told}
    spacer = fixed["wheel spacer"]
    assert spacer["stops_touching"]["amount_mm"] == 5.0
    assert spacer["keeps_rules"]["exact_mm"] == pytest.approx(14.96, abs=0.05)
    assert spacer["outcome"]["settles"] == [["tyre", "tower lip"]]
    assert spacer["outcome"]["effects"]["track_mm"] == pytest.approx(15.0, abs=0.01)
    lip = next(c for c in spacer["outcome"]["clearances"] if c["parts"] == ["tyre", "tower lip"])
    assert (lip["before_mm"], lip["over_rule_mm"]) == pytest.approx((-5.0, 0.04), abs=0.05)
    packer = fixed["bump-stop packer"]
    assert packer["outcome"] is None
    assert packer["why_not"] == packer["sentence"]


def test_fixes_are_printed_as_data_by_themselves_and_with_the_findings(capsys, monkeypatch, found):
    assert main(["cures", "rear-in-trouble", "--only", "wheel spacer", "--json"]) == 1
    alone = json.loads(capsys.readouterr().out)
    assert alone["project"] == "Halfpenny rear left, in trouble"
    assert [each["fix"] for each in alone["fixes"]] == ["wheel spacer"]
    monkeypatch.setattr(check, "_fixes", lambda checked: found[1][:1])
    words = ["check", "rear-in-trouble", "--travel", "60:78:2", "--json"]
    assert main(words) == 1
    assert "fixes" not in json.loads(capsys.readouterr().out)
    assert main([*words, "--fixes"]) == 1
    whole = json.loads(capsys.readouterr().out)
    assert [each["fix"] for each in whole["fixes"]] == [found[1][0].name]


def test_the_fixes_are_listed_with_how_far_they_may_go(capsys):
    assert main(["cures", "rear-in-trouble", "--list"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert "bump-stop packer: 2, 5, 7, 10, 12, 15, 17 or 20 mm" in said
    assert "tower inboard with its mount: up to 30 mm" in said
    assert "adjustable plate: up to 40 mm each way" in said


def test_many_fixes_take_many_sheets(found):
    project, remedies, _ = found
    many = tuple(remedies) * 20
    pages = fixes_table.fixes_tables(project, many, "in")
    assert len(pages) == -(-len(many) // fixes_table.ROWS)
    assert fixes_table.fixes_tables(project, (), "mm") == ()


def test_fixes_without_a_folder_are_refused(capsys):
    assert main(["check", "rear-in-trouble", "--fixes"]) == 2
    assert "--out DIR" in capsys.readouterr().err
