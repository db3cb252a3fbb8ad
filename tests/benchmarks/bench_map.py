"""How quick the map of top-mount positions is, against a plain loop over python-fcl.

Run it with ``python -m tests.benchmarks.bench_map``. Both sides in one run, in processor time (wall
time of ours beside it, on as many threads as there are processors). The loop asks the library for
every pair the mount's place changes, at every position and travel, on meshes within 0.02 mm of the
parts' solids, the greatest calculation error of our figures; it is timed at a few positions and
scaled up to all. The spring is moved as one rigid piece, in the library's favour.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

import fcl
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from kinematics.motion import move
from kinematics.project.files import read
from kinematics.project.furnish import add_scan
from kinematics.studies.sliding import Sliding
from kinematics.studies.study import Setting, racks, set_up
from kinematics.studies.top_map import top_map
from tests.benchmarks.bench_clearance import EXAMPLE, collider, theirs
from tests.studies.test_scan_map import about_the_coilover

REACH = 30.0
PLACES = 3
"""Positions at which the library is timed."""


def timed(
    setting: Setting, count: int, repeats: int = 5, rack: object = 0.0, tower: bool | None = None
) -> tuple[float, float]:
    """Processor and wall seconds of the quickest of several maps of count x count positions."""
    offsets = np.linspace(-REACH, REACH, count)
    best = [float("inf")] * 2
    for _ in range(repeats):
        cpu, wall = time.process_time(), time.perf_counter()
        top_map(setting, offsets, offsets, rack=rack, with_tower=tower)
        best[0] = min(best[0], time.process_time() - cpu)
        best[1] = min(best[1], time.perf_counter() - wall)
    return best[0], best[1]


def turned(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """The least rotation that takes unit vector a to b."""
    w = np.cross(a, b)
    k = np.array([[0, -w[2], w[1]], [w[2], 0, -w[0]], [-w[1], w[0], 0]])
    return np.eye(3) + k + k @ k / (1.0 + a @ b)


def loop(setting: Setting, travels: int = 41) -> tuple[float, int]:
    """Processor seconds of the library for one position, and how many distances these are."""
    travel = np.linspace(*setting.range, travels)
    motion = move(setting.linkage, travel)
    at_setup = move(setting.linkage, [0.0])
    parts = setting.builder(at_setup)
    sliding = Sliding(setting, at_setup, True)
    pairs = [setting.pairs.checked[k] for k in sliding.affected]
    made = {k: collider(parts[k])[0] for k in {i for pair in pairs for i in pair}}
    coilover = sliding.coilover
    foot = motion.carry(coilover.foot.body, setting.unfolded.points[coilover.foot.point])[:, 0]
    foot0 = np.asarray(setting.unfolded.points[coilover.foot.point])
    top = np.asarray(setting.unfolded.points[coilover.top.point])
    spent = 0.0
    for place in np.random.default_rng(1).uniform(-REACH, REACH, (PLACES, 3)) * [1, 1, 0]:
        moves: dict[int, list[fcl.Transform]] = {}
        for k in made:
            if parts[k].body == "coilover":
                was = (top - foot0) / np.linalg.norm(top - foot0)
                now = top + place - foot
                now /= np.linalg.norm(now, axis=1)[:, None]
                turn = [turned(was, n) for n in now]
                shift = [f - t @ foot0 for f, t in zip(foot, turn, strict=True)]
            elif parts[k].body in motion.bodies:
                b = motion.bodies.index(parts[k].body)
                turn, shift = list(motion.rotation[b, :, 0]), list(motion.position[b, :, 0])
                if parts[k].kind == "tower":
                    shift = [s + place for s in shift]
            else:  # a link: its own body moves it
                turn, shift = [np.eye(3)] * travels, [np.zeros(3)] * travels
            moves[k] = [fcl.Transform(r, p) for r, p in zip(turn, shift, strict=True)]
        start = time.process_time()
        for i, j in pairs:
            theirs(made[i], made[j], moves[i], moves[j])
        spent += time.process_time() - start
    return spent / PLACES, len(pairs) * travels


def scanned(folder: Path, side: int = 500) -> Setting:
    """The trouble example in a wheel housing scanned to 2 side^2 triangles, rough as scans are.

    It goes about the coilover as near as 70 mm to its middle, so it is the worst at many places.
    """
    mesh = about_the_coilover(read(EXAMPLE), 79.0, side)
    mesh.vertices += np.random.default_rng(3).normal(0.0, 0.1, mesh.vertices.shape)
    mesh.export(folder / "housing.stl")
    made, _ = add_scan(read(EXAMPLE), "housing.stl", "mm")
    return set_up(made, folder)


def main() -> None:
    setting = set_up(read(EXAMPLE))
    timed(setting, 3, 1)
    other, distances = loop(setting)
    print("positions x travels     ours cpu    wall   library cpu    ratio")
    for count in (11, 41):
        cpu, wall = timed(setting, count)
        whole = other * count * count
        print(
            f"{count} x {count} x 41          {cpu * 1e3:9.0f} ms {wall * 1e3:6.0f} ms"
            f" {whole:9.0f} s {whole / cpu:10.0f}"
        )
    print(f"the library: {other * 1e6 / distances:.0f} µs a distance, {distances} to a position")
    for count in (11, 41):
        cpu, wall = timed(setting, count, 3, tower=False)
        print(f"tower staying, {count} x {count} x 41 {cpu:12.2f} s {wall:8.2f} s wall")
    strut = set_up(read(EXAMPLE.with_name("front-strut.corner.json")))
    cpu, wall = timed(strut, 41, 2)
    print(f"strut, straight ahead {cpu:17.2f} s {wall:8.2f} s wall")
    front = set_up(read(EXAMPLE.with_name("front-wishbones.corner.json")))
    cpu, wall = timed(front, 41, 2)
    print(f"steered corner, straight ahead {cpu:8.2f} s {wall:8.2f} s wall")
    cpu, wall = timed(front, 41, 1, racks(front))
    print(f"steered corner, 5 rack positions {cpu:6.2f} s {wall:8.2f} s wall")
    with TemporaryDirectory() as folder:
        housing = scanned(Path(folder))
        timed(housing, 3, 1)
        for count in (11, 41):
            cpu, wall = timed(housing, count, 2)
            print(f"scan of 500,000 triangles, {count} x {count} {cpu:8.2f} s {wall:8.2f} s wall")


if __name__ == "__main__":
    main()
