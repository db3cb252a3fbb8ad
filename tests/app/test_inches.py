"""A builder who chose inches meets no metric unit: in the window, on paper or in a table.

Let pass: what the builder wrote himself, markings of tyres and rims, sizes that are sold in mm with
inches beside them, and what is said of mm for their own sake.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.document.graphs import choices, graph, table
from app.document.reading import board
from app.document.statics_grids import statics_grids
from app.examples import find_project
from app.paper import export, folder
from app.paper.graph_page import graph_page
from app.paper.media import Page, image
from app.paper.screen import screen
from kinematics.findings.statics import say_fact
from kinematics.findings.words import say
from kinematics.project.files import read
from kinematics.studies.study import Study, study
from tests.app.conftest import Driver
from tests.metric import metric_columns, metric_words

LBF, INCH = 4.4482216152605, 25.4
OWN = ("to the bracket's 8 mm plate",)  # a note of the example's builder
BESIDE = re.compile(r"[\d.]+ mm \([\d.]+ in\)")


def left(words: str) -> list[str]:
    """Metric units that should not be there."""
    if words in OWN:
        return []
    return metric_words(BESIDE.sub("", words))


@pytest.fixture
def painted(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Every word that is painted."""
    seen: set[str] = set()
    really = QPainter.drawText

    def tell(painter: QPainter, *what: object) -> object:
        seen.update(each for each in what if isinstance(each, str))
        return really(painter, *what)  # type: ignore[call-overload]

    monkeypatch.setattr(QPainter, "drawText", tell)
    return seen


@pytest.fixture(scope="module", params=["rear-in-trouble", "front-strut"])
def checked(request: pytest.FixtureRequest) -> Study:
    project = msgspec.structs.replace(read(find_project(request.param)), units="in")
    return study(project, travel=np.linspace(-50.0, 50.0, 5), rack=None)


def draw(page: Page) -> None:
    image(page)


def test_every_sheet(checked: Study, painted: set[str], app: QApplication) -> None:
    statics = [g.key for g in statics_grids(checked, "in")]
    figures = [*export.PLOTS, "bump_steer", "trail", *statics]
    for what in ("report", "statics", *dict.fromkeys(figures)):
        draw(export.page(checked, what, "in"))
    for key in choices(checked):
        draw(graph_page(checked, graph(checked, key, "travel", 0.0, 0.0)))
    assert [said for words in painted for said in left(words)] == []
    for word in ("lb/in", "lbf"):
        assert any(word in words for words in painted)


def test_every_sentence_and_curve(checked: Study) -> None:
    said = [say(f, "in") for f in checked.findings] + [say_fact(f, "in") for f in checked.facts]
    said += screen(checked, "in").splitlines()
    curves = board(checked, 0.0).curves.values()
    said += [f"{c.title} 1 {c.unit} {' '.join(word for _, word in c.guides)}" for c in curves]
    assert len(said) > 60
    assert [each for words in said for each in left(words)] == []


def test_every_table(checked: Study) -> None:
    """Heads name no metric unit, and the figures are those in mm and N converted."""
    for _, fill in folder.TABLES.values():
        metric, inches = (_filled(fill, checked, units) for units in ("mm", "in"))
        assert metric_columns(inches[0]) == []
        for column, (was, name) in enumerate(zip(metric[0], inches[0], strict=True)):
            size = _size(was, name)
            for old, new in zip(metric[1:], inches[1:], strict=True):
                if size is None:
                    assert old[column] == new[column]
                elif old[column]:
                    expected = pytest.approx(float(old[column]) / size, abs=2e-6 / size + 1e-6)
                    assert float(new[column]) == expected, name
    heads = [table(graph(checked, key, "travel", 0.0, 0.0))[0] for key in choices(checked)]
    assert [each for head in heads for cell in head for each in left(cell)] == []


SIZES = {
    ("_deg_per_mm", "_deg_per_in"): 1 / INCH, ("_n_per_mm", "_lb_per_in"): LBF / INCH,
    ("_mm", "_in"): INCH, ("_n", "_lbf"): LBF,
}  # fmt: skip


