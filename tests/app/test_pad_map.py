"""The painted pad: what is tightest is named under the pointer; a strut is mapped and slid too."""

from __future__ import annotations

import csv
from datetime import date
from itertools import combinations
from pathlib import Path

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QMouseEvent, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.document import results
from app.document.places import Ground, Rules, told_at
from app.document.plane import BEYOND, SIDE, Wanted, reach_for
from app.look.palette import DARK, LIGHT
from app.mount import chart
from app.mount.pad import Pad
from app.mount.room import MountRoom
from kinematics.project.mount import MountPlate, TopMount
from kinematics.studies.top_map import top_map
from tests.app.conftest import Driver, wait

FINE = results.MAP_STEPS
"""Places a side that a builder has; the tests' window has fewer."""


@pytest.fixture
def fine(monkeypatch: pytest.MonkeyPatch, driver: Driver) -> None:
    """The map as fine as a builder has it."""
    monkeypatch.setattr(results, "MAP_STEPS", FINE)
    driver.document._ask_map()
    # A coarse one asked for before may still come.
    wait(driver.app, lambda: len(mapped(driver).worst) == FINE)


def mapped(driver: Driver) -> Ground:
    """The map, once it won't get finer."""
    document = driver.document
    wait(driver.app, lambda: not document.jobs.busy)
    driver.app.processEvents()
    assert document.ground is not None
    assert document.ground.done
    return document.ground


def under_its_heads(path: Path) -> list[str]:
    """The lines of a table; above it stand what it is of, and project, date and units."""
    what, about, *lines = path.read_text(encoding="utf-8").splitlines()
    assert what.startswith("# ")
    assert all(word in about for word in ("Halfpenny", date.today().isoformat(), "lengths in mm"))
    return lines


