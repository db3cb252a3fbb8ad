"""The network of readings: what is unknown in it, what it predicts, and the best fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from kinematics.frames import Array
from kinematics.motion.mechanism import mechanism
from kinematics.project.model import Project
from kinematics.project.survey import (
    HeightReading,
    HubReading,
    LevelReading,
    PartReading,
    Reading,
    StackReading,
    Survey,
    WheelReading,
)
from kinematics.project.unfold import unfold
from kinematics.survey.adjust import Adjusted, SurveyError, adjust
from kinematics.survey.assembly import Assembly
from kinematics.survey.predict import Predictor, Scene, Slope, scene
from kinematics.survey.standing import FACES, STANCE, Standing, begin
from kinematics.survey.tools import ARM, corrected, ends_of, is_taken, sigma_of

Index = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Network:
    """A project's readings as equations in what is unknown.

    ``readings`` are those in use; ``free`` (columns,) indexes the unknowns among all that
    ``Standing.moved`` takes; ``scale`` weighs each against 1 mm. ``doubt`` (m,) is what the points
    measured from add to the readings' own standard deviations.
    """

    project: Project
    survey: Survey
    readings: tuple[Reading, ...]
    positions: tuple[str, ...]
    start: Standing
    free: Index
    scale: Array
    doubt: Array | None = None

    @cached_property
    def predictor(self) -> Predictor:
        """Predicts this project's readings."""
        return Predictor(self.project)

    @cached_property
    def assembly(self) -> Assembly:
        """Puts the corner together in other positions."""
        return Assembly(self.project)

    @cached_property
    def observed(self) -> Array:
        """What the readings say of the points themselves, mm or rad, (m,)."""
        return np.array([corrected(r, self.project) for r in self.readings])

    @cached_property
    def sigma(self) -> Array:
        """Their standard deviations, (m,)."""
        own = np.array([sigma_of(r, self.survey.symmetry) for r in self.readings])
        return own if self.doubt is None else np.asarray(np.hypot(own, self.doubt))

    def step(self, standing: Standing, change: Array) -> Standing:
        """The standing with its unknowns changed."""
        full = np.zeros(standing.xyz.size + 12 + len(self.positions))
        full[self.free] = change
        return standing.moved(full)

    def evaluate(
        self, standing: Standing, readings: Sequence[Reading] | None = None
    ) -> tuple[Array, Array]:
        """Predicted readings (m,) and their derivatives (m, unknowns)."""
        wanted = self.readings if readings is None else readings
        width = standing.xyz.size + 12 + len(self.positions)
        value, slopes = np.empty(len(wanted)), np.zeros((len(wanted), width))
        scenes: dict[str, tuple[Scene, Array | None, Array | None]] = {}
        for row, reading in enumerate(wanted):
            where = _where(reading)
            if where not in scenes:
                scenes[where] = self._scene(standing, where)
            now, points_by, turn_by = scenes[where]
            slope = self.predictor(reading, now)
            value[row] = slope.value
            if points_by is None:
                _here(slope, slopes[row], standing.xyz.size)
            else:
                assert turn_by is not None
                height = standing.xyz.size + 12 + self.positions.index(where)
                self._there(slope, slopes[row], where, points_by, turn_by, height)
        return value, slopes[:, self.free]

    def _scene(self, standing: Standing, where: str) -> tuple[Scene, Array | None, Array | None]:
        ground, stance = self.project.ground_z, standing.stance
        if not where:
            now = scene(standing.xyz, stance, ground, standing.hub, np.eye(3), standing.stack)
            return now, None, None
        placed = self.assembly.at(
            standing.xyz, float(standing.heights[self.positions.index(where)])
        )
        if not self.survey.positions[where].on_stands:
            stance = np.zeros(6)
        now = scene(placed.points, stance, ground, standing.hub, placed.turn, standing.stack)
        return now, placed.points_by, placed.turn_by

    def _there(
        self, slope: Slope, row: Array, where: str, points_by: Array, turn_by: Array, height: int
    ) -> None:
        """Derivatives through the linkage's closure."""
        n = points_by.shape[2] - 1
        whole = np.zeros(n + 1)
        for i, by in slope.points:
            whole += by @ points_by[i]
        if slope.carrier is not None:
            whole += np.einsum("ij,ijn->n", slope.carrier, turn_by)
        row[:n] += whole[:n]
        row[height] += whole[n]
        if slope.stance is not None and self.survey.positions[where].on_stands:
            row[n : n + 6] += slope.stance
        if slope.hub is not None:
            row[n + 6 : n + 9] += slope.hub

    def fit(self, start: Standing | None = None) -> Adjusted[Standing]:
        """The best fit of all readings. Raises ``SurveyError`` where there is none."""
        begin_at = self.start if start is None else start
        return adjust(
            self.evaluate, begin_at, self.step, self.observed, self.sigma, scale=self.scale
        )

    def without(self, number: int) -> Network:
        """The network with one reading left out; what is unknown stays so."""
        kept = tuple(r for i, r in enumerate(self.readings) if i != number)
        doubt = None if self.doubt is None else np.delete(self.doubt, number)
        return replace(self, readings=kept, doubt=doubt)

    def columns(self, point: str) -> Index:
        """Where a point's free coordinates stand among the unknowns, and which they are."""
        first = 3 * self.predictor.at[point]
        return np.flatnonzero((self.free >= first) & (self.free < first + 3))


