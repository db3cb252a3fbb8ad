"""Entry: clearance of pairs of parts over a travel x rack grid."""

from numba import types

from kinematics.clearance.kernel.column import room_for, run_pair
from kinematics.clearance.kernel.compiled import F1, F2, F3, F4, I1, I2, entry
from kinematics.clearance.kernel.pair import workspace


@entry(
    types.void(
        F1, I2, F1, F2, F2, I1, I1, I2, I2, types.float64, types.float64, types.boolean,
        F3, I1, F2, F3, I1, F2, F1, F1, F3, F3, F4, F4, F3, F3,
    )
)  # fmt: skip
def run_pairs(
    data,
    meta,
    fixed,
    blank,
    middle,
    ids,
    first,
    pairs,
    grid,
    tol,
    cutoff,
    worst_only,
    sagitta,
    begin,
    certs,
    kept,
    counts,
    seeds,
    lows,
    data0,
    low,
    high,
    point_a,
    point_b,
    between,
    at,
):
    """Clearance of pairs of parts over a travel x rack grid; fills the last six arrays.

    Part i has the pieces ids[first[i] : first[i + 1]]. pairs : (n, 3) two parts and the row of the
    results to fill. grid : (1, 2) travel and rack positions. sagitta : (len(ids), nz - 1, ns).
    begin : where in certs (m, 32), kept (m, KEPT, SPAN), counts (m,) and seeds (m, 12) a row's
    pairs of pieces begin: what the search starts from (a first certificate of -1 and a count of -1:
    from nothing) and what it leaves for the next call. lows (m,) : bounds of the pairs of pieces at
    the last call's first pose, whose data were data0; -1e300 for none.
    """
    nz, ns = grid[0, 0], grid[0, 1]
    most = widest = 1
    for k in range(len(pairs)):
        most = max(most, begin[pairs[k, 2] + 1] - begin[pairs[k, 2]])
        for j in range(2):
            widest = max(widest, first[pairs[k, j] + 1] - first[pairs[k, j]])
    ws = workspace(most)
    room = room_for(widest, most, blank.shape[1])
    for k in range(len(pairs)):
        i, j, row = pairs[k, 0], pairs[k, 1], pairs[k, 2]
        ids_a, ids_b = ids[first[i] : first[i + 1]], ids[first[j] : first[j + 1]]
        origin = 0.5 * (middle[ids_a[0]] + middle[ids_b[0]])
        m = begin[row]
        e = m + len(ids_a) * len(ids_b)
        memory = certs[m:e], kept[m:e], counts[m:e], seeds[m:e], lows[m:e], data0
        run_pair(
            data, meta, fixed, blank, ids_a, ids_b, nz, ns, tol, cutoff, worst_only, origin,
            sagitta[first[i] : first[i + 1]], sagitta[first[j] : first[j + 1]], memory, room, ws,
            low[row], high[row], point_a[row], point_b[row], between[row], at[row],
        )  # fmt: skip
