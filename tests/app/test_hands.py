"""Each movement of the hand and each key, with real events on a real window."""

from __future__ import annotations

from types import SimpleNamespace

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest

from app import examples
from app.document import live
from app.look.palette import State
from app.window import keys
from kinematics.project import files
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
    for units, steps in (("in", (25.4 / 16, 12.7, 25.4 / 64)), ("mm", (1.0, 10.0, 0.1))):
        project = msgspec.structs.replace(document.project, units=units)
        document.edit(project, "units")
        none, shift = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
        for mods, step in zip((none, shift, Qt.KeyboardModifier.AltModifier), steps, strict=True):
            document.set_travel(0.0)
            driver.key(Qt.Key.Key_Up, mods)
            assert document.travel == pytest.approx(step)
        document.set_travel(0.0)
        driver.window.ruler.nudged.emit(-2.0)
        assert document.travel == pytest.approx(-2.0 * steps[0])
        driver.window.help.toggle()
        assert f"travel by 1{'/16 in' if units == 'in' else ' mm'}, with Shift" in (
            driver.window.help.accessibleDescription()
        )
        driver.window.help.toggle()
    while document.stack.canUndo():
        document.stack.undo()
    driver.window.go(0.0)
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
    document = SimpleNamespace(
        study=study, project=project, travel=0.0, rack=0.0, set_rack=racks.append
    )
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


def test_a_pair_too_far_apart_to_have_points_is_visited_all_the_same(driver: Driver) -> None:
    camera = driver.stage.camera
    driver.window.visit(20.0, 0.0, (np.nan, np.nan, np.nan))
    assert driver.document.travel == 20.0
    assert driver.stage.camera == camera
