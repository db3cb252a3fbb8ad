"""What the commands about a project have alike."""

from __future__ import annotations

import argparse
from typing import Any


def about_project(
    commands: Any, name: str, short: str, about: str, more: str
) -> argparse.ArgumentParser:
    """A command whose first word is a project's file or an example's name.

    short : said of it in the list of commands; about, more : before and after its options.
    """
    command: argparse.ArgumentParser = commands.add_parser(
        name,
        help=short,
        description=about,
        epilog=more,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    command.add_argument("file", metavar="FILE", help="NAME.corner.json, or an example's name")
    return command
