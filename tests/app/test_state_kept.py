"""What the window keeps between events is still right once what it was of has changed or gone."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app import examples
from app.document import recovery
from app.document.document import Document
from app.fixes import room
from app.fixes.card import Told
from app.fixes.choice import FixesChoice
from app.fixes.pair import NONE
from app.fixes.search import SearchPanel
from app.look.palette import State
from app.mount.room import NO_MOUNT
from app.statics.ride import RidePage
from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.project.rename import rename_point
from kinematics.studies.bench import Bench
from kinematics.studies.cures import Own, cures_for, families
from kinematics.studies.fix import Remedy
from kinematics.studies.study import Study
from tests.app.conftest import Driver


def begin(driver: Driver, name: str) -> None:
    """Another project, before anything of it is worked out."""
    driver.document.start(files.read(examples.examples()[name]))


def in_inches(driver: Driver) -> None:
    """The same project shown in inches."""
    document = driver.document
    assert document.project is not None
    document.edit(msgspec.structs.replace(document.project, units="in"), "show inches")


def test_of_a_project_just_opened_the_points_to_be_pulled_are_its_own(driver: Driver) -> None:
    """Before it is known how it moves too: those of the one before have other names."""
    driver.window.enter("Describe")
    begin(driver, "front-strut")
    assert driver.window.hands.points.project is driver.document.project
    driver.window.enter("Move")


def test_nothing_found_of_the_project_before_is_written_over_another(driver: Driver) -> None:
    """Cards of contacts, the arrow by the wheel, the needle that would be pulled to steer."""
    driver.open("front-strut")
    needle = driver.window.show_it.needle
    assert needle in driver.stage.extras
    begin(driver, "rear-in-trouble")
    assert needle not in driver.stage.extras
    driver.open("rear-in-trouble")
    driver.document.set_travel(driver.document.limits[1])
    assert driver.stage.tags
    assert driver.stage.arrow is not None
    begin(driver, "rear-five-links")
    assert driver.stage.tags == []
    assert driver.stage.arrow is None


def test_what_is_kept_as_before_is_drawn_in_the_units_of_now(driver: Driver) -> None:
    """Both stand on one axis. One inch is 25.4 mm (by definition, since 1959)."""
    document, strips = driver.document, driver.window.strips
    document.keep()
    driver.settle()
    assert strips.before is not None
    mm = strips.before.curves["damper"].lines[0].values
    in_inches(driver)
    driver.settle()
    now, before = (board.curves["damper"] for board in (strips.board, strips.before))
    assert before.unit == now.unit
    assert np.allclose(before.lines[0].values, now.lines[0].values)
    assert np.allclose(before.lines[0].values * 25.4, mm)


def test_the_rulers_of_a_square_view_follow_the_units(driver: Driver) -> None:
    in_inches(driver)
    assert driver.window.show_it.edges.units == "in"
    driver.document.stack.undo()
    assert driver.window.show_it.edges.units == "mm"


def test_a_rack_with_nearer_ends_takes_the_wheel_along(driver: Driver) -> None:
    """Else it would stand, with figures told of it, where it can't be steered to."""
    driver.open("front-strut")
    document = driver.document
    document.set_rack(document.rack_limits[1])
    project = document.project
    assert project is not None
    assert project.rack is not None
    half = msgspec.structs.replace(project.rack, most=project.rack.most / 2)
    document.edit(msgspec.structs.replace(project, rack=half), "change the rack")
    driver.settle()
    assert document.now is not None
    assert document.rack == pytest.approx(project.rack.most / 2)
    assert document.now.rack[0] == document.rack


# --- where the mount first stood ----------------------------------------------------------


def slide(driver: Driver, fore: float) -> None:
    """The top mount slid forward, mm, as one step of undo."""
    document = driver.document
    assert document.project is not None
    document.begin()
    document.drag(document.slide_mount(document.project, fore, 0.0))
    document.finish("move the top mount")


