"""Fixes at the wheel: a spacer, a wheel of other offset or width, a smaller tyre."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from kinematics.errors import ClearstrokeError
from kinematics.project.markings import SECTION_PER_RIM, RimSize, TyreSize, read_rim, read_tyre
from kinematics.project.model import Project, Rim, TrailingArm, Tyre
from kinematics.shapes.wheel import axis
from kinematics.studies.cure import COMES_OFF, FITS, STUDS, Cure, Work, worded
from kinematics.units import MM_PER_INCH

SPACERS = (3.0, 5.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0)
"""Wheel spacers that are stocked, mm: common practice, no source."""
OFFSETS = (5.0, 10.0, 15.0, 20.0, 25.0)
"""Steps of wheel offset that are sold, mm: common practice, no source."""
HALF_INCHES = (12.7, 25.4)
NARROWER = (10.0, 20.0, 30.0)
"""Steps of tyre width, mm: marked widths end in 5 and go by tens."""
LEAST_ASPECT, ASPECT_STEP = 30.0, 5.0
LEAST_WIDTH = 3.5
"""Rims narrower than this are not offered, inch."""
REPLACED = "the wheel is replaced"


def cures_of_wheel(project: Project) -> Iterator[Cure]:
    """What can be changed at the wheel without touching the car."""
    yield Cure(
        "wheel spacer",
        "wheel spacer",
        spacer,
        SPACERS[-1],
        Work.BOLTED,
        worded("Fit a {} mm wheel spacer"),
        SPACERS,
        STUDS,
        COMES_OFF,
    )
    try:
        rim, tyre = read_rim(project.wheel.rim.size), read_tyre(project.wheel.tyre.size)
    except ClearstrokeError:
        return  # the markings are refused where the corner is built, in better words
    yield from _of_offset(rim)
    if rim.width - 1.0 >= LEAST_WIDTH:
        yield Cure(
            "narrower wheel",
            "other wheel",
            _narrower_rim,
            HALF_INCHES[-1],
            Work.BOLTED,
            lambda mm: f"Fit a {_rim_words(rim, mm)} wheel",
            HALF_INCHES,
            FITS,
            REPLACED,
        )
    yield Cure(
        "narrower tyre",
        "other tyre",
        _narrower_tyre,
        NARROWER[-1],
        Work.BOLTED,
        lambda mm: f"Fit a {_tyre_words(tyre.width - mm, tyre.aspect, tyre.rim_code)} tyre",
        NARROWER,
        FITS,
        "the tyre is replaced; it is lower too",
    )
    yield from _of_aspect(tyre)


def _of_offset(rim: RimSize) -> Iterator[Cure]:
    """Wheels of less and more offset; none where the marking does not say which it has."""
    offset = rim.offset
    if offset is None:
        return
    yield Cure(
        "wheel of less offset",
        "other wheel",
        _less_offset,
        OFFSETS[-1],
        Work.BOLTED,
        lambda mm: f"Fit a wheel of {mm:g} mm less offset (ET{offset - mm:g})",
        OFFSETS,
        undoes=REPLACED,
    )
    yield Cure(
        "wheel of more offset",
        "other wheel",
        lambda project, mm: _less_offset(project, -mm),
        OFFSETS[-1],
        Work.BOLTED,
        lambda mm: f"Fit a wheel of {mm:g} mm more offset (ET{offset + mm:g})",
        OFFSETS,
        undoes=REPLACED,
    )


def _of_aspect(tyre: TyreSize) -> Iterator[Cure]:
    """Tyres as wide and up to three steps of aspect lower, as far as they are made."""
    steps = min(3, int((tyre.aspect - LEAST_ASPECT) // ASPECT_STEP))
    if steps <= 0:
        return
    lower = tuple(tyre.width * ASPECT_STEP * (k + 1) / 100.0 for k in range(steps))

    def say(mm: float) -> str:
        marked = _tyre_words(tyre.width, tyre.aspect - 100 * mm / tyre.width, tyre.rim_code)
        return f"Fit a {marked} tyre"

    yield Cure(
        "lower tyre",
        "other tyre",
        _lower_tyre,
        lower[-1],
        Work.BOLTED,
        say,
        lower,
        FITS,
        "the tyre is replaced; the car sits lower by as much",
    )


def spacer(project: Project, mm: float) -> Project:
    """The project with so much more spacer behind the wheel."""
    return _rim(project, spacer=project.wheel.rim.spacer + mm)


def _rim(project: Project, **changes: object) -> Project:
    rim: Rim = msgspec.structs.replace(project.wheel.rim, **changes)
    return msgspec.structs.replace(project, wheel=msgspec.structs.replace(project.wheel, rim=rim))


def _tyre(project: Project, **changes: object) -> Project:
    tyre: Tyre = msgspec.structs.replace(project.wheel.tyre, **changes)
    return msgspec.structs.replace(project, wheel=msgspec.structs.replace(project.wheel, tyre=tyre))


def _less_offset(project: Project, mm: float) -> Project:
    """The mounting face stays; the rim's centre plane goes out, and the wheel centre with it."""
    if mm == 0.0:
        return project
    rim = read_rim(project.wheel.rim.size)
    project = _rim(project, size=_rim_words(rim, 0.0, mm))
    if _carries_more(project):
        return spacer(project, mm)
    n = mm * axis(project)
    x, y, z = project.points[project.wheel.centre]
    there = (float(x + n[0]), float(y + n[1]), float(z + n[2]))
    points = {**project.points, project.wheel.centre: there}
    height = project.setup_wheel_z
    height = None if height is None else height + float(n[2])
    return msgspec.structs.replace(project, points=points, setup_wheel_z=height)


