"""The shipped example projects, by short name."""

from __future__ import annotations

import difflib
from pathlib import Path

import msgspec

from app.resources import assets
from kinematics.errors import ProjectError

SUFFIX = ".corner.json"


def folder() -> Path:
    """Where the examples are."""
    return assets() / "examples"


def examples() -> dict[str, Path]:
    """The examples by short name, in alphabetical order."""
    return {p.name.removesuffix(SUFFIX): p for p in sorted(folder().glob(f"*{SUFFIX}"))}


def title_of(path: Path) -> str:
    """What a shipped project calls itself."""
    return str(msgspec.json.decode(path.read_bytes())["title"])


def starts() -> dict[str, Path]:
    """Arrangements to begin from that no example shows, by short name."""
    return {
        p.name.removesuffix(SUFFIX): p for p in sorted((assets() / "starts").glob(f"*{SUFFIX}"))
    }


def find_project(given: str) -> Path:
    """The path a user means: a file, or an example by its short name.

    Raises ProjectError, in one sentence, when there is neither.
    """
    path = Path(given)
    if path.exists():
        return path
    shipped = examples()
    if given in shipped:
        return shipped[given]
    near = difflib.get_close_matches(given.removesuffix(SUFFIX), shipped, n=1)
    hint = f' There is an example called "{near[0]}".' if near else ""
    raise ProjectError(f'"{given}" is not there.{hint}')
