"""Roots of functions, each within its own bracket: one alone, or many side by side."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
ROUNDING = 4 * float(np.finfo(float).eps)


def root_between(of: Callable[[float], float], low: float, high: float, close: float) -> float:
    """A root of a function between two places where its signs differ, to within ``close``.

    R. P. Brent, *Algorithms for Minimization without Derivatives* (1973), chapter 4, as
    ``scipy.optimize.brentq``, whose import takes as long as all else before a window opens.
    Raises ValueError where the signs are the same or the function is not known.
    """
    a, b, fa, fb = float(low), float(high), of(low), of(high)
    if not fa * fb <= 0.0:
        raise ValueError("The function does not change its sign between the two.")
    c, fc, step, last = a, fa, b - a, b - a
    while True:
        if fb * fc > 0.0:
            c, fc, step, last = a, fa, b - a, b - a
        if abs(fc) < abs(fb):  # b is the best so far, the root lies between it and c
            a, b, c, fa, fb, fc = b, c, b, fb, fc, fb
        slack, half = 0.5 * close + ROUNDING * abs(b), 0.5 * (c - b)
        if fb == 0.0 or abs(half) <= slack:
            return b
        tried = half
        if abs(last) >= slack and abs(fa) > abs(fb):
            guess = _guess(a, b, c, fa, fb, fc)
            # Where it leaves the bracket or closes in too slowly, halve.
            if 0.0 < guess / half < 1.5 - slack / (2.0 * abs(half)) and abs(guess) < abs(last) / 2:
                tried = guess
        last, step = (half if tried == half else step), tried
        a, fa = b, fb
        b += step if abs(step) > slack else math.copysign(slack, half)
        fb = of(b)
        if not math.isfinite(fb):
            raise ValueError(f"The function is not known at {b:g}.")


def _guess(a: float, b: float, c: float, fa: float, fb: float, fc: float) -> float:
    """From b to the root of the line or, through three places, of the inverse parabola."""
    s = fb / fa
    if a == c:
        return s * (c - b) / (s - 1.0)
    q, r = fa / fc, fb / fc
    over = (q - 1.0) * (r - 1.0) * (s - 1.0)
    ahead = s * ((c - b) * q * (q - r) - (b - a) * (r - 1.0))
    return -ahead / over if over else math.inf


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
