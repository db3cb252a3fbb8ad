"""A project saved into another folder takes its scans along: they lie beside its file."""

from __future__ import annotations

import filecmp
from pathlib import Path
from typing import TYPE_CHECKING

from app.document.aside import Stopped, Tell, aside
from app.document.fetching import scans_of
from kinematics.errors import ProjectError
from kinematics.project.files import copy_beside, reason

if TYPE_CHECKING:
    from app.window.window import Window


def bring_along(window: Window, path: Path) -> bool:
    """Copy them to where a project is to be saved, unless they are there; False if stopped.

    Also those that only a step of undo or redo has. Raises ProjectError, one sentence, where that
    can't be done.
    """
    document = window.document
    start = document.folder
    if start is None or document.project is None or start.resolve() == path.parent.resolve():
        return True
    names = {spec.file for each in document.versions() for spec in scans_of(each).values()}
    pairs = [(start / name, path.parent / name) for name in sorted(names)]
    wanted = [(source, target) for source, target in pairs if source.is_file()]
    if not wanted:
        return True
    done = aside(window, "Copying the scans...", lambda *at: _copied(wanted, path, *at))
    return done is not None


def _copied(wanted: list[tuple[Path, Path]], path: Path, tell: Tell, stopped: Stopped) -> bool:
    for k, (source, target) in enumerate(wanted):
        tell(k / len(wanted))
        if stopped():
            break
        try:
            if not target.exists():
                target.parent.mkdir(parents=True, exist_ok=True)
                copy_beside(source, target, path)
                continue
            same = filecmp.cmp(source, target, shallow=False)
        except OSError as error:
            raise ProjectError(f'"{source.name}" can\'t be taken along: {reason(error)}.') from None
        if not same:
            raise ProjectError(
                f'Another "{target.name}" lies in that folder already: save into another folder.'
            )
    return True
