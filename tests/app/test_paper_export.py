"""Plots and report as files, read back: size, words, typefaces, pixels."""

import re
import subprocess
import sys
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from pypdf import PdfReader
from PySide6.QtGui import QImage

from app.examples import find_project
from app.look.palette import LIGHT
from app.paper.export import KINDS, PLOTS, export, page
from app.paper.media import PaperError
from app.version import version
from kinematics.project.files import read
from kinematics.studies.study import study

pytestmark = pytest.mark.usefixtures("app")  # beside a running application, as in the window


@pytest.fixture(scope="module")
def trouble():
    return study(read(find_project("rear-in-trouble")))


@pytest.fixture(scope="module")
def steered():
    return study(read(find_project("front-strut")), travel=np.linspace(-60, 60, 13))


def pixels(path):
    image = QImage(str(path)).convertToFormat(QImage.Format.Format_RGB888)
    flat = np.frombuffer(image.constBits(), np.uint8)
    lines = flat.reshape(image.height(), image.bytesPerLine())[:, : 3 * image.width()]
    return lines.reshape(image.height(), image.width(), 3).astype(int)


def colour(hexed):
    return np.array([int(hexed[i : i + 2], 16) for i in (1, 3, 5)])


def count(drawn, hexed, within=6):
    return int((np.abs(drawn - colour(hexed)).max(axis=2) <= within).sum())


@pytest.mark.parametrize("plot", PLOTS)
def test_every_plot_in_every_kind(trouble, tmp_path, plot):
    for kind in KINDS:
        export(trouble, plot, tmp_path / f"plot.{kind}", "mm")
    made = page(trouble, plot, "mm")
    drawn = pixels(tmp_path / "plot.png")
    assert drawn.shape == (2 * made.high, 2 * made.wide, 3)
    assert count(drawn, LIGHT.ink) > 2000
    assert count(drawn, LIGHT.touch_fill) > 300  # the saw-toothed stretch of the ruler
    assert count(drawn, LIGHT.near_fill) > 300
    root = ElementTree.parse(tmp_path / "plot.svg").getroot()
    assert root.get("viewBox") == f"0 0 {made.wide} {made.high}"
    assert not [e for e in root.iter() if e.tag.endswith("}text")]  # outlines, whole anywhere
    about = "".join(e.text or "" for e in root if e.tag.endswith("}desc"))
    assert_marked(about, trouble)
    (sheet,) = PdfReader(tmp_path / "plot.pdf").pages
    assert float(sheet.mediabox.width) == pytest.approx(made.wide * 0.75, abs=1)
    assert float(sheet.mediabox.height) == pytest.approx(made.high * 0.75, abs=1)
    assert_marked(sheet.extract_text(), trouble)
    assert fonts(sheet)


def fonts(sheet):
    names = [f.get_object()["/BaseFont"] for f in sheet["/Resources"]["/Font"].values()]
    assert all("Barlow" in name for name in names), names
    return names


def assert_marked(words, checked):
    flat = " ".join(words.split())
    for word in (checked.project.title, date.today().isoformat(), version(), "lengths in mm",
                 "invented data"):  # fmt: skip
        assert word in flat


def test_report_is_one_page_with_the_story(trouble, tmp_path):
    export(trouble, "report", tmp_path / "report.pdf", "mm")
    reader = PdfReader(tmp_path / "report.pdf")
    assert len(reader.pages) == 1
    sheet = reader.pages[0]
    assert (float(sheet.mediabox.width), float(sheet.mediabox.height)) == pytest.approx(
        (595, 842), abs=1.5
    )
    words = " ".join(sheet.extract_text().split())
    for part in ("Tyre digs 5.", "into the tower lip", "Spring runs", "calculation error",
                 "Support the car on stands", "qualified engineer", "At set-up height", "Camber",
                 "from the front", "from outside", "from above", "Worst at full bump"):  # fmt: skip
        assert part in words, part
    assert_marked(words, trouble)
    assert len(sheet.images) >= 4  # the four pictures of the corner


