"""One random scene checked against the slow judge."""

from __future__ import annotations

import numpy as np

from kinematics.clearance import distance
from tests.clearance.oracle import clearance, random_scene, sd


def faults(seed: int, thorough: bool = False, tol: float = 0.02) -> list[str]:
    """What is wrong with the product's answer in random scene `seed`; empty when nothing is."""
    rng = np.random.default_rng(seed)
    a, b = random_scene(rng)
    found = distance(a.piece, b.piece, tol)
    low, bound = float(found.low[0]), float(found.bound[0])
    high = low + bound
    sampled = clearance(a, b, rng, thorough)
    say = []
    if not low <= sampled + 1e-7:
        say.append(f"over-reports: {low} where {sampled} was found")
    if not 0.0 <= bound <= tol:
        say.append(f"bound {bound}")
    apart = np.linalg.norm(found.point_a - found.point_b)
    if abs(apart - abs(high)) > 1e-6:
        say.append(f"points {apart} apart, figure {high}")
    on_a, on_b = sd(a, found.point_a)[0], sd(b, found.point_b)[0]
    if high > 0.0:
        if max(abs(on_a), abs(on_b)) > 1e-6:
            say.append(f"points off their surfaces by {on_a}, {on_b}")
        return say
    # One point lies on the host's surface, the other in its own part and that deep in the host.
    a_hosts = abs(on_a) <= 1e-6 and on_b <= 1e-6 and abs(sd(a, found.point_b)[0] - high) <= 1e-6
    b_hosts = abs(on_b) <= 1e-6 and on_a <= 1e-6 and abs(sd(b, found.point_a)[0] - high) <= 1e-6
    if not (a_hosts or b_hosts):
        say.append(f"no deepest point: {on_a}, {on_b}, figure {high}")
    return say
