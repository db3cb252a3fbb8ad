"""Roots of many functions side by side, each within its own bracket."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def roots_together(
    of: Callable[[Floats], Floats],
    low: Floats,
    high: Floats,
    of_low: Floats,
    of_high: Floats,
    close: float = 1e-8,
) -> Floats:
    """Roots of k functions, each within its own bracket, closed in on side by side.

    of : from travels (k,) to the k functions' values, each at its own travel. of_low, of_high :
    values of opposite sign (or nought), known already. NaN where a function is not known within
    its bracket, as where the links can't get there.

    Inverse quadratic steps where they are to be trusted, else halving (T. R. Chandrupatla, 1997;
    from memory): as sure as `brentq`, which takes one function at a time.
    """
    a, b, fa, fb = low.copy(), high.copy(), of_low.copy(), of_high.copy()
    share = np.full(a.shape, 0.5)
    with np.errstate(divide="ignore", invalid="ignore"):
        for _ in range(100):
            width = np.abs(b - a)
            open_ = (width > close) & (fa != 0.0) & (fb != 0.0) & np.isfinite(fa) & np.isfinite(fb)
            if not open_.any():
                break
            x = np.where(open_, a + share * (b - a), a)
            value = np.where(open_, of(x), fa)
            same = np.sign(value) == np.sign(fa)
            c, fc = np.where(same, a, b), np.where(same, fa, fb)
            b, fb = np.where(same | ~open_, b, a), np.where(same | ~open_, fb, fa)
            a, fa = x, value
            share = _share(a, b, c, fa, fb, fc, close)
    known = np.isfinite(fa) & np.isfinite(fb)
    return np.where(known, np.where(np.abs(fa) <= np.abs(fb), a, b), np.nan)


def _share(
    a: Floats, b: Floats, c: Floats, fa: Floats, fb: Floats, fc: Floats, close: float
) -> Floats:
    """How far from a to b to look next: by inverse quadratic interpolation, or half way."""
    xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
    trusted = (phi**2 < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
    step = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    least = np.minimum(0.5 * close / np.abs(b - a), 0.5)
    return np.clip(np.where(trusted & np.isfinite(step), step, 0.5), least, 1.0 - least)