def hover(driver: Driver, fore: float, inward: float, pad: Pad | None = None) -> str:
    pad = pad or driver.window.pad
    at = pad.frame.spot(fore, inward)
    event = QMouseEvent(
        QEvent.Type.MouseMove, at, QPointF(pad.mapToGlobal(at.toPoint())),
        Qt.MouseButton.NoButton, Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    QApplication.sendEvent(pad, event)
    return pad.under


@pytest.mark.usefixtures("fine")
def test_what_is_tightest_is_named_under_the_pointer(driver: Driver) -> None:
    document = driver.document
    assert hover(driver, 0.0, 0.0) == (
        "Where it was: tyre to tower lip, 15.0 mm short of the rule, at +79.9."
    )
    words = hover(driver, -20.6, 19.6)
    assert words == told_at(document.ground, (-20.0, 20.0), "mm")
    assert words.startswith("20.0 mm inboard, 20.0 rearward: spring to radius arm, ")
    picture = driver.window.pad.grab().toImage()
    assert hover(driver, -500.0, 0.0) == ""
    assert driver.window.pad.grab().toImage() != picture
    # Once the cross is held, the heading tells of it and no more of the place it left.
    pad = driver.window.pad
    assert hover(driver, 0.0, 0.0)
    cross = pad.frame.spot(0.0, 0.0).toPoint()
    QTest.mousePress(pad, Qt.MouseButton.LeftButton, pos=cross)
    assert pad.under == ""
    QTest.mouseRelease(pad, Qt.MouseButton.LeftButton, pos=cross)


@pytest.mark.usefixtures("fine")
def test_the_map_is_exported_as_it_is_painted(driver: Driver, tmp_path) -> None:
    document, exports = driver.document, driver.window.actions_.exports
    assert document.ground.worst.shape == (41, 41)
    for kind, start in (("png", b"\x89PNG"), ("dxf", b"999"), ("csv", b"# ")):
        path = tmp_path / f"map.{kind}"
        assert exports.write("map", path)
        assert path.read_bytes().startswith(start)
    rows = csv.DictReader(under_its_heads(tmp_path / "map.csv"))
    here = next(r for r in rows if (r["forward_mm"], r["inboard_mm"]) == ("-20.000", "20.000"))
    i, j = 10, 30  # of the steps of 2 mm
    assert abs(float(here["over_rule_mm"]) - document.ground.worst[i, j]) < 1e-3


def test_a_strut_is_mapped_lock_to_lock_and_its_wheel_follows(driver: Driver) -> None:
    document = driver.document
    driver.open("front-strut")
    ground = mapped(driver)
    assert ground.whole
    here = ground.nearest((0.0, 0.0))
    assert abs(ground.plan.limits.toe[here]) < 1e-6  # of the wheel straight ahead, not on lock
    assert np.isfinite(document.ground.worst).all()
    assert (document.ground.rack != 0.0).any()
    # Under a hand only the present steer is looked at, and no more is claimed.
    pad = driver.window.pad
    cross = pad.frame.spot(0.0, 0.0)
    QTest.mousePress(pad, Qt.MouseButton.LeftButton, pos=cross.toPoint())
    pad.slid.emit(0.0, 4.0, 0.0)
    wait(driver.app, lambda: pad.shown.sentence.startswith("Every rule"))
    assert pad.shown.sentence == "Every rule is kept here at this steer."
    pad.escape()
    driver.settle()
    assert pad.shown.sentence == "Every rule is kept here."
    moved = document.slide_mount(document.project, 0.0, -8.0)
    assert document.edit(moved, "slide the top mount")
    assert document.project.wheel.camber_deg < -1.2
    document.stack.undo()
    driver.settle()


# --- the room of the top mount -----------------------------------------------------------------


@pytest.fixture
def room(driver: Driver) -> MountRoom:
    """In the room, with a coarse map of the example in trouble."""
    click(driver.window.bar.rooms["Mount"])
    driver.document.wanted = Wanted()
    driver.document._ask_map()
    mapped(driver)
    return driver.window.mount


def click(widget: object) -> None:
    QTest.mouseClick(widget, Qt.MouseButton.LeftButton, pos=QPoint(14, 12))


def test_slots_are_drawn_with_the_part_that_works_and_gone_to(
    driver: Driver, room: MountRoom
) -> None:
    document = driver.document
    plate = MountPlate(120.0, 120.0, 6.0, slot_forward=24.0, slot_inboard=40.0)
    made = msgspec.structs.replace(document.project, top_mount=TopMount(plate=plate))
    assert document.edit(made, "fit a plate")
    driver.settle()
    slots = mapped(driver).slots
    assert slots is not None
    assert slots.rows == pytest.approx((-12.0, 12.0))
    assert slots.columns == pytest.approx((-20.0, 20.0))
    assert 0.0 < slots.share < 1.0
    assert {"slots", "slots that work"} <= {words for words, _ in room.legend.items}
    frame = room.pad.frame
    works, whole = chart.working(frame, slots, 5.0), frame.box(slots.rows, slots.columns)
    assert works.contains(frame.spot(*slots.best))
    assert not works.contains(whole.topLeft() + QPointF(2, 2))  # forward and outboard: it touches
    click(room.spots["slots"])
    assert document.offset() == pytest.approx(slots.best, abs=0.06)
    assert document.stack.undoText() == "move the top mount"


def test_the_plane_and_its_height_are_chosen_and_it_slides_there(
    driver: Driver, room: MountRoom, tmp_path
) -> None:
    document = driver.document
    QTest.keyClick(room.plane, Qt.Key.Key_Down)
    ground = mapped(driver)
    assert ground.plane is SIDE
    room.level.setFocus()
    room.level.setText("10")
    QTest.keyClick(room.level, Qt.Key.Key_Return)
    ground = mapped(driver)
    assert ground.level == pytest.approx(10.0)
    i, j = 3, 1  # 20 mm up, 20 mm back
    setting = document.study.setting
    one = top_map(setting, [-10.0], [float(ground.columns[j])], float(ground.rows[i]))
    assert ground.worst[i, j] == pytest.approx(one.margin[0, 0], abs=1e-9)
    hover(driver, 0.0, 0.0, room.pad)
    assert room.words.text().startswith("<b>10.0\u00a0mm inboard:</b>")
    assert room.export.isEnabled()
    for kind, start in (("pdf", b"%PDF"), ("dxf", b"999"), ("csv", b"# ")):
        path = tmp_path / f"map.{kind}"
        assert driver.window.actions_.exports.write("map", path)
        assert path.read_bytes().startswith(start)
    rows = list(csv.DictReader(under_its_heads(tmp_path / "map.csv")))
    assert {row["inboard_mm"] for row in rows} == {"10.000"}
    assert b"Seen from the side, 10 mm inboard." in (tmp_path / "map.dxf").read_bytes()
    room.pad.setFocus()
    QTest.keyClick(room.pad, Qt.Key.Key_Up)
    assert document.offset3() == pytest.approx((0.0, 10.0, 1.0))
    assert document.stack.count() == 1
    assert document.wanted.level == 0.0


def test_a_joint_past_its_angle_is_named_and_told_by_its_pattern(
    driver: Driver, room: MountRoom
) -> None:
    QTest.keyClick(room.plane, Qt.Key.Key_Down)
    ground = mapped(driver)
    assert Rules.JOINT in ground.rules
    assert "joint past its angle" in {words for words, _ in room.legend.items}
    i, j = (int(k) for k in np.argwhere(ground.past[Rules.JOINT] > 0.5)[0])
    hover(driver, *ground.at(i, j), room.pad)
    assert "past its angle at" in room.words.text()


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_what_rules_is_told_without_colour(windows: QApplication, palette) -> None:
    """Every pattern, in greys stretched alike, differs from every other in many of its dots."""
    greys = {}
    for rule in Rules:
        image = QImage(60, 60, QImage.Format.Format_RGB32)
        image.fill(Qt.GlobalColor.white)
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        chart.fill(painter, QRectF(0, 0, 60, 60), rule, palette, 1.0)
        painter.end()
        grey = image.convertToFormat(QImage.Format.Format_Grayscale8)
        dots = np.frombuffer(grey.constBits(), np.uint8).reshape(60, -1)[:, :60].astype(float)
        dark = dots - np.median(dots)  # the ground of each made alike, lines lighter or darker
        greys[rule] = np.abs(dark) / max(np.abs(dark).max(), 1.0)
    for one, other in combinations(Rules, 2):
        apart = np.abs(greys[one] - greys[other]) > 0.4
        assert apart.mean() > 0.05, (one, other)


def test_the_tower_stays_if_one_says_so(driver: Driver, room: MountRoom) -> None:
    document = driver.document
    along = mapped(driver).worst.copy()
    QTest.keyClick(room.tower, Qt.Key.Key_Down)
    assert document.project.tower.moves_with_top is False
    driver.settle()
    ground = mapped(driver)
    assert ground.plan.with_tower is False
    assert not np.allclose(ground.worst, along, equal_nan=True)
    document.stack.undo()
    assert document.project.tower.moves_with_top is True


def test_a_rough_picture_comes_first_and_the_rest_can_be_stopped(
    driver: Driver, room: MountRoom, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(results, "MAP_STEPS", 65)
    document, sizes, shares = driver.document, [], []
    document.mapped.connect(lambda: sizes.append(len(document.ground.rows)))
    document.mapping.connect(shares.append)
    document._ask_map()
    wait(driver.app, lambda: sizes and not room.stop.isHidden())
    assert sizes == [9]
    assert not document.ground.done
    assert "getting finer" in room.progress.text()
    click(room.stop)
    wait(driver.app, lambda: not document.jobs.busy)
    assert room.stop.isHidden()
    assert room.progress.text() == "Stopped before it was as fine as it gets."
    assert max(shares) < 1.0
    assert len(document.ground.rows) == 9


def test_the_small_pad_leads_into_the_room(driver: Driver) -> None:
    click(driver.window.bar.rooms["Move"])
    driver.app.processEvents()
    wait(driver.app, driver.window.pad.isVisible)
    click(driver.window.pad)
    assert driver.window.mount.isVisible()
    wait(driver.app, lambda: not driver.window.pad.isVisible())
    click(driver.window.bar.rooms["Move"])


@pytest.mark.parametrize("far", [0.0, 31.0, 33.0, 391.0, 393.0, 524.0, 905.0])
def test_a_mount_however_far_off_stands_within_the_pad(far: float) -> None:
    reach = reach_for((0.0, -far, 0.5 * far))
    assert far + BEYOND <= reach <= max(40.0, 2.0 * (far + BEYOND))
