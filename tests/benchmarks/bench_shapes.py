"""How quick parts, pairs, skins and scans are made.

Run it with ``python tests/benchmarks/bench_shapes.py``. Times are processor time of this thread,
the least of several repeats. The reference for parts is trimesh moving the same control points,
part by part and pose by pose, as one would without this package.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import trimesh

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from kinematics.motion import corner, move
from kinematics.project.files import read
from kinematics.shapes.build import Builder
from kinematics.shapes.pairs import pairs
from kinematics.shapes.pieces import Ring, Rod
from kinematics.shapes.scan import read_scan
from kinematics.shapes.skins import Dresser

EXAMPLE = Path(__file__).parents[2] / "assets" / "examples" / "rear-in-trouble.corner.json"


def quickest(work: Callable[[], object], repeats: int = 15) -> float:
    """Milliseconds of processor time of the quickest of several runs."""
    best = float("inf")
    for _ in range(repeats):
        start = time.thread_time()
        work()
        best = min(best, time.thread_time() - start)
    return best * 1e3


def main() -> None:
    project = read(EXAMPLE)
    linkage = corner(project)
    sweep, one = move(linkage, np.linspace(-80, 79.9, 161), [0.0]), move(linkage, [0.0], [0.0])
    build, dress = Builder(project), Dresser(project)
    found = build(sweep)
    points = {
        part.name: sum(2 if isinstance(p, (Rod, Ring)) else p.corners.shape[1] for p in part.pieces)
        for part in found
    }

    def reference() -> None:
        turn = np.eye(4)
        for count in points.values():
            local = np.ones((count, 3))
            for k in range(161):
                turn[:3, :3] = sweep.rotation[1, k, 0]
                turn[:3, 3] = sweep.position[1, k, 0]
                trimesh.transform_points(local, turn)

    whole = quickest(lambda: build(sweep))
    print(f"parts prepared                {quickest(lambda: Builder(project)):8.2f} ms")
    print(f"parts over 161 poses          {whole:8.2f} ms")
    print(f"  the same with trimesh       {quickest(reference, 3) / whole:8.1f} times as long")
    print(f"parts at one pose             {quickest(lambda: build(one)):8.3f} ms")
    print(f"pairs chosen                  {quickest(lambda: pairs(project, found)):8.2f} ms")
    print(f"skins made again              {quickest(lambda: Dresser(project)):8.2f} ms")
    print(f"skins placed at one pose      {quickest(lambda: dress.place(one)):8.3f} ms")
    print(f"skins placed at 161 poses     {quickest(lambda: dress.place(sweep)):8.2f} ms")
    print(f"triangles of the corner       {sum(len(s.faces) for s in dress.skins):8d}")
    with tempfile.TemporaryDirectory() as folder:
        ball = trimesh.creation.icosphere(subdivisions=8, radius=200.0)
        ball = trimesh.Trimesh(ball.vertices, ball.faces[:500_000], process=False)
        for kind in ("stl", "ply", "obj"):
            path = Path(folder) / f"scan.{kind}"
            ball.export(path)
            print(
                f"500,000 triangles from {kind}    "
                f"{quickest(lambda path=path: read_scan(path, 'mm'), 3):8.0f} ms"
            )


if __name__ == "__main__":
    main()
