"""What ruler, tags, ghost and themes show a builder, whatever he sees of colours."""

from __future__ import annotations

import re
from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QImage, QMouseEvent, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QToolTip

from app.document import live
from app.look import type as typeface
from app.look.palette import DARK, LIGHT, Palette, State
from app.look.signs import draw_sign
from app.look.theme import Theme
from app.plots.ruler import Ruler
from kinematics.measures import FIGURES
from tests.app.conftest import Driver


def test_the_ruler_is_coloured_and_toothed_where_something_touches_or_is_near(
    driver: Driver,
) -> None:
    ruler, palette = driver.window.ruler, driver.window.theme.palette
    driver.document.set_travel(0.0)
    driver.app.processEvents()
    image = ruler.grab().toImage()
    fills = {State.TOUCH: palette.touch_fill, State.NEAR: palette.near_fill}
    seen = set()
    for band in ruler.board.bands:
        top, bottom = float(ruler.scale.y(band.high)), float(ruler.scale.y(band.low))
        if band.state not in fills or bottom - top < 12 or abs(band.low + band.high) < 40:
            continue  # the flag stands about set-up height
        fill, lefts = QColor(fills[band.state]).name(), []
        for y in range(round(top) + 2, round(bottom) - 2):
            row = [x for x in range(34) if image.pixelColor(x, y).name() == fill]
            lefts.append(min(row, default=34))
        assert min(lefts) < 34, band
        seen.add(band.state)
        if band.state is State.TOUCH:
            assert max(lefts) - min(lefts) >= 2  # a saw's edge
    assert seen == set(fills)


def test_the_ruler_names_every_height_worth_naming(driver: Driver) -> None:
    board = driver.window.ruler.board
    named = {stop.label for stop in board.stops}
    assert {"bump stop", "ride height"} <= named
    assert any("droop" in label for label in named)
    assert board.low_reason
    assert board.high_reason
    assert {board.low, board.high} <= set(driver.window.ruler.stops())


def test_a_contact_is_told_in_words_beside_both_its_points(driver: Driver) -> None:
    driver.document.set_travel(driver.document.limits[1])
    driver.app.processEvents()
    mark = next(m for m in driver.stage.scene.marks if set(m.parts) == {"tyre", "tower lip"})
    tag = driver.stage.tags[0]
    assert tag.state is State.TOUCH
    assert tag.title == f"{-mark.amount:.1f} mm overlap"
    assert all(part in " ".join(tag.lines).lower() for part in mark.parts)
    assert np.linalg.norm(mark.point_a - mark.point_b) == pytest.approx(-mark.amount, abs=0.3)


def test_going_to_a_finding_turns_the_eye_to_where_it_can_be_seen(driver: Driver) -> None:
    window, stage = driver.window, driver.stage
    away = stage.camera.turned(2.6, 0.0)
    stage.look(away)
    driver.app.processEvents()
    finding = driver.document.study.findings[0]
    window.jump(0)
    driver.app.processEvents()
    assert driver.document.travel == pytest.approx(finding.travel, abs=1e-6)
    goal = getattr(stage, "goal", None) or stage.camera
    assert goal != away
    window.view("3d")


def test_a_click_on_a_finding_of_a_steered_corner_steers_there(driver: Driver) -> None:
    driver.open("front-strut")
    window, document = driver.window, driver.document
    head = window.headline
    finding = next(
        f for f in document.study.findings if f.kind != "unreachable" and abs(f.rack) > 1.0
    )
    said = next(
        s for s in (head.first, *head.others)
        if not s.isHidden() and all(part in s.saying.text.lower() for part in finding.parts)
    )  # fmt: skip
    document.set_rack(0.0)
    document.set_travel(0.0)
    driver.app.processEvents()
    QTest.mouseClick(said, Qt.MouseButton.LeftButton)
    driver.app.processEvents()
    assert document.rack == pytest.approx(finding.rack, abs=1e-6)
    assert document.travel == pytest.approx(finding.travel, abs=1e-6)
    turned = tyre(driver)
    document.set_rack(0.0)
    driver.app.processEvents()
    straight = tyre(driver)
    turn = np.degrees(np.arccos(np.clip((np.trace(turned @ straight.T) - 1) / 2, -1, 1)))
    assert turn > 5.0  # the wheel on show was steered too


