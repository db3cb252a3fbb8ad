"""The whole job in one call: from a project to its findings.

    from kinematics.project.files import read
    from kinematics.studies.study import study

    checked = study(read("my.corner.json"))

The window, the command line and a script all call this.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt

from kinematics.clearance import Clearances, Joint, Prepared, clearances
from kinematics.errors import ClearstrokeError
from kinematics.findings.ends import Ends, end_findings, ends_of, unreached_findings
from kinematics.findings.find import Checked, clearance_findings, ranked, telling
from kinematics.findings.finding import Finding
from kinematics.findings.give import Given
from kinematics.findings.room import room_facts
from kinematics.findings.rules import asked_for
from kinematics.findings.statics import static_findings
from kinematics.measures import Measures, measure
from kinematics.motion import Linkage, Motion, corner, move
from kinematics.motion.limits import limits, travel_range
from kinematics.project.model import Project
from kinematics.project.rules import rules_of
from kinematics.project.unfold import unfold
from kinematics.shapes.build import Builder
from kinematics.shapes.pairs import JointBall, Pairs, pairs
from kinematics.shapes.pieces import Part, point
from kinematics.statics.fact import Fact
from kinematics.statics.facts import facts
from kinematics.statics.statics import Statics, statics
from kinematics.studies.give import give
from kinematics.studies.pair_look import given_look, pair_at, pair_look, stoppable
from kinematics.studies.ranges import closer, rising, through_nought

Array = npt.NDArray[np.float64]
Progress = Callable[[float], None]
Cancelled = Callable[[], bool]

TRAVELS = 161
RACKS = 5
TOLERANCE = 0.02
"""Calculation error of a clearance, mm."""
MOVED, PAIRED, FACTS, GIVEN = 0.1, 0.5, 0.6, 0.95
"""Share of a study done once the corner was moved, once its pairs were checked, once springs and
joints were, and once it was given way (as measured on the examples)."""


@dataclass(frozen=True, eq=False)
class Setting:
    """What a project's studies share, worked out once: how it moves and what is checked.

    folder : where the project's scans lie; None: where the program runs.
    """

    project: Project
    unfolded: Project
    linkage: Linkage
    ends: Ends
    range: tuple[float, float]
    builder: Builder
    folder: Path | None = None

    @cached_property
    def pairs(self) -> Pairs:
        """Which parts are checked against which, and what is left out about their joints.

        Of the joints' balls those that reach both parts: a rail that a link's eye merely passes
        does not hold it.
        """
        chosen = pairs(self.unfolded, self._parts)
        return replace(chosen, joints=reaching(chosen, self._parts, self._at_setup))

    @cached_property
    def names(self) -> tuple[tuple[str, str], ...]:
        """The two parts of every pair, by name."""
        return tuple((self._parts[i].name, self._parts[j].name) for i, j in self.pairs.checked)

    @cached_property
    def kinds(self) -> tuple[tuple[str, str], ...]:
        """The two parts of every pair, by class."""
        return tuple((self._parts[i].kind, self._parts[j].kind) for i, j in self.pairs.checked)

    @cached_property
    def rule(self) -> Array:
        """The clearance asked for of every pair, mm, NaN for none. (pairs,)"""
        return asked_for(rules_of(self.unfolded), self.names, self.kinds)

    def joints(self, motion: Motion) -> tuple[Joint, ...]:
        """What is left out about the joints of joined parts, over a motion's poses."""
        balls = zip(self.pairs.joints, self.pairs.centres(motion), strict=True)
        return tuple(Joint(ball.a, ball.b, centre, ball.radius) for ball, centre in balls)

    @cached_property
    def prepared(self) -> Prepared:
        """All pairs made ready for single positions, one after another."""
        return Prepared(self.pairs.checked, TOLERANCE)

    @cached_property
    def _at_setup(self) -> Motion:
        return move(self.linkage, [0.0])

    @cached_property
    def _parts(self) -> tuple[Part, ...]:
        return self.builder(self._at_setup)


def reaching(chosen: Pairs, parts: Sequence[Part], motion: Motion) -> tuple[JointBall, ...]:
    """The balls that reach into both of their parts; a joint stays where it is in either."""
    points = [
        Part(f"joint {k}", "", "", (point(centre[0]),))
        for k, centre in enumerate(chosen.centres(motion))
    ]
    asked = [(n, len(parts) + k) for k, j in enumerate(chosen.joints) for n in (j.a, j.b)]
    found = clearances([*parts, *points], asked, tol=0.1, threads=1)
    near = found.low[:, 0, 0].reshape(-1, 2).max(axis=1)
    return tuple(j for j, gap in zip(chosen.joints, near, strict=True) if gap < j.radius)


