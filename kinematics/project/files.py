"""Project files: read strictly, written whole or not at all.

Reading refuses what it does not understand and says where. Writing goes to a temporary file
that takes the old one's place in one step, so that neither a crash nor a full disk leaves half
a project; the version before is kept beside it as ``NAME.corner.json.bak``. A corner that is
being described and can't stand yet is kept in the same file as the last one that could.
"""

from __future__ import annotations

import contextlib
import errno
import glob
import hashlib
import os
import secrets
import shutil
import time
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import msgspec

from kinematics.errors import ProjectError
from kinematics.project.checks import problems_of
from kinematics.project.entries import Walk, walk
from kinematics.project.model import Project
from kinematics.project.names import clashes, dangling, dangling_extras, dangling_rules
from kinematics.project.text import LARGEST_FILE, Tree, parse, show
from kinematics.project.unfinished import ENTRY, changes, completed
from kinematics.units import MM_PER_INCH

SUFFIX = ".corner.json"
BACKUP = ".bak"
_TEMPORARY = ".saving"
_IN_USE = 60.0  # seconds
_SHOWN = 20  # problems listed before "and … more"


class Contents(NamedTuple):
    """What a file holds: its project, and what is being described but can't stand yet."""

    project: Project
    unfinished: Project | None = None


def read(path: str | os.PathLike[str]) -> Project:
    """Read a project file: the corner in it that stands.

    Raises ProjectError, each line of it one sentence with the path of the offending entry.
    """
    return read_all(path).project


def read_all(path: str | os.PathLike[str]) -> Contents:
    """Read all that a project file holds; raises ProjectError as ``read`` does."""
    place = Path(path)
    try:
        with place.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise ProjectError(f"{place}: {reason(error)}.") from None
    try:
        return loads_all(data)
    except ProjectError as error:
        raise ProjectError(*(f"{place.name}: {each}" for each in error.problems)) from None


def loads(data: bytes) -> Project:
    """Read a project from the bytes of a project file; raises ProjectError as ``read`` does."""
    return loads_all(data).project


def loads_all(data: bytes) -> Contents:
    """Read all that the bytes of a project file hold; raises ProjectError as ``read`` does."""
    tree = parse(data)
    if "clearstroke" not in tree:
        raise ProjectError('clearstroke: this entry is missing; a project has "clearstroke": 1.')
    changed = tree.pop(ENTRY, None)
    project = _project(tree)
    if changed is None:
        return Contents(project)
    whole = completed(tree, changed)
    try:
        return Contents(project, _project(whole))
    except ProjectError as error:
        raise ProjectError(*(f"{ENTRY}.{each}" for each in error.problems)) from None


def _project(tree: Tree) -> Project:
    """A project from the plain tree of a file; raises ProjectError as ``read`` does."""
    assert isinstance(tree, dict)
    factor = MM_PER_INCH if tree.get("units") == "in" else 1.0
    walked = Walk(lambda value: value * factor)
    checked = walk(tree, walked)
    _refuse(walked.problems)
    try:
        project = msgspec.convert(checked, Project)
    except msgspec.ValidationError as error:
        raise ProjectError(f"{error}.") from None
    _refuse_senseless(project, walked)
    return project


def dumps(project: Project, unfinished: Project | None = None) -> bytes:
    """Write a project as the bytes of a project file, in its own unit.

    ``unfinished`` is the corner as it is being described, where that can't stand yet. Lengths in
    mm are written exactly; inches to 1e-11, which is exact to 1e-9 mm. Raises ProjectError if
    either could not be read back.
    """
    tree = _tree(project)
    if unfinished is not None and unfinished != project:
        units = msgspec.structs.replace(unfinished, units=project.units)
        changed = changes(tree, _tree(units))
        tree |= {ENTRY: changed} if changed else {}
    return show(tree).encode()


def _tree(project: Project) -> dict[str, Tree]:
    walked = Walk((lambda mm: round(mm / MM_PER_INCH, 11)) if project.units == "in" else float)
    tree = walk(msgspec.to_builtins(project), walked)
    _refuse(walked.problems)
    _refuse_senseless(project, walked)
    assert isinstance(tree, dict)
    always: dict[str, Tree] = {
        "clearstroke": project.clearstroke,
        "title": project.title,
        "data": project.data,
        "units": project.units,
        "side": project.side,
    }
    return always | tree


