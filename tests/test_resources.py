"""The shipped typefaces are found, load, and have the features the screen and paper ask of them."""

import pytest

from app.resources import assets

WEIGHTS = {"Regular", "Medium", "SemiBold", "Bold"}


@pytest.fixture(scope="module")
def fonts(app):
    from PySide6.QtGui import QFontDatabase

    loaded = [
        QFontDatabase.addApplicationFont(str(path))
        for path in sorted((assets() / "fonts").glob("*.ttf"))
    ]
    assert len(loaded) == 8
    assert -1 not in loaded
    return QFontDatabase


@pytest.mark.parametrize("family", ["Barlow", "Barlow Semi Condensed"])
def test_each_family_has_its_four_weights(fonts, family) -> None:
    assert {style.replace(" ", "") for style in fonts.styles(family)} >= WEIGHTS


@pytest.mark.parametrize("family", ["Barlow", "Barlow Semi Condensed"])
def test_tabular_figures_are_all_of_one_width(fonts, family) -> None:
    from PySide6.QtGui import QFont, QFontMetricsF

    font = QFont(family, 40)
    font.setFeature(QFont.Tag("tnum"), 1)
    widths = {round(QFontMetricsF(font).horizontalAdvance(digit), 2) for digit in "0123456789"}
    assert len(widths) == 1


def test_the_typefaces_come_with_their_licence() -> None:
    text = (assets() / "fonts" / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
