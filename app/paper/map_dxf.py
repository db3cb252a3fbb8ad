"""The map's lines as a DXF file (ASCII, release 12), 1 unit a mm.

Origin where the mount stands now, x to the right and y up as the picture lies: from above the front
is up and the left of the car at the left. Layers: TOUCHES and RULE hold the outlines of the places
where nothing touches and where all rules are kept, LIMITS those where joints, spring and damper are
within theirs, SLOTS what the plate's slots reach, MOUNT where it stands, BEST the place with most
room, MIDDLE that of the safe area. Group codes after the format's published reference (from
memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.paper.map_lie import Lie, lie_of
from app.paper.media import write_text
from kinematics.project.model import Project
from kinematics.studies.places import contours, middle_of
from kinematics.studies.top_map import TopMap

Array = NDArray[np.float64]
Place = tuple[float, float]

LAYERS = {"TOUCHES": 1, "RULE": 3, "MOUNT": 7, "BEST": 5, "MIDDLE": 4, "LIMITS": 6, "SLOTS": 2}
"""Colour numbers of the layers: red, green, white or black, blue, cyan,
magenta, yellow."""
MARK = 2.0
"""Radius of the circles that mark a place, mm."""


def write_map_dxf(project: Project, plan: TopMap, path: Path, about: str) -> None:
    """Write the outlines and marked places of a map. Raises PaperError if it can't be written."""
    words = "\n".join(str(word) for pair in _file(plan, lie_of(plan, project), about)
                      for word in pair)  # fmt: skip
    write_text(path, lambda out: out.write(words + "\n"))


def _file(plan: TopMap, lie: Lie, about: str) -> Iterator[tuple[int, str | float]]:
    yield from _header(f"{about} {lie.words('mm').capitalize()}.")
    yield from ((0, "SECTION"), (2, "ENTITIES"))
    for layer, figure in (
        ("TOUCHES", plan.clearance),
        ("RULE", plan.margin),
        ("LIMITS", np.minimum(plan.limits.spare, 1e6)),
    ):
        for line in contours(plan.along, plan.across, figure, 0.0):
            yield from _polyline(layer, [lie.spot(*map(float, at)) for at in line])
    if plan.slots is not None:
        (rear, fore), (least, most) = plan.slots
        ring = ((rear, least), (fore, least), (fore, most), (rear, most), (rear, least))
        yield from _polyline("SLOTS", [lie.spot(x, y) for x, y in ring])
    yield from _circle("MOUNT", (0.0, 0.0))
    for layer, spot in marked(plan).items():
        yield from _circle(layer, lie.spot(*spot))
    yield from ((0, "ENDSEC"), (0, "EOF"))


def marked(plan: TopMap) -> dict[str, Place]:
    """The best place and the middle of the largest safe area, offsets by row and column, mm."""
    middle = middle_of(plan.good)
    if middle is None:
        return {}
    spots = {"BEST": plan.best, "MIDDLE": middle}
    return {n: (float(plan.along[i]), float(plan.across[j])) for n, (i, j) in spots.items()}


def _header(about: str) -> Iterator[tuple[int, str | float]]:
    yield 999, about.encode("ascii", "replace").decode("ascii")
    yield from ((0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009"), (0, "ENDSEC"))
    yield from ((0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER"), (70, len(LAYERS)))
    for name, colour in LAYERS.items():
        yield from ((0, "LAYER"), (2, name), (70, 0), (62, colour), (6, "CONTINUOUS"))
    yield from ((0, "ENDTAB"), (0, "ENDSEC"))


def _polyline(layer: str, points: Iterable[Place]) -> Iterator[tuple[int, str | float]]:
    line = list(points)
    closed = len(line) > 2 and np.allclose(line[0], line[-1])
    yield from ((0, "POLYLINE"), (8, layer), (66, 1), (70, int(closed)))
    yield from ((10, 0.0), (20, 0.0), (30, 0.0))
    for x, y in line[:-1] if closed else line:
        yield from ((0, "VERTEX"), (8, layer), (10, round(x, 4)), (20, round(y, 4)), (30, 0.0))
    yield from ((0, "SEQEND"), (8, layer))


def _circle(layer: str, at: Place) -> Iterator[tuple[int, str | float]]:
    yield from ((0, "CIRCLE"), (8, layer))
    yield from ((10, round(at[0], 4)), (20, round(at[1], 4)), (30, 0.0), (40, MARK))
