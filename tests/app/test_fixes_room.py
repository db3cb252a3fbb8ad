"""The room of fixes, with real events: found while one waits, looked at, applied, taken back."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app.fixes.card import FixCard
from app.fixes.words import in_paragraphs
from kinematics.studies.cures import families
from kinematics.units import MINUS, show_length
from tests.app.conftest import Driver, wait

FEW = {"wheel spacer", "tower's edges trimmed", "droop strap"}


@pytest.fixture
def room(driver: Driver) -> Iterator[Driver]:
    """In the room, with a few kinds of fix tried and all of them found."""
    window = driver.window
    fixes = window.fixes
    project = driver.document.project
    assert project is not None
    wanted = set(families(project)) - FEW
    if fixes.choice.own or fixes.choice.without != wanted:
        fixes.choice.own, fixes.choice.without, fixes.project = (), wanted, None
    click(window.bar.rooms["Fixes"])
    wait(driver.app, lambda: fixes.share < 0.0)
    yield driver
    click(window.bar.rooms["Move"])
    driver.document.stack.setClean()


def click(widget: object, at: QPoint | None = None) -> None:
    QTest.mouseClick(widget, Qt.MouseButton.LeftButton, pos=at or QPoint(20, 12))


def card(driver: Driver, name: str) -> FixCard:
    found = driver.window.fixes.cards[name]
    driver.window.fixes.area.ensureWidgetVisible(found)
    driver.app.processEvents()
    return found


def test_fixes_are_listed_ranked_in_plain_words(room: Driver) -> None:
    fixes = room.window.fixes
    assert list(fixes.cards) == [r.name for r in fixes.remedies if r.fix is not None]
    assert set(fixes.cards) == {"wheel spacer", "lip trimmed", "outer panel shorter", "droop strap"}
    spacer = fixes.cards["wheel spacer"].told
    assert spacer.title == "Fit a 15 mm wheel spacer"
    assert spacer.outcome == "Puts tyre to tower lip right, not spring to radius arm."
    assert spacer.amounts == "5 mm just stops the touching, 15 mm keeps the rule."
    assert spacer.rest.startswith("Camber and toe unchanged, track 15.0 mm wider on this side")
    assert "12 mm of thread left on the studs." in spacer.rest
    assert spacer.work.startswith("Bolted on.")
    assert "full thread" in spacer.care
    assert "None of 4 fixes" in fixes.state.text()


def test_one_click_shows_it_beside_what_is_and_one_more_applies_it(room: Driver) -> None:
    document, scene = room.document, room.stage.scene
    start = document.project
    click(card(room, "lip trimmed"))
    assert document.project is not start
    assert document.project.tower.lip == pytest.approx(20.0)
    assert document.stack.count() == 0
    assert document.before is not None
    assert scene.ghosts
    room.settle()
    document.set_travel(document.limits[1])
    room.app.processEvents()
    assert any("was 5.0 mm overlap" in " ".join(tag.lines) for tag in room.stage.tags)
    card(room, "lip trimmed").take.setFocus()
    click(card(room, "lip trimmed").take)
    # The cards are made anew; the next key is still the corner's, no button of the bar is pressed.
    assert not room.window.bar.isAncestorOf(room.window.focusWidget())
    assert document.stack.count() == 1
    assert document.stack.undoText() == "trim 15 mm off the tower's lip"
    document.stack.undo()
    assert document.project == start
    document.stack.redo()
    assert document.project.tower.lip == pytest.approx(20.0)
    document.stack.undo()


def test_not_this_takes_it_back(room: Driver) -> None:
    document = room.document
    start = document.project
    click(card(room, "wheel spacer"))
    assert document.project.wheel.rim.spacer == 15.0
    click(card(room, "wheel spacer").back)
    assert document.project == start
    assert document.stack.count() == 0
    assert document.before is None
    assert not room.stage.scene.ghosts


def test_undo_takes_back_what_is_looked_at_before_any_step(driver: Driver) -> None:
    document, start = driver.document, driver.document.project
    document.edit(replace(start, title="other"), "change title")
    step, count = document.project, document.stack.index()
    driver.window.fixes.looked = "a fix"
    document.preview(replace(step, title="looked at"))
    driver.window.actions_.do("undo")
    assert (document.project, document.previewed) == (step, None)
    assert document.stack.index() == count
    driver.window.actions_.do("undo")
    assert document.project == start


def test_escape_takes_back_what_is_looked_at_and_then_stops_what_runs(room: Driver) -> None:
    document, fixes = room.document, room.window.fixes
    start = document.project
    shown = card(room, "lip trimmed")
    click(shown)
    assert document.previewed is not None
    QTest.keyClick(shown, Qt.Key.Key_Escape)
    assert document.previewed is None
    assert document.project == start
    assert document.stack.count() == 0
    assert not room.stage.scene.ghosts
    assert not shown.shown
    fixes.begin()
    assert fixes.share >= 0.0
    QTest.keyClick(fixes.which, Qt.Key.Key_Escape)
    assert fixes.share < 0.0
    assert fixes.stop.isHidden()
    wait(room.app, lambda: not fixes.jobs.busy)
    fixes.project = None  # what was found before it was stopped is no full list


def test_another_is_shown_in_its_place_and_leaving_takes_it_back(room: Driver) -> None:
    document = room.document
    start = document.project
    click(card(room, "wheel spacer"))
    click(card(room, "lip trimmed"))
    assert document.project.wheel.rim.spacer == 0.0
    assert document.project.tower.lip == pytest.approx(20.0)
    click(room.window.bar.rooms["Move"])
    assert document.project == start
    assert document.stack.count() == 0


def test_a_hand_on_what_is_shown_takes_it_on(room: Driver) -> None:
    """Whoever goes on working on a fix that is shown has it as a step of its own."""
    document = room.document
    start = document.project
    click(card(room, "wheel spacer"))
    assert document.edit(document.slide_mount(document.project, 0.0, -3.0), "slide")
    assert document.stack.count() == 2
    document.stack.undo()
    document.stack.undo()
    assert document.project == start


def test_keys_look_and_a_search_can_be_stopped(room: Driver) -> None:
    fixes = room.window.fixes
    shown = card(room, "wheel spacer")
    shown.setFocus()
    QTest.keyClick(shown, Qt.Key.Key_Return)
    assert room.document.previewed is not None
    click(shown.back)
    fixes.begin()
    assert not fixes.stop.isHidden()
    click(fixes.stop)
    wait(room.app, lambda: not fixes.jobs.busy)
    assert fixes.stop.isHidden()


def test_kinds_are_switched_off_and_own_ones_added(room: Driver) -> None:
    fixes = room.window.fixes
    click(fixes.which)
    fixes.choice.ticks["wheel spacer"].click()
    wait(room.app, lambda: fixes.share < 0.0)
    assert "wheel spacer" not in fixes.cards
    fixes.choice.line.what.setCurrentText("tower.outer")
    click(fixes.choice.line.add)
    wait(room.app, lambda: fixes.share < 0.0)
    assert "make tower, outer less" in fixes.cards
    (mine,) = fixes.choice.own
    ends = " to ".join(show_length(mm, "mm", 1) for mm in (mine.least, mine.most))
    said = fixes.choice.mine.itemAt(0).widget().text()
    assert said.startswith(f"tower's outer face: {ends}".replace("-", MINUS))
    fixes.choice.line.what.setCurrentText("tower.colour")
    click(fixes.choice.line.add)
    assert "no number that this project gives" in fixes.choice.message.text()
    click(fixes.which)


def test_what_stands_below_the_cards_is_in_paragraphs() -> None:
    text = in_paragraphs([("These do less:", ["Trim it: 3 < 4 mm.", "No amount keeps the rule."])])
    assert text.count("<p ") == text.count("</p>") == 3
    assert "<span style='font-weight: 600'>Trim it:</span> 3 &lt; 4 mm." in text
    assert ">No amount keeps the rule.</p>" in text
    assert in_paragraphs([]) == ""


def test_two_fixes_are_tried_together_and_looked_at(room: Driver) -> None:
    fixes, document = room.window.fixes, room.document
    tools = fixes.tools
    click(tools.buttons[0])
    offered = tools.pair.first.currentText(), tools.pair.second.currentText()
    assert offered == ("wheel spacer", "droop strap")  # each puts right what the other doesn't
    tools.pair.first.setCurrentText("droop strap")
    tools.pair.second.setCurrentText("lip trimmed")
    tools.pair.second.activated.emit(0)
    click(tools.pair.start)
    assert not tools.pair.stop.isHidden()
    wait(room.app, lambda: tools.share < 0.0)
    whole = [c for c in tools.cards.values() if c.told.outcome == "Keeps all rules."]
    assert whole
    assert whole[0].told.title.startswith("Fit a strap that stops the damper ")
    assert "and trim 15 mm off the tower's lip" in whole[0].told.title
    fixes.area.ensureWidgetVisible(whole[0])
    room.app.processEvents()
    click(whole[0])
    assert document.project.tower.lip == pytest.approx(20.0)
    assert whole[0].shown
    click(whole[0].back)
    assert document.stack.count() == 0
    click(tools.buttons[0])


def test_dimensions_are_searched_over_with_progress_and_applied(room: Driver) -> None:
    fixes, document = room.window.fixes, room.document
    tools, start = fixes.tools, document.project
    click(tools.buttons[1])
    line = tools.search.line
    line.what.setCurrentText("tower's lip")
    line.least.setText("-20")
    line.most.setText("0")
    assert not tools.search.start.isEnabled()
    click(line.add)
    assert [own.path for own in tools.search.over] == ["tower.lip"]
    line.what.setCurrentText("tower.colour")
    click(line.add)
    assert "no number that this project gives" in tools.search.said.text()
    shares: list[float] = []
    link = tools.jobs.progressed.connect(lambda _, share: shares.append(share))
    click(tools.search.start)
    wait(room.app, lambda: tools.share >= 0.0 or tools.cards)
    if tools.share >= 0.0:  # else all of it was done between two looks
        assert not tools.line.isHidden()
        assert "Looking for the best" in tools.search.said.text()
    wait(room.app, lambda: tools.share < 0.0)
    tools.jobs.progressed.disconnect(link)
    assert any(0.0 < share <= 1.0 for share in shares)
    (found,) = tools.cards.values()
    assert found.told.title.startswith("Make tower, lip ")
    assert "Before: 15.0 mm short of its rule." in found.told.amounts
    fixes.area.ensureWidgetVisible(found)
    room.app.processEvents()
    click(found)
    assert 10.0 < start.tower.lip - document.project.tower.lip <= 20.0
    click(found.take)
    assert document.stack.count() == 1
    document.stack.undo()
    assert document.project == start
    click(tools.buttons[1])


def test_a_search_is_stopped(room: Driver) -> None:
    tools = room.window.fixes.tools
    click(tools.buttons[1])
    tools.search.start.setEnabled(True)
    click(tools.search.start)
    click(tools.search.stop)
    wait(room.app, lambda: not tools.jobs.busy)
    room.app.processEvents()
    assert tools.share < 0.0
    assert not tools.cards
    assert tools.line.isHidden()
    click(tools.buttons[1])


def test_nothing_is_said_to_be_right_before_it_is_checked(room: Driver) -> None:
    fixes, document = room.window.fixes, room.document
    kept, fixes.remedies = fixes.remedies, []
    document.checked = False
    fixes._say_state()
    assert fixes.state.text() == "Nothing is checked yet."
    document.checked = True
    document.studied.emit()
    assert fixes.state.text().startswith("Nothing touches")
    fixes.remedies = kept
