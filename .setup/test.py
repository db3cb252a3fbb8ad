"""Second command of the README: install what the tests need, then run every check.

Further words go to pytest: ``python3 .setup/test.py tests/motion -x``.
"""

import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor

from environment import PYTHON, compile_kernel, install

LINT_IMPORTS = "from importlinter.cli import lint_imports_command as main; main(['--no-logo'])"

CHECKS = {
    "style": ["-m", "ruff", "check", "."],
    "format": ["-m", "ruff", "format", "--check", "."],
    "types": ["-m", "mypy"],
    "imports": ["-c", LINT_IMPORTS],
}
# Last, so that its closing line is near the end.
TESTS = ["-m", "pytest", "-n", "auto", "--dist", "worksteal", *sys.argv[1:]]


def main():
    install("test")
    # The compiler keeps one processor busy; meanwhile these keep another.
    with ThreadPoolExecutor(1) as beside:
        kept = {name: beside.submit(check, words, keep=True) for name, words in CHECKS.items()}
        compile_kernel()
    failed = [name for name, found in kept.items() if not told(name, *found.result())]
    print("\n--- tests ---", flush=True)
    if not told("tests", *check(TESTS)):
        failed.append("tests")
    if failed:
        print("Failed:", ", ".join(failed))
    return bool(failed)


def check(words, keep=False):
    """Run a check, keeping what it says; its exit code, that, and the seconds it took."""
    start = time.monotonic()
    where = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT} if keep else {}
    done = subprocess.run([PYTHON, *words], encoding="utf-8", errors="replace", **where)
    return done.returncode, done.stdout, time.monotonic() - start


def told(name, code, said, seconds):
    """Print how a check ended, after what it said if that was kept; whether it passed."""
    if said is not None:
        print(f"\n--- {name} ---\n{said}", end="")
    print(f"{name}: {'failed' if code else 'passed'}, {seconds:.0f} s", flush=True)
    return not code


if __name__ == "__main__":
    sys.exit(main())
