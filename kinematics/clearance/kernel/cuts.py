"""How deep one convex piece reaches into another: by cutting planes and a dual simplex."""

from kinematics.clearance.kernel.certificates import certified
from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.fields import field_of
from kinematics.clearance.kernel.layout import CUTS
from kinematics.clearance.kernel.supports import height_of
from kinematics.clearance.kernel.vectors import square_to


@inner
def _solve4(m, rhs, x):
    """Solve a 4 by 4 system in place (partial pivoting); False when it is singular."""
    for i in range(4):
        x[i] = rhs[i]
    for c in range(4):
        top = c
        for r in range(c + 1, 4):
            if abs(m[r, c]) > abs(m[top, c]):
                top = r
        if abs(m[top, c]) < 1e-13:
            return False
        if top != c:
            for k in range(4):
                m[c, k], m[top, k] = m[top, k], m[c, k]
            x[c], x[top] = x[top], x[c]
        for r in range(c + 1, 4):
            factor = m[r, c] / m[c, c]
            if factor != 0.0:
                for k in range(c, 4):
                    m[r, k] -= factor * m[c, k]
                x[r] -= factor * x[c]
    for c in range(3, -1, -1):
        for k in range(c + 1, 4):
            x[c] -= m[c, k] * x[k]
        x[c] /= m[c, c]
    return True


@inner
def _basis_rows(rows, basis, m, across):
    """The basis as a matrix, or its transpose."""
    for i in range(4):
        for j in range(4):
            if across:
                m[j, i] = rows[basis[i], j]
            else:
                m[i, j] = rows[basis[i], j]


@inner
def _cut(s, rows, n, is_host, x, y, z):
    """Add u·p - s <= h_host(u), or u·p <= h_probe(u); the new number of rows."""
    rows[n, 0], rows[n, 1], rows[n, 2] = x, y, z
    rows[n, 3] = -1.0 if is_host else 0.0
    rows[n, 4] = height_of(s, x, y, z)
    return n + 1


@inner
def _pivot_to_feasible(rows, n, basis, m, vectors):
    """Dual simplex: lowest s with every cut kept, from a basis with multipliers >= 0.

    The unknowns are (x, y, z, s); row i says rows[i, :4]·(x, y, z, s) <= rows[i, 4].
    vectors: right side, column, then the results: vertex and multipliers.
    """
    rhs, column, vertex, weight = vectors
    for _ in range(200):
        for i in range(4):
            rhs[i] = rows[basis[i], 4]
        _basis_rows(rows, basis, m, False)
        if not _solve4(m, rhs, vertex):
            return False
        worst, enter = 1e-9, -1
        for i in range(n):
            value = -rows[i, 4]
            for j in range(4):
                value += rows[i, j] * vertex[j]
            if value > worst:
                worst, enter = value, i
        _basis_rows(rows, basis, m, True)
        for i in range(4):
            rhs[i] = -1.0 if i == 3 else 0.0
        if not _solve4(m, rhs, weight):
            return False
        if enter < 0:
            return True
        _basis_rows(rows, basis, m, True)
        for j in range(4):
            rhs[j] = rows[enter, j]
        if not _solve4(m, rhs, column):
            return False
        leave, ratio = -1, 1e300
        for i in range(4):
            if column[i] > 1e-10:
                value = max(weight[i], 0.0) / column[i]
                if value < ratio - 1e-14 or (value <= ratio + 1e-14 and column[i] > column[leave]):
                    leave, ratio = i, value
        if leave < 0:
            return False
        basis[leave] = enter
    return False


@inner
def deepest(host, probe, ux, uy, uz, eps, stop, ws, cert, at, out):
    """Least field of the host over the probe, by cutting planes in (x, y, z, s) (Kelley 1960).

    out: low, high, deepest point (3), its nearest point of the host's surface (3). Stops early
    once the bound passes `stop`. cert[at:]: weights and directions that prove low.
    """
    m, vectors, rows, basis, trial = ws[5], ws[6], ws[7], ws[8], ws[9]
    vertex, weight = vectors[2], vectors[3]
    tx, ty, tz = square_to(ux, uy, uz)
    sx, sy, sz = uy * tz - uz * ty, uz * tx - ux * tz, ux * ty - uy * tx
    n = 0
    n = _cut(host, rows, n, True, ux, uy, uz)
    # The first four rows are the first basis: multipliers 1, 1, 0, 0.
    for i in range(6):
        sign = -1.0 if i % 2 == 0 else 1.0
        x, y, z = (ux, uy, uz) if i < 2 else ((tx, ty, tz) if i < 4 else (sx, sy, sz))
        n = _cut(probe, rows, n, False, sign * x, sign * y, sign * z)
        if i != 1:
            n = _cut(host, rows, n, True, sign * x, sign * y, sign * z)
    basis[0], basis[1], basis[2], basis[3] = 0, 1, 4, 8
    out[0], out[1] = -1e300, 1e300
    while n < CUTS - 3:
        if not _pivot_to_feasible(rows, n, basis, m, vectors):
            break
        total = 0.0
        for i in range(4):
            trial[4 * i] = 0.0
            if rows[basis[i], 3] < 0.0 and weight[i] > 0.0:
                trial[4 * i] = weight[i]
                total += weight[i]
                for j in range(3):
                    trial[4 * i + 1 + j] = rows[basis[i], j]
        if total > 0.0:
            for i in range(4):
                trial[4 * i] /= total
            start = 0 * n
            low = certified(host, probe, trial, start)
            if low > out[0]:
                out[0] = low
                for i in range(16):
                    cert[at + i] = trial[i]
        x, y, z = vertex[0], vertex[1], vertex[2]
        before = n
        pv, px, py, pz = field_of(probe, x, y, z)
        hv, hx, hy, hz = field_of(host, x, y, z)
        if hv > vertex[3] + 1e-9:
            n = _cut(host, rows, n, True, hx, hy, hz)
        if pv > 1e-9:
            n = _cut(probe, rows, n, False, px, py, pz)
            x, y, z = x - pv * px, y - pv * py, z - pv * pz
            hv, hx, hy, hz = field_of(host, x, y, z)
            n = _cut(host, rows, n, True, hx, hy, hz)
        if hv < out[1]:
            out[1] = hv
            out[2], out[3], out[4] = x, y, z
            out[5], out[6], out[7] = x - hv * hx, y - hv * hy, z - hv * hz
        if out[1] - out[0] <= eps or out[0] >= stop or n == before:
            break
