"""Helical compression springs of round wire: rate, lengths, growth, turning, buckling.

Handbook formulas over scalars or arrays. Lengths in mm, forces in N, rates in N/mm, moduli in
N/mm^2, angles in rad. ``wire`` is the wire diameter d, ``mean`` the mean coil diameter D,
``active`` the number of active coils n, ``total`` the number of all coils nt, ``free`` the
unloaded length L0.

Sources: EN 13906-1 (design of cylindrical compression springs) and the Spring Manufacturers
Institute's handbook, both from memory; V. B. Bhandari, *Design of Machine Elements*, ch. 10,
for worked examples; A. M. Wahl, *Mechanical Springs*, from memory, for the turning of the ends.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ends = Literal["ground", "closed", "open"]

#: Moduli of spring steel, N/mm^2 (EN 13906-1, hot-coiled steel; from memory).
SHEAR_MODULUS = 78_500.0
YOUNGS_MODULUS = 206_000.0

#: Coils that do not act, and coil pitches' worth of wire taken off the free length before it is
#: shared among the active coils, by how the ends are made (closed and ground, closed, open).
_DEAD_COILS: dict[Ends, float] = {"ground": 2.0, "closed": 2.0, "open": 0.0}
_PITCH_OFFSET: dict[Ends, float] = {"ground": 2.0, "closed": 3.0, "open": 1.0}
_SOLID_EXTRA: dict[Ends, float] = {"ground": 0.0, "closed": 1.5, "open": 1.0}

#: How a spring's ends are held, for buckling (EN 13906-1's seating coefficient; from memory).
SEATING = {"both square": 0.5, "one square, one hinged": 0.7, "both hinged": 1.0, "one loose": 2.0}


def rate(
    wire: ArrayLike, mean: ArrayLike, active: ArrayLike, shear: float = SHEAR_MODULUS
) -> Floats:
    """Spring rate G d^4 / (8 D^3 n), N/mm (EN 13906-1; Bhandari eq. 10.9)."""
    d, big, n = _arrays(wire, mean, active)
    return shear * d**4 / (8.0 * big**3 * n)


def active_coils(
    wire: ArrayLike, mean: ArrayLike, stiffness: ArrayLike, shear: float = SHEAR_MODULUS
) -> Floats:
    """Active coils that give ``stiffness`` (N/mm): the rate formula turned round."""
    d, big, k = _arrays(wire, mean, stiffness)
    return shear * d**4 / (8.0 * big**3 * k)


def total_coils(active: ArrayLike, ends: Ends = "ground") -> Floats:
    """All coils: the active ones and one dead coil at each closed end."""
    return np.asarray(active, float) + _DEAD_COILS[ends]


def solid_length(wire: ArrayLike, total: ArrayLike, ends: Ends = "ground") -> Floats:
    """Length with every coil touching, mm: nt d, or (nt + 1.5) d unground (EN 13906-1)."""
    d, nt = _arrays(wire, total)
    return (nt + _SOLID_EXTRA[ends]) * d


def least_gaps(
    wire: ArrayLike, mean: ArrayLike, active: ArrayLike, *, moving: bool = True
) -> Floats:
    """The sum of gaps to keep between the coils at the shortest working length, mm.

    EN 13906-1 for cold-coiled springs, n (0.0015 D^2/d + 0.1 d), and half as much again under a
    moving load (from memory).
    """
    d, big, n = _arrays(wire, mean, active)
    return (1.5 if moving else 1.0) * n * (0.0015 * big**2 / d + 0.1 * d)


def pitch(free: ArrayLike, wire: ArrayLike, active: ArrayLike, ends: Ends = "ground") -> Floats:
    """Distance between neighbouring coils of the unloaded spring, centre to centre, mm.

    (L0 - 2d)/n closed and ground, (L0 - 3d)/n closed, (L0 - d)/n open (Shigley, *Mechanical
    Engineering Design*, table 10-1; from memory).
    """
    long, d, n = _arrays(free, wire, active)
    return (long - _PITCH_OFFSET[ends] * d) / n


def growth_en(wire: ArrayLike, mean: ArrayLike, coil_pitch: ArrayLike) -> Floats:
    """Growth of the outside diameter when pressed solid, EN 13906-1's form, mm (from memory).

    0.1 (m^2 - 0.8 m d - 0.2 d^2) / D with the pitch m, for ends that may turn.
    """
    d, big, m = _arrays(wire, mean, coil_pitch)
    return 0.1 * (m**2 - 0.8 * m * d - 0.2 * d**2) / big


def growth_smi(wire: ArrayLike, mean: ArrayLike, coil_pitch: ArrayLike) -> Floats:
    """Growth of the outside diameter when pressed solid, SMI's form, mm (from memory).

    sqrt(D^2 + (p^2 - d^2)/pi^2) - D: the wire keeps its length and the ends do not turn.
    """
    d, big, p = _arrays(wire, mean, coil_pitch)
    return np.sqrt(big**2 + (p**2 - d**2) / np.pi**2) - big


def growth(wire: ArrayLike, mean: ArrayLike, coil_pitch: ArrayLike) -> Floats:
    """Growth of the outside diameter to allow for: the larger of the two published forms."""
    larger = np.maximum(growth_en(wire, mean, coil_pitch), growth_smi(wire, mean, coil_pitch))
    return np.maximum(larger, 0.0)


def growth_at(
    wire: ArrayLike, mean: ArrayLike, coil_pitch: ArrayLike, active: ArrayLike, squash: ArrayLike
) -> Floats:
    """Growth of the outside diameter at a squash (mm) of the spring, mm; 0 while it is free.

    SMI's form on its way, sqrt(D^2 + (p^2 - q^2)/pi^2) - D with the pitch closed from p to
    q = p - squash/n, times what brings it to `growth` when every coil touches: never less than
    SMI's form, and the larger of the two published ones at the end.
    """
    d, big, p, n, x = _arrays(wire, mean, coil_pitch, active, squash)
    now = np.clip(p - np.maximum(x, 0.0) / n, np.minimum(d, p), p)
    on_its_way = np.sqrt(big**2 + (p**2 - now**2) / np.pi**2) - big
    flat = growth_smi(d, big, p)
    return on_its_way * np.where(flat > 0.0, growth(d, big, p) / np.where(flat > 0.0, flat, 1.0), 1)


def end_turn(
    squash: ArrayLike,
    mean: ArrayLike,
    active: ArrayLike,
    coil_pitch: ArrayLike,
    shear: float = SHEAR_MODULUS,
    young: float = YOUNGS_MODULUS,
) -> Floats:
    """How far one end turns against the other when free to, squashed by ``squash`` mm; rad.

    The wire's torsion turns the end by (dx/R) tan(lead), its bending takes 2G/E of that back
    (Wahl; from memory); the lead angle falls as the pitch closes, which is integrated here. Why a
    top hat or a seat is given a thrust bearing: without one the spring grinds or winds the bush.
    """
    x, big, n, p = _arrays(squash, mean, active, coil_pitch)
    return (1.0 - 2.0 * shear / young) * (p * x - 0.5 * x**2 / n) / (0.5 * np.pi * big**2)


def buckles_at(
    free: ArrayLike,
    mean: ArrayLike,
    seating: float = SEATING["both square"],
    shear: float = SHEAR_MODULUS,
    young: float = YOUNGS_MODULUS,
) -> Floats:
    """Squash at which an unguided spring buckles, mm; infinite when it never does.

    EN 13906-1 (from memory): s_k = L0 * 0.5/(1 - G/E) * (1 - sqrt(1 - (1 - G/E)/(0.5 + G/E) *
    (pi D/(nu L0))^2)), with the seating coefficient nu (see `SEATING`).
    """
    long, big = _arrays(free, mean)
    ratio = shear / young
    slender = np.pi * big / (seating * long)
    inside = 1.0 - (1.0 - ratio) / (0.5 + ratio) * slender**2
    squash = long * 0.5 / (1.0 - ratio) * (1.0 - np.sqrt(np.maximum(inside, 0.0)))
    return np.where(inside < 0.0, np.inf, squash)


def _arrays(*values: ArrayLike) -> tuple[Floats, ...]:
    return tuple(np.asarray(v, float) for v in values)
