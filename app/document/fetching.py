"""A project's scans made ready before it is taken up: read, sorted for the search, to be drawn.

It takes seconds, and what is made of a file is remembered where it is asked for again. So it is
done beside the screen's thread, and taking the project up then finds it there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtWidgets import QWidget

from app.document import live
from app.document.aside import Stopped, Tell, aside
from app.document.live import Pose
from app.stage.mesh import drawn
from kinematics.project.model import Project
from kinematics.project.structure import Scan
from kinematics.shapes.scan import scan_of
from kinematics.studies.study import Study


@dataclass(frozen=True, eq=False)
class Ready:
    """Said of a project whose scans are ready; ``now``: it is checked at a position already."""

    now: Study | None = None


Fetch = Callable[[Project, Path | None, Pose | None, Study | None], Ready | None]
"""Makes the scans of a project ready, which lie in a folder; None where that was stopped.

Given what was shown before and the study of it, the project is checked at that position too.
"""
READ, SORTED, DRAWN = 0.5, 0.25, 0.25  # about what each step takes of the whole


def scans_of(project: Project) -> dict[str, Scan]:
    """The scans of a project by name."""
    return {name: spec for name, spec in project.parts.items() if isinstance(spec, Scan)}


def fetched(
    window: QWidget,
    project: Project,
    folder: Path | None,
    shown: Pose | None = None,
    before: Study | None = None,
) -> Ready | None:
    """Make a project's scans ready while the view goes on; see `Fetch`.

    Raises `ClearstrokeError` for a scan that can't be read.
    """
    names = list(scans_of(project))
    if not names:
        return Ready()
    words = f"Bringing in {names[0]}..." if len(names) == 1 else f"Reading {len(names)} scans..."

    def work(tell: Tell, stopped: Stopped) -> Ready | None:
        if not _made_ready(project, folder, tell, stopped):
            return None
        if shown is None or before is None:
            return Ready()
        travel, rack = float(shown.motion.travel[0]), float(shown.motion.rack[0])
        return Ready(live.check(live.fresh_pose(project, before, travel, rack, folder), before))

    return aside(window, words, work)


def _made_ready(project: Project, folder: Path | None, tell: Tell, stopped: Stopped) -> bool:
    """Work out what will be asked for, step by step; whether it came to the end."""
    scans, done = scans_of(project), 0.0
    for spec in scans.values():
        made = scan_of(spec, folder)
        tell(done + READ / len(scans))
        if stopped():
            return False
        _ = made.surface.tree
        done += (READ + SORTED) / len(scans)
        tell(done)
        if stopped():
            return False
    for skin in live.dressed(project, folder):
        if skin.name in scans:
            drawn(skin)
            done += DRAWN / len(scans)
            tell(done)
        if stopped():
            return False
    return True