def tyre(driver: Driver) -> np.ndarray:
    """How the tyre on show is turned. (3, 3)"""
    piece = next(p for p in driver.stage.scene.pieces.values() if p.kind == "tyre")
    return piece.pose[:, :3].copy()


def test_where_the_mount_was_is_drawn_while_it_is_held(driver: Driver) -> None:
    stage, ghost = driver.stage, driver.window.hands.ghost
    start = driver.spot(live.top_mount(driver.document.project))
    driver.press(start)
    driver.move(start + QPointF(-20, 4))
    driver.move(start + QPointF(-40, 8))
    assert np.allclose(ghost.end, live.top_mount(driver.document.project))
    assert ghost.bounds(stage).contains(start)
    with_it = stage.grab(ghost.bounds(stage).toAlignedRect()).toImage()
    stage.extras = [each for each in stage.extras if each is not ghost]
    assert stage.grab(ghost.bounds(stage).toAlignedRect()).toImage() != with_it
    driver.key_escape()
    driver.drop(start)
    assert ghost.line is None


def test_a_contact_is_seen_through_the_part_in_front_of_it(driver: Driver) -> None:
    """Where a third part is what the eye meets, the picture changes with the rings all the same."""
    stage = driver.stage
    driver.document.set_travel(driver.document.limits[1])
    mark = next(m for m in stage.scene.marks if m.state is State.TOUCH)
    for turn in np.linspace(0.0, 6.0, 25):
        stage.look(stage.camera.turned(turn, 0.0))
        spot = driver.spot((mark.point_a + mark.point_b) / 2)
        hit = stage.pick(spot)
        if hit is not None and hit.piece.part not in mark.parts:
            break
    else:
        raise AssertionError("nowhere hidden")
    stage.tags, stage.arrow, stage.scene.marks = [], None, (mark,)
    pictures = []
    for marks in ((mark,), ()):
        stage.scene.marks = marks
        stage.redraw()
        driver.app.processEvents()
        pictures.append(stage.picture.image().copy())
    ratio = stage.devicePixelRatioF()
    x, y = round(spot.x() * ratio), round(spot.y() * ratio)
    changed = [
        pictures[0].pixel(x + dx, y + dy) != pictures[1].pixel(x + dx, y + dy)
        for dx in range(-9, 10)
        for dy in range(-9, 10)
    ]
    assert sum(changed) > 30
    driver.document.set_travel(0.0)
    driver.window.view("3d")


class Read(QPainter):
    """A painter that can be asked what it wrote, and where."""

    def __init__(self, on: QImage) -> None:
        super().__init__(on)
        self.written: list[tuple[QRectF, str]] = []

    def drawText(self, box: QRectF, flags: object, text: str) -> None:  # type: ignore[override]
        self.written.append((box, text))


