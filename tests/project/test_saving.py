"""Saving is all or nothing, whatever moment the power goes."""

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from msgspec.structs import replace

from kinematics.errors import ProjectError
from kinematics.project.files import BACKUP, loads, read, write
from tests.project.corners import WISHBONES

_LOOP = """
import sys
from msgspec.structs import replace
from kinematics.project.files import read, write
path = sys.argv[1]
project = read(path)
print("ready", flush=True)
for count in range(10**9):
    write(replace(project, title=f"save {count} " + "x" * (count % 7000)), path)
"""


def test_the_version_before_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "a.corner.json"
    first = loads(json.dumps(WISHBONES).encode())
    second = replace(first, title="second")
    write(first, path)
    assert [p.name for p in tmp_path.iterdir()] == [path.name]
    write(second, path)
    assert read(path) == second
    assert read(path.with_name(path.name + BACKUP)) == first
    assert len(list(tmp_path.iterdir())) == 2


def test_leftovers_of_a_crash_are_cleared(tmp_path: Path) -> None:
    path = tmp_path / "a.corner.json"
    orphan = tmp_path / f".{path.name}.0011aabb.saving"
    other = tmp_path / ".b.corner.json.0011aabb.saving"
    fresh = tmp_path / f".{path.name}.2233ccdd.saving"
    for leftover in (orphan, other, fresh):
        leftover.write_text("half")
        if leftover is not fresh:
            os.utime(leftover, (0, 0))
    write(loads(json.dumps(WISHBONES).encode()), path)
    assert not orphan.exists()
    assert other.exists()
    assert fresh.exists()  # another window may be writing it


def test_a_folder_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(ProjectError, match="can't be saved: there is no such file or folder"):
        write(loads(json.dumps(WISHBONES).encode()), tmp_path / "no" / "a.corner.json")


def test_a_link_is_followed(tmp_path: Path) -> None:
    real, link = tmp_path / "real.corner.json", tmp_path / "link.corner.json"
    project = loads(json.dumps(WISHBONES).encode())
    write(project, real)
    link.symlink_to(real)
    write(replace(project, title="through the link"), link)
    assert link.is_symlink()
    assert read(real).title == "through the link"


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="needs kill -9")
def test_killed_while_saving_the_file_is_always_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.corner.json"
    write(loads(json.dumps(WISHBONES).encode()), path)
    chance = random.Random(1)
    for _ in range(6):
        child = subprocess.Popen(
            [sys.executable, "-c", _LOOP, str(path)], stdout=subprocess.PIPE, cwd=os.getcwd()
        )
        assert child.stdout is not None
        child.stdout.readline()
        time.sleep(chance.uniform(0.01, 0.1))
        child.kill()
        child.wait()
        child.stdout.close()
        assert read(path).title.startswith(("save", "test"))
        backup = path.with_name(path.name + BACKUP)
        if backup.exists():
            assert read(backup)
    for leftover in tmp_path.glob(".*"):
        os.utime(leftover, (0, 0))
    write(read(path), path)
    assert len(list(tmp_path.iterdir())) == 2
