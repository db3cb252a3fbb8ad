"""Rigid frames over arrays: rotations, small turns and cross products.

Two layouts are used. Public arrays lead with the batch: a rotation is ``(..., 3, 3)``. Inside
the solver the batch axis is *last*, so that every elementary operation runs along contiguous
memory: a vector is ``(3, n)``, k vectors ``(3, k, n)``, a unit quaternion ``(4, n)`` as
(w, x, y, z), a rotation ``(3, 3, n)``. Functions for the second layout end in ``_last``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def unit(v: Array) -> Array:
    """The vector over its length, along the last axis; analytic, so complex steps pass."""
    scale = 1.0 / np.sqrt(np.sum(v * v, axis=-1))
    return np.asarray(v * scale[..., None])


def turn(axis: Array, angle: Array) -> Array:
    """Rotation matrices ``(..., 3, 3)`` about the unit ``axis`` (3,) by ``angle`` (...,) in rad.

    Rodrigues' formula.
    """
    angle = np.asarray(angle)
    k = skew(axis)
    s, c = np.sin(angle)[..., None, None], np.cos(angle)[..., None, None]
    return np.asarray(np.eye(3) + s * k + (1.0 - c) * (k @ k))


def about_axes(degrees: ArrayLike) -> Array:
    """Rotation matrix (3, 3) of turns (3,) in degrees about x, then y, then z, axes that stay.

    Right-handed: positive about x takes y to z. The matrix is Rz Ry Rx.
    """
    x, y, z = (turn(axis, np.radians(by)) for axis, by in zip(np.eye(3), degrees, strict=True))  # type: ignore[arg-type]
    return np.asarray(z @ y @ x)


def turns_about_axes(rotation: Array) -> Array:
    """The turns (3,) in degrees that `about_axes` makes a rotation matrix (3, 3) of.

    That about y is within 90 degrees; at 90 itself, where x and z turn alike, none is about z.
    """
    across = np.hypot(rotation[0, 0], rotation[1, 0])
    y = np.arctan2(-rotation[2, 0], across)
    if across < 1e-9:
        x, z = np.arctan2(-rotation[1, 2], rotation[1, 1]), 0.0
    else:
        x = np.arctan2(rotation[2, 1], rotation[2, 2])
        z = np.arctan2(rotation[1, 0], rotation[0, 0])
    return np.degrees([x, y, z])


def skew(w: Array) -> Array:
    """The matrices ``(..., 3, 3)`` with ``skew(w) @ v = w × v``."""
    w = np.asarray(w)
    out = np.zeros((*w.shape[:-1], 3, 3), dtype=w.dtype)
    out[..., 0, 1], out[..., 0, 2], out[..., 1, 2] = -w[..., 2], w[..., 1], -w[..., 0]
    out[..., 1, 0], out[..., 2, 0], out[..., 2, 1] = w[..., 2], -w[..., 1], w[..., 0]
    return out


# Entries of the rotation matrix as a linear map of the products q_i q_j, rows (r_ij) and
# columns (ww, wx, ..., zz): one matrix product in place of thirty array operations.
_entries = np.zeros((3, 3, 4, 4))
for _i in range(3):
    _entries[_i, _i, 0, 0] = 1.0
    for _j in range(3):
        _entries[_i, _i, _j + 1, _j + 1] += 1.0 if _i == _j else -1.0
        if _i != _j:
            _entries[_i, _j, _i + 1, _j + 1] += 2.0
            _k = 3 - _i - _j
            # +2 w q_k when (i, j, k) is an odd permutation, -2 when even.
            _entries[_i, _j, 0, _k + 1] += -2.0 if (_j - _i) % 3 == 1 else 2.0
_TO_MATRIX = _entries.reshape(9, 16)

# The Hamilton product as a linear map of the products a_i b_j.
_terms = np.zeros((4, 4, 4))
_terms[0, 0, 0] = 1.0
for _i in range(3):
    _terms[0, _i + 1, _i + 1] = -1.0
    _terms[_i + 1, 0, _i + 1] = 1.0
    _terms[_i + 1, _i + 1, 0] = 1.0
    _terms[_i + 1, (_i + 1) % 3 + 1, (_i + 2) % 3 + 1] = 1.0
    _terms[_i + 1, (_i + 2) % 3 + 1, (_i + 1) % 3 + 1] = -1.0
_PRODUCT = _terms.reshape(4, 16)
_TURN = 0.5 * _terms[:, 1:].reshape(4, 12)


def matrix_last(q: Array) -> Array:
    """Rotation matrices ``(..., 3, 3, n)`` of unit quaternions ``(..., 4, n)``.

    Every entry is a quadratic polynomial of the quaternion.
    """
    *lead, _, n = q.shape
    pairs = (q[..., :, None, :] * q[..., None, :, :]).reshape(*lead, 16, n)
    return np.asarray(np.matmul(_TO_MATRIX, pairs).reshape(*lead, 3, 3, n))


# A posture as a linear map of the products q_i q_j, the centre and a constant: for each direction
# the matrix's row and the centre's part, then the constant and what moves along y.
_POSTURE = np.zeros((3, 6, 21))
for _i in range(3):
    _POSTURE[_i, :3, :16] = _TO_MATRIX.reshape(3, 3, 16)[_i]
    _POSTURE[_i, 3, 16 + _i] = _POSTURE[_i, 4, 19] = _POSTURE[_i, 5, 20] = 1.0
_POSTURE_FLAT = _POSTURE.reshape(18, 21)


def posture_terms(centre: Array, q: Array) -> Array:
    """What poses are linear in (21, n): the products of the quaternions (4, n), the centres (3, n)
    and 1, twice; the last is there to be overwritten."""
    n = q.shape[-1]
    terms = np.ones((21, n), dtype=np.result_type(centre, q))
    np.multiply(q[:, None], q, out=terms[:16].reshape(4, 4, n))
    terms[16:19] = centre
    return terms


def posture_last(centre: Array, q: Array, more: Array) -> Array:
    """For each direction of the car (3, 6, n): a row of the rotation matrix of the quaternions
    (4, n), that part of the centres (3, n), 1, and ``more`` (n,)."""
    terms = posture_terms(centre, q)
    if more.dtype != terms.dtype:
        terms = terms.astype(np.result_type(terms, more))
    terms[20] = more
    return np.asarray(_POSTURE_FLAT.dot(terms).reshape(3, 6, -1))


def carry_matrices(centres: Array) -> Array:
    """Matrices (bodies, 12, 21) from ``posture_terms`` to the rotation matrix, row by row, and the
    position: where the turned ``centres`` (bodies, 3), as measured, go to the centres now."""
    out = np.zeros((len(centres), 12, 21), dtype=centres.dtype)
    turned = _TO_MATRIX.reshape(3, 3, 16)
    for k, centre in enumerate(centres):
        out[k, :9, :16] = _TO_MATRIX
        out[k, 9:, :16] = -np.einsum("ijk,j->ik", turned, centre)
        out[k, 9:, 16:19] = np.eye(3)
    return out


def product_last(a: Array, b: Array) -> Array:
    """Hamilton products ``(..., 4, n)``: the turn ``b`` followed by the turn ``a``."""
    pairs = a[..., :, None, :] * b[..., None, :, :]
    *lead, _, _, n = pairs.shape
    return np.asarray(np.matmul(_PRODUCT, pairs.reshape(*lead, 16, n)))


def turned_last(q: Array, w: Array, share: float = 1.0) -> Array:
    """Quaternions ``(..., 4, n)`` turned on by small rotation vectors ``w`` (..., 3, n), unit.

    ``w`` are taken times ``share``.
    """
    pairs, product = w[..., :, None, :] * q[..., None, :, :], _TURN
    if share != 1.0:
        product = share * _TURN
    if pairs.ndim == 3:
        out = product.dot(pairs.reshape(12, -1))
        out += q
        out /= np.sqrt(np.einsum("in,in->n", out, out))
        return np.asarray(out)
    *lead, _, _, n = pairs.shape
    out = np.matmul(product, pairs.reshape(*lead, 12, n))
    out += q
    out /= np.sqrt(np.einsum("...in,...in->...n", out, out))[..., None, :]
    return np.asarray(out)


FEW = 256
"""Below this many poses the calls cost more than the copies that save some of them."""


def cross(a: ArrayLike, b: ArrayLike) -> Array:
    """Cross product of two single vectors (3,), in plain numbers: NumPy's own takes ten times as
    long over so few."""
    (x, y, z), (u, v, w) = np.asarray(a, float).tolist(), np.asarray(b, float).tolist()
    return np.array([y * w - z * v, z * u - x * w, x * v - y * u])


def cross_last(a: Array, b: Array) -> Array:
    """Cross products of ``(3, ..., n)`` along the first axis."""
    if max(a.shape[-1], b.shape[-1]) < FEW:
        a, b = np.concatenate((a, a[:2])), np.concatenate((b, b[:2]))
        out = a[1:4] * b[2:]
        out -= a[2:] * b[1:4]
        return np.asarray(out)
    a0, a1, a2 = a
    b0, b1, b2 = b
    first = a1 * b2
    first -= a2 * b1
    out = np.empty((3, *first.shape), dtype=first.dtype)
    out[0] = first
    np.subtract(a2 * b0, a0 * b2, out=out[1])
    np.subtract(a0 * b1, a1 * b0, out=out[2])
    return out


def dot_last(a: Array, b: Array) -> Array:
    """Dot products of ``(3, ..., n)`` along the first axis."""
    product = a * b
    return np.asarray(product[0] + product[1] + product[2])


def carried_last(local: Array, matrix: Array) -> Array:
    """Points of a body's own frame turned by its matrices (3, 3, n), as ``(3, k, n)``.

    ``local`` is (3, k, 1), the same at every pose, or (3, k, n).
    """
    if local.shape[-1] == 1:
        return np.asarray(np.matmul(local[:, :, 0].T, matrix))
    return np.asarray(np.einsum("ijn,jkn->ikn", matrix, local))