@pytest.mark.parametrize(("view", "axis"), [("front", 1), ("side", 0), ("top", 0)])
def test_the_dimensions_of_a_square_view_are_the_cars(driver: Driver, view: str, axis: int) -> None:
    stage, edges = driver.stage, driver.window.show_it.edges
    driver.window.view(view)
    driver.app.processEvents()
    picture = QImage(stage.size(), QImage.Format.Format_RGB32)
    painter = Read(picture)
    edges.draw(stage, painter)
    painter.end()
    along = next(k for k in (0, 1) if abs(stage.camera.axes[k][axis]) > 0.9)
    ticks = 0
    for box, text in painter.written:
        horizontal = box.top() > stage.height() - 30 and box.width() < 90
        upright = box.right() > stage.width() - 20 and box.width() < 60
        if not (horizontal if along == 0 else upright):
            continue
        value = float(text.replace("\u2212", "-"))
        middle = (box.center().x(), box.center().y())[along]
        tried = []
        for sign in (1.0, -1.0) if axis == 1 else (1.0,):  # across: off the middle of the car
            point = np.array(stage.camera.target, float)
            point[axis] = sign * value
            tried.append(abs(stage.spots(point)[along] - middle))
        assert min(tried) < 1.0, (text, tried)
        ticks += 1
    assert ticks >= 3
    driver.window.view("3d")


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_words_and_states_stand_out_from_what_they_are_written_on(palette: Palette) -> None:
    """Web Content Accessibility Guidelines 2.1 (W3C, 2018), 1.4.3 and 1.4.11: text has a contrast
    of 4.5, what is drawn one of 3."""
    for ground in (palette.sheet, palette.ground):
        for words in (palette.ink, palette.ink2, palette.ink3):
            assert contrast(words, ground) >= 4.5, (words, ground)
    assert contrast(palette.on_dye, palette.dye) >= 4.5
    for state in State:
        assert contrast(palette.state(state), palette.sheet) >= 3.0, state


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_states_differ_in_shape_where_colours_are_not_seen(
    app: QApplication, palette: Palette
) -> None:
    shapes = {}
    for state in State:
        image = QImage(40, 40, QImage.Format.Format_ARGB32)
        image.fill(Qt.GlobalColor.transparent)
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw_sign(painter, palette, state, QPointF(20, 20), 14.0)
        painter.end()
        dots = np.frombuffer(image.constBits(), np.uint8).reshape(40, 40, 4)
        shapes[state] = dots[..., 3] > 100  # where anything is drawn at all
    for one, other in combinations(State, 2):
        assert (shapes[one] != shapes[other]).sum() > 20, (one, other)


WAYS = re.compile("positive|forward|ahead|outboard|left|up|above|grows|shortens|lower eye", re.I)


def test_every_figure_says_in_words_what_it_is_and_which_way_is_positive(driver: Driver) -> None:
    """Under the pointer on its heading, as a tip."""
    strips = driver.window.strips
    for key, curve in strips.board.curves.items():
        assert curve.help.endswith("."), key
        assert key not in FIGURES or WAYS.search(curve.help), (key, curve.help)
    first, at = strips.shown()[0], QPointF(30, 20)
    move = QMouseEvent(
        QEvent.Type.MouseMove, at, QPointF(strips.mapToGlobal(at.toPoint())),
        Qt.MouseButton.NoButton, Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    QApplication.sendEvent(strips, move)
    assert QToolTip.text() == first.help
    QToolTip.hideText()
    driver.app.processEvents()


def test_what_is_pressed_in_the_bar_has_a_name_and_a_tip(driver: Driver) -> None:
    for name, button in driver.window.bar.icons.items():
        assert button.accessibleName(), name
        assert button.toolTip(), name


def test_type_follows_the_systems_size(app: QApplication, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(typeface, "_scale", 1.0)
    ours, theirs = app.font(), QFont("DejaVu Sans")
    theirs.setPixelSize(18)  # half as large again as usual
    plain = Ruler(Theme())
    try:
        app.setFont(theirs)
        typeface.heed_system_size()
    finally:
        app.setFont(ours)
    large = Ruler(Theme())
    assert large.width() == pytest.approx(1.5 * plain.width(), abs=1)
    for ruler in (plain, large):
        ruler.deleteLater()


def contrast(one: str, other: str) -> float:
    """The ratio of two colours' relative luminances, as those guidelines define it."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    parts = np.array(QColor(colour).getRgbF()[:3])
    linear = np.where(parts <= 0.03928, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
    return float(linear @ (0.2126, 0.7152, 0.0722))