def without_coilover(driver: Driver) -> Project:
    assert driver.document.project is not None
    return msgspec.structs.replace(driver.document.project, coilover=None)


def test_on_the_other_side_the_mount_is_as_far_from_where_it_first_stood(driver: Driver) -> None:
    slide(driver, 5.0)
    driver.key(Qt.Key.Key_M)
    assert driver.document.offset3() == pytest.approx((5.0, 0.0, 0.0))
    driver.document.stack.undo()
    assert driver.document.offset3() == pytest.approx((5.0, 0.0, 0.0))
    driver.document.stack.undo()
    assert driver.document.offset3() == pytest.approx((0.0, 0.0, 0.0))


def test_the_mount_goes_with_its_coilover_and_comes_with_it(driver: Driver) -> None:
    """No map of it is left where it is gone, nor is it denied where one was added."""
    window, document = driver.window, driver.document
    with_it = document.project
    assert with_it is not None
    assert window.pad.isVisible()
    document.edit(without_coilover(driver), "remove the coilover")
    window.fit()
    assert not window.pad.isVisible()
    window.enter("Mount")
    assert window.mount.state.text() == NO_MOUNT
    assert window.mount.pad.ground is None
    document.start(without_coilover(driver))
    document.edit(with_it, "add a coilover")
    assert document.offset3() == (0.0, 0.0, 0.0)
    assert window.mount.state.text() not in ("", NO_MOUNT)
    assert window.mount.words.isVisible()
    assert window.mount.progress.isVisible()
    window.enter("Move")
    window.fit()
    assert window.pad.isVisible()


def test_nothing_of_the_project_before_is_said_of_one_without_a_mount(driver: Driver) -> None:
    driver.window.enter("Mount")
    driver.document.start(without_coilover(driver))
    assert driver.window.mount.state.text() == NO_MOUNT
    assert driver.window.mount.pad.ground is None
    driver.window.enter("Move")


# --- fixes --------------------------------------------------------------------------------


def test_a_dimension_that_has_another_name_by_now_stops_no_search_for_fixes(
    driver: Driver,
) -> None:
    """It is left out, in the search too, and there again where its name comes back."""
    project = driver.document.project
    assert project is not None
    choice, search = FixesChoice(driver.window.theme), SearchPanel(driver.window.theme)
    name = next(iter(project.points))
    choice.own = search.over = (Own(f"points.{name}.x", -20.0, 20.0),)
    renamed = rename_point(project, name, "another name")
    for corner, known in ((renamed, False), (project, True)):
        choice.offer(corner, families(corner))
        search.offer(corner)
        assert bool(choice.choice.own) == known
        assert search.start.isEnabled() == known
        assert bool(cures_for(Bench(corner), choice.choice)) is True
    for panel in (choice, search):
        panel.deleteLater()


def test_the_ticks_of_fixes_say_what_is_tried_of_another_project_too(driver: Driver) -> None:
    project = driver.document.project
    assert project is not None
    choice = FixesChoice(driver.window.theme)
    choice.offer(project, families(project))
    for tick in choice.ticks.values():
        tick.setChecked(False)
    assert choice.choice.without == set(families(project))
    choice.without = set()  # as where another project is opened
    choice.offer(project, families(project))
    assert all(tick.isChecked() for tick in choice.ticks.values())
    gone = next(iter(choice.ticks))
    choice.ticks[gone].setChecked(False)
    choice.offer(project, [name for name in families(project) if name != gone])
    assert not choice.choice.without  # there is nothing of it to leave out
    choice.deleteLater()


