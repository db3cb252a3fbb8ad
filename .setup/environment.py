"""Puts in place, once, all that the two commands need: system libraries, .venv, packages.

Standard library only, and readable by any Python 3, so that an old one gets a sentence.
"""

import ctypes
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
KERNEL = ROOT / "kinematics" / "clearance" / "kernel"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")

# What Qt's X11 plug-in and OpenGL load, and the Debian package each comes from.
LIBRARIES = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libGLX_mesa.so.0": "libglx-mesa0",
    "libOpenGL.so.0": "libopengl0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}


def prepare(extra=""):
    """Install and compile what is missing, and nothing else; ``extra`` is '' or 'test'."""
    install(extra)
    compile_kernel()


def compile_kernel():
    """Compile the clearance search ahead of its first use; the result is kept beside it."""
    sources = b"".join(path.read_bytes() for path in sorted(KERNEL.glob("*.py")))
    source = hashlib.sha256(sources + fingerprint().encode()).hexdigest()
    stamp = VENV / "compiled.stamp"
    if stamp.exists() and stamp.read_text() == source:
        return
    print("Compiling the clearance search: about a minute, once.", flush=True)
    run(PYTHON, "-c", "from kinematics.clearance import kernel; kernel.compile_all()")
    stamp.write_text(source)


def install(extra):
    """Install what is missing; ``extra`` is '' or 'test'."""
    if sys.version_info < (3, 11):
        sys.exit(f"Clearstroke needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    os.chdir(ROOT)
    if sys.platform.startswith("linux"):
        install_system_packages(missing_system_packages(extra))
    stamp = VENV / f"installed{extra and '-' + extra}.stamp"
    wanted = fingerprint()
    if stamp.exists() and stamp.read_text() == wanted and works(PYTHON):
        return
    print("Setting up .venv; the first time takes a few minutes.", flush=True)
    if not works(PYTHON):
        run(sys.executable, "-m", "venv", "--clear", VENV)
    what = f".[{extra}]" if extra else "."
    run(PYTHON, "-m", "pip", "install", "--no-input", "--prefer-binary", "--editable", what)
    stamp.write_text(wanted)


def fingerprint():
    """What an installation depends on: the packages asked for, the Python, the place."""
    declared = (ROOT / "pyproject.toml").read_bytes()
    return hashlib.sha256(declared + f"{sys.version_info[:2]} {ROOT}".encode()).hexdigest()


def works(python):
    """Whether this interpreter of ours runs, has pip, and is of the version now in use."""
    check = f"import sys, pip; sys.exit(sys.version_info[:2] != {sys.version_info[:2]})"
    return python.exists() and subprocess.run([python, "-c", check]).returncode == 0


def missing_system_packages(extra):
    """The Debian packages whose library or program is not there."""
    missing = [package for name, package in LIBRARIES.items() if not loads(name)]
    if importlib.util.find_spec("ensurepip") is None:
        missing.append("python3-venv")
    if extra == "test" and shutil.which("Xvfb") is None:
        missing.append("xvfb")
    return missing


def loads(library):
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def install_system_packages(packages):
    """Install with apt, through sudo unless root; elsewhere say what is missing and go on."""
    if not packages:
        return
    if shutil.which("apt-get") is None:
        print("The window may need these, by their Debian names:", *packages, flush=True)
        return
    command = ["env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-q", "-y"]
    if os.geteuid() != 0:
        command.insert(0, "sudo")
    install = [*command, "install", "--no-install-recommends", *packages]
    print("Installing system packages:", *packages, flush=True)
    try:
        # A stale or partly unreachable list is no failure if the packages come all the same.
        subprocess.run([*command, "update"])
        subprocess.run(install, check=True)
    except (OSError, subprocess.CalledProcessError):
        sys.exit(
            "These system packages are needed and could not be installed. Have someone who may "
            "run this, then start again:\n  apt-get install " + " ".join(packages)
        )


def run(*command):
    """Run a step of the set-up; if it fails, end with one sentence."""
    words = [str(word) for word in command]
    code = subprocess.run(words).returncode
    if code:
        sys.exit(f"Set-up stopped: {' '.join(words)} ended with code {code}; see above for why.")
