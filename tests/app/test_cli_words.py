"""The grammar of the command line: ranges, spaced minus signs, sentences for bad input."""

from types import SimpleNamespace

import numpy as np
import pytest

from app.cli import main, spaced, with_command
from app.commands.check import positions
from kinematics.errors import EntryError
from kinematics.studies import best


def test_a_range_may_begin_with_a_minus_after_a_space():
    assert spaced(["check", "f", "--travel", "-60:60:25"]) == ["check", "f", "--travel=-60:60:25"]
    assert spaced(["--steer", "-5"]) == ["--steer=-5"]
    assert spaced(["--travel", "--json"]) == ["--travel", "--json"]
    assert spaced(["--out", "-60:60:25"]) == ["--out", "-60:60:25"]


def test_no_command_opens_the_window():
    assert with_command([]) == ["open"]
    assert with_command(["my.corner.json"]) == ["open", "my.corner.json"]
    assert with_command(["check", "x.corner.json"]) == ["check", "x.corner.json"]


def test_ranges():
    np.testing.assert_allclose(positions("-60:60:25", "travel"), np.linspace(-60, 60, 25))
    np.testing.assert_allclose(positions("-2in:2in:3", "travel"), [-50.8, 0, 50.8])
    np.testing.assert_allclose(positions("12.5", "travel"), [12.5])
    np.testing.assert_allclose(positions("60:-60:3", "travel"), [60, 0, -60])
    assert positions("5:5:1", "steer").tolist() == [5]
    assert len(positions("-60:60", "travel")) == 161
    assert positions(None, "travel") is None


@pytest.mark.parametrize(
    "words",
    ["", "a:b:c", "1:2:3:4", "1:2:0", "1:2:-3", "1:2:1.5", "1:2:1e9", "nan:1:3", "1:inf:3",
     "1:2:1", ":", "::", "1:2:²", "1:2:99999", "9**9:1:2"],
)  # fmt: skip
def test_a_bad_range_is_one_sentence(words):
    with pytest.raises(EntryError) as error:
        positions(words, "travel")
    message = str(error.value)
    assert "\n" not in message
    assert "--travel" in message
    assert message.endswith((".", "88.9."))


def test_unknown_words_are_one_sentence_and_code_2(capsys):
    for words in (["chekc"], ["check"], ["check", "a", "--travle", "3"], ["--nope"],
                  ["check", "a", "--units", "furlong"]):  # fmt: skip
        with pytest.raises(SystemExit) as stop:
            main(words)
        assert stop.value.code == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.count("\n") == 1
        assert "--help" in said.err


def test_help_says_what_there_is(capsys):
    for words, has in (
        (["--help"], ("check", "examples", "open", "exit codes")),
        (["check", "--help"], ("--travel", "--steer", "--out", "--units", "mm")),
    ):
        with pytest.raises(SystemExit) as stop:
            main(words)
        assert stop.value.code == 0
        said = capsys.readouterr().out
        assert all(word in said for word in has)
        assert max(map(len, said.splitlines())) <= 100


def test_version(capsys):
    with pytest.raises(SystemExit):
        main(["--version"])
    assert capsys.readouterr().out.startswith("clearstroke ")


@pytest.mark.parametrize(
    ("units", "told"),
    [
        ("mm", ("tower.outer: −12.70 mm", "−5.1 mm before, 2.5 mm now, tyre to tower.")),
        ("in", ("tower.outer: −0.500 in", "−0.200 in before, 0.100 in now, tyre to tower.")),
    ],
)
def test_a_search_is_told_in_the_units_asked_for(capsys, monkeypatch, units, told):
    def found(project, *_, **__):
        return SimpleNamespace(
            amounts={"tower.outer": -12.7}, before=-5.08, after=2.54,
            tightest=("tyre", "tower"), project=project,
        )  # fmt: skip

    monkeypatch.setattr(best, "best_of", found)
    over = ["--over", "tower.outer:-20:0", "--units", units]
    assert main(["search", "rear-in-trouble", *over]) == 0
    out = capsys.readouterr().out
    assert all(words in out for words in told)
