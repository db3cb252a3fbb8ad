"""Statics at a single position: what the screen shows while the wheel or the mount is dragged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kinematics.motion import Motion
from kinematics.motion.bearings import BearingUse
from kinematics.project.loads import LoadCase
from kinematics.project.model import Project
from kinematics.statics import sprung
from kinematics.statics.course import lines_of
from kinematics.statics.elements import Element, elements
from kinematics.statics.figures import figures
from kinematics.statics.forces import Forces
from kinematics.statics.loading import forces_at
from kinematics.statics.shafts import ShaftState
from kinematics.statics.statics import bearings_of, hose_slacks, shaft_states


@dataclass(frozen=True, eq=False)
class Here:
    """Everything about springs, joints, shafts, hoses and forces at one position.

    figures : key (see `FIGURES`) to value, NaN where unknown. pushes : what each spring and stop
    pushes its ends apart with (N, pulling negative), and lengths the distance of those ends (mm).
    bearings, shafts, hoses : arrays of one position, (1, 1). forces : for the load case asked for,
    with the coilover pushing as hard as it needs; None without weight, coilover or case.
    """

    motion: Motion
    elements: tuple[Element, ...]
    lengths: Mapping[str, float]
    pushes: Mapping[str, float]
    figures: Mapping[str, float]
    bearings: tuple[BearingUse, ...]
    shafts: Mapping[str, ShaftState]
    hoses: Mapping[str, float]
    forces: Forces | None

    @property
    def project(self) -> Project:
        """The unfolded project."""
        return self.motion.linkage.project


def here(motion: Motion, case: LoadCase | None = None) -> Here:
    """Statics at the one position of a motion; forces for one load case.

    Raises ProjectError for springs, stops or bearings whose sizes can't be.
    """
    project = motion.linkage.project
    found = elements(project)
    lengths = lines_of(motion, found)[0][:, 0, 0]
    coilover = project.coilover
    sheet = None if coilover is None else sprung.sheet(coilover)
    every = figures(motion, found, coilover, sheet)
    return Here(
        motion=motion,
        elements=found,
        lengths={e.name: float(x) for e, x in zip(found, lengths, strict=True)},
        pushes={e.name: float(e.push(x)) for e, x in zip(found, lengths, strict=True)},
        figures={key: float(values[0, 0]) for key, values in every.items()},
        bearings=bearings_of(motion),
        shafts=shaft_states(motion),
        hoses={name: float(slack[0, 0]) for name, slack in hose_slacks(motion).items()},
        forces=None if case is None else forces_at(motion, {"": case}, found),
    )
