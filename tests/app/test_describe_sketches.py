"""The sketches: every shop number has its dimension, which stands out while its field is held."""

from __future__ import annotations

import msgspec
import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app import examples
from app.describe.drafting import Board
from app.describe.sketch import sketch_of
from app.document import tree
from app.document.tree import Entry, Group, Path
from app.look.palette import DARK, LIGHT, Palette
from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.fresh import fresh
from kinematics.project.model import Project
from kinematics.shapes.sections import most_growth
from tests.app.conftest import Driver

RECORDS: tuple[Path, ...] = (
    ("wheel", "tyre"),
    ("wheel", "rim"),
    ("wheel",),
    ("coilover",),
    ("coilover", "spring"),
    ("coilover", "spring", "helper"),
    ("coilover", "spring", "inner"),
    ("coilover", "bump_stop"),
    ("coilover", "droop_stop"),
    ("coilover", "clamp"),
    ("coilover", "thread"),
    ("top_mount",),
    ("top_mount", "plate"),
    ("tower",),
)
NO_SIZE = {"rate_n_per_mm", "active_coils", "total_coils", "shear_modulus"}
"""Numbers of a spring that are no dimension."""
SIZES = ("length", "degrees", "count")


@pytest.fixture(scope="module")
def whole() -> Project:
    """A corner with everything a sketch shows."""
    project = files.read(examples.examples()["rear-in-trouble"])
    for path in RECORDS:
        if tree.get(project, path) is None:
            project, _ = fresh(project, path)
    return project


def bare(project: Project) -> Project:
    """The same with all left out that may be."""
    for lip in ("lip", "front_lip", "rear_lip", "inner_lip"):
        project = tree.put(project, ("tower", lip), 0.0)
    for path in RECORDS:
        for entry in tree.entries(type(tree.get(project, path)), path):
            if entry.optional:
                project = tree.put(project, entry.path, None)
    return project


def drawn(project: Project, current: Path, palette: Palette = LIGHT) -> tuple[Board, QImage]:
    """The sketch of an entry on a picture of the usual size."""
    image = QImage(430, 232, QImage.Format.Format_RGB32)
    image.fill(palette.sheet)
    painter = QPainter(image)
    place = QRectF(12, 4, 406, 224)
    board = Board(painter, place, palette, 1.0, current, project.units)
    found = sketch_of(current)
    assert found is not None
    found[1](board, project)
    painter.end()
    return board, image


def sizes(project: Project) -> list[Entry]:
    return [
        entry
        for path in RECORDS
        for entry in tree.entries(type(tree.get(project, path)), path)
        if entry.kind in SIZES and entry.path[-1] not in NO_SIZE
    ]


def test_every_size_has_its_dimension_given_or_not(app: QApplication, whole: Project) -> None:
    for project in (whole, bare(whole)):
        for entry in sizes(project):
            board, _ = drawn(project, entry.path)
            assert entry.path in [path for _, path in board.spots], entry.path
            for spot, path in board.spots:
                assert board.place.adjusted(-1, -1, 1, 1).contains(spot), (entry.path, path)


def test_the_dimension_in_hand_is_dyed_in_both_themes(app: QApplication, whole: Project) -> None:
    for palette in (LIGHT, DARK):
        for path in (("wheel", "tyre", "section_width"), ("coilover", "open"), ("tower", "inner")):
            board, image = drawn(whole, path, palette)
            spot = next(spot for spot, found in board.spots if found == path)
            corner = image.pixelColor(round(spot.left()) + 3, round(spot.center().y()))
            assert corner.name().upper() == palette.dye
            other, plain = drawn(whole, (*path[:-1], "none"), palette)
            spot = next(spot for spot, found in other.spots if found == path)
            corner = plain.pixelColor(round(spot.left()) + 3, round(spot.center().y()))
            assert corner.name().upper() != palette.dye


def test_a_sketch_changes_with_its_numbers(app: QApplication, whole: Project) -> None:
    for entry in sizes(whole):
        value = tree.get(whole, entry.path)
        if entry.kind != "length" or value is None or entry.path[-1] in ("end_from_top",):
            continue
        try:
            other = tree.put(whole, entry.path, value + 1.0)
        except ClearstrokeError:
            other = tree.put(whole, entry.path, value - 0.5)
        assert drawn(whole, entry.path)[1] != drawn(other, entry.path)[1], entry.path


def test_the_wheels_sketch_says_how_deep_the_rim_sits_and_how_large_a_new_tyre_may_be(
    app: QApplication, whole: Project, monkeypatch: pytest.MonkeyPatch
) -> None:
    """195/50R15 on 6.5Jx15 ET25: (165.1 + 2 x 11) / 2 + 25 mm; what UN R30 lets it be is tested."""
    said: list[str] = []
    monkeypatch.setattr(Board, "label", lambda board, path, at, text, *_, **__: said.append(text))
    monkeypatch.setattr(Board, "word", lambda board, text, *_: said.append(text))
    drawn(whole, ("wheel", "rim", "size"))
    assert "backspacing 118.5" in said
    drawn(whole, ("wheel", "tyre", "growth"))
    more = most_growth(tree.put(whole, ("wheel", "tyre", "growth"), 0.0).wheel)
    assert f"a new one: up to +{more:.1f}" in said


def test_a_click_on_a_dimension_puts_the_hand_in_its_field(driver: Driver) -> None:
    room = driver.window.describe
    driver.window.enter("Describe")
    room.go("Damper")
    driver.app.processEvents()
    room.sketch.grab()
    path = ("coilover", "closed")
    spot = next(spot for spot, found in room.sketch.spots if found == path)
    QTest.mouseClick(room.sketch, Qt.MouseButton.LeftButton, pos=spot.center().toPoint())
    driver.app.processEvents()
    assert driver.window.focusWidget() is room.fields[path]
    assert room.sketch.current == path
    driver.window.enter("Move")


def test_marks_that_do_not_go_together_get_a_sentence(app: QApplication, whole: Project) -> None:
    rim = msgspec.structs.replace(whole.wheel.rim, size="7Jx17 ET30")
    wheel = msgspec.structs.replace(whole.wheel, rim=rim)
    odd = msgspec.structs.replace(whole, wheel=wheel)
    board, image = drawn(odd, ("wheel", "tyre", "size"))
    assert not board.spots
    assert image != drawn(whole, ("wheel", "tyre", "size"))[1]


def test_every_record_and_table_of_the_model_is_on_a_page() -> None:
    """All a project holds can be changed in this room, but what the other rooms change."""
    from app.describe.pages import PAGES

    elsewhere = {"clearstroke", "loads", "survey"}  # Springs; Measure
    held = {path[0] for page in PAGES for path in page.paths if path}
    names = {m.path[0] for m in tree.members(Project, ()) if isinstance(m, Entry | Group)}
    assert names - held - elsewhere == set()