def _carries_more(project: Project) -> bool:
    """Whether the wheel centre is also where an arm's tube ends."""
    shape = project.arrangement
    return isinstance(shape, TrailingArm) or (
        getattr(shape, "rigid", False) and not getattr(shape, "through", ())
    )


def _rim_words(rim: RimSize, narrower: float = 0.0, less_offset: float = 0.0) -> str:
    """The marking of a rim that is so many mm narrower and of so much less offset."""
    width = _number(rim.width - narrower / MM_PER_INCH)
    tail = "" if rim.offset is None else f" ET{_number(rim.offset - less_offset)}"
    return f"{width}{rim.flange}x{rim.code:g}{tail}"


def _narrower_rim(project: Project, mm: float) -> Project:
    if mm == 0.0:
        return project
    section = project.wheel.tyre.section_width
    made = _rim(project, size=_rim_words(read_rim(project.wheel.rim.size), mm))
    return made if section is None else _tyre(made, section_width=section - SECTION_PER_RIM * mm)


def _narrower_tyre(project: Project, mm: float) -> Project:
    size = read_tyre(project.wheel.tyre.size)
    return _smaller(project, size.width - mm, size.aspect, mm * size.aspect / 100.0, mm)


def _lower_tyre(project: Project, mm: float) -> Project:
    size = read_tyre(project.wheel.tyre.size)
    return _smaller(project, size.width, size.aspect - 100.0 * mm / size.width, mm, 0.0)


def _smaller(
    project: Project, width: float, aspect: float, lower: float, narrower: float
) -> Project:
    """The tyre of another size; measured figures change by what the sizes differ by."""
    if lower == 0.0 and narrower == 0.0:
        return project
    tyre = project.wheel.tyre
    size = read_tyre(tyre.size)
    changes: dict[str, object] = {"size": _tyre_words(width, aspect, size.rim_code)}
    for field, less in (
        ("free_radius", lower), ("loaded_radius", lower),
        ("section_width", narrower), ("tread_width", narrower),
    ):  # fmt: skip
        if (now := getattr(tyre, field)) is not None:
            changes[field] = now - less
    return _tyre(project, **changes)


def _tyre_words(width: float, aspect: float, code: float) -> str:
    return f"{_number(width)}/{_number(aspect)}R{code:g}"


def _number(value: float) -> str:
    """Whole where it is meant to be, and fine enough for what is tried between the sizes."""
    return f"{value:.4f}".rstrip("0").rstrip(".")
