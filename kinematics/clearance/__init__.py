"""Signed, certified clearance between parts, at every pose and between poses.

    from kinematics.clearance import clearances, distance
    found = clearances(parts, pairs, grid=(nz, ns), tol=0.02, joints=[...])

`parts` : sequence of `Part` whose pieces carry nz * ns poses (travel slowest), or one.
`pairs` : sequence of (i, j) indices into parts, or None for every pair of different bodies.
`found.low[pair, iz, js]` : certified lower bound of the clearance, mm; the true value lies in
[low, low + bound]; NaN where a pose was not reached. `found.point_a`, `found.point_b` (..., 3) lie
on the two surfaces (overlapping: the deepest point and the nearest surface point).
`found.between_low[pair, iz, js]` (nz - 1 intervals) : certified lower bound over the whole travel
interval iz .. iz + 1, with the parts' sagitta taken off; `found.between_at` : where in the
interval (0 to 1) the nearest position examined was.
`joints` : `Joint(i, j, centre (n, 3) or (3,), radius)`: points of either part inside that ball are
left out for this pair; what the balls swallow whole reads +inf.
`cutoff` : pairs certified farther than this may keep a cheap lower bound (bound = inf).

`Prepared(pairs, tol).at(parts, joints)` : the same at one position after another (dragging), going
on from the last one.
`distance(piece_a, piece_b, tol)` -> `Distance(low, bound, point_a, point_b)`, arrays over poses.
`onset(parts_at, pair, travel, found, level, ...)` -> `Onset`: the travel intervals in which a pair
is nearer than level, and the first going outwards in bump and in droop.

Signs: separated: the Euclidean distance. Overlapping, or one inside the other: minus the deeper of
the two greatest depths (of a point of one below the surface of the other): the least that must go,
not always enough. Of unions: the worst over pieces.

Where the calculation error can exceed tol, the bound says so: a hollow ring whose own metal is
entered deeper than its rounded edges (no deeper than half its wall), a part wholly inside a closed
scan. A scan (`Mesh`) is measured to its surface; two scans from surface to surface: where those
cross they touch, and how deep can't be told. Between positions a deep overlap of sharp-edged pieces
is bounded less tightly.

Compiled code is loaded at the first call. It is compiled once for a machine, which takes a minute
or two: `python -c "from kinematics.clearance import kernel; kernel.compile_all()"` does it ahead of
time. Where no folder can keep the result it is compiled anew in each run. NUMBA_DISABLE_JIT=1 runs
all of it uncompiled.
"""

from kinematics.clearance.joints import Joint
from kinematics.clearance.onset import Onset, onset
from kinematics.clearance.parts import Cancelled, Clearances, all_pairs, clearances
from kinematics.clearance.pieces import Distance, distance
from kinematics.clearance.prepared import Prepared

__all__ = [
    "Cancelled",
    "Clearances",
    "Distance",
    "Joint",
    "Onset",
    "Prepared",
    "all_pairs",
    "clearances",
    "distance",
    "onset",
]
