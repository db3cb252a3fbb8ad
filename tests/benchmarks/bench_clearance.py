"""How quick clearances are, against python-fcl on meshes fine enough for the same error.

Run it with ``python tests/benchmarks/bench_clearance.py``. Times are processor time, the least of
several repeats, both sides in one run. A mesh is made of each part's solids within 0.02 mm of
them, the greatest calculation error of our figures; it is moved rigidly, as the library wants it
(parts that change length are left out of the comparison). The library answers for the sampled
positions only; ours are certified between them too.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import fcl
import numpy as np
import trimesh

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from kinematics.clearance import Prepared, clearances
from kinematics.motion import move
from kinematics.project.files import read
from kinematics.shapes.pieces import Block, Part, Piece, Ring, Rod
from kinematics.studies.study import set_up

EXAMPLE = Path(__file__).parents[2] / "assets" / "examples" / "rear-in-trouble.corner.json"
ERROR = 0.02


def quickest(work: Callable[[], object], repeats: int = 7) -> float:
    """Milliseconds of processor time of the quickest of several runs."""
    best = float("inf")
    for _ in range(repeats):
        start = time.process_time()
        work()
        best = min(best, time.process_time() - start)
    return best * 1e3


def mesh(piece: Piece) -> tuple[np.ndarray, np.ndarray]:
    """Triangles of a piece at its first pose, within ERROR of it."""
    if isinstance(piece, Rod):
        p, q = piece.ends[0]
        around = int(np.ceil(np.pi / np.arccos(1 - ERROR / piece.radius)))
        made = trimesh.creation.capsule(np.linalg.norm(q - p), piece.radius, count=[around, around])
        made.apply_transform(trimesh.geometry.align_vectors([0, 0, 1], q - p))
        made.apply_translation(p - trimesh.transform_points([[0, 0, 0]], np.eye(4))[0])
        return made.vertices, made.faces
    if isinstance(piece, Ring):
        outline = piece.profile.points(ERROR)
        around = int(np.ceil(np.pi / np.arccos(1 - ERROR / piece.profile.r_max)))
        closed = np.concatenate([outline, outline[:1]])
        made = trimesh.creation.revolve(closed, sections=around)
        made.apply_transform(trimesh.geometry.align_vectors([0, 0, 1], piece.axis[0]))
        made.apply_translation(piece.centre[0])
        return made.vertices, made.faces
    corners = piece.corners[0]
    faces = piece.faces if isinstance(piece, Block) else (tuple(range(corners.shape[0])),)
    return corners, np.array([(f[0], f[i], f[i + 1]) for f in faces for i in range(1, len(f) - 1)])


def collider(part: Part) -> tuple[fcl.CollisionObject, int]:
    model = fcl.BVHModel()
    made = [mesh(piece) for piece in part.pieces]
    model.beginModel(sum(len(f) for _, f in made), sum(len(v) for v, _ in made))
    for vertices, faces in made:
        model.addSubModel(np.asarray(vertices, float), np.asarray(faces, int))
    model.endModel()
    return fcl.CollisionObject(model), sum(len(f) for _, f in made)


class Corner:
    """The example in trouble over a grid, and its parts as the library's meshes."""

    setting = set_up(read(EXAMPLE))

    def __init__(self, travel: np.ndarray, rack: np.ndarray) -> None:
        self.motion = move(self.setting.linkage, travel, rack)
        self.grid = len(travel), len(rack)
        self.parts = self.setting.builder(self.motion)
        self.pairs = self.setting.pairs.checked
        self.joints = self.setting.joints(self.motion)

    def ours(self, chosen: list[tuple[int, int]]) -> object:
        return clearances(self.parts, chosen, self.grid, joints=self.joints, threads=1)

    def nearest(self, count: int) -> list[tuple[int, int]]:
        """The pairs that come nearest anywhere."""
        found = clearances(self.parts, self.pairs, self.grid, joints=self.joints)
        return [self.pairs[k] for k in np.argsort(found.worst)[:count]]

    def placements(self, part: Part) -> list[fcl.Transform]:
        """Rigid motion of a part's body from its first pose, over the poses."""
        b = self.motion.bodies.index(part.body)
        turn = self.motion.rotation[b].reshape(-1, 3, 3)
        at = self.motion.position[b].reshape(-1, 3)
        relative = turn @ turn[0].T
        return [fcl.Transform(r, p - r @ at[0]) for r, p in zip(relative, at, strict=True)]


