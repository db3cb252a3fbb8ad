"""``clearstroke open [FILE]``: the window."""

from __future__ import annotations

import argparse
import ctypes
import ctypes.util
import os
import sys
from typing import Any

from app.examples import find_project

_NO_DISPLAY = (
    "There is no display to open a window on. "
    "clearstroke check FILE --out DIR does the same job without one."
)


def add(commands: Any) -> None:
    """Add the command to the grammar."""
    command = commands.add_parser(
        "open",
        help="open the window (also with no command at all)",
        description="Open the window on a project, or on the shipped example.",
        allow_abbrev=False,
    )
    command.add_argument(
        "file", nargs="?", metavar="FILE", help="NAME.corner.json, or the name of an example"
    )
    command.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Open the window; 2 and a sentence where there is no display."""
    path = find_project(args.file) if args.file else None
    if not has_display():
        print(_NO_DISPLAY, file=sys.stderr)
        return 2
    from app.window.opening import run as open_window

    return open_window(path)


def has_display() -> bool:
    """False where Qt would abort for want of a screen."""
    if not sys.platform.startswith("linux") or os.environ.get("QT_QPA_PLATFORM"):
        return True
    return bool(os.environ.get("WAYLAND_DISPLAY")) or _x_answers()


def _x_answers() -> bool:
    """True if the X server that DISPLAY names takes a connection."""
    if not os.environ.get("DISPLAY"):
        return False
    name = ctypes.util.find_library("xcb")
    if name is None:
        return True  # can't be asked: let Qt try
    xcb = ctypes.CDLL(name)
    xcb.xcb_connect.restype = ctypes.c_void_p
    link = ctypes.c_void_p(xcb.xcb_connect(None, None))
    answers = not xcb.xcb_connection_has_error(link)
    xcb.xcb_disconnect(link)
    return bool(answers)
