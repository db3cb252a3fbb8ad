"""The command line: ``open``, ``survey``, ``check``, ``springs``, ``map``, ``cures``, ``examples``.

Exit codes: 0 all rules kept, 1 something touches or a rule or limit is broken or a travel asked
for can't be reached, 2 bad input. Qt is imported only to open the window or to write paper.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from app.commands import check, cures, examples, opening, search, springs, survey, top_map
from app.version import version
from kinematics.errors import ClearstrokeError

BAD_INPUT = 2
_RANGES = ("--travel", "--steer", "--ride-at")
_ABOUT = """\
Find where the parts of a car's suspension corner meet, from full droop to full bump."""
_MORE = """\
with no command, the window opens on an example.

start here:
  clearstroke examples                          what is shipped
  clearstroke check rear-in-trouble --out rear  check one, with plots and a report
  clearstroke check my.corner.json --json       the same for a script

exit codes: 0 all rules kept; 1 something touches, a rule or limit is broken, or a travel
that was asked for can't be reached; 2 bad input.
"""


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence and where to read more."""

    def error(self, message: str) -> NoReturn:
        self.exit(BAD_INPUT, f"{message[:1].upper()}{message[1:]}. See {self.prog} --help.\n")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit code."""
    words = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdout, sys.stderr):
        # A console that can't show a true minus gets a stand-in rather than a crash.
        with contextlib.suppress(AttributeError, OSError):
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    args = parser().parse_args(with_command(spaced(words)))
    try:
        code = int(args.run(args))
        sys.stdout.flush()
        return code
    except ClearstrokeError as error:
        print(error, file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        # The reader of our output left (| head): nothing is wrong, and nobody listens.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        return 130


def parser() -> argparse.ArgumentParser:
    """The grammar of the command line."""
    top = _Parser(
        prog="clearstroke",
        description=_ABOUT,
        epilog=_MORE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    top.add_argument("--version", action="version", version=f"clearstroke {version()}")
    commands = top.add_subparsers(title="commands", metavar="COMMAND", dest="command")
    for room in (
        opening,
        survey,
        check,
        springs,
        top_map,
        cures,
        search,
        examples,
    ):
        room.add(commands)
    return top


def spaced(words: Sequence[str]) -> list[str]:
    """Join ``--travel -60:60:25`` with ``=``: a range may begin with a minus sign."""
    joined: list[str] = []
    for word in words:
        if joined and joined[-1] in _RANGES and re.match(r"[-−]\s*[\d.]", word):
            joined[-1] += f"={word}"
        else:
            joined.append(word)
    return joined


def with_command(words: Sequence[str]) -> list[str]:
    """No command means ``open``; so does a project file alone."""
    if not words:
        return ["open"]
    first = words[0]
    if first.endswith(".corner.json") or (first.endswith(".json") and Path(first).is_file()):
        return ["open", *words]
    return list(words)
