"""Unsaved work kept aside, so that a crash or a pulled plug loses nothing.

A project with unsaved changes is written beside the user's settings under the number of the
process that has it open, and taken away when it is saved or left on purpose. What is found there
from a process that no longer runs is offered at the next start.
"""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

from PySide6.QtCore import QStandardPaths

from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.model import Project

SUFFIX = ".unsaved.json"


def folder() -> Path:
    """Where unsaved work is kept."""
    place = QStandardPaths.StandardLocation.AppDataLocation
    return Path(QStandardPaths.writableLocation(place)) / "unsaved"


def _mine() -> Path:
    return folder() / f"{os.getpid()}{SUFFIX}"


def keep(project: Project, unfinished: Project | None = None) -> None:
    """Write unsaved work aside; failing to is no reason to disturb the work itself."""
    with contextlib.suppress(OSError, ClearstrokeError):
        folder().mkdir(parents=True, exist_ok=True)
        files.write(project, _mine(), unfinished)


def drop() -> None:
    """Nothing is unsaved any more."""
    for path in (_mine(), _mine().with_name(_mine().name + files.BACKUP)):
        with contextlib.suppress(OSError):
            path.unlink(missing_ok=True)


def found() -> Project | None:
    """Work left by a process that is gone, taken over by this one; unreadable is skipped."""
    for path in sorted(folder().glob(f"*{SUFFIX}")):
        number = path.name.removesuffix(SUFFIX)
        if not number.isdigit() or _runs(int(number)):
            continue
        try:
            project = files.read(path)
        except ClearstrokeError:
            continue
        keep(project)
        with contextlib.suppress(OSError):
            path.unlink()
        return project
    return None


def _runs(number: int) -> bool:
    """Whether a process of this number is there; on Windows asking would end it."""
    if number == os.getpid() or os.name == "nt":
        return number == os.getpid()
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
