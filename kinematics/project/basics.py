"""The words every record of a project file is built from: lengths, names, and two bases.

A field's type says what the number or text *is*, and that is acted on in one place:
``quantity: length`` is converted when a file is in inches, ``names: point`` and ``names: body``
are looked up when a file is read.
"""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta

CHASSIS = "chassis"
UPRIGHT = "upright"
RACK = "rack"

LENGTH = {"quantity": "length"}
IN_SCHEMA = {"$comment": "length, in the file's units"}
LONGEST_NAME = 60


def says(text: str) -> Meta:
    """Say what a field means, for the schema and the documentation."""
    return Meta(description=text)


Length = Annotated[float, Meta(extra=LENGTH, extra_json_schema=IN_SCHEMA)]
Positive = Annotated[float, Meta(gt=0, extra=LENGTH, extra_json_schema=IN_SCHEMA)]
NotNegative = Annotated[float, Meta(ge=0, extra=LENGTH, extra_json_schema=IN_SCHEMA)]
Degrees = Annotated[float, Meta(ge=-90, le=90)]
Name = Annotated[str, Meta(min_length=1, max_length=LONGEST_NAME)]
PointName = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=LONGEST_NAME,
        extra={"names": "point"},
        extra_json_schema={"$comment": "name of a point"},
    ),
]
BodyName = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=LONGEST_NAME,
        extra={"names": "body"},
        extra_json_schema={"$comment": "name of a body"},
    ),
]
Xyz = Annotated[
    tuple[Length, Length, Length], says("x forward, y left, z up (ISO 8855 vehicle axes)")
]


class Record(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Base of every record in a project file: frozen, unknown keys refused."""


class Tagged(Record, frozen=True, tag_field="kind"):
    """Base of the records that say which kind they are in a ``kind`` field."""


class End(Record, frozen=True):
    """One end of a link, coilover or shaft: a named point and the body that carries it."""

    point: Annotated[PointName, says("where it is")]
    body: Annotated[BodyName, says("what carries it")] = CHASSIS
