from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.project.markings import (
    MarkingError,
    RimSize,
    TyreSize,
    read_bolts,
    read_rim,
    read_tyre,
)


@pytest.mark.parametrize(
    "text",
    [
        "205/50R15",
        "205/50 R 15",
        "205/50 R15",
        "P205/50R15",
        "205/50ZR15",
        "205/50R15 86V",
        "205/50 ZR15 (86W)",
        "205/50R15 86H XL",
        "205/50-15",
        " 205/50r15 ",
        "205/50R15C 104/102T",
    ],
)
def test_tyre_markings_in_all_usual_forms(text: str) -> None:
    assert read_tyre(text) == TyreSize(205.0, 50.0, 15.0)


@pytest.mark.parametrize("text", ["165R13", "165SR13", "165 R 13 82S"])
def test_a_size_without_aspect_is_eighty_per_cent(text: str) -> None:
    assert read_tyre(text) == TyreSize(165.0, 80.0, 13.0)


@pytest.mark.parametrize(
    ("text", "width", "flange", "code", "offset"),
    [
        ("7Jx15 ET25", 7.0, "J", 15.0, 25.0),
        ("7J x 15", 7.0, "J", 15.0, None),
        ("7.5Jx17 ET-10", 7.5, "J", 17.0, -10.0),
        ("7,5 J x 17 ET −10", 7.5, "J", 17.0, -10.0),
        ("6½".replace("½", ".5") + "JJx15H2 ET 38", 6.5, "JJ", 15.0, 38.0),
        ("15x7", 7.0, "J", 15.0, None),
        ("7×15 ET+25", 7.0, "J", 15.0, 25.0),
        ("6.5Jx15 offset 25mm", 6.5, "J", 15.0, 25.0),
        ("5.5Bx13", 5.5, "B", 13.0, None),
    ],
)
def test_rim_markings_in_all_usual_forms(
    text: str, width: float, flange: str, code: float, offset: float | None
) -> None:
    assert read_rim(text) == RimSize(width, flange, code, offset)


@pytest.mark.parametrize("text", ["", "205", "205/50", "205 50 15", "20/50R15", "205/50R15xx"])
def test_unreadable_tyres_say_what_to_write(text: str) -> None:
    with pytest.raises(MarkingError, match=r"205/55R16"):
        read_tyre(text)


def test_absurd_sizes_name_the_figure_and_the_range() -> None:
    with pytest.raises(MarkingError, match=r"rim diameter of 55 in: 10 to 26 in"):
        read_tyre("205/50R55")
    with pytest.raises(MarkingError, match=r"tyre width of 999 mm"):
        read_tyre("999/50R15")
    with pytest.raises(MarkingError, match=r"rim width of 1 in"):
        read_rim("1Jx15")


@pytest.mark.parametrize("text", ["", "7J", "7Jx", "7J15", "7Jx15 ET", "7Lx15", "15x15"])
def test_unreadable_rims_say_what_to_write(text: str) -> None:
    with pytest.raises(MarkingError, match=r"7Jx15 ET25"):
        read_rim(text)


@pytest.mark.parametrize(
    ("text", "count", "circle"),
    [("4x100", 4, 100.0), ("5 x 114,3", 5, 114.3), ("5×112 mm", 5, 112.0), ("5/120", 5, 120.0)],
)
def test_bolt_circles(text: str, count: int, circle: float) -> None:
    assert read_bolts(text) == (count, circle)


@pytest.mark.parametrize("text", ["", "100", "four x 100", "4x", "0x100", "4x900"])
def test_unreadable_bolt_circles_are_refused(text: str) -> None:
    with pytest.raises(MarkingError):
        read_bolts(text)


@given(st.text(max_size=24))
def test_any_text_is_read_or_refused_in_one_sentence(text: str) -> None:
    for reader in (read_tyre, read_rim, read_bolts):
        assert "\n" not in _refusal(reader, text)


def _refusal(reader: Callable[[str], object], text: str) -> str:
    try:
        reader(text)
    except MarkingError as error:
        return str(error)
    return ""