def write(
    project: Project, path: str | os.PathLike[str], unfinished: Project | None = None
) -> None:
    """Write a project file in one step, keeping the version before as ``NAME.bak``.

    ``unfinished`` is what is being described but can't stand yet. Temporary files that an earlier
    crash left beside it are removed. Raises ProjectError.
    """
    data = dumps(project, unfinished)
    place = Path(path)
    try:
        put_in_place(place, data)
    except OSError as error:
        raise ProjectError(f"{place} can't be saved: {reason(error)}.") from None


def seen(path: str | os.PathLike[str]) -> str:
    """What tells one state of a file from any other; empty where there is none to read."""
    try:
        return hashlib.sha256(Path(path).read_bytes()).hexdigest()
    except OSError:
        return ""


def put_in_place(place: Path, data: bytes, backup: bool = True) -> None:
    """Write a file whole or not at all, keeping the one before as its ``backup``; raises OSError.

    An interrupted write leaves what was there.
    """
    place = place.resolve()
    if place.exists() and not os.access(place, os.W_OK):
        raise OSError(errno.EROFS, "read-only")
    _clear_leftovers(place)
    temporary = place.with_name(f".{place.name}.{secrets.token_hex(4)}{_TEMPORARY}")
    try:
        _write_through(temporary, data)
        if backup and place.exists():
            _keep(place)
        os.replace(temporary, place)
    finally:
        temporary.unlink(missing_ok=True)
    _sync_folder(place.parent)


def copy_beside(source: Path, target: Path, project: Path) -> None:
    """Copy a file into a project's folder whole or not at all; raises OSError.

    What a crash leaves of it is removed when the project is saved.
    """
    part = project.with_name(f".{project.name}.{secrets.token_hex(4)}{_TEMPORARY}")
    try:
        shutil.copyfile(source, part)
        os.replace(part, target)
    finally:
        part.unlink(missing_ok=True)


def _clear_leftovers(place: Path) -> None:
    """Remove what a crash left; a file younger than that may be another window's, in use."""
    for leftover in place.parent.glob(f".{glob.escape(place.name)}.*{_TEMPORARY}"):
        with contextlib.suppress(OSError):
            if time.time() - leftover.stat().st_mtime > _IN_USE:
                leftover.unlink()


def _write_through(path: Path, data: bytes) -> None:
    """Write bytes and have them on the disk before returning."""
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _keep(place: Path) -> None:
    """Keep the present version under the backup's name, whole at every moment."""
    spare = place.with_name(f".{place.name}.{secrets.token_hex(4)}{_TEMPORARY}")
    try:
        _write_through(spare, place.read_bytes())
        os.replace(spare, place.with_name(place.name + BACKUP))
    finally:
        spare.unlink(missing_ok=True)


def _sync_folder(folder: Path) -> None:
    """Have the new name on the disk too, where the system lets a folder be opened."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        with contextlib.suppress(OSError):
            os.fsync(handle)
    finally:
        os.close(handle)


def _refuse_senseless(project: Project, walked: Walk) -> None:
    """Each kind of problem in turn: a later one may rest on the names of an earlier one."""
    _refuse(dangling(project, walked.names))
    _refuse(problems_of(project))
    _refuse(clashes(project))
    _refuse(dangling_rules(project))
    _refuse(dangling_extras(project))


def _refuse(problems: Iterable[str]) -> None:
    listed = list(problems)
    if len(listed) > _SHOWN:
        listed = [*listed[:_SHOWN], f"… and {len(listed) - _SHOWN} more like these."]
    if listed:
        raise ProjectError(*listed)


def reason(error: OSError) -> str:
    """Why a file can't be read or written, in a few plain words."""
    kinds = {
        FileNotFoundError: "there is no such file or folder",
        IsADirectoryError: "that is a folder, not a file",
        PermissionError: "this account may not do that there",
    }
    numbers = {errno.ENOSPC: "the disk is full", errno.EROFS: "it can only be read there"}
    known = kinds.get(type(error)) or numbers.get(error.errno or 0)
    return known or (error.strerror or str(error)).lower()
