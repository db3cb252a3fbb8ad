"""Each movement of the hand, with real events on a real window."""

from __future__ import annotations

import gc
import re
import weakref
from types import SimpleNamespace

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest

from app import examples
from app.document import live, reading
from app.document.document import STEPS, Change
from app.look.palette import State
from app.window import keys
from kinematics.project import files
from kinematics.project.edit import move_top
from kinematics.project.furnish import add_part, move_face
from kinematics.project.mirror import mirror
from tests.app.conftest import Driver, wait


def test_pulling_the_wheel_moves_everything(driver: Driver) -> None:
    document, window = driver.document, driver.window
    start = driver.on_tyre()
    spring = driver.stage.scene.pieces["spring"]
    picture, stretch, poses = driver.pixels(), spring.stretch, spring.pose.copy()
    driver.press(start)
    driver.move(start + QPointF(0, -10))
    driver.move(start + QPointF(0, -40))
    assert document.travel > 15
    hit = driver.stage.pick(start + QPointF(0, -40))
    assert hit is not None
    assert spring.stretch < stretch - 10
    assert not np.allclose(spring.pose, poses)
    assert window.ruler.level == document.travel
    assert window.strips.level == document.travel
    assert driver.stage.rows  # figures beside the hand
    driver.drop(start + QPointF(0, -40))
    assert not driver.stage.rows
    assert driver.pixels() != picture


def test_the_point_held_stays_under_the_pointer(driver: Driver) -> None:
    start = driver.on_tyre()
    hit = driver.stage.pick(start)
    assert hit is not None
    driver.press(start)
    for up in (8, 16, 24, 12, -20):
        at = start + QPointF(0, -up)
        driver.move(at)
        piece = hit.piece
        world = piece.pose[:, :3] @ hit.local + piece.pose[:, 3]
        assert abs(driver.spot(world).y() - at.y()) < 1.0
    driver.drop(start)


def test_past_a_limit_the_wheel_stops_and_the_level_gives_a_little(driver: Driver) -> None:
    start = driver.on_tyre()
    driver.press(start)
    driver.move(start + QPointF(0, -60))
    driver.move(start + QPointF(0, -300))
    assert abs(driver.document.travel - driver.document.limits[1]) < 1e-6
    assert driver.window.ruler.past > 0
    assert driver.window.ruler.past <= 6.0
    assert dict(driver.stage.rows)["stopped by"] == driver.window.ruler.board.high_reason
    assert driver.window.ruler.board.high_reason
    driver.drop(start + QPointF(0, -300))
    wait(driver.app, lambda: driver.window.ruler.past == 0.0)


def test_contacts_light_up_where_they_are(driver: Driver) -> None:
    driver.document.set_travel(0.0)
    assert not [m for m in driver.stage.scene.marks if m.parts == ("tyre", "tower lip")]
    driver.document.set_travel(driver.document.limits[1])
    mark = next(m for m in driver.stage.scene.marks if set(m.parts) == {"tyre", "tower lip"})
    assert mark.state is State.TOUCH
    # The worst overlap of the published sketch of this corner: near (-20, 627, 573), 5.0 mm.
    assert abs(mark.amount + 5.0) < 0.3
    assert np.linalg.norm(mark.point_a - (-20, 627, 573)) < 8
    driver.app.processEvents()
    image = driver.stage.grab().toImage()
    spot = driver.spot((mark.point_a + mark.point_b) / 2)
    fill = driver.window.theme.palette.touch_fill.lower()
    around = {
        image.pixelColor(round(spot.x()) + dx, round(spot.y()) + dy).name()
        for dx in range(-3, 4)
        for dy in range(-3, 4)
    }
    assert fill in around


def test_escape_puts_the_wheel_back(driver: Driver) -> None:
    start = driver.on_tyre()
    driver.press(start)
    driver.move(start + QPointF(0, -50))
    assert driver.document.travel > 10
    driver.key(Qt.Key.Key_Escape)
    assert driver.document.travel == 0.0
    driver.drop(start)
    assert driver.document.travel == 0.0


def test_the_mount_slides_in_the_stage_and_undo_brings_it_back(driver: Driver) -> None:
    document = driver.document
    start_project = document.project
    top = live.top_mount(document.project)
    tower = driver.stage.scene.pieces["tower"].pose.copy()
    start = driver.spot(top)
    driver.drag(start, (-30, 6))
    moved = live.top_mount(document.project)
    assert np.linalg.norm(moved - top) > 10
    assert moved[2] == top[2]  # it slides on the plate
    assert (
        abs(
            np.linalg.norm(
                driver.spot(moved).toTuple() - np.array((start + QPointF(-30, 6)).toTuple())
            )
        )
        < 3
    )
    assert document.stack.index() == 1
    assert not np.allclose(driver.stage.scene.pieces["tower"].pose, tower)
    driver.settle()
    assert document.study.project is document.project
    document.stack.undo()
    assert document.project == start_project
    assert np.allclose(driver.stage.scene.pieces["tower"].pose, tower, atol=1e-3)
    document.stack.redo()
    assert np.allclose(live.top_mount(document.project), moved)


