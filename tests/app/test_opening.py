"""What opening the window waits for."""

from __future__ import annotations

import subprocess
import sys

SLOW = ("numba", "scipy.sparse", "scipy.optimize", "scipy.interpolate", "scipy.spatial",
        "scipy.ndimage", "trimesh")  # fmt: skip


def test_opening_waits_for_nothing_that_only_later_work_needs() -> None:
    """Each of these takes a tenth of a second or more to load."""
    asked = f"import sys, app.window.opening; print([m for m in {SLOW} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
