"""The other side of the car: the same corner with y turned round."""

from __future__ import annotations

from msgspec.structs import replace

from kinematics.project.mirror_title import mirrored_title
from kinematics.project.model import (
    Adjuster,
    Beam,
    Bearing,
    Box,
    Coilover,
    PartSpec,
    Plate,
    Project,
    Rack,
    RodEnd,
    Scan,
    Shaft,
    Wheel,
    Xyz,
)
from kinematics.project.survey_mirror import mirrored_survey


def mirror(project: Project) -> Project:
    """Give the corner's mirror image on the other side of the car; twice is the same again.

    Points, plates, boxes, scans and the axes of wheel, bearings, bolts and shafts have y negated;
    the rack's limits change places, since rack travel keeps its sense, +y. The title's word of the
    side becomes the other's (:func:`mirrored_title`); names and everything else stay. What turns a
    placed scan about x and z is negated too, about y it keeps its sense.
    """
    return replace(
        project,
        side="right" if project.side == "left" else "left",
        title=mirrored_title(project.title, project.side),
        points={name: _across(xyz) for name, xyz in project.points.items()},
        wheel=_wheel(project.wheel),
        parts={name: _part(part) for name, part in project.parts.items()},
        adjusters={name: _adjuster(x) for name, x in project.adjusters.items()},
        bearings={name: _bearing(bearing) for name, bearing in project.bearings.items()},
        coilover=_coilover(project.coilover),
        rack=project.rack
        and Rack(least=_negated(project.rack.most), most=_negated(project.rack.least)),
        survey=project.survey and mirrored_survey(project.survey),
    )


def _negated(value: float) -> float:
    return 0.0 - value  # never -0.0


def _across(xyz: Xyz) -> Xyz:
    return (xyz[0], _negated(xyz[1]), xyz[2])


def _wheel(wheel: Wheel) -> Wheel:
    return wheel if wheel.axis is None else replace(wheel, axis=_across(wheel.axis))


def _coilover(coilover: Coilover | None) -> Coilover | None:
    if coilover is None or coilover.foot_end is None:
        return coilover
    end = coilover.foot_end
    return replace(coilover, foot_end=replace(end, axis=_across(end.axis)))


def _bearing(bearing: Bearing) -> Bearing:
    return bearing if bearing.axis is None else replace(bearing, axis=_across(bearing.axis))


def _adjuster(adjuster: Adjuster) -> Adjuster:
    if adjuster.direction is None:
        return adjuster
    return replace(adjuster, direction=_across(adjuster.direction))


def _part(part: PartSpec) -> PartSpec:
    match part:
        case Plate(outline=outline):
            return replace(part, outline=tuple(_across(xyz) for xyz in outline))
        case Box(least=least, most=most):
            swapped = (
                _across((least[0], most[1], least[2])),
                _across((most[0], least[1], most[2])),
            )
            return replace(part, least=swapped[0], most=swapped[1])
        case Scan(mirrored=mirrored, turn_deg=(x, y, z), move=move):
            turned = (_negated(x), y, _negated(z))
            return replace(part, mirrored=not mirrored, turn_deg=turned, move=_across(move))
        case Shaft(inner_axis=(x, y, z)):
            return replace(part, inner_axis=_across((x, y, z)))
        case RodEnd(axis=axis):
            return replace(part, axis=_across(axis))
        case Beam(width_along=(x, y, z)):
            return replace(part, width_along=_across((x, y, z)))
        case _:
            return part
