"""The guide to springs does what it says: its code is run as it stands."""

import re
from pathlib import Path

import pytest

from app.cli import main

GUIDE = Path(__file__).parents[2] / "docs" / "guide" / "springs.md"


def test_its_code_runs(capsys: pytest.CaptureFixture[str]) -> None:
    code = "\n".join(re.findall(r"```python\n(.*?)```", GUIDE.read_text(encoding="utf-8"), re.S))
    exec(compile(code, "springs.md", "exec"), {})
    said = capsys.readouterr().out
    assert "The car rides at −0.4 of travel." in said
    assert re.search(r"^49 N/mm, 35\d\.\d mm free$", said, re.M)
    assert "bump and braking" in said


def test_its_commands_are_taken(capsys: pytest.CaptureFixture[str]) -> None:
    shown = re.findall(r"^clearstroke (springs [^#\n]*)", GUIDE.read_text(encoding="utf-8"), re.M)
    assert len(shown) == 5
    for words, told in zip(shown[-2:], ("radius arm ball", "275 lb/in"), strict=True):
        assert main(words.split()) == 0
        assert told in capsys.readouterr().out
