"""What is kept of compiled code: good while no source of its package has changed, and no longer."""

from __future__ import annotations

import ast
import importlib
import shutil
import sys
from pathlib import Path

import numpy as np
import pytest

KERNEL = Path(__file__).resolve().parents[2] / "kinematics" / "clearance" / "kernel"
CALLEE = "from standin.compiled import inner\n\n\n@inner\ndef factor():\n    return {}\n"
CALLER = """
from numba import types
from standin.callee import factor
from standin.compiled import F1, entry


@entry(types.void(F1))
def run(out):
    out[0] = factor()
"""


@pytest.fixture
def standin(tmp_path, monkeypatch):
    """A small package compiled and kept by the kernel's own means, its cache beside it."""
    home = tmp_path / "standin"
    home.mkdir()
    (home / "__init__.py").touch()
    (home / "caller.py").write_text(CALLER)
    (home / "callee.py").write_text(CALLEE.format(2.0))
    shutil.copy(KERNEL / "compiled.py", home)
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(sys, "dont_write_bytecode", True)  # two edits within a second
    monkeypatch.setattr("numba.config.CACHE_DIR", "")
    yield home
    forget()


def forget():
    for name in [name for name in sys.modules if name.split(".")[0] == "standin"]:
        del sys.modules[name]


def run():
    """What the entry gives in a fresh start, and whether it was compiled for it."""
    forget()
    importlib.invalidate_caches()
    entry = importlib.import_module("standin.caller").run
    out = np.zeros(1)
    entry(out)
    stats = entry.load().stats
    return out[0], not stats.cache_hits


def test_an_edit_in_a_callees_file_reaches_its_callers(standin):
    assert run() == (2.0, True)
    assert run() == (2.0, False)
    (standin / "callee.py").write_text(CALLEE.format(3.0))
    assert run() == (3.0, True)
    assert run() == (3.0, False)
    assert len(list(standin.rglob("*.nbc"))) == 1  # and the old one is gone


def test_where_the_cache_is_said_to_be_it_is_kept(standin, tmp_path, monkeypatch):
    monkeypatch.setattr("numba.config.CACHE_DIR", str(tmp_path / "cache"))
    assert run() == (2.0, True)
    assert run() == (2.0, False)
    assert list((tmp_path / "cache").rglob("*.nbc"))
    assert not list(standin.rglob("*.nbc"))


def test_where_nothing_can_be_written_it_runs_all_the_same(standin, tmp_path, monkeypatch):
    """Whoever runs the tests: a file stands where each folder would be made."""
    (standin / "__pycache__").touch()
    nowhere = tmp_path / "nowhere"
    nowhere.touch()
    for name in ("HOME", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(nowhere))
    assert run() == (2.0, True)
    assert run() == (2.0, True)


def test_all_that_the_kernel_calls_stands_in_its_package():
    """Else a change outside would go unseen."""
    allowed = {"math", "numpy", "numba"}
    for path in KERNEL.rglob("*.py"):
        assert path.parent == KERNEL
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module]
            else:
                continue
            for name in names:
                own = name.startswith("kinematics.clearance.kernel.")
                assert own or name in allowed or path.name == "compiled.py", f"{path.name}: {name}"
