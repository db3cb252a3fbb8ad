"""Looking and measuring by hand: views, square ones with dimensions, the tape, pictures, steer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, QRect, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu

from app.document import reading
from app.look.halo import unbroken
from app.plots import scale
from app.plots.ruler import FLAG
from app.window.window import Window
from kinematics.findings.phrases import position
from kinematics.studies.study import moment
from tests.app.conftest import Driver, wait


@pytest.mark.parametrize(("key", "axis"), [("2", 0), ("3", 1), ("4", 2)])
def test_square_views_look_along_an_axis_and_carry_dimensions(
    driver: Driver, key: str, axis: int
) -> None:
    driver.key(Qt.Key(ord(key)))
    wait(driver.app, lambda: driver.stage.camera.flat)
    driver.app.processEvents()
    back = driver.stage.camera.axes[2]
    assert abs(abs(back[axis]) - 1) < 1e-9
    edges = driver.window.show_it.edges
    assert edges.bounds(driver.stage).width() > 0
    # 100 mm across the picture is 100 mm on the car: no perspective.
    across = driver.stage.camera.axes[0]
    a, b = driver.stage.spots(np.array([np.zeros(3), 100.0 * across]))
    c, d = driver.stage.spots(np.array([300.0 * back, 300.0 * back + 100.0 * across]))
    assert np.allclose(b - a, d - c)
    assert np.hypot(*(b - a)) * driver.stage.mm_per_px == pytest.approx(100.0, rel=1e-6)
    driver.key(Qt.Key.Key_1)
    assert not driver.stage.camera.flat


def test_a_square_view_stands_beside_and_follows(driver: Driver) -> None:
    window = driver.window
    window.views.beside()
    driver.app.processEvents()
    assert window.views.side is not None
    assert window.views.side.isVisible()
    assert window.views.side.camera.flat
    assert not window.strips.isVisible()  # they make way on a small window
    assert not window.pad.isVisible()  # and so does the pad in a slim view
    side = window.views.side
    driver.key(Qt.Key.Key_4)
    driver.app.processEvents()
    assert side.camera.axes[2][2] == pytest.approx(1.0)  # the square one goes into the second
    assert not driver.stage.camera.flat
    driver.key(Qt.Key.Key_2)
    driver.app.processEvents()
    spots = side.spots(side.scene.pieces["tyre"].points())
    assert (spots > 0).all()
    assert (spots < (side.width(), side.height())).all()
    assert np.ptp(spots[:, 1]) > 0.4 * side.height()  # as large as it goes
    before = window.views.side.grab().toImage()
    driver.document.set_travel(40.0)
    driver.app.processEvents()
    assert window.views.side.grab().toImage() != before
    window.views.beside()
    assert not window.views.side.isVisible()
    wait(driver.app, window.pad.isVisible)


def test_the_tape_measures_between_two_points_clicked(driver: Driver) -> None:
    tape = driver.window.actions_.tape
    driver.key(Qt.Key.Key_D)
    assert driver.window.hands.measuring
    tyre = driver.on_tyre()
    top = driver.spot(driver.stage.scene.pieces["tower"].points().mean(axis=0))
    ends = []
    for spot in (tyre, top):
        hit = driver.stage.pick(spot)
        assert hit is not None
        ends.append(hit.point)
        QTest.mouseClick(driver.stage, Qt.MouseButton.LeftButton, pos=spot.toPoint())
        driver.app.processEvents()
    far = float(np.linalg.norm(ends[1] - ends[0]))
    told = float(tape.lines()[0].split()[0])
    assert told == pytest.approx(far, abs=4.0)  # a click is a whole px
    # Between the parts themselves, wherever the wheel is meanwhile.
    for travel in (0.0, 40.0):
        driver.document.set_travel(travel)
        whole = moment(driver.document.study, travel)
        p = [set(names) for names in whole.names].index({"tyre", "tower"})
        amount = reading.amount_words(float(whole.clearances.low[p, 0, 0]), "mm")
        assert tape.lines()[2] == f"nearest: {amount}"
        a, b = tape.between().ends
        assert np.linalg.norm(b - a) == pytest.approx(whole.clearances.low[p, 0, 0], abs=0.2)
    driver.document.set_travel(0.0)
    driver.key(Qt.Key.Key_D)
    assert not driver.window.hands.measuring
    assert not tape.ends


def test_scroll_comes_nearer_to_what_is_under_the_pointer(driver: Driver) -> None:
    spot = driver.on_tyre()
    hit = driver.stage.pick(spot)
    assert hit is not None
    height = driver.stage.camera.height
    event = QWheelEvent(
        spot, QPointF(driver.stage.mapToGlobal(spot.toPoint())), QPoint(), QPoint(0, 120),
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(driver.stage, event)
    assert driver.stage.camera.height < height
    assert abs(driver.spot(hit.point).x() - spot.x()) < 3
    driver.window.view("3d")


def test_right_drag_slides_the_view(driver: Driver) -> None:
    target = driver.stage.camera.target
    at = QPoint(60, 430)
    QTest.mousePress(driver.stage, Qt.MouseButton.RightButton, pos=at)
    driver._held = Qt.KeyboardModifier.NoModifier
    driver.move(QPointF(100, 460))
    QTest.mouseRelease(driver.stage, Qt.MouseButton.RightButton, pos=QPoint(100, 460))
    assert driver.stage.camera.target != target
    driver.window.view("3d")


def test_double_click_on_a_floor_word_squares_up(driver: Driver) -> None:
    spot = driver.spot(driver.stage.floor.word_at("FRONT"))
    if driver.stage.pick(spot) is None and driver.stage.rect().contains(spot.toPoint()):
        QTest.mouseDClick(driver.stage, Qt.MouseButton.LeftButton, pos=spot.toPoint())
        wait(driver.app, lambda: driver.stage.camera.flat)
    driver.window.view("3d")


def test_looking_through_fades_all_but_the_two_that_meet(driver: Driver) -> None:
    driver.document.set_travel(driver.document.limits[1])
    driver.key(Qt.Key.Key_L)
    pieces = driver.stage.scene.pieces
    assert not pieces["tyre"].faded
    assert pieces["chassis rail"].faded
    driver.key(Qt.Key.Key_L)
    assert not any(p.faded for p in pieces.values())


def test_a_hidden_contact_shows_through_what_hides_it(driver: Driver) -> None:
    """The rings' colour is in the picture though the lip stands behind the tower's panel."""
    driver.document.set_travel(driver.document.limits[1])
    driver.stage.tags, driver.stage.arrow = [], None
    driver.stage.redraw()
    driver.app.processEvents()
    picture = driver.stage.picture
    with_rings = picture.image().copy()
    kept, driver.stage.scene.marks = driver.stage.scene.marks, ()
    driver.stage.redraw()
    driver.app.processEvents()
    assert picture.image() != with_rings
    driver.stage.scene.marks = kept


def test_play_goes_through_travel_and_stops(driver: Driver) -> None:
    driver.key(Qt.Key.Key_Space)
    start = driver.document.travel
    wait(driver.app, lambda: abs(driver.document.travel - start) > 10)
    driver.key(Qt.Key.Key_Space)
    here = driver.document.travel
    QTest.qWait(80)
    assert driver.document.travel == here


def test_a_snapshot_is_sharper_than_a_moving_picture(driver: Driver) -> None:
    driver.stage.redraw()
    rough = driver.stage.grab().toImage()  # before any rest, in which it would be drawn sharp
    fine = driver.stage.snapshot()
    assert fine.size() == rough.size()
    assert fine != rough


def test_a_front_wheel_is_steered_by_its_edge_and_by_the_needle(driver: Driver) -> None:
    driver.open("front-wishbones")
    document, stage = driver.document, driver.stage
    tyre = stage.scene.pieces["tyre"]
    centre = tyre.pose[:, 3]
    reach = float(np.linalg.norm(tyre.mesh.position, axis=1).max())
    spot = None
    for share in np.linspace(0.7, 0.97, 12):
        for height in (0.0, 60.0, -60.0):
            wanted = driver.spot(centre + np.array([share * reach, 60.0, height]))
            hit = stage.pick(wanted)
            if (
                hit is not None
                and hit.piece.kind == "tyre"
                and hit.point[0] - centre[0] > 0.65 * reach
            ):
                spot = wanted
    assert spot is not None
    driver.drag(spot, (45, 0))
    assert abs(document.rack) > 3
    assert document.travel == 0.0
    turned = document.rack
    needle = driver.window.show_it.needle
    at = needle.spot(stage)
    assert at is not None
    driver.drag(at, (-40, 0))
    assert document.rack != turned
    driver.key(Qt.Key.Key_Home)
    driver.open("rear-in-trouble")


def test_between_the_steers_worked_out_curves_and_figures_agree(driver: Driver) -> None:
    """Alignment as the corner itself is worked out there; clearances say of what steer they are."""
    document, strips = driver.document, driver.window.strips
    driver.open("front-wishbones")
    study = document.study
    document.set_rack(float(0.3 * study.rack[-2] + 0.7 * study.rack[-1]))
    document.set_travel(25.0)
    here = moment(study, 25.0, document.rack).measures.figures
    for key in ("camber", "caster", "toe"):
        curve = strips.board.curves[key]
        read = float(np.interp(25.0, strips.board.travel, curve.lines[0].values))
        assert read == pytest.approx(float(np.degrees(here[key][0, 0])), abs=0.01)
    left, right = (reading.board(study, float(r)).curves for r in study.rack[-2:])
    for key in ("wheel_rate", "force: top mount"):
        read = strips.board.curves[key].lines[0].values
        line = 0.3 * left[key].lines[0].values + 0.7 * right[key].lines[0].values
        assert read == pytest.approx(line, nan_ok=True)
    assert strips.board.note == f"rack +{study.rack[-1]:g}"
    assert strips.board.note in strips.board.curves["clearance"].help
    # Where a steer reaches less far than its neighbours there is no step in the curve.
    document.set_rack(float(0.3 * study.rack[1] + 0.7 * study.rack[2]))
    toe = strips.board.curves["toe"].lines[0].values
    bend = np.abs(np.diff(toe[np.isfinite(toe)], n=2))
    assert bend.max() < 0.02
    here = moment(study, 25.0, document.rack).measures.figures["toe"]
    read = float(np.interp(25.0, strips.board.travel, toe))
    assert read == pytest.approx(float(np.degrees(here[0, 0])), abs=0.01)
    document.set_rack(float(study.rack[-1]))
    assert not strips.board.note
    assert strips.board.curves["camber"].lines[0].values == pytest.approx(
        np.degrees(study.measures.figures["camber"][:, -1]), nan_ok=True
    )


def test_the_flag_at_a_named_height_leaves_its_name_to_be_read(driver: Driver) -> None:
    ruler = driver.window.ruler
    stop = next(s for s in ruler.board.stops if "bump" in s.label)
    driver.document.set_travel(stop.travel)
    board, pictures = ruler.board, []
    y = round(float(ruler.scale.y(stop.travel)))
    above = QRect(50, y - FLAG - 20, ruler.width() - 58, 19)
    for stops in ((stop,), ()):
        ruler.show_board(replace(board, stops=stops))
        pictures.append(ruler.grab(above).toImage())
    ruler.show_board(board)
    named, bare = (np.array(p.constBits()).reshape(p.height(), -1) for p in pictures)
    rows = np.flatnonzero((named != bare).any(axis=1))
    assert np.ptp(rows) >= 8  # the whole height of its letters, which the flag would cut
    driver.document.set_travel(0.0)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("travel", [-78.04, -77.96, 20.0, 79.87])
def test_ruler_and_sentences_write_a_height_alike(travel: float, units: str) -> None:
    assert scale.height(travel, units) == position(travel, units)


def test_two_curves_of_one_strip_have_different_names() -> None:
    pairs = [("tyre", "spring"), ("tyre", "tower lip"), ("upper link", "spring")]
    assert reading.short_names(pairs) == ["spring", "tower lip", "upper link"]
    pairs[2] = ("spring", "upper link")
    assert reading.short_names(pairs) == ["tyre, spring", "tower lip", "upper link, spring"]


def test_a_hand_that_steers_has_only_what_is_on_show_worked_out(driver: Driver) -> None:
    """And once it lets go all of it is there to choose from, for the steer it came to."""
    driver.open("front-wishbones")
    document, strips = driver.document, driver.window.strips
    whole = set(strips.board.curves)
    start = driver.on_tyre()
    driver.press(start, Qt.KeyboardModifier.ControlModifier)
    for k in range(1, 5):
        driver.move(start + QPointF(9.0 * k, 0))
    assert document.rack
    shown = [curve.key for curve in strips.shown()]
    assert set(shown) <= set(strips.board.curves) < whole
    driver.drop(start + QPointF(36, 0))
    assert set(strips.board.curves) == whole
    assert [curve.key for curve in strips.shown()] == shown
    fresh = reading.board(document.study, document.rack)
    here = strips.board.curves["caster"].lines[0].values
    assert here == pytest.approx(fresh.curves["caster"].lines[0].values, nan_ok=True)


def test_a_strip_is_chosen_with_keys_alone(driver: Driver) -> None:
    strips = driver.window.strips
    shown = [curve.key for curve in strips.shown()]
    strips.setFocus(Qt.FocusReason.TabFocusReason)
    assert driver.window.focusWidget() is strips
    QTest.keyClick(strips, Qt.Key.Key_Right)
    assert strips.at == 1
    QTest.keyClick(strips, Qt.Key.Key_Return)
    menu = strips.findChild(QMenu)
    assert menu is not None
    there = {curve.title for curve in strips.shown()}
    other = next(a for a in menu.actions() if a.text() not in there and a.menu() is None)
    other.trigger()
    menu.close()
    now = [curve.key for curve in strips.shown()]
    assert now[0] == shown[0]
    assert now[1] != shown[1]
    travel = driver.document.travel
    QTest.keyClick(strips, Qt.Key.Key_Up)  # what it does not know the window does
    assert driver.document.travel == travel + 1.0
    strips.put(1, shown[1])
    strips.clearFocus()


def test_the_first_key_is_the_views(windows: QApplication, driver: Driver) -> None:
    """With nothing clicked yet, Space plays; it does not press a button of the bar."""
    window = Window()
    assert window.focusWidget() is window.stage
    window.close()
    window.deleteLater()


def test_leaving_a_room_leaves_no_button_of_the_bar_to_be_pressed(driver: Driver) -> None:
    window = driver.window
    window.enter("Describe")
    window.describe.reveal(("points", "wheel centre", 2))
    assert window.describe.isAncestorOf(window.focusWidget())
    window.enter("Move")
    assert window.focusWidget() is not None
    assert not window.bar.isAncestorOf(window.focusWidget())
    window.stage.setFocus()
    window.enter("Measure")
    assert window.measuring.isAncestorOf(window.focusWidget())
    window.enter("Move")
    assert not window.bar.isAncestorOf(window.focusWidget())
    window.enter("Describe")
    window.describe.reveal(("points", "wheel centre", 2))
    driver.open("front-strut")
    assert not window.bar.isAncestorOf(window.focusWidget())
    window.enter("Move")
    driver.open("rear-in-trouble")


def test_the_rooms_stand_still_when_the_project_changes(driver: Driver) -> None:
    bar, document = driver.window.bar, driver.document
    stood = {word: button.x() for word, button in bar.rooms.items()}
    assert document.project is not None
    document.edit(document.slide_mount(document.project, 1.0, 0.0), "slide the top mount")
    driver.app.processEvents()
    assert bar.title.dirty
    assert {word: button.x() for word, button in bar.rooms.items()} == stood
    document.stack.undo()
    driver.open("rear-misread")  # a longer name
    assert {word: button.x() for word, button in bar.rooms.items()} == stood
    driver.open("rear-in-trouble")


def test_only_what_is_written_of_the_project_opens_its_menu(driver: Driver) -> None:
    title, left = driver.window.bar.title, Qt.MouseButton.LeftButton
    title.grab()
    beside = QPoint(title.width() - 4, title.height() // 2)
    assert title.ends < beside.x()
    QTest.mousePress(title, left, pos=beside)
    assert not title.isDown()
    QTest.mouseRelease(title, left, pos=beside)
    QTest.mousePress(title, left, pos=QPoint(int(title.ends) - 20, beside.y()))
    assert title.isDown()
    QTest.mouseRelease(title, left, pos=beside)  # let go of beside it: no menu


def test_no_line_ends_between_a_figure_and_its_unit() -> None:
    assert unbroken("by 8.1 mm.") == "by 8.1\u00a0mm."
    assert unbroken("moved 0.79 in in") == "moved 0.79\u00a0in in"
    assert unbroken("in 2 minutes") == "in 2 minutes"
    assert unbroken("450 lb/in") == "450\u00a0lb/\u2060in"
    assert unbroken("3 1/4 in, 12.0 rearward") == "3\u00a01/4\u00a0in, 12.0\u00a0rearward"
