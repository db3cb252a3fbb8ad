"""Second command of the README: install what the tests need, then run every check.

Further words go to pytest: ``python3 .setup/test.py tests/motion -x``.
"""

import subprocess
import sys
import time

from environment import PYTHON, prepare

LINT_IMPORTS = "from importlinter.cli import lint_imports_command as main; main(['--no-logo'])"

CHECKS = {
    "style": ["-m", "ruff", "check", "."],
    "format": ["-m", "ruff", "format", "--check", "."],
    "types": ["-m", "mypy"],
    "imports": ["-c", LINT_IMPORTS],
    # Last, so that its closing line is near the end.
    "tests": ["-m", "pytest", "-n", "auto", "--dist", "worksteal", *sys.argv[1:]],
}


def main():
    prepare("test")
    failed = []
    for name, words in CHECKS.items():
        print(f"\n--- {name} ---", flush=True)
        start = time.monotonic()
        code = subprocess.run([PYTHON, *words]).returncode
        print(f"{name}: {'failed' if code else 'passed'}, {time.monotonic() - start:.0f} s")
        if code:
            failed.append(name)
    if failed:
        print("Failed:", ", ".join(failed))
    return bool(failed)


if __name__ == "__main__":
    sys.exit(main())
