"""The measuring sheet in the window, by hand: typing, leaving out, undo, tables, points taken."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path

import msgspec
import numpy as np
import pypdf
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QMenu

from app import examples
from app.document import live
from app.survey.room import Measuring
from app.survey.table import NOTE, READS, SIGN, TO, TOOL
from kinematics.clearance import Cancelled
from kinematics.project.survey import DistanceReading, HeightReading, Survey, To
from tests.app.conftest import Driver
from tests.survey.made import distances

ARM = 2  # the row of the radius arm ball's offset from the centre string


def _no_study(*_: object) -> None:
    raise Cancelled


@pytest.fixture
def sheet(
    windows: QApplication, shared: Driver, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Driver]:
    """The sheet of the example in trouble; what is edited here is not studied again."""
    document, window = shared.document, shared.window
    if document.project is None or document.project.survey is None:
        shared.open("rear-in-trouble")
    monkeypatch.setattr(live, "full", _no_study)
    window.enter("Measure")
    shared.app.processEvents()
    yield shared
    while document.stack.canUndo():
        document.stack.undo()
    document.stack.clear()
    document.red.clear()
    window.measuring.bench.turn_to(False)
    window.enter("Move")
    shared.app.processEvents()


def room(driver: Driver) -> Measuring:
    return driver.window.measuring


def type_in(driver: Driver, row: int, column: int, text: str) -> None:
    """Double-click a cell, type over what is there, Return."""
    table = room(driver).table
    index = table.model().index(row, column)
    table.scrollTo(index)
    driver.app.processEvents()
    spot = table.visualRect(index).center()
    QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    QTest.mouseDClick(table.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    driver.app.processEvents()
    editor = table.findChild(QLineEdit)
    assert editor is not None
    editor.selectAll()
    QTest.keyClicks(editor, text)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    driver.app.processEvents()


def test_the_sheet_takes_the_place_of_the_corner_and_gives_it_back(sheet: Driver) -> None:
    window = sheet.window
    assert window.measuring.isVisible()
    assert not window.stage.isVisible()
    assert room(sheet).headline.text() == "The readings agree."
    assert "They agree within what the tools can do" in room(sheet).words.text()
    window.enter("Move")
    sheet.app.processEvents()
    assert window.stage.isVisible()
    assert not window.measuring.isVisible()


@pytest.mark.parametrize(
    ("text", "mm"), [("541,5", 541.5), ("21 5/16 in", 541.3375), ("540 + 1.5", 541.5)]
)
def test_a_reading_typed_in_is_an_undo_step(sheet: Driver, text: str, mm: float) -> None:
    before = sheet.document.project
    type_in(sheet, ARM, READS, text)
    assert sheet.document.project.survey.readings[ARM].value == pytest.approx(mm)
    assert sheet.document.stack.count() == 1
    sheet.document.stack.undo()
    assert sheet.document.project == before


def test_a_reading_that_lies_is_marked_with_its_rivals_and_what_it_would_change(
    sheet: Driver,
) -> None:
    type_in(sheet, ARM, READS, "562")
    measuring = room(sheet)
    assert ARM in measuring.bench.suspects()
    assert "too large" in measuring.words.text()
    assert "look again" in measuring.headline.text() or "wrong" in measuring.headline.text()
    measuring.choose(ARM)
    assert measuring.effect.text().startswith("Without it, the rest agree; radius arm ball moves")
    table = measuring.table
    place = table.visualRect(table.model().index(ARM, SIGN)).center()
    marked = table.viewport().grab().toImage()
    ratio = marked.devicePixelRatio()
    near = [
        marked.pixelColor(round((14 + dx) * ratio), round((place.y() + dy) * ratio))
        for dx in range(-4, 5)
        for dy in range(-4, 5)
    ]
    assert any(c.red() > 150 and c.green() < 90 for c in near)


def test_a_click_on_its_sign_leaves_a_reading_out_and_takes_it_back(sheet: Driver) -> None:
    table = room(sheet).table
    table.scrollToTop()
    place = table.visualRect(table.model().index(ARM, SIGN)).center()
    for out in (True, False):
        QTest.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=place)
        sheet.app.processEvents()
        assert sheet.document.project.survey.readings[ARM].left_out is out
    assert sheet.document.stack.count() == 2


def test_a_reading_in_inches_is_typed_over_as_other_lengths_are(sheet: Driver) -> None:
    document = sheet.document
    document.edit(msgspec.structs.replace(document.project, units="in"), "inches")
    sheet.app.processEvents()
    table, before = room(sheet).table, document.project
    index = table.model().index(ARM, READS)
    assert table.model().data(index, Qt.ItemDataRole.EditRole) == "21.339"  # 542 mm
    type_in(sheet, ARM, READS, "21.339")
    assert document.project is before  # left as it was shown, it stays as exact as it is
    type_in(sheet, ARM, TOOL, "tape 0.1")
    document.edit(msgspec.structs.replace(document.project, units="mm"), "mm")
    type_in(sheet, ARM, TOOL, "tape 2")
    document.edit(msgspec.structs.replace(document.project, units="in"), "inches")
    assert index.siblingAtColumn(TOOL).data() == "tape ±0.079"


@pytest.mark.parametrize(
    ("column", "text", "reason"),
    [
        (READS, "54o", "not a unit for a length"),
        (TO, "near edge", "Give the diameter"),
        (TO, "somewhere 3", "is none of centre"),
        (TOOL, "spoon", "is not known"),
        (TOOL, "tape -2", "more than nought"),
    ],
)
def test_a_wrong_entry_stays_in_its_cell_with_the_reason(
    sheet: Driver, column: int, text: str, reason: str
) -> None:
    before = sheet.document.project
    type_in(sheet, ARM, column, text)
    measuring = room(sheet)
    assert measuring.table.model().index(ARM, column).data() == text
    assert measuring.wrong.isVisible()
    assert reason in measuring.wrong.text()
    assert sheet.document.project is before
    good = {READS: "542", TO: "far edge 12", TOOL: "tape 2"}[column]
    type_in(sheet, ARM, column, good)
    assert not measuring.wrong.isVisible()


def test_what_it_was_measured_to_and_with_can_be_typed(sheet: Driver) -> None:
    type_in(sheet, ARM, TO, "outer face 8")
    type_in(sheet, ARM, TOOL, "tape 2.5")
    reading = sheet.document.project.survey.readings[ARM]
    assert reading.to == (To(kind="outer face", size=8.0),)
    assert (reading.tool, reading.give_or_take) == ("tape", 2.5)
    assert sheet.document.stack.count() == 2


def test_a_reading_is_added_and_removed(sheet: Driver) -> None:
    measuring = room(sheet)
    count = len(measuring.bench.readings)
    measuring.add.kind.setCurrentText("Height above the floor")
    measuring.add.choices[0].setCurrentText("hub inner")
    QTest.mouseClick(measuring.add.button, Qt.MouseButton.LeftButton)
    sheet.app.processEvents()
    assert measuring.bench.readings[-1] == HeightReading(point="hub inner")
    assert measuring.row == count
    type_in(sheet, count, READS, "588")
    assert measuring.headline.text().startswith("Not fixed yet: hub inner")
    assert "Most helpful: hub inner" in measuring.words.text()
    QTest.mouseClick(measuring.buttons["Remove"], Qt.MouseButton.LeftButton)
    assert len(measuring.bench.readings) == count


def test_the_points_are_taken_as_measured_and_given_back(sheet: Driver) -> None:
    measuring, before = room(sheet), sheet.document.project
    wanted = measuring.bench.found.place("top bearing").xyz
    QTest.mouseClick(measuring.buttons["Use these points"], Qt.MouseButton.LeftButton)
    sheet.app.processEvents()
    assert sheet.document.project.points["top bearing"] == pytest.approx(wanted, abs=1e-9)
    taken, stack = sheet.document.project, sheet.document.stack
    scene = sheet.stage.scene
    for _ in range(2):
        assert not measuring.buttons["Use these points"].isEnabled()
        there = scene.pieces["top mount"].points()
        stack.undo()
        assert sheet.document.project == before
        assert measuring.buttons["Use these points"].isEnabled()
        assert not np.allclose(scene.pieces["top mount"].points(), there, atol=0.01)
        stack.redo()
        assert sheet.document.project == taken
        assert np.allclose(scene.pieces["top mount"].points(), there, atol=1e-6)


def test_sheet_and_table_go_out_and_come_back(sheet: Driver, tmp_path: Path) -> None:
    measuring = room(sheet)
    measuring.write_sheet(tmp_path / "sheet.pdf")
    assert len(pypdf.PdfReader(tmp_path / "sheet.pdf").pages) == 3
    table = tmp_path / "sheet.csv"
    measuring.write_table(table)
    text = table.read_text(encoding="utf-8").replace(",542,mm", ",543.5,mm", 1)
    title, about, heads, *_ = text.splitlines()
    assert (title, heads.split(",")[0]) == ("# Measuring sheet", "number")
    assert all(w in about for w in ("Halfpenny", datetime.date.today().isoformat(), "in mm"))
    table.write_text(text, encoding="utf-8")
    measuring.read_table(table)
    assert sheet.document.project.survey.readings[ARM].value == 543.5
    sheet.document.stack.undo()
    assert sheet.document.project.survey.readings[ARM].value == 542.0
    table.write_text(text.replace("543.5", "54 3 5"), encoding="utf-8")
    measuring._do(lambda: measuring.read_table(table))
    assert "row 6" in measuring.wrong.text()  # counted with the two lines that say what it is
    table.write_bytes(text.encode("utf-16"))
    measuring._do(lambda: measuring.read_table(table))
    assert "is not UTF-8 text" in measuring.wrong.text()


def test_a_click_on_the_sketch_chooses_a_reading(sheet: Driver) -> None:
    measuring = room(sheet)
    sketch = measuring.canvas._sketches()[0]
    place = sketch.point("top bearing").toPoint() + QPoint(1, 1)
    QTest.mouseClick(measuring.canvas, Qt.MouseButton.LeftButton, pos=place)
    sheet.app.processEvents()
    first = measuring.row
    assert first >= 0
    before = measuring.canvas.grab().toImage()
    QTest.mouseClick(measuring.canvas, Qt.MouseButton.LeftButton, pos=place)
    sheet.app.processEvents()
    assert measuring.row != first
    assert measuring.canvas.grab().toImage() != before


def test_the_closest_pairs_say_what_the_readings_leave_open(sheet: Driver) -> None:
    assert "Your readings allow" in room(sheet).words.text()


def test_notes_have_room_on_a_wide_window_only(sheet: Driver) -> None:
    table = room(sheet).table
    assert table.isColumnHidden(NOTE)
    sheet.window.resize(2200, 1200)
    sheet.app.processEvents()
    assert not table.isColumnHidden(NOTE)
    sheet.window.resize(1280, 800)
    sheet.app.processEvents()


def test_a_corner_without_readings_is_helped_to_begin(sheet: Driver) -> None:
    sheet.window.open(examples.examples()["front-strut"], example=True)
    sheet.app.processEvents()
    measuring = room(sheet)
    assert "No readings yet" in measuring.headline.text()
    QTest.mouseClick(measuring.buttons["Suggest"], Qt.MouseButton.LeftButton)
    sheet.app.processEvents()
    assert len(measuring.bench.readings) > 20
    assert "none with a value yet" in measuring.headline.text()
    sheet.document.stack.undo()
    assert sheet.document.project.survey is None
    assert np.isfinite(measuring.width())


def test_measuring_again_keeps_the_old_reading_dated(sheet: Driver) -> None:
    measuring = room(sheet)
    old = measuring.bench.readings[ARM]
    measuring.choose(ARM)
    QTest.mouseClick(measuring.buttons["Measure again"], Qt.MouseButton.LeftButton)
    sheet.app.processEvents()
    kept, fresh = measuring.bench.readings[ARM : ARM + 2]
    assert (kept.value, kept.date, kept.left_out) == (old.value, old.date, True)
    assert (fresh.value, fresh.left_out) == (None, False)
    assert measuring.row == ARM + 1
    type_in(sheet, ARM + 1, READS, "541")
    assert measuring.bench.readings[ARM + 1].date == datetime.date.today().isoformat()
    assert "30 more than needed" in measuring.words.text()


def test_what_was_tacked_is_held_against_the_plan(sheet: Driver) -> None:
    measuring, project = room(sheet), sheet.document.project
    QTest.mouseClick(measuring.buttons["After tacking"], Qt.MouseButton.LeftButton)
    sheet.app.processEvents()
    assert "Nothing measured after tacking yet" in measuring.headline.text()
    off = np.add(project.points["top bearing"], (0.0, -7.0, 0.0))
    stayed = ("upper link inner", "lower link inner", "radius arm ball", "coilover foot")
    for name in stayed:
        length = float(np.linalg.norm(off - project.points[name]))
        measuring.bench.add(DistanceReading(between=("top bearing", name), value=round(length, 1)))
    sheet.app.processEvents()
    assert "As built, against the plan" in measuring.words.text()
    said = measuring.words.text()
    assert "top bearing: 7." in said or "6.9\u00a0mm off" in said
    assert "as built" in measuring.words.text()
    assert len(sheet.document.project.survey.readings) == len(project.survey.readings)
    QTest.mouseClick(measuring.buttons["After tacking"], Qt.MouseButton.LeftButton)
    sheet.app.processEvents()
    assert measuring.headline.text() == "The readings agree."


def test_another_project_begins_with_its_first_readings_and_a_new_corner_with_none(
    sheet: Driver,
) -> None:
    measuring, document = room(sheet), sheet.document
    QTest.mouseClick(measuring.buttons["After tacking"], Qt.MouseButton.LeftButton)
    assert measuring.bench.after
    document.start(document.project, example=True)
    assert not measuring.bench.after
    assert not measuring.buttons["After tacking"].isChecked()
    assert document.project.survey is not None
    sheet.window.actions_.begin_from(examples.examples()["rear-in-trouble"])
    assert document.project.survey is None


def test_a_point_in_two_places_is_asked_about_and_settled(sheet: Driver) -> None:
    measuring, project = room(sheet), sheet.document.project
    base = ("lower link inner", "upper link inner", "radius arm ball")
    readings = distances(project.points, [("top bearing", name) for name in base])
    lone = Survey(readings=tuple(readings), datums=dict.fromkeys(base, "xyz"))
    sheet.document.edit(msgspec.structs.replace(project, survey=lone), "measure less")
    sheet.app.processEvents()
    assert measuring.headline.text() == "top bearing fits in two places."
    there = measuring.bench.found.twins[0].there
    yes, no = measuring.answers
    assert yes.isVisible()
    QTest.mouseClick(no, Qt.MouseButton.LeftButton)
    sheet.app.processEvents()
    assert sheet.document.project.points["top bearing"] == pytest.approx(there, abs=1e-9)
    assert sheet.document.project.survey.settled == ("top bearing",)
    assert not yes.isVisible()


def test_datums_stands_positions_and_set_up_are_said_in_the_sheet(sheet: Driver) -> None:
    measuring, before = room(sheet), sheet.document.project
    more = measuring.more
    more.hold("upper link inner", "y")
    assert sheet.document.project.survey.datums["upper link inner"] == "y"
    more.hold("lower link inner", "z")
    assert "lower link inner" not in sheet.document.project.survey.datums
    more.stand("nose_up_deg", "0° 24'")
    more.stand("lifted", "300")
    more.stand("lifted", "")
    stands = sheet.document.project.survey.stands
    assert (stands.nose_up_deg, stands.lifted) == (pytest.approx(0.4), None)
    more.place(ARM, "hanging")
    assert sheet.document.project.survey.readings[ARM].position == "hanging"
    assert "hanging" in sheet.document.project.survey.positions
    more.setup("276")
    assert sheet.document.project.setup_wheel_z == 276.0
    assert sheet.document.stack.count() == 7
    while sheet.document.stack.canUndo():
        sheet.document.stack.undo()
    assert sheet.document.project == before


def test_the_menu_behind_the_readings_shows_what_holds(sheet: Driver) -> None:
    measuring = room(sheet)
    measuring.choose(ARM)
    menu = measuring.more.menu()
    words = [a.text() for sub in menu.findChildren(QMenu) for a in sub.actions()]
    assert "lower link inner: z" in words
    assert any(w.startswith("Nose up: found from the readings") for w in words)
    assert any(a.text() == "hub face" and a.isChecked()
               for sub in menu.findChildren(QMenu) for a in sub.actions())  # fmt: skip
    menu.deleteLater()
    measuring._do(lambda: measuring.more.stand("nose_up_deg", "steep"))
    assert measuring.wrong.isVisible()


def test_the_other_side_is_compared(sheet: Driver) -> None:
    measuring = room(sheet)
    measuring.more.compare(examples.examples()["rear-misread"])
    sheet.app.processEvents()
    assert "Against Halfpenny rear left, one reading wrong" in measuring.words.text()
