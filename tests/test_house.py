"""The house keeps its shape: what import-linter cannot see, and what the guides promise."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent

IMPORT_ALL_OF_KINEMATICS = """
import importlib, pkgutil, sys
import kinematics
for module in pkgutil.walk_packages(kinematics.__path__, "kinematics."):
    importlib.import_module(module.name)
screen = {"PySide6", "shiboken6", "pyqtgraph", "app"} & set(sys.modules)
sys.exit(f"kinematics loaded {sorted(screen)}" if screen else 0)
"""


def test_all_of_kinematics_runs_without_a_screen() -> None:
    """Also where an import hides inside a function's module or comes through a library."""
    result = subprocess.run(
        [sys.executable, "-W", "error", "-c", IMPORT_ALL_OF_KINEMATICS],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert result.returncode == 0, result.stderr


@pytest.mark.parametrize("guide", ["README.md", "DEVELOPERS.md"])
def test_every_path_a_guide_names_is_there(guide: str) -> None:
    text = (ROOT / guide).read_text(encoding="utf-8")
    top = r"(?:app|kinematics|tests|assets|docs|\.setup|\.ci)/"
    named = set(re.findall(rf"(?<![\w/.])({top}[\w./-]*\w/?)", text))
    missing = sorted(path for path in named if not (ROOT / path).exists())
    assert named
    assert not missing, f"{guide} names what is not there: {missing}"


def test_the_script_in_the_readme_runs(monkeypatch, capsys) -> None:
    monkeypatch.chdir(ROOT)
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    scripts = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    assert scripts
    for script in scripts:
        exec(compile(script, "README.md", "exec"), {})
    assert "tower lip" in capsys.readouterr().out


def test_every_shipped_python_file_is_short_enough_to_be_about_one_thing() -> None:
    files = {*(ROOT / "app").rglob("*.py"), *(ROOT / "kinematics").rglob("*.py")}
    long = {
        str(f.relative_to(ROOT)): lines
        for f in files
        if (lines := len(f.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert not long, f"more than 400 lines: {long}"