def test_steered_corner_names_its_rack_positions(steered, tmp_path):
    export(steered, "camber", tmp_path / "camber.pdf", "in")
    words = " ".join(PdfReader(tmp_path / "camber.pdf").pages[0].extract_text().split())
    assert "straight ahead" in words
    assert "rack −1.57" in words
    assert "lengths in inches" in words


def test_any_figure_can_be_drawn_and_a_wrong_name_is_a_sentence(trouble, tmp_path):
    export(trouble, "roll_centre", tmp_path / "roll.svg", "in", level=20.0)
    assert (tmp_path / "roll.svg").stat().st_size > 1000
    for what, name in (("rol_centre", "x.png"), ("camber", "x.bmp"), ("camber", "x")):
        with pytest.raises(PaperError):
            export(trouble, what, tmp_path / name, "mm")
    assert [p.name for p in tmp_path.iterdir()] == ["roll.svg"]


def test_a_place_that_cannot_be_written_is_a_sentence(trouble, tmp_path):
    for kind in KINDS:
        with pytest.raises(PaperError) as error:
            export(trouble, "camber", tmp_path / "none" / f"x.{kind}", "mm")
        assert "\n" not in str(error.value)


def test_a_failing_drawing_is_an_exception_and_not_a_crash(trouble, tmp_path):
    from app.paper.media import Page, write

    def fails(painter):
        raise ZeroDivisionError

    for kind in KINDS:
        with pytest.raises(ZeroDivisionError):
            write(Page(100, 100, "t", "a", fails), tmp_path / f"x.{kind}")
    assert list(tmp_path.iterdir()) == []


def test_the_curve_is_where_its_figures_are(trouble, tmp_path):
    export(trouble, "camber", tmp_path / "camber.svg", "mm")
    drawn = (tmp_path / "camber.svg").read_text(encoding="utf-8")
    paths = [np.array(re.findall(r"[ML](-?[\d.]+),(-?[\d.]+)", d), float)
             for d in re.findall(r' d="([^"]*)"', drawn)]  # fmt: skip
    (curve,) = [p for p in paths if len(p) == len(trouble.travel)]
    x, y = curve.T
    camber = np.degrees(trouble.measures["camber"][:, 0])
    for px, value, way in ((x, camber, 1), (y, trouble.travel, -1)):
        slope, start = np.polyfit(value, px, 1)
        assert slope * way > 0
        assert np.abs(start + slope * value - px).max() < 0.02


def test_exports_alike_without_any_application(tmp_path):
    code = (
        "from app.examples import find_project; from kinematics.project.files import read;"
        "from kinematics.studies.study import study; from app.paper.export import export;"
        "from pathlib import Path;"
        "s = study(read(find_project('rear-put-right')), travel=[-10, 0, 10]);"
        f"export(s, 'camber', Path({str(tmp_path / 'a.png')!r}), 'mm')"
    )
    root = Path(__file__).parents[2]
    subprocess.run([sys.executable, "-c", code], cwd=root, check=True, timeout=60)
    here = study(read(find_project("rear-put-right")), travel=[-10, 0, 10])
    export(here, "camber", tmp_path / "b.png", "mm")
    a, b = pixels(tmp_path / "a.png"), pixels(tmp_path / "b.png")
    assert (np.abs(a - b).max(axis=2) > 40).mean() < 0.003


def test_lines_have_flat_ends(trouble, tmp_path):
    export(trouble, "camber", tmp_path / "a.svg", "mm")
    groups = ElementTree.parse(tmp_path / "a.svg").iter()
    drawn = [g for g in groups if any(not e.tag.endswith("}g") for e in g)]
    stroked = [g for g in drawn if g.get("stroke", "none") != "none"]
    assert len(stroked) > 20
    assert {g.get("stroke-linecap") for g in stroked} == {"butt"}
