"""What is typed and can't be taken is never lost: over pages, undo, saving, other projects."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton

from app import examples
from app.describe.pages import PAGES
from app.describe.room import Describe
from app.document.red import by_row, closed_up, renamed, standing
from app.entry import Field
from app.survey.table import READS
from app.window import asking
from kinematics.project import files
from kinematics.project.edit import move_top
from kinematics.project.fresh import usual_rules
from kinematics.project.model import Project
from kinematics.statics.cases import STANDING, cases_of
from tests.app.conftest import Driver
from tests.app.test_describe_fields import furnished

WRONG = "7 wombats"
SIZE = ("wheel", "tyre", "size")


@pytest.fixture
def room(describing: Callable[[Project], Describe]) -> Describe:
    """The example with everything that can be fitted."""
    return describing(furnished(files.read(examples.examples()["rear-in-trouble"])))


def redden(room: Describe, path: tuple[str | int, ...], text: str = WRONG) -> str:
    """Type into a field what can't be taken; the reason."""
    field = room.fields[path]
    field.setText(text)
    field.take()
    assert field.error, path
    return field.error


def test_every_figure_of_every_page_stays_red_until_it_is_put_right(room: Describe) -> None:
    before = room.document.project
    typed: dict[tuple[str | int, ...], str] = {}
    for page in PAGES:
        room.go(page.word)
        for path, field in room.fields.items():
            if field.entry.kind in ("length", "number", "degrees", "count"):
                typed[path] = redden(room, path)
    assert len(typed) > 120
    assert room.document.project is before
    for page in PAGES:
        room.go(page.word)
        for path in typed.keys() & room.fields.keys():
            field = room.fields[path]
            assert (field.text(), field.error) == (WRONG, typed.pop(path)), path
    assert not typed


def test_it_stays_over_undo_and_a_save_and_goes_with_escape(room: Describe, tmp_path: Path) -> None:
    document = room.document
    room.go("Wheel")
    reason = redden(room, SIZE, "195/50 R99 x")
    room.deeds.change("title", lambda p: replace(p, title="other"))
    document.stack.undo()
    room.go("Damper")
    room.deeds.add_at(("hoses",))
    document.stack.undo()
    assert document.save(tmp_path / "a.corner.json")
    assert not document.dirty
    assert document.loses  # asked about when it is left
    room.hide()
    room.show()
    room.go("Wheel")
    field = room.fields[SIZE]
    assert (field.text(), field.error) == ("195/50 R99 x", reason)
    assert reason[1:20] in room.message.text()
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert not document.loses
    assert field.text() == document.project.wheel.tyre.size


def test_it_is_not_carried_into_another_project(room: Describe) -> None:
    room.go("Wheel")
    redden(room, SIZE)
    room.fields[SIZE].setFocus()
    other = replace(room.document.project, title="other")
    room.document.start(other)
    assert not room.document.red
    assert room.document.project is other
    assert room.fields[SIZE].text() == other.wheel.tyre.size


def test_what_is_half_typed_is_taken_when_the_page_is_turned(room: Describe) -> None:
    room.go("Points")
    path = ("points", "wheel centre", 0)
    field = room.fields[path]
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "12.5")
    room.go("Wheel")
    assert room.document.project.points["wheel centre"][0] == 12.5
    assert room.document.stack.count() == 1


def test_it_goes_along_when_what_it_is_in_is_renamed_or_a_list_closes_up(room: Describe) -> None:
    room.go("Parts")
    name, part = next((n, p) for n, p in room.project.parts.items() if hasattr(p, "diameter"))
    room.unfold(("parts",), name, True)
    redden(room, ("parts", name, "diameter"))
    room.deeds.rename(("parts", name), "gas pipe")
    assert room.fields["parts", "gas pipe", "diameter"].text() == WRONG
    for called in (name, "gas pipe", name, "gas pipe"):
        step = room.document.stack.redo if called == "gas pipe" else room.document.stack.undo
        step()
        room.unfold(("parts",), called, True)
        field = room.fields["parts", called, "diameter"]
        assert (field.text(), bool(field.error)) == (WRONG, True), called
        assert list(room.document.reds) == [("parts", called, "diameter")]
    red = ("x", "why")
    reds = {("rules", k, "at_least"): red for k in range(3)} | {("title",): red}
    kept = closed_up(reds, ("rules",), 1)
    assert set(kept) == {("rules", 0, "at_least"), ("rules", 1, "at_least"), ("title",)}
    assert renamed(reds, ("rules", 2), ("rules", 7)).keys() >= {("rules", 7, "at_least")}
    assert standing(reds, None) == {}
    along = by_row(reds, ("rules",), 1)
    assert along.there(reds) == kept
    assert along.back(kept) == reds  # what stood red in the one that was gone too
    assert hasattr(part, "diameter")