@dataclass(frozen=True, eq=False)
class Study:
    """A corner checked over a grid of travel (nz,) and rack (ns,), mm.

    findings : worst first. statics : springs, stops, joints and forces; None at a single
    position. facts : what statics has to say, problems (also among the findings) first.
    given : the nearest pairs once parts give, over the travel they were checked on.
    """

    setting: Setting
    travel: Array
    rack: Array
    motion: Motion
    measures: Measures
    parts: tuple[Part, ...]
    clearances: Clearances
    findings: tuple[Finding, ...] = ()
    statics: Statics | None = None
    facts: tuple[Fact, ...] = ()
    given: Given | None = None

    @property
    def project(self) -> Project:
        """The project as it was given."""
        return self.setting.project

    @property
    def linkage(self) -> Linkage:
        """The corner that was moved."""
        return self.setting.linkage

    @property
    def out(self) -> float:
        """Sign of y that is outboard."""
        return 1.0 if self.project.side == "left" else -1.0

    @property
    def places(self) -> tuple[tuple[float, str], ...]:
        """The named travels, mm: full bump, bump stop, set-up height, full droop."""
        return self.setting.ends.marks

    @property
    def tolerance(self) -> float:
        """Calculation error of a clearance, mm."""
        return TOLERANCE

    @property
    def reached(self) -> npt.NDArray[np.bool_]:
        """(nz, ns): which positions the corner gets to."""
        return self.motion.reached

    @property
    def names(self) -> tuple[tuple[str, str], ...]:
        """The two parts of every pair, by name."""
        return self.setting.names

    @property
    def rule(self) -> Array:
        """The clearance asked for of every pair, mm, NaN for none. (pairs,)"""
        return self.setting.rule

    def index(self, travel: float, rack: float = 0.0) -> int:
        """The position nearest to a travel and rack, counted with travel slowest."""
        i = int(np.argmin(np.abs(self.travel - travel)))
        j = int(np.argmin(np.abs(self.rack - rack)))
        return i * len(self.rack) + j


def study(
    project: Project,
    travel: npt.ArrayLike | None = None,
    rack: npt.ArrayLike | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
    folder: Path | None = None,
) -> Study:
    """Check a corner over a grid of travel and rack, at every position and between them.

    Without ``travel``: the project's own range, else full droop to full bump, 161 positions with
    set-up height among them. Without ``rack``: five positions lock to lock for a steered corner.
    A travel asked for, here or in the project, that can't be reached is a problem; the ends of
    the default range are facts. ``progress`` is told the share done; when ``cancelled`` says so
    the work stops with ``kinematics.clearance.Cancelled``. Raises ClearstrokeError for a corner
    that can't be assembled or a range that makes no sense. ``folder``: where the project's scans
    lie; None: where the program runs.
    """
    part = partial(_part, progress)
    part(0.0, 0.0)(0.0)
    setting = set_up(project, folder)
    asked = travel is not None or project.travel is not None
    z = travels(setting) if travel is None else rising(travel, "travel")
    r = racks(setting) if rack is None else _racks_asked(setting, rack)
    fine = look(setting, closer(z), r, progress=part(MOVED, PAIRED), cancelled=cancelled)
    fine = _with_facts(fine)
    given = give(fine, telling(checked_of(fine)), cancelled, part(FACTS, GIVEN))
    fine = replace(fine, given=given)
    fine = replace(fine, findings=_doubted(fine, _find(fine, asked, cancelled), cancelled))
    fine = fine if len(fine.travel) == len(z) else _with_statics(thinned(fine, z))
    part(1.0, 1.0)(1.0)
    return fine


def _part(progress: Progress | None, start: float, end: float) -> Progress:
    """Tells the share of one stage as that of the whole."""
    return lambda share: None if progress is None else progress(start + (end - start) * share)


def _doubted(
    done: Study, findings: tuple[Finding, ...], cancelled: Cancelled | None
) -> tuple[Finding, ...]:
    """The findings with what the readings leave open, if there are any."""
    if done.project.survey is None:
        return findings
    from kinematics.studies.measured import with_doubt  # brings what only they need

    return with_doubt(done, findings, cancelled)


def _with_facts(done: Study) -> Study:
    done = _with_statics(done)
    if done.statics is None:
        return done
    setting = done.setting
    found = room_facts(
        setting.unfolded, done.parts, done.motion, setting.builder, setting.ends.place,
        setting.folder,
    )  # fmt: skip
    every = sorted((*facts(done.statics), *found), key=lambda fact: not fact.problem)
    return replace(done, facts=tuple(every))


def _with_statics(done: Study) -> Study:
    return replace(done, statics=statics(done.motion)) if done.reached.any() else done


