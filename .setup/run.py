"""First command of the README: install what is missing, then do the main job on an example."""

import os
import subprocess
import sys

from environment import PYTHON, ROOT, prepare

EXAMPLE = ROOT / "assets" / "examples" / "rear-radius-arm.corner.json"
REPORT = ROOT / "clearstroke-report"


def main():
    prepare()
    if has_display():
        print(f"Opening {EXAMPLE.relative_to(ROOT)} in the window.", flush=True)
        if clearstroke("open", EXAMPLE) == 0:
            return 0
        print("The window did not open; writing the report instead.", flush=True)
    code = clearstroke("check", EXAMPLE, "--out", REPORT)
    if code in (0, 1):  # 1 says that something touches: the answer, not a failure
        print(f"\nThe report is in {REPORT}")
        return 0
    return code


def has_display():
    if not sys.platform.startswith("linux"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def clearstroke(*words):
    return subprocess.run([PYTHON, "-m", "app", *words]).returncode


if __name__ == "__main__":
    sys.exit(main())
