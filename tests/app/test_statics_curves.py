"""Curves of statics in the strips: what they show against what was worked out."""

from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QMenu

from app.document import live, reading
from app.document.graphs import choices
from app.document.statics_curves import statics_curves
from app.document.statics_grids import FORCES, JOINTS, SHAFTS, SPRINGS, statics_grids
from app.paper.export import export
from app.plots.lines import span
from app.plots.strips import HEADER, STRIP
from kinematics.project.files import read
from kinematics.statics.loading import top_force
from kinematics.studies.study import Study, study

from .conftest import Driver


@pytest.fixture(scope="module")
def checked() -> Study:
    project = read(Path("assets/examples/rear-in-trouble.corner.json"))
    return study(project, travel=np.linspace(-80, 79.9, 9))


def test_every_figure_joint_shaft_hose_and_force_can_be_drawn(checked: Study) -> None:
    found = statics_curves(checked, 0)
    groups = {curve.group for curve in found.values()}
    assert groups == {SPRINGS, JOINTS, SHAFTS, FORCES}
    known = checked.statics
    assert set(known.figures) <= set(found)
    force = found["wheel_force"].lines[0].values
    assert force == pytest.approx(known.figures["wheel_force"][:, 0] / 1000.0, nan_ok=True)
    joint = found["joint: top bearing, coilover"]
    assert joint.guides[0][0] == pytest.approx(15.0, abs=0.1)
    assert "drive shaft: plunge" in found
    assert "brake hose: slack" in found
    top = found["force: top mount"]
    row = known.loading.grid.cases.index(top.lines[0].label)
    size = np.linalg.norm(top_force(known.loading.grid, "top bearing")[row], axis=-1) / 1000.0
    assert top.lines[0].values == pytest.approx(size)
    assert "sizes nothing" in top.help
    pull = found["force: lower link"].lines[0].values
    assert (pull > 0).any()
    for curve in found.values():
        low, high = span(curve)
        assert np.isfinite([low, high]).all()
        assert low < high
        assert curve.title[0].isupper()


def test_each_can_be_plotted_by_itself_and_exported(checked: Study, tmp_path: Path) -> None:
    every = choices(checked)
    for grid in statics_grids(checked):
        assert every[grid.key].values.shape == (9, 1)
        assert every[grid.key].unit
    for key, words in (
        ("force: lower link", "Lower link"), ("joint: top bearing, coilover", "Top bearing"),
        ("drive shaft: plunge", "Drive shaft plunge"), ("joints", "Joints"),
        ("brake hose: slack", "Brake hose slack"),
    ):  # fmt: skip
        export(checked, key, tmp_path / "plot.pdf", "in")
        told = " ".join(PdfReader(tmp_path / "plot.pdf").pages[0].extract_text().split())
        assert words in told


def test_springs_stay_on_show_while_the_mount_slides(checked: Study) -> None:
    coarse = live.coarse(checked.setting, checked, 0.0, lambda: False)
    found = statics_curves(coarse, 0)
    assert {"wheel_rate", "stroke_left", "spring_loose"} <= set(found)
    assert {curve.group for curve in found.values()} == {SPRINGS}


def test_a_corner_without_springs_has_no_such_curves() -> None:
    bare = study(read(Path("assets/examples/published-wishbones.corner.json")), travel=[-9, 0, 9])
    groups = {c.group for c in reading.board(bare, 0.0).curves.values()}
    assert SPRINGS not in groups
    assert FORCES not in groups


def test_a_strip_is_chosen_from_its_headings_menu(driver: Driver) -> None:
    strips = driver.window.strips
    s = strips.theme.scale
    spot = QPoint(round(STRIP * s * 1.5), round(HEADER * s / 2))
    before = list(strips.keys)
    QTest.mouseClick(strips, Qt.MouseButton.LeftButton, pos=spot)
    menu = strips.findChild(QMenu)
    assert menu is not None
    springs = next(m for m in menu.findChildren(QMenu) if m.title() == SPRINGS)
    next(a for a in springs.actions() if a.text() == "Wheel rate").trigger()
    menu.close()
    driver.app.processEvents()
    assert strips.shown()[1].key == "wheel_rate"
    # one that is not known for a while keeps its place
    board = strips.board
    bare = reading.Board(
        board.travel, board.low, board.high,
        curves={k: c for k, c in board.curves.items() if k != "wheel_rate"},
    )  # fmt: skip
    strips.show_board(bare)
    assert "wheel_rate" not in [curve.key for curve in strips.shown()]
    strips.show_board(board)
    assert strips.shown()[1].key == "wheel_rate"
    strips.keys = before
