"""As built against plan, and left against right: what moved, and whether by more than chance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np

from kinematics.frames import Array
from kinematics.project.model import Project, Xyz
from kinematics.project.survey import Axes
from kinematics.project.unfold import unfold
from kinematics.survey.adjust import SurveyError, chi_square
from kinematics.survey.network import Network, network, points_in
from kinematics.survey.survey import Surveyed


@dataclass(frozen=True, eq=False)
class Moved:
    """How far a point is from where it should be: ``shift`` (3,) mm, ``covariance`` (3, 3)."""

    point: str
    shift: Array
    covariance: Array

    @property
    def length(self) -> float:
        """How far, mm."""
        return float(np.linalg.norm(self.shift))

    @property
    def sure(self) -> bool:
        """Whether chance would explain it less than one time in twenty."""
        held = np.linalg.pinv(self.covariance, rcond=1e-9)
        rank = int(np.linalg.matrix_rank(self.covariance, tol=1e-9))
        return rank > 0 and float(self.shift @ held @ self.shift) > float(chi_square(0.95, rank))


@dataclass(frozen=True, eq=False)
class Built:
    """The corner as tacked: its readings fitted, what moved, and the project as it now stands."""

    found: Surveyed
    moved: tuple[Moved, ...]

    @property
    def project(self) -> Project:
        """The project with the tacked points where they are."""
        original = self.found.original
        points: dict[str, Xyz] = dict(original.points)
        for each in self.moved:
            at = np.array(original.points[each.point]) + each.shift
            points[each.point] = (float(at[0]), float(at[1]), float(at[2]))
        return msgspec.structs.replace(original, points=points)


def as_built(project: Project, before: Surveyed | None = None) -> Built:
    """Fit the readings taken after tacking: the tacked points free, all others as planned.

    ``before``: the first survey, whose own uncertainty of the points measured from is added.
    Raises ``SurveyError`` without such readings or where a tacked point is not fixed by them.
    """
    survey = project.survey
    if survey is None or not survey.as_built:
        raise SurveyError("There are no readings taken after tacking; they go under as_built.")
    tacked = tacked_points(project)
    every: Axes = "xyz"
    others = {name: every for name in project.points if name not in tacked}
    held = msgspec.structs.replace(survey, datums=others)
    net = network(msgspec.structs.replace(project, survey=held), survey.as_built)
    net = _doubted(net, before)
    fit = net.fit()
    found = Surveyed(net, fit, project)
    if found.loose:
        names = ", ".join(x.point for x in found.loose)
        raise SurveyError(f"The readings taken after tacking don't fix {names}.")
    moved = []
    for name in tacked:
        place = found.place(name)
        moved.append(Moved(name, place.xyz - np.array(project.points[name]), place.covariance))
    return Built(found, tuple(moved))


def tacked_points(project: Project) -> tuple[str, ...]:
    """The points measured again: as named, else those that the later readings begin with."""
    survey = project.survey
    if survey is None:
        return ()
    whole = unfold(project)
    first = [points_in(r, whole)[:1] for r in survey.as_built]
    return survey.tacked or tuple(dict.fromkeys(name for names in first for name in names))


def _doubted(net: Network, before: Surveyed | None) -> Network:
    if before is None:
        return net
    everything = replace(net, free=np.arange(3 * len(net.project.points)))
    _, slopes = everything.evaluate(net.start)
    slopes[:, net.free[net.free < slopes.shape[1]]] = 0.0
    doubt = np.sqrt(np.einsum("ij,jk,ik->i", slopes, before.covariance, slopes))
    return replace(net, doubt=doubt)


def left_against_right(one: Surveyed, other: Surveyed) -> tuple[Moved, ...]:
    """How far each point measured on both sides is from its twin's mirror image."""
    turned = np.array([1.0, -1.0, 1.0])
    same = one.original.side == other.original.side
    flip = np.ones(3) if same else turned
    found = []
    for name in one.measured:
        if name not in other.measured:
            continue
        here, there = one.place(name), other.place(name)
        covariance = here.covariance + there.covariance * np.outer(flip, flip)
        found.append(Moved(name, here.xyz - there.xyz * flip, covariance))
    return tuple(found)


def dates(readings: Sequence[object]) -> tuple[str, ...]:
    """The days readings were taken, in order."""
    return tuple(sorted({d for r in readings if (d := getattr(r, "date", ""))}))