def dragged(chosen: list[tuple[int, int]], count: int = 100) -> float:
    """Milliseconds of processor time of a position, one after another."""
    there = [Corner(np.array([-20.0 + 0.5 * k]), np.zeros(1)) for k in range(count)]
    prepared = Prepared(chosen)
    prepared.at(there[0].parts, there[0].joints)
    start = time.process_time()
    for one in there[1:]:
        prepared.at(one.parts, one.joints)
    return (time.process_time() - start) * 1e3 / (count - 1)


def theirs(a, b, moves_a, moves_b) -> None:
    request = fcl.DistanceRequest()
    for move_a, move_b in zip(moves_a, moves_b, strict=True):
        a.setTransform(move_a)
        b.setTransform(move_b)
        fcl.distance(a, b, request, fcl.DistanceResult())


def main() -> None:
    sweep = Corner(np.linspace(-80.0, 79.9, 161), np.zeros(1))
    names = [part.name for part in sweep.parts]
    rigid = [
        k
        for k, part in enumerate(sweep.parts)
        if part.body in sweep.motion.bodies and part.body != "coilover"
    ]
    made = {k: collider(sweep.parts[k]) for k in rigid}
    joined = {frozenset((j.part_a, j.part_b)) for j in sweep.joints}
    print(f"{'161 positions, µs a position':44}{'ours':>8}{'library':>10}{'ratio':>8}   triangles")
    total_ours = total_theirs = 0.0
    for i, j in sweep.pairs:
        if i not in made or j not in made or frozenset((i, j)) in joined:
            continue
        pair = [(i, j)]
        mine = quickest(lambda pair=pair: sweep.ours(pair), 5) * 1e3 / 161
        moves = sweep.placements(sweep.parts[i]), sweep.placements(sweep.parts[j])
        few = [m[::8] for m in moves]
        other = quickest(lambda i=i, j=j, few=few: theirs(made[i][0], made[j][0], *few), 2)
        other *= 1e3 / len(few[0])
        total_ours, total_theirs = total_ours + mine, total_theirs + other
        print(
            f"{names[i] + ' / ' + names[j]:44}{mine:8.1f}{other:10.1f}{other / mine:8.1f}"
            f"   {made[i][1]:,} + {made[j][1]:,}"
        )
    print(
        f"{'all of these':44}{total_ours:8.1f}{total_theirs:10.1f}{total_theirs / total_ours:8.1f}"
    )
    all_pairs = list(sweep.pairs)
    print(f"\nthe whole example, {len(all_pairs)} pairs, certified between positions, one thread:")
    print(f"  161 x 1 positions     {quickest(lambda: sweep.ours(all_pairs)):9.1f} ms")
    grid = Corner(np.linspace(-80.0, 79.9, 41), np.linspace(-20.0, 20.0, 21))
    print(f"  41 x 21 positions     {quickest(lambda: grid.ours(all_pairs), 3):9.1f} ms")
    nearest = sweep.nearest(34)
    print(f"its {len(nearest)} nearest pairs:")
    print(f"  161 x 1 positions     {quickest(lambda: sweep.ours(nearest)):9.1f} ms")
    print("dragged by half a millimetre at a time, all pairs:")
    print(f"  one position          {dragged(all_pairs):9.2f} ms")


if __name__ == "__main__":
    main()