def test_it_stays_in_its_row_when_one_above_is_taken_out_and_brought_back(room: Describe) -> None:
    room.deeds.change("own rules", usual_rules)
    while len(room.project.rules) < 3:
        room.deeds.add_at(("rules",))
    room.reveal(("rules", 0, "at_least"))
    paths = [("rules", k, "at_least") for k in (1, 2)]
    for k, path in enumerate(paths):
        redden(room, path, f"{k} wombats")
    room.deeds.drop_at(("rules", 1))
    assert room.fields["rules", 1, "at_least"].text() == "1 wombats"
    for _ in range(2):
        room.document.stack.undo()
        assert [room.fields[path].text() for path in paths] == ["0 wombats", "1 wombats"]
        assert all(room.fields[path].error for path in paths)
        room.document.stack.redo()
        assert room.fields["rules", 1, "at_least"].text() == "1 wombats"
    assert len(room.document.reds) == 1


def test_it_is_asked_about_by_its_name(
    driver: Driver, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    window, document = driver.window, driver.document
    assert document.save(tmp_path / "a.corner.json")
    window.enter("Describe")
    window.describe.go("Wheel")
    redden(window.describe, SIZE)
    window.enter("Springs")
    asked: list[tuple[str, str]] = []

    def ask(_window: object, text: str, more: str, *_: object) -> asking.Answer:
        asked.append((text, more))
        return asking.Answer.Cancel

    monkeypatch.setattr(asking, "_ask", ask)
    monkeypatch.setattr(window.actions_, "ask_to_save", lambda: asking.ask_to_save(window))
    assert not window.actions_.may_leave()
    assert asked[-1][0] == "Something typed can't be taken yet."
    assert f"tyre marking “{WRONG}”" in asked[-1][1]
    assert window.actions_.save()
    assert WRONG in window.notice.words
    window.notice.put_away()
    window.enter("Describe")
    QTest.keyClick(window.describe.fields[SIZE], Qt.Key.Key_Escape)
    assert window.actions_.may_leave()
    window.enter("Move")


def test_amounts_to_move_the_mount_by_stay_until_they_are_used(room: Describe) -> None:
    def amount(name: str) -> Field:
        return next(
            f for f in room.findChildren(Field) if f.accessibleName() == f"top mount {name}"
        )

    room.go("Tower")
    amount("forward").setText("4")
    amount("forward").take()
    amount("up").setText(WRONG)
    amount("up").take()
    assert amount("forward").text().startswith("4")
    room.go("Wheel")
    room.go("Tower")
    assert amount("forward").text().startswith("4")
    assert amount("up").text() == WRONG
    assert not room.document.loses  # nothing of the project
    before = move_top(room.document.project, 4.0, 0.0, 0.0)
    amount("up").give_up()
    button = next(b for b in room.findChildren(QPushButton) if b.text() == "Move")
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    assert room.document.project.points == before.points
    assert amount("forward").text().startswith("0")


def test_a_load_case_keeps_what_stands_red_in_it(driver: Driver) -> None:
    window, document = driver.window, driver.document
    window.enter("Springs")
    window.statics.enter("Forces")
    cases = window.statics.cases
    cases.choose("3 g bump")
    other = next(n for n in cases_of(cases.loads) if n not in (STANDING, "3 g bump"))
    up = cases.fields["up"]
    up.setText(WRONG)
    up.take()
    assert up.error
    cases.choose(other)
    assert not up.error
    assert up.text() != WRONG
    cases.choose("3 g bump")
    assert (up.text(), bool(up.error)) == (WRONG, True)
    cases.rename.setText("kerb")
    cases.rename.take()
    assert document.reds == {("loads", "cases", "kerb", "up"): (WRONG, up.error)}
    document.stack.undo()
    cases.choose("3 g bump")
    assert (up.text(), bool(up.error)) == (WRONG, True)
    document.stack.redo()
    cases.choose("kerb")
    assert (up.text(), bool(up.error)) == (WRONG, True)
    document.start(replace(document.project, title="other"))
    assert not up.error
    document.stack.setClean()
    window.enter("Move")


def test_a_reading_keeps_its_red_cell_wherever_its_row_goes(driver: Driver) -> None:
    window, document = driver.window, driver.document
    window.enter("Measure")
    table = window.measuring.table
    bench, model = table.readings.bench, table.readings
    row = 5
    reading = bench.readings[row]
    assert not model.setData(model.index(row, READS), WRONG)
    assert set(model.wrong) == {(row, READS)}
    bench.remove(1)
    assert bench.readings[row - 1] is reading
    assert set(model.wrong) == {(row - 1, READS)}
    document.stack.undo()
    assert set(model.wrong) == {(row, READS)}
    assert document.loses
    bench.turn_to(True)
    assert not model.wrong
    bench.turn_to(False)
    window.enter("Move")
    window.enter("Measure")
    assert model.index(row, READS).data() == WRONG
    assert model.setData(model.index(row, READS), "500")
    assert not model.wrong
    document.stack.undo()
    window.enter("Move")


def test_an_entry_is_named_as_a_builder_knows_it() -> None:
    for path, words in {
        SIZE: "tyre marking",
        ("points", "top bearing", 2): "top bearing z",
        ("parts", "guard", "diameter"): "guard diameter",
        ("points", "hub", ""): "name of hub",
        ("survey", "readings", 5, "value"): "readings 6 value",
        ("title",): "title",
    }.items():
        assert asking.entry_words(path) == words