def test_a_mount_brought_back_is_no_step(driver: Driver) -> None:
    start = driver.spot(live.top_mount(driver.document.project))
    driver.press(start)
    driver.move(start + QPointF(-20, 0))
    driver.key(Qt.Key.Key_Escape)
    driver.drop(start)
    assert driver.document.stack.index() == 0


def test_shift_keeps_the_mount_to_one_axis(driver: Driver) -> None:
    top = live.top_mount(driver.document.project)
    driver.drag(driver.spot(top), (-30, 8), mods=Qt.KeyboardModifier.ShiftModifier)
    move = live.top_mount(driver.document.project) - top
    assert np.count_nonzero(move) == 1


def test_the_pad_slides_the_mount(driver: Driver) -> None:
    pad, document = driver.window.pad, driver.document
    top = live.top_mount(document.project)
    assert pad.isVisible()
    pad.setFocus()
    QTest.keyClick(pad, Qt.Key.Key_Right)  # towards the middle of the car, on a left corner
    driver.app.processEvents()
    move = live.top_mount(document.project) - top
    assert np.allclose(move, (0, -1, 0))
    QTest.keyClick(pad, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    move = live.top_mount(document.project) - top
    assert np.allclose(move, (10, -1, 0))
    assert document.stack.index() == 2


def test_turning_the_view_keeps_the_horizon_and_the_corner(driver: Driver) -> None:
    camera, project = driver.stage.camera, driver.document.project
    driver.drag(QPointF(60, 420), (80, 20))
    assert driver.stage.camera.azimuth != camera.azimuth
    assert driver.stage.camera.axes[0][2] == 0.0
    assert driver.document.project is project


def test_the_ruler_pulls_and_jumps(driver: Driver) -> None:
    ruler, document = driver.window.ruler, driver.document
    y = float(ruler.scale.y(30.0))
    QTest.mousePress(ruler, Qt.MouseButton.LeftButton, pos=QPointF(20, y).toPoint())
    QTest.mouseRelease(ruler, Qt.MouseButton.LeftButton, pos=QPointF(20, y).toPoint())
    assert abs(document.travel - 30) < 1
    stop = next(s for s in ruler.board.stops if s.label == "bump stop")
    at = QPointF(ruler.width() - 20, float(ruler.scale.y(stop.travel)) - 5).toPoint()
    QTest.mouseClick(ruler, Qt.MouseButton.LeftButton, pos=at)
    assert document.travel == stop.travel


def test_the_strips_pull(driver: Driver) -> None:
    strips = driver.window.strips
    y = float(strips.scale.y(-40.0))
    QTest.mouseClick(strips, Qt.MouseButton.LeftButton, pos=QPointF(60, y).toPoint())
    assert abs(driver.document.travel + 40) < 1


def test_keys(driver: Driver) -> None:
    document = driver.document
    driver.key(Qt.Key.Key_Up)
    assert document.travel == 1.0
    driver.key(Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert document.travel == -9.0
    driver.key(Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert abs(document.travel + 8.9) < 1e-9
    driver.key(Qt.Key.Key_Home)
    assert document.travel == 0.0
    driver.key(Qt.Key.Key_PageUp)
    assert document.travel > 0
    driver.key(Qt.Key.Key_J)
    finding = document.study.findings[driver.window.show_it.current]
    assert document.travel == min(max(finding.travel, document.limits[0]), document.limits[1])
    driver.key(Qt.Key.Key_3)
    assert driver.stage.camera.flat


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("ahead", [False, True])
def test_the_left_key_turns_the_wheel_left_wherever_its_arm_is(ahead: bool, side: str) -> None:
    """Left as the driver sees it: counter-clockwise from above (ISO 8855, positive steer)."""
    project = files.read(examples.examples()["front-wishbones"])
    if ahead:  # of the axle, on a corner whose arm reaches back
        points = dict(project.points)
        for name in ("rack end", "steering arm"):
            x, y, z = points[name]
            points[name] = (-x, y, z)
        project = msgspec.structs.replace(project, points=points)
    if side == "right":
        project = mirror(project)
    study = live.movable(project)
    racks: list[float] = []
    document = SimpleNamespace(study=study, travel=0.0, rack=0.0, set_rack=racks.append)
    window = SimpleNamespace(document=document, hands=SimpleNamespace(key=lambda _: False))
    none = Qt.KeyboardModifier.NoModifier
    for key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
        event = QKeyEvent(QEvent.Type.KeyPress, key, none)
        assert keys.press(window, event)  # type: ignore[arg-type]
    assert racks in ([-1.0, 1.0], [1.0, -1.0])
    motion = live.pose(study, 0.0, racks[0]).motion
    x, y, _ = np.asarray(motion.point("hub face") - motion.point("hub inner"))[0, 0]
    outward = 1.0 if side == "left" else -1.0
    assert x * outward < -1e-3 * abs(y)  # turned counter-clockwise, y to the left


def test_before_and_after(driver: Driver) -> None:
    document = driver.document
    driver.key(Qt.Key.Key_K)
    assert document.before is not None
    assert driver.stage.scene.ghosts
    top = live.top_mount(document.project)
    assert document.edit(document.slide_mount(document.project, -12.0, -16.0), "slide")
    driver.settle()
    document.set_travel(document.limits[1])
    driver.app.processEvents()
    assert np.allclose(live.top_mount(document.project) - top, (-12, -16, 0))
    assert any("was" in " ".join(t.lines) for t in driver.stage.tags)
    assert driver.window.strips.before is not None
    ghosts = driver.stage.scene.ghosts
    with_ghosts, driver.stage.scene.ghosts = driver.stage.snapshot(), {}
    driver.stage.scene.shape += 1
    driver.stage.redraw()
    driver.app.processEvents()
    assert driver.stage.snapshot() != with_ghosts
    driver.stage.scene.ghosts = ghosts
    # Every finding says how it was, and the one put right is told of.
    head = driver.window.headline
    told = [head.first, *head.others]
    said = [s for s in told if not s.isHidden() and s.saying.text.startswith("Tyre passes")]
    assert re.fullmatch(r"Was 5.0 mm overlap, now [0-9.]+ mm clear.", said[0].saying.was)
    # The nearest to its rule is told once, first what it is and then what it was; the rest is what
    # is left.
    found = document.study
    said_first = head.first.saying.detail
    assert re.match(r"Nearest to its rule: .* Was .* overlap, now .* clear.", said_first)
    texts = " ".join(s.saying.text for s in head.others if not s.isHidden()).lower()
    assert not all(part in texts for part in found.findings[0].parts)
    assert head.rest.saying.text == f"{len(found.names) - 2} more pairs are clear"
    document.set_travel(0.0)
    QTest.mouseClick(said[0], Qt.MouseButton.LeftButton)
    assert document.travel > 50  # where they met before
    driver.key(Qt.Key.Key_K)
    assert not driver.stage.scene.ghosts


def test_while_the_mount_slides_the_headline_tells_what_touches_then(driver: Driver) -> None:
    first = driver.window.headline.first
    start = driver.spot(live.top_mount(driver.document.project))
    driver.press(start)
    driver.move(start + QPointF(8, 0))
    driver.move(start + QPointF(12, 0))
    study = driver.document.study
    wait(driver.app, lambda: driver.document.study is not study)
    assert first.saying.state is State.TOUCH
    assert "tower lip" in first.saying.text
    driver.key_escape()
    driver.drop(start)


def test_what_stands_behind_a_hidden_part_is_drawn(driver: Driver) -> None:
    """Some drivers leave a whole run of parts out when its first one draws nothing."""
    driver.window.actions_.select("tyre")
    driver.key(Qt.Key.Key_H)
    pieces = driver.stage.scene.pieces
    spot = driver.spot(pieces["spring"].points().mean(axis=0)).toPoint()
    driver.app.processEvents()
    full = driver.stage.grab().toImage()
    pieces["spring"].shown = pieces["damper body"].shown = False
    driver.stage.scene.look += 1
    driver.stage.redraw()
    driver.app.processEvents()
    gone = driver.stage.grab().toImage()
    column = [spot + QPoint(0, dy) for dy in range(-30, 30)]
    assert any(full.pixel(at) != gone.pixel(at) for at in column)
    driver.key(Qt.Key.Key_A)


def test_hide_only_and_cut(driver: Driver) -> None:
    actions, scene = driver.window.actions_, driver.stage.scene
    actions.select("tyre")
    full = driver.pixels()
    driver.key(Qt.Key.Key_O)
    assert scene.pieces["tower"].faded
    assert not scene.pieces["tyre"].faded
    assert driver.pixels() != full
    driver.key(Qt.Key.Key_A)
    actions.select("tyre")
    driver.key(Qt.Key.Key_H)
    assert not scene.pieces["tyre"].shown
    driver.key(Qt.Key.Key_C)
    assert scene.cut is not None
    driver.key(Qt.Key.Key_A)
    assert scene.cut is None
    assert all(p.shown for p in scene.pieces.values())


def test_a_curve_still_wanted_as_the_hand_lets_go_does_not_drive_out_the_study(
    driver: Driver,
) -> None:
    document = driver.document
    document.begin()
    document.drag(document.slide_mount(document.project, -5.0, 0.0))
    document._coarse_wanted = True
    document._rest.start()
    document.finish("move the top mount")
    driver.settle()
    assert document.study.project is document.project


def test_an_unknown_clearance_is_said_to_be_unknown() -> None:
    for unknown in (float("nan"), float("inf")):
        assert reading.amount_words(unknown, "mm") == "not known here"


def test_only_a_mount_that_slid_is_measured_near_it_alone(driver: Driver) -> None:
    start = driver.document.project
    slid = move_top(start, 3.0, -4.0, 0.0)
    assert live.slid_by(start, slid) == pytest.approx(5.0)
    wider, _ = add_part(start, "box")
    assert live.slid_by(start, wider) is None
    assert live.slid_by(start, move_face(start, "chassis rail", 1, 1, 40.0)) is None


def test_what_goes_with_a_sliding_mount_stands_again_once_it_is_let_go(driver: Driver) -> None:
    pieces = driver.stage.scene.pieces
    standing = {name for name, piece in pieces.items() if not piece.moving}
    top = driver.spot(live.top_mount(driver.document.project))
    driver.press(top)
    for k in range(1, 4):
        driver.move(top + QPointF(-6 * k, 3))
    assert {"tower", "top mount"} <= {name for name in standing if pieces[name].moving}
    assert not pieces["chassis rail"].moving
    driver.key_escape()
    driver.drop(top)
    assert {name for name, piece in pieces.items() if not piece.moving} == standing


def test_what_was_found_before_an_edit_steps_back_until_it_is_checked(driver: Driver) -> None:
    document, head = driver.document, driver.window.headline
    assert not head.first.stale
    assert document.edit(document.slide_mount(document.project, -12.0, -16.0), "slide")
    assert head.first.stale
    assert head.rest.stale
    strong = head.first.grab().toImage()
    driver.settle()
    assert not head.first.stale
    assert head.first.grab().toImage() != strong
    document.stack.undo()
    assert head.first.stale
    driver.settle()
    assert not head.first.stale


def type_half(driver: Driver, text: str) -> None:
    """The mount chosen by a click, and an amount typed that is not taken yet."""
    at = driver.spot(live.top_mount(driver.document.project))
    driver.press(at)
    driver.drop(at)
    QTest.keyClicks(driver.stage, text)


def test_what_is_half_typed_is_a_step_of_its_own_once_something_else_is_asked(
    driver: Driver,
) -> None:
    document, start = driver.document, driver.document.project
    type_half(driver, "x 4")
    moved = document.project
    assert moved != start
    driver.window.do("mirror")
    assert document.drag_start is None
    assert document.project.side != start.side
    assert document.stack.count() == 2
    document.stack.undo()
    assert document.project == moved
    driver.key_escape()  # gives up nothing any more
    assert document.project == moved
    document.stack.undo()
    assert document.project == start


def test_what_is_half_typed_does_not_reach_into_another_project(driver: Driver) -> None:
    type_half(driver, "x 4")
    driver.open("front-strut")  # checked too: nothing is held
    opened = driver.document.project
    driver.key_escape()
    assert driver.document.project is opened
    assert driver.document.drag_start is None
    assert not driver.document.dirty


def test_steps_of_undo_are_let_go_beyond_their_limit(driver: Driver) -> None:
    document, project = driver.document, driver.document.project
    document.stack.blockSignals(True)
    oldest = Change(document, project, project, "the oldest")
    seen = weakref.ref(oldest)
    document.stack.push(oldest)
    del oldest
    for k in range(STEPS):
        document.stack.push(Change(document, project, project, str(k)))
    document.stack.blockSignals(False)
    gc.collect()
    assert document.stack.count() == STEPS
    assert document.stack.text(0) == "0"
    assert seen() is None
    document.stack.clear()


def test_a_pair_too_far_apart_to_have_points_is_visited_all_the_same(driver: Driver) -> None:
    camera = driver.stage.camera
    driver.window.visit(20.0, 0.0, (np.nan, np.nan, np.nan))
    assert driver.document.travel == 20.0
    assert driver.stage.camera == camera
