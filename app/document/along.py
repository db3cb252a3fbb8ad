"""The scans of a project that is saved into another folder: they go along."""

from __future__ import annotations

import filecmp
import shutil
from collections.abc import Iterable
from pathlib import Path

from app.document.fetching import scans_of
from kinematics.errors import ProjectError
from kinematics.project.model import Project


def bring_along(projects: Iterable[Project], old: Path | None, new: Path) -> None:
    """Copy the meshes these projects name, which lie in one folder, into another; all or none.

    One that lies there already is left as it is. Raises `ProjectError` where another mesh has its
    name, and `OSError`.
    """
    if old is None or old.resolve() == new.resolve():
        return
    names = {spec.file for project in projects for spec in scans_of(project).values()}
    missing = []
    for name in sorted(names):
        here, there = old / name, new / name
        if not here.exists():  # of a step of undo, put away since
            continue
        if not there.exists():
            missing.append(name)
        elif not filecmp.cmp(here, there, shallow=False):
            raise ProjectError(
                f'"{name}" in the folder "{new.name}" is another mesh than this project\'s: save '
                "into a folder of its own."
            )
    laid = []
    try:
        for name in missing:
            laid.append(new / name)
            shutil.copyfile(old / name, new / name)
    except OSError:
        for path in laid:
            path.unlink(missing_ok=True)
        raise
