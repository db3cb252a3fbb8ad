"""First command of the README: install what is missing, then do the main job on an example."""

import subprocess
import sys

from environment import PYTHON, ROOT, prepare

EXAMPLE = "rear-in-trouble"
REPORT = ROOT / "clearstroke-report"


def main():
    """Open the window on the example; where there is no display, write its report folder."""
    prepare()
    if clearstroke("open", EXAMPLE) == 0:
        return 0
    code = clearstroke("check", EXAMPLE, "--out", REPORT)
    if code in (0, 1):  # 1 says that something touches: the answer, not a failure
        print(f"\nThe report of the example is in {REPORT}")
        return 0
    return code


def clearstroke(*words):
    return subprocess.run([PYTHON, "-m", "app", *words]).returncode


if __name__ == "__main__":
    sys.exit(main())