def set_up(project: Project, folder: Path | None = None) -> Setting:
    """Assemble a project's corner and find the ends of its travel.

    ``folder`` is where its scans lie; None: where the program runs.
    """
    unfolded = unfold(project)
    linkage = corner(unfolded)
    met = limits(linkage)
    builder = Builder(unfolded, folder)
    reach = travel_range(linkage, met)
    return Setting(project, unfolded, linkage, ends_of(met), reach, builder, folder)


def look(
    setting: Setting,
    travel: Array,
    rack: Array,
    start: Motion | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Study:
    """Motion, figures and clearances over a grid, without findings.

    ``start`` is a motion of the same corner from which single positions are solved at once.
    """
    motion = move(setting.linkage, travel, rack, start=start)
    parts = setting.builder(motion)
    grid = len(travel), len(rack)
    if grid == (1, 1):
        found = setting.prepared.at(parts, setting.joints(motion))
    else:
        found = clearances(
            parts,
            setting.pairs.checked,
            grid=grid,
            tol=TOLERANCE,
            joints=setting.joints(motion),
            progress=progress,
            cancelled=cancelled,
        )
    measures = measure(setting.unfolded, motion)
    return Study(setting, travel, rack, motion, measures, parts, found)


def thinned(fine: Study, travel: Array) -> Study:
    """The study at some of its travels alone; between them it holds what all of it found."""
    rows = np.searchsorted(fine.travel, travel - 1e-9)
    setting, found = fine.setting, fine.clearances
    motion = move(setting.linkage, travel, fine.rack)
    low, at = found.between_low[:, :0], found.between_at[:, :0]
    for first, last in pairwise(rows.tolist()):
        lows, places = _between(found, fine.travel, first, last)
        low = np.concatenate([low, lows], axis=1)
        at = np.concatenate([at, places], axis=1)
    kept = Clearances(
        found.pairs, found.low[:, rows], found.bound[:, rows], found.point_a[:, rows],
        found.point_b[:, rows], low, at,
    )  # fmt: skip
    return replace(
        fine,
        travel=travel,
        motion=motion,
        measures=measure(setting.unfolded, motion),
        parts=setting.builder(motion),
        clearances=kept,
    )


def _between(found: Clearances, travel: Array, first: int, last: int) -> tuple[Array, Array]:
    """The least clearance between two rows, over all that lies there, and where (pairs, 1, ns)."""
    inner = found.between_low[:, first:last]
    k = np.argmin(np.where(np.isnan(inner), np.inf, inner), axis=1, keepdims=True)
    share = np.take_along_axis(found.between_at[:, first:last], k, axis=1)
    gaps = np.diff(travel)[first:last]
    where = (travel[first:last][k] + share * gaps[k] - travel[first]) / gaps.sum()
    return np.take_along_axis(inner, k, axis=1), np.clip(where, 0.0, 1.0)


def moment(study: Study, travel: float, rack: float = 0.0) -> Study:
    """The same corner at a single position, without findings."""
    return look(study.setting, np.array([travel]), np.array([rack]), start=study.motion)


def checked_of(done: Study) -> Checked:
    """What a study checked of its pairs."""
    setting = done.setting
    return Checked(
        setting.names, setting.kinds, setting.rule, done.clearances, done.travel, done.rack
    )


def _find(done: Study, asked: bool, cancelled: Cancelled | None) -> tuple[Finding, ...]:
    setting, checked = done.setting, checked_of(done)
    given = None
    if done.given is not None:
        given = done.given.worst(checked, stoppable(lambda p: given_look(setting, p), cancelled))
    found = clearance_findings(
        checked, setting.ends.place, stoppable(lambda p: pair_look(setting, p), cancelled), given,
        lambda p: pair_at(setting, p),
    )  # fmt: skip
    found += unreached_findings(done.motion, asked)
    found += static_findings(done.facts, setting.ends.place)
    if setting.project.coilover is None:  # else statics says what stops the wheel
        found += end_findings(setting.ends, done.travel)
    return ranked(found)


def travels(setting: Setting, count: int = TRAVELS) -> Array:
    """The usual travel positions: the project's range, set-up height among them, mm."""
    return through_nought(*setting.range, count)


def racks(setting: Setting, count: int = RACKS) -> Array:
    """The usual rack positions, lock to lock; 0 alone for a corner that is not steered, mm."""
    rack = setting.unfolded.rack
    return np.zeros(1) if rack is None else through_nought(rack.least, rack.most, count)


def _racks_asked(setting: Setting, rack: npt.ArrayLike) -> Array:
    asked = rising(rack, "rack")
    if setting.unfolded.rack is None and np.any(asked != 0.0):
        raise ClearstrokeError("This corner has no steering rack, so there is nothing to steer.")
    return asked
