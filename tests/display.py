"""A screen for the tests: a virtual X display with software OpenGL where there is no real one."""

import os
import shutil
import subprocess
import sys


def start_if_none() -> subprocess.Popen[bytes] | None:
    """Start Xvfb and point this process and its children at it; None if a display is there.

    The X server picks a free number itself, so that several runs can go on side by side.
    """
    if not sys.platform.startswith("linux") or os.environ.get("DISPLAY"):
        return None
    program = shutil.which("Xvfb")
    if program is None:
        raise RuntimeError(
            "The window's tests need a display, and there is neither DISPLAY nor Xvfb. "
            "Install Xvfb (on Debian: apt-get install xvfb) or run python3 .setup/test.py."
        )
    read_end, write_end = os.pipe()
    screen = ["-screen", "0", "2560x1600x24", "-dpi", "96", "-nolisten", "tcp"]
    # Where it can be had: the server goes with the tests, even if these are aborted.
    with_us = ["setpriv", "--pdeathsig", "TERM"] if shutil.which("setpriv") else []
    server = subprocess.Popen(
        [*with_us, program, "-displayfd", str(write_end), *screen],
        pass_fds=[write_end],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(write_end)
    with os.fdopen(read_end) as pipe:
        number = pipe.readline().strip()  # empty if the server died
    if not number:
        raise RuntimeError(f"{program} ended with code {server.wait()} before it had a display.")
    os.environ.update(DISPLAY=f":{number}", QT_QPA_PLATFORM="xcb", LIBGL_ALWAYS_SOFTWARE="1")
    os.environ.pop("WAYLAND_DISPLAY", None)
    return server


def stop(server: subprocess.Popen[bytes]) -> None:
    """End the server that :func:`start_if_none` started."""
    server.terminate()
    server.wait(timeout=10)
