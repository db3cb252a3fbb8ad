"""Which reading would help most: to fix a point, to decide between rivals, to have a check."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np
from msgspec.structs import replace

from kinematics.frames import Array
from kinematics.project.model import Project
from kinematics.project.survey import (
    DistanceReading,
    HeightReading,
    LeanReading,
    LengthReading,
    OffsetReading,
    PartReading,
    Reading,
    Survey,
)
from kinematics.project.unfold import unfold
from kinematics.survey.adjust import Adjusted
from kinematics.survey.judge import Suspect
from kinematics.survey.network import Network, linked, network, points_in
from kinematics.survey.standing import Standing
from kinematics.survey.tools import sigma_of

SHORTEST, LONGEST = 40.0, 2500.0  # mm that a tape is held over
LOOSE_PART = 0.02
"""Share of a point's movement that a loose direction must have for it to be named."""
HARDLY = 1e-3
"""Redundancy a further reading must give to be worth taking for a check."""
APART = 3.0
"""Standard deviations between what rivals expect of a reading that decides between them."""


@dataclass(frozen=True)
class Loose:
    """A point the readings don't fix, along how many directions, and what would fix it."""

    point: str
    directions: int
    help: Reading | None


@dataclass(frozen=True)
class Decider:
    """A reading that tells rivals apart: what it would read if each of them is the wrong one.

    ``apart`` : the least difference between two of them over the reading's standard deviation.
    """

    reading: Reading
    expected: tuple[float, ...]
    apart: float


def candidates(net: Network, standing: Standing, points: Sequence[str]) -> tuple[Reading, ...]:
    """Readings that could still be taken: heights, drops and distances of and between points."""
    taken = {_key(r, net.project) for r in net.readings}
    found: list[Reading] = []
    for name in points:
        found.append(HeightReading(point=name))
        found.append(OffsetReading(point=name, string="centre", way="out"))
        ahead = standing.xyz[net.predictor.at[name], 0] >= 0
        way: Literal["front", "rear"] = "front" if ahead else "rear"
        found.append(OffsetReading(point=name, string="axle", way=way))
    # From a point that nothing else speaks of, a distance would only add what is not known.
    known = [n for n in net.project.points if len(net.columns(n)) or n in net.survey.datums]
    for a, b in combinations(known, 2):
        if a not in points and b not in points:
            continue
        i, j = net.predictor.at[a], net.predictor.at[b]
        if SHORTEST < np.linalg.norm(standing.xyz[i] - standing.xyz[j]) < LONGEST:
            found.append(DistanceReading(between=(a, b)))
    stands = net.survey.stands
    found += [LeanReading(which="nose up")] if stands.nose_up_deg is None else []
    found += [LeanReading(which="left side up")] if stands.left_up_deg is None else []
    return tuple(r for r in found if _key(r, net.project) not in taken)


def _key(reading: Reading, project: Project) -> tuple[object, ...]:
    kind = type(reading).__name__.replace("PartReading", "DistanceReading")
    string = getattr(reading, "string", "")
    plumbed = getattr(reading, "plumbed", False)
    which = getattr(reading, "which", "")
    return kind, frozenset(points_in(reading, project)), string, which, plumbed, reading.position


def loose_points(net: Network, fit: Adjusted[Standing]) -> tuple[Loose, ...]:
    """The points that are not fixed yet, each with the reading that would help it most."""
    found = []
    for name in net.project.points:
        columns = net.columns(name)
        part = fit.loose[columns]
        strength = np.linalg.svd(part, compute_uv=False) if part.size else np.zeros(0)
        if (strength > LOOSE_PART).any():
            count = int((strength > LOOSE_PART).sum())
            found.append(Loose(name, count, _best_for(net, fit, name)))
    return tuple(found)


