"""How quick motion is, as ratios to ``scipy.optimize.root`` pose by pose in the same run.

Run it with ``python tests/benchmarks/bench_motion.py [--json FILE]``. The reference solves the
same corner in the same unknowns, one pose after the other, each from the last, with MINPACK's
hybr and its own numeric Jacobian, as one would without this package. Times are processor time of
this thread, the least of several repeats, so that other work on the machine counts less; each
figure is taken right after its own reference.

A corner keeps the stretches of its path that it has proved (``Lanes.known``). So sweeps are
measured twice: the *first* of a corner lays its track and proves it; a *later* one, as while a
slider moves or a study goes on, takes both from there. Both solve, close and check every pose. What
hangs on the corner alone (tables, the start's rates) is worked out when it is assembled.

Floor, figure and what stands between (five links, 161 poses, two-core x86 machine, one thread).
The arithmetic alone, about 400 multiplications a pose and step for rows and slopes and 150 for the
6 × 6 solution, is some 0.03 ms at the speed of one core. numpy takes about 1 µs a call however
small, and twice that where calls differ from one to the next, as here, so that the processor's own
instruction cache is no help: a later sweep makes some 90 calls on arrays of 161 poses, a first one
some 300. What stands between is therefore the count of calls, not their size; a single pose costs
two thirds of 161. In the grid, and over variants, arrays are long and the time is that of memory:
seeds and inverses are 43 numbers a pose; variants are taken 1,280 at once, which just stay in the
second cache.

Measured while a dozen other jobs ran on both cores, before and after poses, rows and arms were
taken by one product each (processor time, ms):

=================================  =======  ======
first sweep of 161 poses           before   after
=================================  =======  ======
five links                         1.08     0.82
rigid radius arm                   1.09     0.81
wishbones                          1.28     0.85
strut, steered                     4.13     0.97
H-arm                              1.56     1.03
pushrod and rocker                 1.84     1.28
=================================  =======  ======

Later sweeps went from 0.39 to 0.27 (five links), one warm pose from 0.29 to 0.20 on a stretch
proved before and from 0.43 to 0.29 from another pose alone, 410,000 variant poses from 0.49 to
0.33 s. Of a first sweep's 0.82 ms nodes take 0.19, the proof 0.25, closing 161 poses 0.13,
recovering all bodies and measuring them afresh 0.1.
"""

from __future__ import annotations

import argparse
import json
import platform
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.optimize import root

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from kinematics.measures import measure
from kinematics.motion import Linkage, corner, move, variants
from kinematics.motion.rows import evaluate, moved
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from tests.motion.corners import (
    five_links,
    h_arm,
    link_on_link,
    published_wishbone,
    pushrod,
    radius_arm,
    strut,
)


def quickest(work: Callable[[], object], repeats: int) -> float:
    """Seconds of processor time of the quickest of several runs."""
    best = float("inf")
    for _ in range(repeats):
        start = time.thread_time()
        work()
        best = min(best, time.thread_time() - start)
    return best


def loop(project: Project, travel: np.ndarray) -> Callable[[], object]:
    """The reference: a ``scipy.optimize.root`` call per pose."""
    driven = corner(project).driven()
    system, geo = driven.system, driven.system.geometry
    zero = np.zeros(1)

    def run() -> float:
        state, worst = driven.state, 0.0
        for z in travel:
            drive = np.array([z])

            def rows(step: np.ndarray, state=state, drive=drive) -> np.ndarray:
                pose = moved(system.table, geo, state, step[:, None])
                return evaluate(system.table, geo, pose, drive, zero).value[:, 0]

            found = root(rows, np.zeros(system.table.width), method="hybr", tol=1e-12)
            state = moved(system.table, geo, state, found.x[:, None])
            worst = max(worst, float(np.abs(found.fun).max()))
        return worst

    return run


def plain_loop(project: Project, travel: np.ndarray) -> Callable[[], object]:
    """The reference written tersely for five rods and a height: scipy alone, no package code."""
    points = {name: np.array(xyz) for name, xyz in project.points.items()}
    links = project.arrangement.links  # type: ignore[union-attr]
    inner = np.array([points[i] for i, _ in links.values()])
    outer = np.array([points[o] for _, o in links.values()])
    hub = points[project.wheel.centre]
    length2 = ((outer - inner) ** 2).sum(axis=1)
    local = outer - hub

    def residual(x: np.ndarray, z: float) -> np.ndarray:
        a, b, c = 0.01 * x[3:]
        k = np.array([[0.0, -c, b], [c, 0.0, -a], [-b, a, 0.0]])
        square = a * a + b * b + c * c
        turn = np.eye(3) + (2.0 * k + 2.0 * k @ k) / (1.0 + square)
        at = hub + x[:3] + local @ turn.T
        return np.append(((at - inner) ** 2).sum(axis=1) - length2, 500.0 * (x[2] - z))

    def run() -> None:
        x = np.zeros(6)
        for z in travel:
            x = root(residual, x, args=(z,), method="hybr", tol=1e-12).x

    return run


