"""Parts described by how they are made, and the pieces each comes to."""

from __future__ import annotations

from kinematics.project.model import Arch, Beam, Caliper, Disc, Project, RodEnd, Upright
from kinematics.shapes import brakes, fabricated, upright
from kinematics.shapes.recipe import Carried

Fitting = Beam | RodEnd | Disc | Caliper | Arch | Upright


def pieces(spec: Fitting, project: Project, body: str) -> list[Carried]:
    """Its pieces, as a body carries them."""
    match spec:
        case Beam():
            return fabricated.beam(spec, project, body)
        case RodEnd():
            return fabricated.rod_end(spec, project, body)
        case Upright():
            return upright.upright(spec, project, body)
        case Arch():
            return fabricated.arch(spec, project, body)
        case Disc():
            return brakes.disc(spec, project, body)
        case Caliper():
            return brakes.caliper(spec, project, body)