def _size(metric: str, inch: str) -> float | None:
    """How much of the metric column's unit the other's is; None where both are the same."""
    if metric == inch:
        return None
    return next(
        size for (a, b), size in SIZES.items()
        if metric.endswith(a) and metric.removesuffix(a) == inch.removesuffix(b)
    )  # fmt: skip


def _filled(fill: Callable[..., None], checked: Study, units: str) -> list[list[str]]:
    out = io.StringIO()
    fill(checked, out, units)
    return [*csv.reader(io.StringIO(out.getvalue()))]


def _told(window: QWidget) -> set[str]:
    """What every visible widget says, shows or tells a screen reader."""
    said: set[str] = set()
    asks = ("text", "placeholderText", "toolTip", "currentText", "accessibleName",
            "accessibleDescription")  # fmt: skip
    for widget in window.findChildren(QWidget):
        if widget.isVisible():
            said.update(getattr(widget, ask)() for ask in asks if hasattr(widget, ask))
    return said


def test_every_room_of_the_window(driver: Driver, painted: set[str]) -> None:
    window, document = driver.window, driver.document
    document.edit(msgspec.structs.replace(document.project, units="in"), "inches")
    driver.settle()
    painted.clear()
    said: set[str] = set()

    def look() -> None:
        driver.app.processEvents()
        window.grab()
        said.update(_told(window))

    try:
        for room in ("Move", "Measure", "Mount", "Springs"):
            window.enter(room)
            look()
        for word in window.statics.buttons:
            window.statics.enter(word)
            look()
        window.enter("Describe")
        for word in window.describe.words:
            window.describe.go(word)
            look()
        assert {words for words in painted | said if left(words)} == set()
        assert any("lb/in" in words for words in said | painted)
        assert any(words.endswith(" lbf") for words in painted)
    finally:
        window.enter("Move")
        document.stack.undo()


def _typed(driver: Driver, field: QWidget, words: str) -> str:
    """Type into a field and return what it shows then."""
    field.setFocus()
    QTest.keyClick(field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(field, words)
    QTest.keyClick(field, Qt.Key.Key_Return)
    driver.app.processEvents()
    return field.text()


def test_a_field_takes_either_system_whatever_is_shown(driver: Driver) -> None:
    window, document = driver.window, driver.document
    rate = ("coilover", "spring", "rate_n_per_mm")
    try:
        window.enter("Describe")
        window.describe.go("Damper")
        field = window.describe.fields[rate]
        assert field.text() == "50 N/mm"
        assert _typed(driver, field, "285 lb/in") == "49.91 N/mm"
        assert document.project.coilover.spring.rate_n_per_mm == pytest.approx(285 * LBF / INCH)
        assert _typed(driver, field, "1/2 * 90") == "45 N/mm"
        document.edit(msgspec.structs.replace(document.project, units="in"), "inches")
        driver.app.processEvents()
        field = window.describe.fields[rate]
        assert _typed(driver, field, "280") == "280 lb/in"
        QTest.keyClick(field, Qt.Key.Key_Up)
        assert field.text() == "281 lb/in"
        QTest.keyClick(field, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
        assert field.text() == "271 lb/in"
        assert document.project.coilover.spring.rate_n_per_mm == pytest.approx(271 * LBF / INCH)
        assert _typed(driver, field, "50 N/mm") == "285.5 lb/in"
        assert _typed(driver, field, "50 kg") == "50 kg"
        assert "not a unit for a spring rate" in field.error
        field.give_up()
        window.enter("Springs")
        window.statics.enter("Forces")
        weight = window.statics.pages["Forces"].corner.fields["corner_kg"]
        assert weight.text() == "701.1 lb"
        assert _typed(driver, weight, "660") == "660 lb"
        assert document.project.loads.corner_kg == pytest.approx(660 * 0.45359237)
        assert _typed(driver, weight, "310 kg") == "683.4 lb"
        assert document.project.loads.corner_kg == pytest.approx(310)
    finally:
        while document.stack.canUndo():
            document.stack.undo()
        window.enter("Move")
