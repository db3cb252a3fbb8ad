"""Lengths, angles and numbers as typed. One inch is exactly 25.4 mm (agreement of 1959)."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.errors import ClearstrokeError, EntryError
from kinematics.units import LONGEST, read_degrees, read_length, read_number


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("80 + 25.4", 105.4),
        ("3 1/4 in", 82.55),
        ("88,9", 88.9),
        (",5", 0.5),
        ("0,125", 0.125),
        ("12.", 12),
        ("3' 2 1/2\"", 977.9),
        ("3ft 2.5in", 977.9),
        ("3' 2", 965.2),
        ("3′ 2 ½″", 977.9),
        ("3' - 2", 912.4),
        ("1/4 in", 6.35),
        ("1 / 4 in", 6.35),
        ('3½"', 88.9),
        ("−3 1/4 in", -82.55),
        ("--3", 3),
        ("2 × 3 in ÷ 4", 38.1),
        ("(80 + 1 in) * 2", 210.8),
        ("12/3/2", 2),
        ("12/3/1/2", 2),
        ("10 - 6/2", 7),
        ("1 5/8 in - 3 mm", 38.275),
        ("100 in / 2 in", 50),
        ("1 m - 2 cm", 980),
        ("3 Inches", 76.2),
    ],
)
def test_reads_what_a_workshop_writes(text: str, mm: float) -> None:
    assert read_length(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "mm"), [("3 1/4", 82.55), ("3 1/4 in", 82.55), ("80 mm", 80), ("1 + 10 mm", 35.4)]
)
def test_bare_numbers_take_the_fields_unit(text: str, mm: float) -> None:
    assert read_length(text, "in") == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("3 1/", '"3 1/" isn\'t finished. Try 3 1/2 in or 88.9.'),
        ("3 +", "isn't finished"),
        ("", "Nothing is typed"),
        ("  \n ", "Nothing is typed"),
        ("1,234", "1.234 or 1234"),
        ("3'-2\"", "dash"),
        ("3-1/4 in", "3 1/… or 3 - 1/…"),
        ("5 5", "side by side"),
        ("1 m 20 cm", "side by side"),
        ("3' 2 mm", "side by side"),
        ("3 x", '"3 x" has "x" in it, which is not a unit for a length'),
        ("1e400", "not a unit"),
        ("nan", '"nan" is not a length. Try 3 1/2 in or 88.9.'),
        ("__import__", "can't be read"),
        ("9**9**9", "number is expected"),
        ("1/0", "zero"),
        ("1 1/0 in", "zero"),
        ("1/(2-2)", "zero"),
        ("2 in * 3 in", "multiplies"),
        ("10 / 3 in - 1 / 2.5 in", "divides a bare number"),
        ("3 mm mm", "expected"),
        ("3.5.2", "more than one point"),
        ("1.234,5", "more than one point"),
        ("(3", "not closed"),
        ("3)", "not opened"),
        ("9" * 60, "too big"),
        ("9" * (LONGEST + 1), "too long"),
        ("-" * 70 + "1", "too many"),
        ("(" * 70 + "1", "too many"),
        ("3;", "can't be read"),
    ],
)
def test_refuses_in_one_sentence_what_it_cannot_read(text: str, part: str) -> None:
    with pytest.raises(EntryError) as caught:
        read_length(text)
    message = str(caught.value)
    assert part in message
    assert "\n" not in message
    assert isinstance(caught.value, ClearstrokeError)


def test_a_long_entry_is_refused_at_once() -> None:
    with pytest.raises(EntryError):
        read_length("-" * 100_000 + "1")


def test_reads_degrees_and_minutes() -> None:
    assert read_degrees("-1° 30'") == pytest.approx(-1.5)
    assert read_degrees("1 deg") == 1
    assert read_degrees("-0,5") == -0.5
    assert read_degrees("20'") == pytest.approx(1 / 3)
    with pytest.raises(EntryError, match="not a unit for an angle"):
        read_degrees("3 mm")


def test_reads_plain_numbers() -> None:
    assert read_number("50/2 + 1,5") == 26.5
    with pytest.raises(EntryError, match='has "mm" in it: only a number goes here'):
        read_number("50 mm")


def _number_or_sentence(text: str) -> bool:
    try:
        return math.isfinite(read_length(text))
    except EntryError as error:
        return "\n" not in str(error)


@given(st.text(max_size=30))
def test_any_text_gives_a_number_or_a_sentence(text: str) -> None:
    assert _number_or_sentence(text)


@given(st.text(alphabet="0123456789.,+-*/() '\"inmft½", max_size=24))
def test_near_misses_give_a_number_or_a_sentence(text: str) -> None:
    assert _number_or_sentence(text)


@st.composite
def _sums(draw: st.DrawFn, depth: int = 2) -> tuple[str, Fraction]:
    """An arithmetic text with the exact value that a fraction library gives it."""
    if depth == 0 or draw(st.booleans()):
        whole, top = draw(st.integers(0, 999)), draw(st.integers(1, 15))
        form = draw(st.sampled_from(["whole", "decimal", "comma", "mixed"]))
        if form == "mixed":
            return f"{whole} {top}/16", whole + Fraction(top, 16)
        if form == "whole":
            return str(whole), Fraction(whole)
        mark = "." if form == "decimal" else ","
        return f"{whole}{mark}{top:02d}", whole + Fraction(top, 100)
    left, a = draw(_sums(depth - 1))
    right, b = draw(_sums(depth - 1))
    sign = draw(st.sampled_from("+-*"))
    value = {"+": a + b, "-": a - b, "*": a * b}[sign]
    return f"({left} {sign} {right})", value


@given(_sums())
def test_arithmetic_agrees_with_exact_fractions(case: tuple[str, Fraction]) -> None:
    text, exact = case
    if abs(exact) < 1_000_000:
        assert read_length(text) == pytest.approx(float(exact), rel=1e-12, abs=1e-9)
