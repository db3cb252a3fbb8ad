"""A corner's parts as exact solids over the poses of a motion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from kinematics.errors import ProjectError
from kinematics.motion.motion import Motion
from kinematics.project.model import Box, Cylinder, PartSpec, Plate, Project, Scan, Shaft, Tube
from kinematics.project.unfold import unfold
from kinematics.shapes import brakes, coilover, fitted, links, mount, plain, scan, tower, wheel
from kinematics.shapes.pieces import Part
from kinematics.shapes.poses import Asked, Poses
from kinematics.shapes.recipe import Recipe, carried

MANY = 200


class Builder:
    """Makes a project's parts: what does not move is worked out once, for many motions."""

    def __init__(
        self, project: Project, folder: Path | None = None, like: Builder | None = None
    ) -> None:
        """`folder` is where the project's scans lie; None: where the program runs. `like` made the
        parts of nearly the same corner: what its motions were asked, ours are asked all at once."""
        self.project = unfold(project)
        _refuse_twins(self.project)
        self._recipes = tuple(_recipes(self.project, folder))
        self._asked: Asked = {} if like is None else like.asked()

    def asked(self) -> Asked:
        """The points whose strays were wanted; none once there are more than of one corner."""
        found = {body: dict(points) for body, points in list(self._asked.items())}
        return found if sum(map(len, found.values())) < MANY else {}

    def __call__(self, motion: Motion) -> tuple[Part, ...]:
        """Every part that is checked, in a fixed order, over the motion's poses."""
        poses = Poses(motion, self._asked)
        return tuple(recipe(poses) for recipe in self._recipes)

    def some(self, motion: Motion, numbers: Sequence[int]) -> tuple[Part, ...]:
        """The parts of those numbers alone, in the order asked for."""
        poses = Poses(motion, self._asked)
        return tuple(self._recipes[k](poses) for k in numbers)


def parts(project: Project, motion: Motion, folder: Path | None = None) -> tuple[Part, ...]:
    """Every part that is checked, in a fixed order, its control points over the motion's poses.

    Poses are flattened, travel slowest; what stands still has one. Each piece carries its
    sagitta by travel interval (see `Part`). What the project does not give the size of is not
    here: it may be drawn, but it is never reported as touching. Scans are looked for in `folder`
    (None: where the program runs). Raises `ClearstrokeError` for markings and scans that can't
    be read.

    For many motions of one project keep a `Builder`.
    """
    return Builder(project, folder)(motion)


OWN_NAMES = (
    "tyre",
    "wheel",
    "balance weights",
    "damper body",
    "damper shaft",
    "bump stop",
    "spring",
    "spring seat",
    "helper spring",
    "top hat",
    "top mount",
    "tower",
    "tower lip",
)
"""Names of the parts that wheel, coilover and tower bring."""


def _refuse_twins(project: Project) -> None:
    """Every part goes by its name, so no two may share one."""
    for kind, names in (("links", project.links), ("parts", project.parts)):
        for name in names:
            if name in OWN_NAMES or (kind == "parts" and name in project.links):
                raise ProjectError(
                    f"{kind}.{name}: another part of this corner is already called '{name}'; "
                    "give this one another name."
                )


def _recipes(project: Project, folder: Path | None) -> Iterator[Recipe]:
    yield wheel.tyre(project)
    yield wheel.wheel(project)
    yield from brakes.weights(project)
    if project.coilover is not None:
        yield from coilover.recipes(project.coilover, project)
    yield from mount.recipes(project)
    yield from tower.recipes(project)
    for name, link in project.links.items():
        yield links.link(name, link, project)
    for name, spec in project.parts.items():
        yield from _part(name, spec, project, folder)


def _part(name: str, spec: PartSpec, project: Project, folder: Path | None) -> Iterator[Recipe]:
    if isinstance(spec, Tube):
        yield plain.tube(name, spec, project)
    elif isinstance(spec, Plate):
        yield plain.plate(name, spec)
    elif isinstance(spec, Box):
        yield plain.box(name, spec)
    elif isinstance(spec, Cylinder):
        yield plain.cylinder(name, spec, project)
    elif isinstance(spec, Shaft):
        yield from links.shaft(name, spec, project)
    elif isinstance(spec, Scan):
        yield scan.scan(name, spec, folder)
    else:
        yield carried(name, spec.body, spec.is_a, fitted.pieces(spec, project, spec.body))