def test_a_fix_still_found_for_another_choice_is_not_listed(
    driver: Driver, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The worker tells of each across threads: one may come after all has begun anew."""
    monkeypatch.setattr(room, "fixes", lambda *_: ())
    fixes = driver.window.fixes
    fixes.begin()
    late = fixes._run
    fixes.begin()
    fixes.found.emit(late, Remedy("wheel spacer", None, None, None))
    assert fixes.remedies == []
    fixes.found.emit(fixes._run, Remedy("wheel spacer", None, None, None))
    assert len(fixes.remedies) == 1
    fixes.project = None


def test_what_came_of_a_search_is_gone_with_its_project(driver: Driver) -> None:
    """Nothing is worked out of it any more, no card or sentence stands for it."""
    tools, project = driver.window.fixes.tools, driver.document.project
    assert project is not None
    tools.begin(project, None, ())
    tools.pair.say(NONE)
    tools.search.over = (Own("tower.lip", -20.0, 0.0),)
    tools._add("the best found", Told("", "", "", "", "", "", State.CLEAR), project)
    tools.share = 0.5
    begin(driver, "rear-five-links")
    assert tools.share < 0.0
    assert tools.project is None
    assert not tools.cards
    assert tools.pair.said.text() == ""
    assert tools.search.over == ()


# --- undo, what is kept aside, what is only looked at -----------------------------------------


def test_undo_puts_back_a_mount_held_on_the_pad(driver: Driver) -> None:
    """As one held in the view: no step is taken back under the hand, none made of that."""
    document, pad, plain = driver.document, driver.window.pad, Qt.KeyboardModifier.NoModifier
    slide(driver, 5.0)
    slid, at = document.project, pad.frame.spot(*pad._at).toPoint()
    QTest.mousePress(pad, Qt.MouseButton.LeftButton, plain, at)
    pad.slid.emit(9.0, 0.0, 0.0)
    assert document.project is not slid
    driver.window.do("undo")
    QTest.mouseRelease(pad, Qt.MouseButton.LeftButton, plain, at)
    assert document.project == slid
    assert (document.stack.count(), document.stack.index()) == (1, 1)


def test_a_fix_only_looked_at_is_not_kept_aside_as_taken(
    driver: Driver, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a crash the project is as the builder left it."""
    kept: list[recovery.Left] = []
    monkeypatch.setattr(recovery, "keep", lambda left: kept.append(left) or "")
    document = driver.document
    assert document.project is not None
    document.edit(msgspec.structs.replace(document.project, notes="measured on stands"), "note")
    entered = document.project
    assert entered is not None
    assert document.preview(msgspec.structs.replace(entered, notes="looked at"))
    document._keep_aside()
    document.drop_preview()
    assert kept[-1].project is entered
    assert kept[-1].unfinished is entered


def test_a_fix_that_cant_be_shown_leaves_nothing_behind(
    driver: Driver, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither a state kept as before, nor a look that undo would have to end first."""
    document = driver.document
    assert document.project is not None
    fix = msgspec.structs.replace(document.project, notes="a fix")
    stand = Document._stand

    def refuse(document: Document, project: Project, now: Study | None) -> None:
        if project is fix:
            raise ClearstrokeError("It can't be put together so.")
        stand(document, project, now)

    monkeypatch.setattr(Document, "_stand", refuse)
    slide(driver, 5.0)
    assert not document.preview(fix)
    assert document.previewed is None
    assert document.before is None
    driver.window.do("undo")
    assert not document.stack.canUndo()


def test_a_search_for_the_stroke_that_was_stopped_can_be_begun_again(driver: Driver) -> None:
    page = driver.window.statics.pages["Ride"]
    assert isinstance(page, RidePage)
    page.find_place()
    driver.document.stop()
    assert page.finder.isEnabled()
    driver.document.again()


# --- the view -----------------------------------------------------------------------------


def test_another_project_is_seen_whole(driver: Driver) -> None:
    """Nothing of it is cut, faded or selected, and the icons say so."""
    window = driver.window
    window.actions_.select("tyre")
    for what in ("only", "cut"):
        window.do(what)
        assert window.bar.icons[what].isChecked()
    begin(driver, "rear-five-links")
    assert window.scene.cut is None
    assert window.actions_.selected == ""
    assert not any(window.bar.icons[what].isChecked() for what in ("only", "cut"))


def test_what_was_hidden_or_is_gone_is_not_selected_any_more(driver: Driver) -> None:
    window = driver.window
    window.actions_.select("tyre")
    window.do("hide")
    window.do("all")
    assert not any(piece.selected for piece in window.scene.pieces.values())
    window.actions_.selected = "a part that has another name by now"
    window.do("only")
    assert not any(piece.faded for piece in window.scene.pieces.values())


def test_the_position_of_a_project_is_not_kept_beyond_it(driver: Driver) -> None:
    """With it goes all that was read and made for it, scans too."""
    window = driver.window
    window.statics.now.found()
    window.hands._hit = driver.stage.pick(driver.on_tyre())
    assert window.hands._hit is not None
    begin(driver, "rear-five-links")
    assert window.statics.now._of == (None, None)
    assert window.hands._hit is None


def test_the_ring_stands_on_the_ground_about_the_wheel_as_they_are_now(driver: Driver) -> None:
    """Wherever the wheel is just then; and again where it was once that is taken back."""
    document, stage = driver.document, driver.stage
    before, project = stage.floor, document.project
    assert project is not None
    document.set_travel(30.0)
    x, y, z = project.points[project.wheel.centre]
    points = {**project.points, project.wheel.centre: (x + 40.0, y, z)}
    document.edit(msgspec.structs.replace(project, points=points, ground_z=-40.0), "move it")
    assert stage.floor.centre == pytest.approx((before.centre[0] + 40.0, before.centre[1], -40.0))
    document.stack.undo()
    tyre = msgspec.structs.replace(project.wheel.tyre, free_radius=320.0, loaded_radius=305.0)
    wheel = msgspec.structs.replace(project.wheel, tyre=tyre)
    document.edit(msgspec.structs.replace(project, wheel=wheel), "fit a larger tyre")
    assert stage.floor.radius > before.radius + 40.0
    document.stack.undo()
    assert stage.floor.centre == pytest.approx(before.centre)
    assert stage.floor.radius == pytest.approx(before.radius)


def test_a_second_view_opened_again_has_the_arrow_of_this_wheel(driver: Driver) -> None:
    views = driver.window.views
    views.beside()
    driver.document.set_travel(10.0)
    views.beside()
    driver.open("rear-five-links")
    views.beside()
    assert views.side is not None
    assert driver.stage.arrow is not None
    assert np.array_equal(views.side.arrow, driver.stage.arrow)
    views.beside()


def test_the_tape_tells_its_distance_in_the_units_of_now(driver: Driver) -> None:
    tape = driver.window.actions_.tape
    in_inches(driver)
    assert tape.units == "in"
    driver.document.stack.undo()
    assert tape.units == "mm"


def test_no_point_of_another_project_stands_out(driver: Driver) -> None:
    """The hand is in none of its fields."""
    window = driver.window
    window.enter("Describe")
    window.describe.reveal(("points", "wheel centre", 0))
    assert window.hands.points.current == "wheel centre"
    begin(driver, "rear-five-links")
    assert window.hands.points.current == ""
    window.enter("Move")


def test_a_reference_curve_is_let_go_where_the_plot_is_in_other_units(
    driver: Driver, tmp_path: Path
) -> None:
    """Its figures are what they were read as: they would be 25.4 times too large."""
    window = driver.window
    window.do("plot")
    sheet = window.actions_.sheet
    assert sheet is not None
    curve = tmp_path / "damper.csv"
    curve.write_text("travel,length\n-50,480\n50,420\n")
    sheet.choose("damper")
    sheet.set_reference(curve)
    assert any(series.kind == "reference" for series in sheet.canvas.what.series)
    in_inches(driver)
    driver.settle()
    assert sheet.reference is None
    assert not any(series.kind == "reference" for series in sheet.canvas.what.series)
    assert sheet.note.text() == "The reference was given in mm: it was let go."
    sheet.close()
