"""Load cases over a motion: forces in every joint at every position, and where each case settles.

At a given position the coilover is taken to push as hard as the load case needs, stops beside it
as their squash says. Where a case *settles* is the travel at which spring and stops push just
that hard; a case they can't carry settles where the travel ends, on whatever ends it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kinematics.measures.measure import posture
from kinematics.motion import Motion, move
from kinematics.motion.positions import Positions, over
from kinematics.motion.roots import roots_together
from kinematics.project.loads import LoadCase, Loads
from kinematics.project.model import Project
from kinematics.statics.cases import WheelPoses, cases_of, road
from kinematics.statics.course import Course, lines_of
from kinematics.statics.curves import Floats
from kinematics.statics.elements import Element
from kinematics.statics.forces import Forces, solve
from kinematics.statics.reactions import COILOVER, Unit, push_between, units, wrench
from kinematics.statics.stops import Act, Stops


@dataclass(frozen=True)
class Settled:
    """One load case where spring and stops carry it.

    travel : mm. rests_on : what carries it: ``spring``, ``bump stop``, or the end of travel by
    name. forces : at that position, this case alone: arrays have one case and one position.
    pushes : what spring and stops on the coilover push with there (N, pulling negative), by
    name: the spring's is the force on its seat and hat. They add up to the coilover's.
    """

    case: str
    travel: float
    rests_on: str
    forces: Forces
    pushes: Mapping[str, float]


@dataclass(frozen=True)
class Loading:
    """All load cases of a project over a motion.

    grid : forces at every position, flattened travel slowest: (cases, nz*ns, ...). settled : one
    for each case, straight ahead; none where the spring is not known. usual : the cases are the
    usual ones, not typed.
    """

    grid: Forces
    settled: tuple[Settled, ...]
    usual: bool


def load(
    motion: Motion, loads: Loads, elements: Sequence[Element], course: Course, stops: Stops
) -> Loading | None:
    """Forces of every load case; None for a corner without a coilover, which nothing holds up."""
    project = motion.linkage.project
    if project.coilover is None:
        return None
    cases = cases_of(loads)
    settler = _Settler(motion, loads, tuple(elements), course, stops)
    return Loading(
        grid=_forces(motion, loads, cases, elements),
        settled=settler.settle(cases) if any(e.kind == "spring" for e in elements) else (),
        usual=loads.cases is None,
    )


def forces_at(
    motion: Motion, cases: dict[str, LoadCase], elements: Sequence[Element]
) -> Forces | None:
    """Forces of ``cases`` at every position of a motion, flattened travel slowest.

    The coilover pushes as hard as each needs. None for a corner without weights or coilover.
    """
    project = motion.linkage.project
    if project.loads is None or project.coilover is None:
        return None
    yielding = [e for e in elements if e.kind != "hard"]
    return _forces(motion, project.loads, cases, yielding)


def _forces(
    motion: Motion,
    loads: Loads,
    cases: dict[str, LoadCase],
    elements: Sequence[Element],
    taker: Element | None = None,
) -> Forces:
    """Forces at every position of a motion; ``taker`` carries what is needed, else the coilover."""
    project = motion.linkage.project
    positions = over(motion).without_set_up()
    reactions = list(units(project, positions.carry))
    known = [e for e in elements if not is_coilovers(e, project)]
    if taker is not None:
        reactions = [unit for unit in reactions if unit.member != COILOVER]
        reactions.append(_unit(taker, positions))
        known = [e for e in elements if e is not taker]
    wheel = wheel_poses(motion)
    out = motion.linkage.mechanism.out
    pushes = _pushes(known, positions)
    loaded = {}
    for name, case in cases.items():
        bodies = {body: push.copy() for body, push in pushes.items()}
        felt = road(case, loads, wheel, out)
        bodies[project.wheel.body] = bodies.get(project.wheel.body, 0.0) + felt
        loaded[name] = bodies
    return solve(reactions, loaded, motion.linkage.give)


def wheel_poses(motion: Motion) -> WheelPoses:
    """The wheel at every position of a motion, flattened."""
    stands = posture(motion.linkage.project, motion)
    return WheelPoses(stands.centre.T, stands.axis.T, stands.contact.T)


def is_coilovers(element: Element, project: Project) -> bool:
    """Whether an element acts along the coilover itself."""
    coilover = project.coilover
    return coilover is not None and element.ends == (coilover.foot, coilover.top)


def _pushes(elements: Sequence[Element], positions: Positions) -> dict[str, Floats]:
    """Force and moment on each body from elements whose push is known: body to (n, 6)."""
    out: dict[str, Floats] = {}
    for element in elements:
        unit = _unit(element, positions)
        length = np.linalg.norm(unit.against_at - unit.at, axis=-1)
        push = element.push(length)
        force = np.where(np.isfinite(push), push, np.nan)[:, None] * unit.direction
        for body, at, sign in ((unit.on, unit.at, 1.0), (unit.against, unit.against_at, -1.0)):
            out[body] = out.get(body, 0.0) + sign * wrench(force, at)
    return out


def _unit(element: Element, positions: Positions) -> Unit:
    one, other = element.ends
    return push_between(element.name, one, other, positions.at(one), positions.at(other))


def top_force(forces: Forces, top: str) -> Floats:
    """What the coilover's top does to the body that holds it: (cases, n, 3), N.

    top : the top bearing's point. The push along the coilover, and of a strut its side force.
    """
    total = -forces.of(COILOVER).force
    for joint in forces.joints:
        if joint.place == top and joint.member != COILOVER:
            total = total + joint.force
    return np.asarray(total)


@dataclass(frozen=True)
class _Settler:
    """Finds where load cases come to rest, straight ahead."""

    motion: Motion
    loads: Loads
    elements: tuple[Element, ...]
    course: Course
    stops: Stops

    def settle(self, cases: dict[str, LoadCase]) -> tuple[Settled, ...]:
        """Where each case rests, and its forces there."""
        droop, bump = self.stops.end("droop"), self.stops.end("bump")
        # A hair inside the travel's ends, where stops still have forces of their own.
        low = droop.travel + 1e-6 if droop else float(self.course.travel[0])
        high = bump.travel - 1e-6 if bump else float(self.course.travel[-1])
        z = self.course.travel
        z = np.concatenate([[low], z[(z > low) & (z < high)], [high]])
        short = self._short(z, cases)
        brackets = [_bracket(z, row) for row in short]
        rests = self._close_in(z, short, cases, brackets)
        found = []
        for (name, case), bracket, travel, row in zip(
            cases.items(), brackets, rests, short, strict=True
        ):
            if bracket is not None and np.isfinite(travel):
                found.append(self._at(name, case, travel, self._carrier(travel)))
            elif bracket is not None or not np.isfinite(row[[0, -1]]).all():
                continue  # not known at the ends, so that nothing can be said
            elif (bump if row[-1] > 0.0 else droop) in self._by_joints:
                continue  # what a joint bent past its limit takes, statics can't tell
            elif row[-1] > 0.0:
                found.append(self._at(name, case, high, bump.name if bump else "", ends=bump))
            else:
                found.append(self._at(name, case, low, droop.name if droop else "", ends=droop))
        return tuple(found)

    @property
    def _by_joints(self) -> list[Act]:
        """What ends the travel without being a spring or a stop: a joint at its limit."""
        names = {element.name for element in self.elements}
        ends = (self.stops.end("bump"), self.stops.end("droop"))
        return [end for end in ends if end is not None and end.name not in names]

    def _close_in(
        self,
        z: Floats,
        short: Floats,
        cases: dict[str, LoadCase],
        brackets: list[int | None],
    ) -> list[float]:
        """The travels at which nothing is short, all cases at once; NaN without a bracket."""
        rows = [row for row, bracket in enumerate(brackets) if bracket is not None]
        starts = np.array([brackets[row] for row in rows], dtype=int)
        names = list(cases)
        some = {names[row]: cases[names[row]] for row in rows}

        def own(travel: Floats) -> Floats:
            return np.diagonal(self._short(travel, some))

        out = np.full(len(brackets), np.nan)
        if rows:
            ends = (short[rows, starts], short[rows, starts + 1])
            out[rows] = roots_together(own, z[starts], z[starts + 1], *ends)
        return [float(travel) for travel in out]

    def _there(self, travel: Floats) -> Motion:
        return move(self.motion.linkage, travel, [0.0], stops=False, start=self.motion)

    def _short(self, travel: Floats, cases: dict[str, LoadCase]) -> Floats:
        """What the coilover is asked for less what it gives, (cases, k): more than nothing means
        that the wheel goes on up."""
        there = self._there(travel)
        needed = _forces(there, self.loads, cases, self._yielding).of(COILOVER).axial
        assert needed is not None
        mine = self._mine
        lengths = lines_of(there, mine)[0][..., 0]
        given = np.sum([e.push(x) for e, x in zip(mine, lengths, strict=True)], axis=0)
        return np.asarray(np.clip(needed - given, -1e9, 1e9))

    @property
    def _yielding(self) -> list[Element]:
        return [e for e in self.elements if e.kind != "hard"]

    @property
    def _mine(self) -> list[Element]:
        """Spring and stops that give, along the coilover itself."""
        return [e for e in self._yielding if is_coilovers(e, self.motion.linkage.project)]

    def _at(
        self, name: str, case: LoadCase, travel: float, rests: str, ends: Act | None = None
    ) -> Settled:
        """Forces at rest; a stop beside the damper that ends the travel takes what is left."""
        there = self._there(np.array([travel]))
        taker = next((e for e in self.elements if ends and e.name == ends.name), None)
        beside = taker
        if taker is not None and is_coilovers(taker, self.motion.linkage.project):
            beside = None
        forces = _forces(there, self.loads, {name: case}, self._yielding, beside)
        return Settled(name, travel, rests, forces, self._pushes_at(there, forces, taker, beside))

    def _pushes_at(
        self, there: Motion, forces: Forces, taker: Element | None, beside: Element | None
    ) -> dict[str, float]:
        """Each push along the coilover; what ends the travel there takes what the rest leave."""
        mine = self._mine
        lengths = lines_of(there, mine)[0][:, 0, 0]
        pushes = {e.name: float(e.push(x)) for e, x in zip(mine, lengths, strict=True)}
        if taker is not None and beside is None:
            whole = forces.of(COILOVER).axial
            assert whole is not None
            others = sum(push for name, push in pushes.items() if name != taker.name)
            pushes[taker.name] = float(whole[0, 0]) - others
        return pushes

    def _carrier(self, travel: float) -> str:
        """Whatever pushes hardest at a travel."""
        there = self._there(np.array([travel]))
        lengths = lines_of(there, self._yielding)[0][:, 0, 0]
        pushes = {
            e.name: abs(float(e.push(x))) for e, x in zip(self._yielding, lengths, strict=True)
        }
        return max(pushes, key=lambda name: pushes[name], default="")


def _bracket(z: Floats, short: Floats) -> int | None:
    """The interval nearest set-up height in which ``short`` passes nought."""
    where = np.flatnonzero(np.sign(short[:-1]) * np.sign(short[1:]) <= 0.0)
    if not len(where):
        return None
    return int(where[np.argmin(np.abs(z[where] + z[where + 1]))])
