"""``clearstroke springs``: the words, the numbers, the refusals."""

import json
import re

import pytest

from app.cli import main
from tests.metric import metric_words


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(["springs", *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_whole_story_of_the_corner_in_trouble(capsys) -> None:
    code, out, _ = said(capsys, "rear-in-trouble", "--joints", "--forces", "--bump-share", "55%")
    assert code == 0
    for words in (
        "eye centre to eye centre, spring and bump stop off",
        "The car rides at −0.4 of travel.",
        "The bump stop meets at +44.9 and ends bump at +79.9, 22.0 mm left before the damper",
        "Also left there: 50.2 mm of spring before it is coil-bound, 17.8 mm above its",
        "At full droop the spring is still squashed 5.0 mm",
        "From 46 to 53 N/mm both ends suit",
        "For 55% of the travel in bump, move the top bearing up",
        "radius arm ball, twist",
        "common practice, no source",
        "This sizes nothing",
    ):
        assert words in out
    assert max(len(line) for line in out.splitlines()) <= 105


def test_a_wanted_height_and_rates_as_data(capsys) -> None:
    code, out, _ = said(capsys, "rear-in-trouble", "--ride-at", "10", "--rates", "48, 90", "--json")
    found = json.loads(out)
    assert code == 0
    assert found["springs"]["ride_mm"] == 10.0
    assert [c["rate_n_per_mm"] for c in found["springs"]["choices"]] == [48.0, 90.0]
    assert not found["springs"]["choices"][1]["suits"]
    assert {j["point"] for j in found["joints"]} >= {"top bearing", "coilover foot"}
    assert any(fact["kind"] == "rides" for fact in found["facts"])


def test_an_inch_builder_buys_by_the_pound(capsys) -> None:
    words = ("--units", "in", "--joints", "--forces", "--bump-share", "55")
    _, out, _ = said(capsys, "rear-in-trouble", *words)
    assert not metric_words(out)
    assert "From 259 to 307 lb/in both ends suit" in out  # 45.3 to 53.9 N/mm
    rates = [float(rate) for rate in re.findall(r"^ +(\d+) lb/in", out, re.M)]
    assert len(rates) > 4
    assert all(rate % 25 == 0 for rate in rates)
    _, out, _ = said(capsys, "rear-in-trouble", "--units", "in", "--rates", "285 lb/in, 50")
    assert re.findall(r"^ +(\d+) lb/in", out, re.M) == ["285", "286"]


def test_riding_lower_takes_winding_the_seat_down(capsys) -> None:
    _, out, _ = said(capsys, "rear-in-trouble", "--ride-at", "0.5in")
    assert "To ride at +12.7 on this spring: wind its seat down by" in out


def test_another_damper(capsys) -> None:
    code, out, _ = said(capsys, "rear-in-trouble", "--open", "480", "--closed", "360")
    assert code == 0
    assert "The damper is fully open at −36" in out
    assert "120 mm stroke" in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--bump-share", "120"], "between 0 and 1"),
        (["--bump-share", "many"], '--bump-share should be a number above 0; "many" is not.'),
        (["--ride-at", "95"], "It can't ride at 95 mm"),
        (["--rates", "40,x"], '"x" is not a spring rate. Try 50 N/mm or 285 lb/in.'),
        (["--rates", "40,-2"], '--rates should be above 0; "40,-2" is not.'),
        (["--open", "300"], "longer pulled right out"),
    ],
)
def test_what_makes_no_sense_is_one_sentence(capsys, words: list[str], told: str) -> None:
    code, _, err = said(capsys, "rear-in-trouble", *words)
    assert code == 2
    assert told in err
    assert err.count("\n") == 1


def test_a_corner_without_springs(capsys) -> None:
    code, out, _ = said(capsys, "published-wishbones")
    assert code == 0
    assert "This corner has no spring" in out
    code, _, err = said(capsys, "published-wishbones", "--open", "500")
    assert code == 2
    assert "has none" in err


def test_a_limit_that_is_passed_fails(capsys, tmp_path) -> None:
    with open("assets/examples/rear-in-trouble.corner.json", encoding="utf-8") as file:
        data = json.load(file)
    data["coilover"]["spring"]["free"] = 330
    path = tmp_path / "loose.corner.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    code, out, _ = said(capsys, str(path))
    assert code == 1
    assert "LIMIT    The spring hangs loose by" in out
