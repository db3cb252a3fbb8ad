"""Lengths, angles and numbers as typed. One inch is exactly 25.4 mm (agreement of 1959)."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kinematics.errors import ClearstrokeError, EntryError
from kinematics.units import (
    LONGEST,
    Quantity,
    read_degrees,
    read_length,
    read_number,
    read_quantity,
)


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


RATE = 4.4482216152605 / 25.4  # N/mm in one lb/in, from the two exact definitions


@pytest.mark.parametrize(
    ("text", "quantity", "bare_metric", "bare_imperial"),
    [
        ("450 lb/in", "force_per_length", 450 * RATE, 450 * RATE),
        ("450 lbf / in", "force_per_length", 450 * RATE, 450 * RATE),
        ("450 LBS/IN", "force_per_length", 450 * RATE, 450 * RATE),
        ("450 lb", "force_per_length", 450 * RATE, 450 * RATE),
        ("80 N/mm", "force_per_length", 80, 80),
        ("80", "force_per_length", 80, 80 * RATE),
        ("8 kg/mm", "force_per_length", 78.4532, 78.4532),  # 8 times standard gravity
        ("50,5 kN/m", "force_per_length", 50.5, 50.5),
        ("450 lb/in / 2", "force_per_length", 225 * RATE, 225 * RATE),
        ("(400 + 50) * 1 lb/in", "force_per_length", 450 * RATE, 450 * RATE),
        ("80 N/mm + 10", "force_per_length", 90, 80 + 10 * RATE),
        ("1 1/2", "force_per_length", 1.5, 1.5 * RATE),
        ("300 kg", "mass", 300, 300),
        ("660 lb", "mass", 299.3709642, 299.3709642),
        ("660", "mass", 660, 299.3709642),
        ("600 lbs + 10 kg", "mass", 282.155422, 282.155422),
        ("100 lb", "force", 444.82216152605, 444.82216152605),
        ("0.5 kN", "force", 500, 500),
        ("100", "force", 100, 444.82216152605),
        ("80 GPa", "modulus", 80_000, 80_000),
        ("78500 N/mm²", "modulus", 78_500, 78_500),
        ("78500 n/mm^2", "modulus", 78_500, 78_500),
    ],
)
def test_either_systems_units_are_read_in_any_field(
    text: str, quantity: Quantity, bare_metric: float, bare_imperial: float
) -> None:
    assert read_quantity(text, quantity, "mm") == pytest.approx(bare_metric, rel=1e-12)
    assert read_quantity(text, quantity, "in") == pytest.approx(bare_imperial, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "quantity", "part"),
    [
        ("450 N", "force_per_length", "not a unit for a spring rate: use N/mm, N/m, kgf/mm, lb/in"),
        ("450 lb/in²", "force_per_length", "in²"),
        ("450 lb/inn", "force_per_length", "inn"),
        ("3 lb/in * 2 N/mm", "force_per_length", "multiplies a spring rate by another"),
        ("soft", "force_per_length", "is not a spring rate. Try 50 N/mm or 285 lb/in."),
        ("300 N", "mass", "not a unit for a weight: use kg, lb"),
        ("300 mm", "force", "not a unit for a force: use N, kN, lbf, kgf"),
    ],
)
def test_what_is_not_such_a_quantity_is_refused(text: str, quantity: Quantity, part: str) -> None:
    with pytest.raises(EntryError) as caught:
        read_quantity(text, quantity, "in")
    assert part in str(caught.value)