def _best_for(net: Network, fit: Adjusted[Standing], point: str) -> Reading | None:
    options = candidates(net, fit.state, [point])
    if not options:
        return None
    _, slopes = net.evaluate(fit.state, options)
    sigma = np.array([sigma_of(r, net.survey.symmetry) for r in options])
    gain = np.linalg.norm(slopes @ fit.loose, axis=1) / sigma
    # Drops and heights come first in the list and win a tie: they lean on no other point.
    best = int(np.argmax(np.where(np.arange(len(options)) < 3, 1.2 * gain, gain)))
    return options[best] if gain[best] > 0.05 else None


def decider(
    net: Network, fit: Adjusted[Standing], suspects: Sequence[Suspect], most: int = 4
) -> Decider | None:
    """The one extra reading that best tells the likeliest rivals apart; None if none would.

    Under each rival the rest of the readings put the points elsewhere; the reading on which these
    places differ most, against what it can be read to, decides.
    """
    rivals = [s for s in suspects if not s.also][:most]
    if len(rivals) < 2:
        return None
    points = sorted({p for s in rivals for p in points_in(net.readings[s.reading], net.project)})
    options = candidates(net, fit.state, points)
    if not options:
        return None
    shifts = np.stack([_shift(fit, s) for s in rivals], axis=1)
    value, slopes = net.evaluate(fit.state, options)
    expected = value[:, None] + slopes @ shifts
    taken = [replace(r, value=float(v)) for r, v in zip(options, value, strict=True)]
    sigma = np.array([sigma_of(r, net.survey.symmetry) for r in taken])
    spread = np.sqrt(sigma**2 + np.einsum("ij,jk,ik->i", slopes, fit.covariance, slopes))
    gaps = np.abs(expected[:, :, None] - expected[:, None]) / spread[:, None, None]
    gaps[:, np.arange(len(rivals)), np.arange(len(rivals))] = np.inf
    apart = gaps.min(axis=(1, 2))
    best = int(np.argmax(apart))
    if apart[best] < APART:
        return None
    return Decider(options[best], tuple(map(float, expected[best])), float(apart[best]))


def _shift(fit: Adjusted[Standing], suspect: Suspect) -> Array:
    """How the unknowns move when the suspect's reading is put right."""
    i = suspect.reading
    return np.asarray(-fit.inverse[:, i] * (suspect.size / fit.sigma[i]))


def suggest(project: Project) -> tuple[Reading, ...]:
    """Readings to begin with for a corner that has none: what its points need, and checks.

    Every point the linkage rests on by two drops and its height, every link and the damper eye to
    eye, and what the plan adds.
    """
    whole = unfold(project)
    wanted = set(linked(whole))
    if whole.coilover is not None:
        wanted |= {whole.coilover.foot.point, whole.coilover.top.point}
    named = [name for name in whole.points if name in wanted]
    readings: list[Reading] = []
    for name in named:
        ahead = whole.points[name][0] >= 0
        readings += [
            OffsetReading(point=name, string="centre", way="out"),
            OffsetReading(point=name, string="axle", way="front" if ahead else "rear"),
            HeightReading(point=name),
        ]
    readings += [PartReading(of=name) for name in whole.links]
    readings += [PartReading(of="damper")] if whole.coilover is not None else []
    survey = Survey(readings=tuple(readings))
    made = plan(network(replace(project, survey=survey), planned=True))
    return (*readings, *made.added)


@dataclass(frozen=True)
class Plan:
    """What readings would come to before they are taken.

    ``added`` : readings to take besides those given, in the order of use. ``spread`` : the
    largest standard deviation of each point, mm; inf where it is not fixed. ``smallest`` : the
    smallest blunder of each reading that would be seen, mm or rad. ``unchecked`` : the lengths in
    which a slip would still not be seen after that.
    """

    net: Network
    added: tuple[Reading, ...]
    spread: dict[str, float]
    smallest: Array
    unchecked: tuple[Reading, ...]

    @property
    def suffices(self) -> bool:
        """Whether every point is fixed and every length is checked, with nothing added."""
        fixed = all(np.isfinite(s) for s in self.spread.values())
        return fixed and not self.added and not self.unchecked