def multibody(project: Project, travel: float) -> Callable[[], object] | None:
    """The other reference: a general-purpose multibody library's static solver, 20 load steps."""
    try:
        from tests.published.test_motion_multibody import Model
    except BaseException:  # pytest's own skip, where the library is not installed
        return None
    model = Model(unfold(project), travel, 0.0)
    return model.solve


def first_sweep(linkage: Linkage, travel: np.ndarray) -> object:
    """A sweep of a corner that has proved nothing yet."""
    linkage.driven().by_driver.known.found = None
    return move(linkage, travel)


def main() -> None:
    """Measure, print a table, write it if asked."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--json", type=Path)
    options.add_argument("--repeats", type=int, default=15)
    given = options.parse_args()
    rows = list(measured(given.repeats))
    for name, value, unit, goal in rows:
        print(f"{name:58s} {value:10.3f} {unit:10s} aim {goal}")
    print(f"{platform.machine()}, Python {platform.python_version()}, numpy {np.__version__}")
    if given.json:
        given.json.write_text(json.dumps([list(row) for row in rows], indent=1), encoding="utf-8")


def measured(repeats: int):
    """Rows (name, value, unit, aim)."""
    travel = np.linspace(-60.0, 60.0, 161)
    outward = np.linspace(0.0, 60.0, 41)
    five, wish = five_links(), published_wishbone()
    linkage = corner(five)
    reference = quickest(plain_loop(five, outward), max(3, repeats // 3)) / len(outward)
    yield "scipy.optimize.root, five links, per pose", 1e6 * reference, "µs", "-"
    own = quickest(loop(five, outward), max(3, repeats // 3)) / len(outward)
    yield "scipy.optimize.root on this package's rows, per pose", 1e6 * own, "µs", "-"

    other = multibody(five, 60.0)
    if other is not None:
        warnings.simplefilter("ignore", DeprecationWarning)
        steps = quickest(other, 3) / 20
        yield "multibody library's static solver, five links, per pose", 1e6 * steps, "µs", "-"

    warm = move(linkage, travel)
    one = quickest(lambda: move(linkage, [10.3], start=warm), 8 * repeats)
    yield "one warm pose", 1e3 * one, "ms", "≤ 0.3"
    alone = corner(five)
    lone = move(alone, [10.0], prove=False)
    one = quickest(lambda: move(alone, [10.3], start=lone), 8 * repeats)
    yield "    from another pose alone, 0.3 mm away", 1e3 * one, "ms", "≤ 0.3"
    both = quickest(lambda: measure(five, move(linkage, [10.3], start=warm)), 4 * repeats)
    yield "one warm pose, solved and measured", 1e3 * both, "ms", "≤ 1.5"
    ready = (radius_arm(), five, wish, strut(), h_arm())
    for project in (*ready, link_on_link(), pushrod()):
        other, aim = corner(project), 1.0 if project in ready else 3.0
        first = quickest(lambda other=other: first_sweep(other, travel), 8 * repeats)
        name = type(project.arrangement).__name__ if project.arrangement else "link on an arm"
        name += " with pushrod and rocker" if project.arrangement and project.bodies else ""
        yield f"161-pose sweep, {name}, the first", 1e3 * first, "ms", f"≤ {aim:g}"
        sweep = quickest(lambda other=other: move(other, travel), 8 * repeats)
        yield "    a later one", 1e3 * sweep, "ms", f"≤ {aim:g}"
        yield "    times quicker than the scipy loop, first", reference * 161 / first, "×", "-"
    for name, project in (("wishbones", wish), ("five links", five)):
        grid_corner, steer = corner(project), np.linspace(-30.0, 30.0, 41)
        grid = quickest(lambda c=grid_corner, s=steer: move(c, travel, s), max(3, repeats // 3))
        yield f"161 × 41 grid, {name}, per pose", 1e6 * grid / (161 * 41), "µs", "-"
        bare = quickest(
            lambda c=grid_corner, s=steer: move(c, travel, s, prove=False), max(3, repeats // 3)
        )
        yield "    the same without proof of the branch", 1e6 * bare / (161 * 41), "µs", "-"
        yield "    times quicker than the scipy loop", reference * 161 * 41 / grid, "×", "≥ 150"
    spread = np.random.default_rng(1).normal(0.0, 1.0, (10_000, len(five.points), 3))
    few = np.linspace(-60.0, 60.0, 41)
    many = quickest(lambda: variants(linkage, few, spread), 2)
    yield "10,000 variants × 41 poses", many, "s", "≤ 0.6"
    yield "    times quicker than the scipy loop", reference * 410_000 / many, "×", "-"


if __name__ == "__main__":
    main()
