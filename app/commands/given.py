"""The project a command is given: the corner in the file that stands."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kinematics.project.model import Project


def read(path: Path) -> Project:
    """Read it, and say if more is being described there. Raises ProjectError."""
    from kinematics.project.files import read_all

    project, unfinished = read_all(path)
    if unfinished is not None:
        begun = f"{path.name}: what is being described doesn't fit together yet"
        print(f"{begun}; this is of the corner as it last did.", file=sys.stderr)
    return project