def plan(net: Network, visible: float = 20.0, most: int = 60) -> Plan:
    """Which readings to add so that all points are fixed and a slip of ``visible`` mm is seen.

    ``net`` holds the readings taken and planned. Greedy: at each step the reading that helps most.
    """
    standing = net.start
    names = [name for name in net.project.points if len(net.columns(name))]
    options = list(candidates(net, standing, names))
    _, slopes = net.evaluate(standing)
    design = slopes / net.sigma[:, None]
    _, more = net.evaluate(standing, options)
    sigma = np.array([sigma_of(r, net.survey.symmetry) for r in options])
    rows = more / sigma[:, None]
    first = _Worth(net, design, visible, len(net.readings))
    added: list[Reading] = []
    worth = first
    while options and len(added) < most and not worth.enough:
        gain = worth.gains(rows)
        best = int(np.argmax(gain))
        if not gain[best] > 1e-6:
            break
        added.append(options[best])
        worth = _Worth(net, np.vstack([worth.design, rows[best]]), visible, len(net.readings))
        rows[best] = 0.0
    unchecked = tuple(net.readings[i] for i in worth.poor if i < len(net.readings))
    smallest = first.smallest[: len(net.readings)]
    return Plan(net, tuple(added), first.spread(names), smallest, unchecked)


class _Worth:
    """How good a design is, and what each further row would add."""

    def __init__(self, net: Network, design: Array, visible: float, own: int) -> None:
        from kinematics.survey.adjust import LOOSE
        from kinematics.survey.judge import SHIFT

        self.net, self.design = net, design
        scaled = design * net.scale
        _, s, vt = np.linalg.svd(scaled, full_matrices=True)
        full = np.zeros(scaled.shape[1])
        full[: len(s)] = s
        fixed = full >= 1.0 / LOOSE
        self.loose = vt[~fixed].T
        self.root = vt[fixed].T / full[fixed]
        hat = ((scaled @ self.root) ** 2).sum(axis=1)
        redundancy = np.clip(1.0 - hat, 1e-9, 1.0)
        sigma = np.ones(len(design))
        sigma[:own] = net.sigma
        lengths = np.ones(len(design), dtype=bool)
        lengths[:own] = [isinstance(r, LengthReading) for r in net.readings]
        seen = SHIFT * sigma / np.sqrt(redundancy)
        self.smallest = np.where(redundancy > 1e-3, seen, np.inf)
        self.poor = np.flatnonzero((self.smallest > visible) & lengths)

    @property
    def enough(self) -> bool:
        """Nothing loose and every length checked."""
        return self.loose.shape[1] == 0 and len(self.poor) == 0

    def gains(self, rows: Array) -> Array:
        """What each row would do: fix what is loose, else check what is not."""
        scaled = rows * self.net.scale
        if self.loose.shape[1]:
            return np.asarray(np.linalg.norm(scaled @ self.loose, axis=1))
        seen = scaled @ self.root
        own = 1.0 + (seen**2).sum(axis=1)
        gain = np.zeros(len(rows))
        for worst in self.poor[np.argsort(-self.smallest[self.poor], kind="stable")]:
            across = seen @ (self.design[worst] * self.net.scale @ self.root)
            gain = across**2 / own
            if gain.max() > HARDLY:
                break
        return np.asarray(np.where(gain > HARDLY, gain, 0.0))

    def spread(self, names: Sequence[str]) -> dict[str, float]:
        """The largest standard deviation of each point, mm."""
        found = {}
        for name in names:
            columns = self.net.columns(name)
            if self.loose.shape[1] and np.linalg.norm(self.loose[columns]) > LOOSE_PART:
                found[name] = np.inf
            else:
                found[name] = float(np.linalg.svd(self.root[columns], compute_uv=False)[0])
        return found