def _here(slope: Slope, row: Array, n: int) -> None:
    for i, by in slope.points:
        row[3 * i : 3 * i + 3] += by
    if slope.stance is not None:
        row[n : n + 6] += slope.stance
    if slope.hub is not None:
        row[n + 6 : n + 9] += slope.hub
    if slope.stack is not None:
        row[n + 9 : n + 12] += slope.stack


def _where(reading: Reading) -> str:
    """The position it is predicted in: a link is as long in one as in another."""
    if isinstance(reading, PartReading) and reading.of != "damper":
        return ""
    return "" if isinstance(reading, StackReading) else reading.position


def network(
    project: Project, readings: Sequence[Reading] | None = None, planned: bool = False
) -> Network:
    """The network of a project's readings, or of those given.

    Those left out and those not taken yet are passed over; ``planned`` takes the latter too.
    Raises ``SurveyError`` where there is nothing to work with.
    """
    survey = project.survey
    if survey is None:
        raise SurveyError("This project has no readings; they go under survey.")
    whole = unfold(project)
    given = survey.readings if readings is None else tuple(readings)
    used = tuple(r for r in given if not r.left_out and (planned or is_taken(r)))
    if not used:
        raise SurveyError("There are no readings with a value yet.")
    positions = tuple(dict.fromkeys(w for r in used if (w := _where(r))))
    start = begin(whole, positions)
    free, scale = _free(whole, survey, used, positions)
    return Network(whole, survey, used, positions, start, free, scale)


def _free(
    project: Project, survey: Survey, used: Sequence[Reading], positions: tuple[str, ...]
) -> tuple[Index, Array]:
    names = list(project.points)
    n = 3 * len(names)
    wanted = {name for r in used for name in points_in(r, project)}
    if positions:
        wanted |= set(linked(project))
    chosen = [
        3 * i + axis
        for i, name in enumerate(names)
        if name in wanted
        for axis in range(3)
        if "xyz"[axis] not in survey.datums.get(name, "")
    ]
    chosen += [n + k for k, name in enumerate(STANCE) if getattr(survey.stands, name) is None]
    if any(isinstance(r, HubReading | WheelReading) for r in used):
        chosen += [n + 6, n + 7, n + 8]
    faces = {f for r in used if isinstance(r, StackReading) for f in r.between}
    faces |= {r.face for r in used if isinstance(r, HeightReading)}
    chosen += [n + 9 + k for k, face in enumerate(FACES) if face in faces]
    chosen += [n + 12 + k for k in range(len(positions))]
    free = np.array(chosen, dtype=np.intp)
    turning = ((free >= n) & (free < n + 3)) | ((free >= n + 6) & (free < n + 9))
    return free, np.where(turning, 1.0 / ARM, 1.0)


def linked(project: Project) -> tuple[str, ...]:
    """The points that the linkage's closure rests on."""
    built = mechanism(project)
    named = {project.wheel.centre}
    for link in built.links.values():
        named |= {link.inner.point, link.outer.point}
    for joint in built.joints.values():
        for attribute in ("at", "along", "line", "point"):
            value = getattr(joint, attribute, ())
            named |= {value} if isinstance(value, str) else set(value)
    return tuple(named)


def points_in(reading: Reading, project: Project) -> tuple[str, ...]:
    """The points a reading speaks of; ``project`` is unfolded."""
    pair = ends_of(reading, project)
    if pair is not None:
        return pair
    if isinstance(reading, LevelReading):
        return reading.line
    found = [getattr(reading, "point", None), getattr(reading, "above", None)]
    found += [*getattr(reading, "rail", ()), *getattr(reading, "plane", ())]
    if isinstance(reading, HubReading) and project.survey is not None:
        found.append(project.survey.hub_face)
    return tuple(name for name in found if name is not None)
