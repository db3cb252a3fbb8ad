"""How quick statics is on the example in trouble: 161 positions, eight load cases.

The last two rows are what the window asks for while the wheel or the mount is dragged.

Run it with ``python tests/benchmarks/bench_statics.py``. Times are processor time of this thread,
the least of several repeats. The reference for forces solves the same equilibrium with
``scipy.linalg.solve``, position by position; that for the limits closes in on each stop with
``scipy.optimize.brentq`` alone.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.linalg import solve as scipy_solve
from scipy.optimize import brentq

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from kinematics.motion import corner, move
from kinematics.motion.positions import over
from kinematics.project.files import read
from kinematics.statics import forces, sprung, stops
from kinematics.statics.cases import cases_of, road
from kinematics.statics.course import along
from kinematics.statics.elements import elements
from kinematics.statics.facts import facts
from kinematics.statics.figures import figures
from kinematics.statics.here import here
from kinematics.statics.loading import wheel_poses
from kinematics.statics.reactions import matrix, units
from kinematics.statics.statics import statics

EXAMPLE = Path(__file__).parents[2] / "assets" / "examples" / "rear-in-trouble.corner.json"


def quickest(work: Callable[[], object], repeats: int = 9) -> float:
    """Milliseconds of processor time of the quickest of several runs."""
    best = float("inf")
    for _ in range(repeats):
        start = time.thread_time()
        work()
        best = min(best, time.thread_time() - start)
    return best * 1e3


def main() -> None:
    motion = move(corner(read(EXAMPLE)), np.linspace(-80, 79.9, 161))
    project, out = motion.linkage.project, motion.linkage.mechanism.out
    positions = over(motion).without_set_up()
    reactions = units(project, positions.carry)
    wheel = wheel_poses(motion)
    body = project.wheel.body
    cases = cases_of(project.loads)
    loads = {name: {body: road(case, project.loads, wheel, out)} for name, case in cases.items()}
    columns = matrix(reactions, (body,))
    right = np.stack([load[body] for load in loads.values()], axis=-1)

    def one_by_one() -> None:
        for k in range(len(columns)):
            for case in range(right.shape[-1]):
                scipy_solve(columns[k], -right[k, :, case])

    parts = elements(project)
    course = along(motion, parts)
    levels = [(0, 415.0), (0, 387.0), (0, 515.0), (0, 365.0)]

    def each_alone() -> None:
        for i, level in levels:
            brentq(
                lambda z, i=i, level=level: course.lines(np.array([z]))[0][i, 0] - level,
                -120.0, 120.0, xtol=1e-8,
            )  # fmt: skip

    rows = [
        ("forces, 161 positions, 8 cases", lambda: forces.solve(reactions, loads), one_by_one),
        ("all stops", lambda: stops.acting(parts, along(motion, parts)), each_alone),
    ]
    for name, ours, theirs in rows:
        mine, reference = quickest(ours), quickest(theirs, 5)
        print(f"{name:34} {mine:8.1f} ms  reference {reference:8.1f} ms  x{reference / mine:.1f}")
    known = statics(motion)
    print(f"{'statics, everything':34} {quickest(lambda: statics(motion), 5):8.1f} ms")
    print(f"{'facts':34} {quickest(lambda: facts(known), 5):8.1f} ms")
    one, case = move(motion.linkage, [31.0], start=motion), cases["3 g bump"]
    print(f"{'one position, forces and all':34} {quickest(lambda: here(one, case), 15):8.1f} ms")
    few = move(motion.linkage, np.linspace(-80, 79.9, 41), start=motion)
    sheet = sprung.sheet(project.coilover)
    slid = quickest(lambda: figures(few, parts, project.coilover, sheet), 9)
    print(f"{'figures of 41 positions':34} {slid:8.1f} ms")


if __name__ == "__main__":
    main()
