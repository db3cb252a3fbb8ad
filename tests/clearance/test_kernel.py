"""The compiled kernel against its own uncompiled form."""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np

from tests.clearance.oracle import random_scene

PROGRAM = """
import sys
import numpy as np
from kinematics.clearance import distance
from tests.clearance.oracle import random_scene
rows = []
for seed in range(24):
    a, b = random_scene(np.random.default_rng(seed))
    found = distance(a.piece, b.piece)
    rows.append(np.concatenate([found.low, found.bound]))
np.save(sys.argv[1], np.array(rows))
"""


def test_compiled_and_plain_forms_agree(tmp_path):
    out = tmp_path / "plain.npy"
    subprocess.run(
        [sys.executable, "-c", PROGRAM, str(out)],
        check=True,
        env={**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    from kinematics.clearance import distance

    plain = np.load(out)
    for seed in range(24):
        a, b = random_scene(np.random.default_rng(seed))
        found = distance(a.piece, b.piece)
        # The two may stop a step apart, each within its own error of the truth.
        low, bound = plain[seed]
        assert found.low[0] <= low + bound + 1e-9
        assert low <= found.low[0] + found.bound[0] + 1e-9
