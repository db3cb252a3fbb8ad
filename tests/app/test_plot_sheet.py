"""Any figure against travel and steer: shown, pulled, compared and written; each file read back."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication, QImage
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from app.document import graphs
from app.paper.graph_page import graph_page
from app.paper.media import image
from app.paper.printing import print_page
from app.plots.sheet import PlotSheet
from kinematics.errors import ClearstrokeError
from kinematics.studies.study import moment
from tests.app.conftest import Driver


@pytest.fixture
def sheet(driver: Driver) -> Iterator[PlotSheet]:
    driver.key(Qt.Key.Key_P)
    sheet = driver.window.actions_.sheet
    assert sheet is not None
    driver.app.processEvents()
    yield sheet
    sheet.set_reference(None)
    sheet.close()
    driver.app.processEvents()


def test_camber_against_travel_is_the_studys(driver: Driver, sheet: PlotSheet) -> None:
    sheet.choose("camber")
    what = sheet.canvas.what
    assert isinstance(what, graphs.Graph)
    main = next(s for s in what.series if s.kind == "main")
    study = driver.document.study
    j = int(np.argmin(np.abs(study.rack)))
    assert np.allclose(main.figure, np.degrees(study.measures.figures["camber"][:, j]))
    assert np.allclose(main.axis, study.travel)
    assert "°" in sheet.reader.text()


def test_ride_height_is_marked_where_the_screen_marks_it(driver: Driver, sheet: PlotSheet) -> None:
    sheet.choose("camber")
    what = sheet.canvas.what
    assert isinstance(what, graphs.Graph)
    (rides,) = [at for at, name in what.marks if name == "ride height"]
    assert [s.travel for s in driver.window.ruler.board.stops if s.label == "ride height"] == [
        rides
    ]
    assert rides == next(f.travel for f in driver.document.study.facts if f.kind == "rides")


def test_every_figure_draws(driver: Driver, sheet: PlotSheet) -> None:
    for k in range(sheet.figures.count()):
        sheet.choose(sheet.figures.itemData(k))
        driver.app.processEvents()
        assert sheet.canvas.what is not None
        seen = sheet.canvas.grab().toImage()
        assert len({seen.pixel(x, seen.height() // 2) for x in range(0, seen.width(), 2)}) > 3


def test_a_figure_is_found_by_a_part_of_its_name(sheet: PlotSheet) -> None:
    sheet.choose("camber")
    line = sheet.figures.lineEdit()
    line.selectAll()
    QTest.keyClicks(line, "motion ra")
    QTest.keyClick(line, Qt.Key.Key_Return)
    assert sheet.figures.currentData() == "motion_ratio"
    assert sheet.canvas.what.choice.title == "Motion ratio"
    line.selectAll()
    QTest.keyClicks(line, "no such thing")
    QTest.keyClick(line, Qt.Key.Key_Return)
    assert sheet.figures.currentData() == "motion_ratio"
    assert line.text() == "Motion ratio"


def test_a_pair_has_its_rule_drawn(driver: Driver, sheet: PlotSheet) -> None:
    key = next(
        k for k in map(sheet.figures.itemData, range(sheet.figures.count()))
        if k.startswith("pair") and "lip" in k and "tyre" in k
    )  # fmt: skip
    sheet.choose(key)
    what = sheet.canvas.what
    assert isinstance(what, graphs.Graph)
    ((rule, words),) = what.choice.guides
    assert words
    driver.app.processEvents()
    canvas = sheet.canvas
    near = QColor(driver.window.theme.palette.near)
    line = _like(canvas, near, canvas.field.spot(rule, 0.0).x())
    assert line.sum() > 0.4 * canvas.field.box.height()  # dashed from end to end
    assert np.flatnonzero(line).max() - np.flatnonzero(line).min() > 0.9 * len(line)
    off = canvas.field.spot(rule, 0.0).x() + 40.0 * driver.window.theme.scale
    assert _like(canvas, near, off).sum() < 0.2 * line.sum()


def _like(canvas: QWidget, ink: QColor, x: float) -> np.ndarray:
    """Down the field at x: where the canvas is painted nearly in a colour, by logical px."""
    image, ratio = canvas.grab().toImage(), canvas.devicePixelRatioF()
    box, wanted = canvas.field.box, np.array(ink.getRgb()[:3])
    rows = range(int(box.top()) + 2, int(box.bottom()) - 1)

    def off(at: float, y: int) -> int:
        seen = image.pixelColor(round(at * ratio), round(y * ratio))
        return int(np.abs(np.array(seen.getRgb()[:3]) - wanted).max())

    seen = [min(off(x + dx, y) for dx in (-1, 0, 1)) for y in rows]
    return np.array(seen) < 60


def test_the_cursor_pulls_the_wheel_and_follows_it(driver: Driver, sheet: PlotSheet) -> None:
    sheet.choose("camber")
    driver.app.processEvents()
    spot = sheet.canvas.field.spot(0.0, 31.0).toPoint()
    QTest.mouseClick(sheet.canvas, Qt.MouseButton.LeftButton, pos=spot)
    assert abs(driver.document.travel - 31.0) < 0.6
    driver.document.set_travel(-20.0)
    assert sheet.canvas.at[0] == -20.0
    assert "20.0" in sheet.reader.text()


def test_before_is_dashed_beside_it(driver: Driver, sheet: PlotSheet) -> None:
    driver.document.keep()
    sheet.choose("toe")
    assert any(s.kind == "before" for s in sheet.canvas.what.series)
    driver.document.keep()
    assert not any(s.kind == "before" for s in sheet.canvas.what.series)


def test_a_reference_comes_from_a_table(driver: Driver, sheet: PlotSheet, tmp_path: Path) -> None:
    path = tmp_path / "bench.csv"
    path.write_text("travel;toe\n-20;0,1\n0;0,0\n20;-0,15\n")
    sheet.choose("toe")
    sheet.set_reference(path)
    curve = next(s for s in sheet.canvas.what.series if s.kind == "reference")
    assert list(curve.axis) == [-20, 0, 20]
    assert list(curve.figure) == [0.1, 0.0, -0.15]
    path.write_text("1,2\n3,what\n")
    with pytest.raises(ClearstrokeError, match="line 2"):
        graphs.read_reference(path)
    path.write_text("travel,toe\n")
    with pytest.raises(ClearstrokeError, match="fewer than two"):
        graphs.read_reference(path)


def test_a_corner_that_does_not_steer_has_no_map(sheet: PlotSheet) -> None:
    sheet.choose("camber", "map")
    assert sheet.canvas.what is None
    assert "doesn't steer" in sheet.note.text()


def test_a_steered_corner_has_curves_over_steer_and_a_map(
    driver: Driver, sheet: PlotSheet, tmp_path: Path
) -> None:
    driver.open("front-wishbones")
    sheet.choose("camber", "steer")
    what = sheet.canvas.what
    assert isinstance(what, graphs.Graph)
    main = next(s for s in what.series if s.kind == "main")
    study = driver.document.study
    assert np.isin(study.rack, main.axis).all()
    for rack in main.axis[::10]:  # between the study's rack positions it is worked out as well
        camber = moment(study, driver.document.travel, float(rack)).measures.figures["camber"]
        at = np.interp(rack, main.axis, main.figure)
        assert at == pytest.approx(float(np.degrees(camber[0, 0])), abs=1e-6)
    sheet.choose("clearance", "steer")
    assert "5 rack positions" in sheet.note.text()
    sheet.choose("camber", "map")
    driver.app.processEvents()
    assert isinstance(sheet.canvas.what, graphs.Map)
    spot = sheet.canvas.field.spot(float(study.rack[-1]) / 2, 20.0).toPoint()
    QTest.mouseClick(sheet.canvas, Qt.MouseButton.LeftButton, pos=spot)
    assert abs(driver.document.travel - 20.0) < 1
    assert abs(driver.document.rack - study.rack[-1] / 2) < 1
    assert sheet.write(tmp_path / "map.csv")
    rows = [
        r
        for r in csv.reader((tmp_path / "map.csv").read_text().splitlines())
        if not r[0].startswith("#")
    ]
    assert len(rows) == 1 + len(study.travel)
    assert np.isclose(
        float(rows[1][1]), np.degrees(study.measures.figures["camber"][0, 0]), rtol=1e-4
    )
    assert sheet.write(tmp_path / "map.png")


def test_each_export_reads_back(driver: Driver, sheet: PlotSheet, tmp_path: Path) -> None:
    sheet.choose("camber")
    for kind in ("png", "svg", "pdf", "csv"):
        assert sheet.write(tmp_path / f"plot.{kind}")
    picture = QImage(str(tmp_path / "plot.png"))
    assert picture.width() == 1800
    assert "amber" in picture.text("Title")
    svg = (tmp_path / "plot.svg").read_text()
    assert "amber" in svg
    assert "<text" not in svg  # outlines: the reader's machine may lack the typeface
    (page,) = PdfReader(tmp_path / "plot.pdf").pages
    assert_says_what_it_is(page.extract_text())
    rows = list(csv.reader((tmp_path / "plot.csv").read_text().splitlines()))
    assert rows[1][0].count("Halfpenny")
    study = driver.document.study
    figures = [r for r in rows[3:] if r[2] == "now"]
    assert len(figures) == len(study.travel)
    assert np.isclose(
        float(figures[0][1]), np.degrees(study.measures.figures["camber"][0, 0]), rtol=1e-4
    )
    assert not sheet.write(tmp_path / "plot.xyz")
    assert "should end in" in sheet.note.text()


def test_copied_and_printed(driver: Driver, sheet: PlotSheet, tmp_path: Path) -> None:
    sheet.choose("camber")
    sheet.copy()
    copied = QGuiApplication.clipboard().image()
    assert copied == image(graph_page(driver.document.study, sheet.canvas.what))
    printer = QPrinter()
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    assert print_page(graph_page(driver.document.study, sheet.canvas.what), printer)
    (page,) = PdfReader(tmp_path / "printed.pdf").pages
    assert page.mediabox.width > page.mediabox.height  # turned, as the plot is
    assert_says_what_it_is(page.extract_text())


def assert_says_what_it_is(words: str) -> None:
    flat = " ".join(words.split())
    for word in ("Camber", "Halfpenny", date.today().isoformat(), "lengths in mm"):
        assert word in flat
