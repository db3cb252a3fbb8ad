"""Whatever leaves the window bears title, project, date and units, and is read back."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog, QMenu

from app import examples
from app.document.reading import board
from app.paper.export import export
from kinematics.project import files
from kinematics.studies.study import Study, study
from tests.app.conftest import Driver

ABOUT = ("Halfpenny", date.today().isoformat(), "lengths in mm")


def table(path: Path) -> tuple[str, str, list[dict[str, str]]]:
    """What it is of, what it says of itself, and its rows."""
    title, about, *lines = path.read_text(encoding="utf-8").splitlines()
    return title, about, list(csv.DictReader(lines))


@pytest.fixture(scope="module")
def checked() -> Study:
    project = files.read(examples.examples()["rear-in-trouble"])
    return study(project, travel=[-40.0, -20.0, 0.0, 20.0, 40.0])


def test_each_curve_of_the_strips_is_in_the_table_written_of_it(
    checked: Study, tmp_path: Path
) -> None:
    curves = board(checked, 0.0).curves
    assert len(curves) > 40
    for key, curve in curves.items():
        path = tmp_path / "curve.csv"
        export(checked, key, path, "mm")
        title, about, rows = table(path)
        assert title.startswith("# "), key
        assert title.endswith("against travel"), key
        assert all(word in about for word in ABOUT), key
        columns = np.array([[_number(cell) for cell in row.values()] for row in rows]).T
        wanted = curve.lines[0].values
        known = np.isfinite(wanted)
        found = [
            np.allclose(column[: len(wanted)][known], size * wanted[known], rtol=1e-4, atol=1e-5)
            for column in columns
            for size in (1.0, 1000.0)  # kN on the strip, N in the table of statics
            if len(column) >= len(wanted)
        ]
        assert any(found) or key == "clearance", key


def test_the_table_of_clearances_has_every_pair_at_every_position(
    checked: Study, tmp_path: Path
) -> None:
    export(checked, "clearance", tmp_path / "gaps.csv", "mm")
    _, _, rows = table(tmp_path / "gaps.csv")
    low = np.where(np.isfinite(checked.clearances.low), checked.clearances.low, np.nan)
    assert len(rows) == low.size
    written = np.array([float(row["clearance_mm"] or "nan") for row in rows])
    assert np.allclose(written, low.transpose(1, 2, 0).ravel(), atol=1e-5, equal_nan=True)
    assert (rows[0]["part_a"], rows[0]["part_b"]) == checked.names[0]


def test_a_figure_of_no_table_is_one_sentence(driver: Driver, tmp_path: Path) -> None:
    assert not driver.window.actions_.exports.write("statics", tmp_path / "springs.csv")
    assert "end the name in .png, .svg or .pdf" in driver.window.notice.words
    assert not list(tmp_path.iterdir())
    driver.window.notice.put_away()


def test_a_picture_of_the_corner_says_what_it_is_of(driver: Driver, tmp_path: Path) -> None:
    exports = driver.window.actions_.exports
    driver.document.set_travel(20.0)
    assert exports.write("picture", tmp_path / "corner.png")
    exports.copy()
    for picture in (QImage(str(tmp_path / "corner.png")), QGuiApplication.clipboard().image()):
        assert picture.size() == driver.stage.size()
        assert len({picture.pixel(x, 400) for x in range(picture.width())}) > 40
        assert picture.text("Title").endswith("travel +20.0")
        assert all(word in picture.text("Description") for word in ABOUT)
    driver.window.notice.put_away()


def test_the_report_is_printed_as_it_is_written(
    driver: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "printed.pdf"

    def into_a_file(dialog: QPrintDialog) -> QPrintDialog.DialogCode:
        dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        dialog.printer().setOutputFileName(str(path))
        return QPrintDialog.DialogCode.Accepted

    monkeypatch.setattr(QPrintDialog, "exec", into_a_file)
    driver.window.actions_.exports.print_report()
    (page,) = PdfReader(path).pages
    assert page.mediabox.height > page.mediabox.width
    words = " ".join(page.extract_text().split())
    assert "Tyre digs" in words
    assert all(word in words for word in ABOUT)


def test_ctrl_e_offers_it_and_a_name_without_ending_gets_the_kind_chosen(
    driver: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = driver.window
    monkeypatch.setattr(
        QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "map"), "Page (*.pdf)")
    )
    window.activateWindow()
    assert QTest.qWaitForWindowActive(window)
    driver.key(Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    menu = next(m for m in window.findChildren(QMenu) if m.isVisible())
    try:
        offered = {action.text(): action for action in menu.actions()}
        assert {"Plot of", "Print the report…", "Copy the picture"} <= set(offered)
        offered["Report, one page…"].trigger()
    finally:
        menu.close()
    words = " ".join(PdfReader(tmp_path / "map.pdf").pages[0].extract_text().split())
    assert all(word in words for word in ABOUT)
    window.notice.put_away()


def _number(cell: str) -> float:
    try:
        return float(cell)
    except ValueError:
        return float("nan")
