"""Statics of a corner over a motion: springs, stops, ride, bearings, shafts, hoses, forces.

motion = move(linkage, travel, rack)
known = statics(motion)
known.figures["wheel_rate"]        # (nz, ns) in N/mm
known.ride                         # where it stands
facts(known)                       # what there is to say about it
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from kinematics.measures.measure import wheel_axis
from kinematics.motion import Motion
from kinematics.motion.bearings import BearingUse, bearing_uses, is_strut
from kinematics.motion.positions import Positions, grid, over
from kinematics.project.model import Project, Shaft
from kinematics.statics import sprung
from kinematics.statics.course import Course, along
from kinematics.statics.curves import Floats
from kinematics.statics.elements import Element, elements
from kinematics.statics.figures import figures
from kinematics.statics.hoses import slack
from kinematics.statics.loading import Loading, load
from kinematics.statics.ride import Ride, ride
from kinematics.statics.shafts import ShaftState, shaft_state
from kinematics.statics.sprung import SpringSheet
from kinematics.statics.stops import Stops, acting, with_joints
from kinematics.statics.strut import StrutLoad, strut_load
from kinematics.statics.top import PlateTilt, centred_plate

ACROSS = np.array([0.0, 1.0, 0.0])


@dataclass(frozen=True, eq=False)
class Statics:
    """Everything statics knows of a corner over a motion.

    elements, course, stops, ride : springs and stops, straight ahead. sheet : the spring's own
    figures. figures : key (see `FIGURES`) to (nz, ns). bearings : their arrays are (nz, ns).
    shafts, hoses : by name, (nz, ns). plate : the tilt that centres the top bearing. loading :
    forces of the load cases, None without weights or coilover. strut : for each settled load case
    of a strut, its bending there.
    """

    motion: Motion
    elements: tuple[Element, ...]
    course: Course
    stops: Stops
    sheet: SpringSheet | None
    ride: Ride | None
    figures: Mapping[str, Floats]
    bearings: tuple[BearingUse, ...]
    shafts: Mapping[str, ShaftState]
    hoses: Mapping[str, Floats]
    plate: PlateTilt | None
    loading: Loading | None
    strut: Mapping[str, StrutLoad]

    @property
    def project(self) -> Project:
        """The unfolded project."""
        return self.motion.linkage.project


def statics(motion: Motion) -> Statics:
    """Statics over a motion that was driven by wheel travel.

    Raises ProjectError for springs, stops or bearings whose sizes can't be.
    """
    project = motion.linkage.project
    found = elements(project)
    course = along(motion, found)
    stops = with_joints(acting(found, course), motion.linkage)
    coilover = project.coilover
    sheet = None if coilover is None else sprung.sheet(coilover)
    positions = over(motion)
    loading = None
    if project.loads is not None:
        loading = load(motion, project.loads, found, course, stops)
    return Statics(
        motion=motion,
        elements=found,
        course=course,
        stops=stops,
        sheet=sheet,
        ride=_ride(project, found, course, stops),
        figures=figures(motion, found, coilover, sheet),
        bearings=tuple(_gridded(use, motion) for use in bearing_uses(project, positions)),
        shafts=shaft_states(motion, positions),
        hoses=hose_slacks(motion, positions),
        plate=None if coilover is None else centred_plate(positions, coilover.foot, coilover.top),
        loading=loading,
        strut=_strut(project, loading),
    )


def bearings_of(motion: Motion) -> tuple[BearingUse, ...]:
    """Every bearing over a motion; its arrays are (nz, ns)."""
    uses = bearing_uses(motion.linkage.project, over(motion))
    return tuple(_gridded(use, motion) for use in uses)


def shaft_states(motion: Motion, positions: Positions | None = None) -> dict[str, ShaftState]:
    """Every drive shaft over a motion, by name; arrays are (nz, ns)."""
    project, at = motion.linkage.project, positions or over(motion)
    found = {}
    for name, part in project.parts.items():
        if isinstance(part, Shaft):
            inner, outer = at.at(part.inner), at.at(part.outer)
            typed = np.asarray(part.inner_axis or ACROSS, float)
            cup = at.turned(part.inner.body, typed / np.linalg.norm(typed))
            hub = at.turned(part.outer.body, wheel_axis(project))
            set_up = float(np.linalg.norm(outer[0] - inner[0]))
            state = shaft_state(inner, outer, cup, hub, set_up)
            found[name] = _shaped(state, lambda flat: grid(flat, motion))
    return found


def hose_slacks(motion: Motion, positions: Positions | None = None) -> dict[str, Floats]:
    """Slack of every hose over a motion, by name: (nz, ns), mm."""
    at = positions or over(motion)
    return {
        name: grid(slack(at.at(hose.ends[0]), at.at(hose.ends[1]), hose.length), motion)
        for name, hose in motion.linkage.project.hoses.items()
    }


def _shaped(state: ShaftState, shape: Callable[[Floats], Floats]) -> ShaftState:
    return ShaftState(*(shape(part) for part in vars(state).values()))


def _gridded(use: BearingUse, motion: Motion) -> BearingUse:
    twist = None if use.twist is None else grid(use.twist, motion)
    return replace(use, angle=grid(use.angle, motion), twist=twist)


def _ride(
    project: Project, found: tuple[Element, ...], course: Course, stops: Stops
) -> Ride | None:
    if project.loads is None or project.coilover is None:
        return None
    droop, bump = stops.end("droop"), stops.end("bump")
    ends = (
        droop.travel if droop else float(course.travel[0]),
        bump.travel if bump else float(course.travel[-1]),
    )
    return ride(found, course, project.loads.corner_kg - project.loads.unsprung_kg, ends)


def _strut(project: Project, loading: Loading | None) -> dict[str, StrutLoad]:
    """Bending of a strut in each load case, where it settles."""
    coilover = project.coilover
    if loading is None or coilover is None or not is_strut(project):
        return {}
    held = 0.5 * coilover.clamp.insertion if coilover.clamp else 0.0
    out = {}
    for settled in loading.settled:
        side = next(j for j in settled.forces.joints if j.place == coilover.top.point)
        axis = settled.forces.of("coilover")
        length = np.linalg.norm(axis.against_at - axis.at, axis=-1)
        out[settled.case] = strut_load(side.size[0], length, coilover.body_length, held)
    return out
