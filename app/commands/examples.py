"""``clearstroke examples``: list the shipped projects, or copy them."""

from __future__ import annotations

import argparse
import shutil
from pathlib import Path
from typing import Any

from app.examples import examples
from kinematics.errors import ProjectError
from kinematics.project.files import read


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = commands.add_parser(
        "examples",
        help="list the shipped projects, or copy them",
        description="List the shipped projects; check and open take their short names.",
        allow_abbrev=False,
    )
    command.add_argument("--copy", metavar="DIR", help="copy the project files into DIR")
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """List the examples, or copy them without ever replacing a file."""
    shipped = examples()
    if args.copy is not None:
        copy(list(shipped.values()), Path(args.copy))
        print(f"{len(shipped)} projects copied to {args.copy}")
        return 0
    longest = max(map(len, shipped), default=0)
    for name, path in shipped.items():
        project = read(path)
        mark = "" if project.data == "measured" else f" ({project.data} data)"
        print(f"{name:<{longest}}  {project.title}{mark}")
    return 0


def copy(files: list[Path], to: Path) -> None:
    """Copy the files into a folder; nothing at all if one of them is already there."""
    taken = [p.name for p in files if (to / p.name).exists()]
    if taken:
        raise ProjectError(f'"{to / taken[0]}" is already there; nothing was copied.')
    try:
        to.mkdir(parents=True, exist_ok=True)
        for path in files:
            shutil.copyfile(path, to / path.name)
    except OSError as error:
        raise ProjectError(f'"{to}" can\'t be written to: {error.strerror or error}.') from None
