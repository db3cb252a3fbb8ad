"""What is done in the description: by hands and keys, undone in one step, refused in words."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from app.describe import toe
from app.describe.bits import Slider
from app.describe.pages import PAGES
from app.describe.table import Cell
from app.document import live, tree
from app.entry import Chooser, Field
from kinematics.project.edit import move_top
from kinematics.project.fresh import fresh
from tests.app.conftest import Driver

PLAIN, CONTROL = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
ADDED: tuple[tree.Path, ...] = (
    ("coilover", "spring", "helper"),
    ("coilover", "spring", "inner"),
    ("coilover", "droop_stop"),
    ("coilover", "clamp"),
    ("coilover", "thread"),
    ("coilover", "spring", "curve"),
    ("top_mount",),
    ("top_mount", "plate"),
    ("tower", "gussets"),
    ("wheel", "rim", "weights"),
    ("adjusters",),
    ("bodies",),
    ("rules",),
    ("extra_positions",),
    ("stops",),
    ("straps",),
    ("hoses",),
    ("give",),
    ("travel",),
    ("rack",),
)


@pytest.fixture
def form(driver: Driver) -> Iterator[Driver]:
    driver.window.enter("Describe")
    driver.app.processEvents()
    yield driver
    driver.window.enter("Move")


def field_of(form: Driver, path: tree.Path) -> Field:
    form.window.describe.reveal(path)
    form.app.processEvents()
    return form.window.describe.fields[path]


def type_in(field: Field, text: str, key: Qt.Key = Qt.Key.Key_Return) -> None:
    field.selectAll()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, key)


def test_all_that_can_be_added_is_shown_and_undone(form: Driver) -> None:
    document, room = form.document, form.window.describe
    before = document.project
    for done, path in enumerate(ADDED):
        was = document.project
        room.deeds.add_at(path)
        assert room.message.text() == "", path
        assert document.project != was, path
        assert document.stack.index() == done + 1
    for page in PAGES:
        room.go(page.word)
        assert room.fields or page.word in ("Parts", "Links")
    for _ in ADDED:
        document.stack.undo()
    assert document.project == before


def test_tyre_and_rim_of_another_diameter_are_taken_together(form: Driver) -> None:
    document, room = form.document, form.window.describe
    before = document.project
    tyre = field_of(form, ("wheel", "tyre", "size"))
    type_in(tyre, "205/45R16")
    assert "15 in" in tyre.error
    assert document.project is before
    rim = field_of(form, ("wheel", "rim", "size"))
    assert room.fields["wheel", "tyre", "size"].text() == "205/45R16"
    type_in(rim, "7Jx16 ET25")
    assert document.project.wheel.tyre.size == "205/45R16"
    assert document.project.wheel.rim.size == "7Jx16 ET25"
    assert not any(field.error for field in room.fields.values())
    assert document.stack.index() == 1
    document.stack.undo()
    assert document.project == before


def test_what_stands_red_is_kept_when_the_page_is_laid_out_anew(form: Driver) -> None:
    room = form.window.describe
    type_in(field_of(form, ("coilover", "open")), "12")
    room.deeds.add_at(("coilover", "thread"))
    field = room.fields["coilover", "open"]
    assert field.text() == "12"
    assert field.error
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert not field.error


def test_the_points_table_is_walked_with_keys(form: Driver) -> None:
    room = form.window.describe
    names = list(form.document.project.points)
    first = field_of(form, ("points", names[0], 0))
    assert isinstance(first, Cell)

    def at() -> tree.Path:
        focus = form.window.focusWidget()
        assert isinstance(focus, Field)
        return focus.entry.path

    steps = (
        (Qt.Key.Key_Down, ("points", names[1], 0)),
        (Qt.Key.Key_Right, ("points", names[1], 1)),
        (Qt.Key.Key_Return, ("points", names[2], 1)),
        (Qt.Key.Key_Left, ("points", names[2], 0)),
        (Qt.Key.Key_Left, ("points", names[2], "")),
        (Qt.Key.Key_Up, ("points", names[1], "")),
    )
    for key, place in steps:
        QTest.keyClick(form.window.focusWidget(), key)
        form.window.focusWidget().selectAll()
        assert at() == place
    z = room.fields["points", names[1], 2]
    was = form.document.project.points[names[1]][2]
    QTest.keyClick(z, Qt.Key.Key_Up, CONTROL)
    assert form.document.project.points[names[1]][2] == was + 1
    z.setFocus()
    type_in(z, "much")
    assert form.window.focusWidget() is z
    assert z.error
    QTest.keyClick(z, Qt.Key.Key_Escape)
    assert z.text() == str(was + 1)


def test_a_point_is_added_renamed_and_removed_unless_used(form: Driver) -> None:
    document, room = form.document, form.window.describe
    before = document.project
    room.go("Points")
    press(form, "Add a point")
    type_in(room.fields["points", "new point", ""], "spare")
    assert "spare" in document.project.points
    press(form, "Remove spare")
    assert document.project == before
    press(form, "Remove top bearing")
    assert "used by" in room.message.text()
    assert document.project == before
    for _ in range(3):
        document.stack.undo()
    assert document.project == before


def test_a_part_is_renamed_in_its_rules_too(form: Driver) -> None:
    document, room = form.document, form.window.describe
    project, _ = fresh(document.project, ("rules",))
    project = tree.put(project, ("rules", 0, "between"), ["chassis rail", "tyre"])
    document.edit(project, "a rule", strict=True)
    type_in(field_of(form, ("parts", "chassis rail", "")), "main rail")
    assert "main rail" in document.project.parts
    assert document.project.rules[0].between == ("main rail", "tyre")
    assert room.opened["parts",] == "main rail"
    type_in(room.fields["parts", "main rail", ""], "hub")
    assert room.fields["parts", "main rail", ""].error
    assert "main rail" in document.project.parts


def test_an_adjuster_is_wound_by_hand_and_by_key(form: Driver) -> None:
    document, room = form.document, form.window.describe
    room.deeds.add_at(("adjusters",))
    name = next(iter(document.project.adjusters))
    slider = room.area.findChild(Slider)
    assert slider is not None
    slider.grab()
    toe_before = document.now.measures["toe"][0, 0]
    pull(slider, 40)
    wound = document.project.adjusters[name].set
    assert 0.5 < wound <= document.project.adjusters[name].most
    assert document.now.measures["toe"][0, 0] != toe_before
    assert document.stack.index() == 2
    QTest.keyClick(slider, Qt.Key.Key_Right)
    assert document.project.adjusters[name].set == pytest.approx(wound + 0.5)
    assert document.stack.index() == 3
    type_in(field_of(form, ("adjusters", name, "set")), "99")
    assert "range" in room.message.text()
    document.stack.undo()
    document.stack.undo()
    assert document.project.adjusters[name].set == 0.0


def test_the_mount_is_shifted_in_its_slots_and_the_tower_stays(form: Driver) -> None:
    document, room = form.document, form.window.describe
    room.deeds.add_at(("top_mount",))
    room.deeds.add_at(("top_mount", "plate"))
    room.go("Tower")
    tower, top = document.project.tower, live.top_mount(document.project)
    slider = next(s for s in room.area.findChildren(Slider) if "fore-aft" in s.accessibleName())
    QTest.keyClick(slider, Qt.Key.Key_Right)
    assert document.project.tower == tower
    assert document.project.top_mount.plate.set_forward == pytest.approx(0.5)
    assert (live.top_mount(document.project) - top)[0] == pytest.approx(0.5)


def test_scrolling_changes_no_choice_and_no_slider(form: Driver) -> None:
    room, project = form.window.describe, form.document.project
    field_of(form, ("coilover", "open"))
    for chooser in room.area.findChildren(Chooser):
        chooser.setFocus()
        roll(chooser)
    assert form.document.project is project


def test_toe_in_degrees_or_over_the_rim(form: Driver) -> None:
    document = form.document
    field = field_of(form, ("wheel", "toe_deg"))
    across = 15 * 25.4
    type_in(field, "2 mm")
    assert document.project.wheel.toe_deg == pytest.approx(0.30079, abs=1e-4)  # asin(2 / 381)
    toe.choose_toe_unit("over the rim")
    try:
        field.show_value(field.value)
        assert field.text() == "2.00 mm"
        type_in(field, "1/8 in")
        assert document.project.wheel.toe_deg == pytest.approx(0.47747, abs=1e-4)
        type_in(field, "0.5 deg")
        assert document.project.wheel.toe_deg == pytest.approx(0.5)
        type_in(field, f"{across + 1} mm")
        assert field.error
    finally:
        toe.choose_toe_unit("degrees")


def test_inches_are_shown_and_typed_everywhere(form: Driver) -> None:
    document, room = form.document, form.window.describe
    document.edit(tree.put(document.project, ("units",), "in"), "inches", strict=True)
    field = field_of(form, ("coilover", "open"))
    assert field.text() == "20.276 in"
    type_in(field, "20 1/2")
    assert document.project.coilover.open == pytest.approx(520.7)
    type_in(field, "520 mm")
    assert document.project.coilover.open == pytest.approx(520.0)
    room.go("Points")
    cell = room.fields["points", "wheel centre", 1]
    assert cell.text() == "29.134"
    document.stack.setClean()


def test_other_units_take_no_new_check(form: Driver, monkeypatch: pytest.MonkeyPatch) -> None:
    document, asked = form.document, []
    before, full = document.study, live.full
    monkeypatch.setattr(live, "full", lambda *given: asked.append(given) or full(*given))
    assert document.edit(tree.put(document.project, ("units",), "in"), "inches")
    form.settle()
    assert document.study.project.units == "in"
    assert document.study.findings is before.findings
    assert document.now.project.units == "in"
    document.set_travel(30.0)
    assert document.now.clearances.pairs
    document.stack.undo()
    form.settle()
    assert not asked
    document.edit(move_top(document.project, 0.0, 1.0, 0.0), "move")
    form.settle()
    assert len(asked) == 1


def test_every_editor_can_be_reached_by_tab_and_says_its_name(form: Driver) -> None:
    room = form.window.describe
    for page in PAGES:
        room.go(page.word)
        form.app.processEvents()
        editors: list[QWidget] = [*room.fields.values(), *room.others.values()]
        for editor in editors:
            assert editor.accessibleName(), page.word
            assert editor.focusPolicy() & Qt.FocusPolicy.TabFocus, editor.accessibleName()
        if not room.fields:
            continue
        seen, at = set(), next(iter(room.fields.values()))
        start = at
        for _ in range(600):
            seen.add(at)
            at = at.nextInFocusChain()
            if at is start:
                break
        assert seen >= set(editors), page.word


def test_a_click_takes_all_of_a_field_and_escape_lets_go(form: Driver) -> None:
    field = field_of(form, ("coilover", "closed"))
    field.clearFocus()
    field._clicked_in = True  # as the click that brings the focus leaves it
    QTest.mouseClick(field, Qt.MouseButton.LeftButton)
    assert field.selectedText() == field.text()
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert form.window.focusWidget() is not field


def test_what_is_picked_in_the_view_is_turned_to(form: Driver) -> None:
    room = form.window.describe
    for name, word in (("tyre", "Wheel"), ("spring", "Damper"), ("tower", "Tower")):
        room.show_part(name)
        assert room.page == word
    form.window.hands.picked.emit(None)
    assert room.page == "Tower"
    room.show_part("chassis rail")
    assert room.page == "Parts"
    assert room.folds["parts", "chassis rail"].isChecked()


def test_pages_are_turned_with_keys(form: Driver) -> None:
    room = form.window.describe
    room.go("Points")
    words = list(room.words)
    for word in (*words[1:], words[0]):
        room.turn(1)
        assert room.page == word
        assert form.window.focusWidget() is not None
    room.turn(-1)
    assert room.page == words[-1]


def test_the_row_of_a_point_held_in_the_view_stands_out(form: Driver) -> None:
    room = form.window.describe
    room.go("Points")
    room.show_point("top bearing")
    framed = [p[1] for p, f in room.fields.items() if p[-1] == "" and f.framed]
    assert framed == ["top bearing"]


# --- hands ----------------------------------------------------------------------------------


def press(form: Driver, name: str) -> None:
    """The button of that name."""
    buttons = form.window.describe.area.findChildren(QAbstractButton)
    button = next(b for b in buttons if name in (b.accessibleName(), b.text()))
    QTest.mouseClick(button, Qt.MouseButton.LeftButton)
    form.app.processEvents()


def pull(slider: Slider, by: int) -> None:
    """Take hold in the middle and pull so many pixels."""
    middle = slider.rect().center()
    QTest.mousePress(slider, Qt.MouseButton.LeftButton, PLAIN, middle)
    for k in (1, 2):
        at = QPointF(middle.x() + by * k / 2, middle.y())
        event = QMouseEvent(
            QEvent.Type.MouseMove, at, QPointF(slider.mapToGlobal(at.toPoint())),
            Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, PLAIN,
        )  # fmt: skip
        QApplication.sendEvent(slider, event)
    QTest.mouseRelease(
        slider, Qt.MouseButton.LeftButton, PLAIN, QPoint(middle.x() + by, middle.y())
    )


def roll(widget: QWidget) -> None:
    """Three notches of the scrolling wheel."""
    at = QPointF(widget.rect().center())
    event = QWheelEvent(
        at, QPointF(widget.mapToGlobal(at.toPoint())), QPoint(0, 0), QPoint(0, -360),
        Qt.MouseButton.NoButton, PLAIN, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(widget, event)
