"""Unsaved work kept aside, so that a crash or a pulled plug loses nothing.

While a project has unsaved changes, it lies in one file in the user's own folders, under a name of
this run of the program, and is taken away when it is saved or left on purpose. A lock says whether
the run that left one is still there; what is found of a run that has ended is offered at the next
start. With the project goes where it was opened from, and what stood in entries that were red.
"""

from __future__ import annotations

import contextlib
import json
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from PySide6.QtCore import QLockFile, QStandardPaths

from app.document import tree
from app.document.red import Red
from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.model import Project

SUFFIX = ".unsaved.json"
LOCK = ".lock"


@dataclass(frozen=True)
class Left:
    """Work that is not saved.

    ``unfinished`` can't stand yet; ``path`` is where the project was opened from and ``seen`` the
    state of the file there; ``red`` what was typed and could not be taken, by its entry.
    """

    project: Project
    unfinished: Project | None = None
    path: Path | None = None
    seen: str = ""
    red: Mapping[tree.Path, Red] = field(default_factory=dict)


def folder() -> Path:
    """Where unsaved work is kept."""
    place = QStandardPaths.StandardLocation.AppDataLocation
    return Path(QStandardPaths.writableLocation(place)) / "unsaved"


class Run:
    """This run of the program: its name, which no other has, and the lock that shows it is on."""

    def __init__(self) -> None:
        self.name = f"{os.getpid()}-{secrets.token_hex(4)}"
        self.lock: QLockFile | None = None

    @property
    def file(self) -> Path:
        """Where its unsaved work is kept."""
        return folder() / f"{self.name}{SUFFIX}"

    def begin(self) -> None:
        """Show that it is on; raises OSError where nothing can be written."""
        if self.lock is not None:
            return
        folder().mkdir(parents=True, exist_ok=True)
        lock = _lock(self.name)
        if not lock.tryLock(0):
            raise PermissionError(13, "no lock")
        self.lock = lock

    def end(self) -> None:
        """It is over, and nothing of it is left."""
        with contextlib.suppress(OSError):
            self.file.unlink(missing_ok=True)
        if self.lock is not None:
            self.lock.unlock()
            self.lock = None


_RUN = Run()


def keep(left: Left) -> str:
    """Write unsaved work aside; a sentence if that can't be done."""
    try:
        _RUN.begin()
        files.put_in_place(_RUN.file, _dumps(left), backup=False)
    except OSError as error:
        return f"Unsaved work can't be kept aside against a crash: {files.reason(error)}."
    except ClearstrokeError as error:
        return f"Unsaved work can't be kept aside against a crash: {error}"
    return ""


def drop() -> None:
    """Nothing is unsaved any more."""
    _RUN.end()


def found(wanted: Path | None = None) -> Left | None:
    """Work left by a run that has ended, taken over by this one; of one file if ``wanted``.

    What can't be read is left where it is.
    """
    for path in sorted(folder().glob(f"*{SUFFIX}")):
        name = path.name.removesuffix(SUFFIX)
        lock = _lock(name)
        if name == _RUN.name or not lock.tryLock(0):
            continue
        try:
            left = _loads(path.read_bytes())
            if wanted is not None and (left.path is None or not _same(left.path, wanted)):
                continue
            _RUN.begin()
            os.replace(path, _RUN.file)
        except (OSError, ClearstrokeError, ValueError, LookupError, TypeError):
            continue
        finally:
            lock.unlock()
        return left
    return None


def _lock(name: str) -> QLockFile:
    """The lock of a run, which goes when the run ends in whatever way."""
    lock = QLockFile(str(folder() / f"{name}{LOCK}"))
    lock.setStaleLockTime(0)  # however long it is on
    return lock


def _same(one: Path, other: Path) -> bool:
    return os.path.realpath(one) == os.path.realpath(other)


def _dumps(left: Left) -> bytes:
    about = {
        "path": None if left.path is None else os.path.abspath(left.path),
        "seen": left.seen,
        "red": [[list(path), *red] for path, red in left.red.items()],
        "project": json.loads(files.dumps(left.project, left.unfinished)),
    }
    return json.dumps(about, ensure_ascii=False, indent=1).encode()


def _loads(data: bytes) -> Left:
    about = json.loads(data)
    held = files.loads_all(json.dumps(about["project"]).encode())
    path = about["path"]
    return Left(
        held.project,
        held.unfinished,
        None if path is None else Path(path),
        str(about["seen"]),
        {tuple(place): (str(text), str(why)) for place, text, why in about["red"]},
    )
