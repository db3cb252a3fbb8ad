"""Rows of the readouts for corners of every kind: whole, half described, mirrored, in inches."""

from functools import cache
from pathlib import Path
from types import SimpleNamespace

import msgspec
import numpy as np
import pytest

from app.look.palette import State
from app.statics.here import HereNow
from app.statics.rows import (
    JOINT_STORY,
    SPRING_STORY,
    Row,
    choice_rows,
    force_rows,
    here_rows,
    joint_rows,
    shaft_rows,
    story_rows,
)
from app.statics.words import bearings, forces, spring_table
from kinematics.motion import corner, move
from kinematics.project.equipment import InnerSpring
from kinematics.project.files import read
from kinematics.project.loads import Hose, LoadCase
from kinematics.project.mirror import mirror
from kinematics.project.model import Bearing, Helper, Project
from kinematics.statics.fact import Fact
from kinematics.statics.facts import facts
from kinematics.statics.here import here
from kinematics.statics.statics import Statics, statics
from kinematics.statics.suiting import seating
from tests.metric import metric_words

TROUBLE = read(Path("assets/examples/rear-in-trouble.corner.json"))


def spring(**changes: object) -> Project:
    made = msgspec.structs.replace(TROUBLE.coilover.spring, **changes)
    return coilover(spring=made)


def coilover(**changes: object) -> Project:
    return msgspec.structs.replace(
        TROUBLE, coilover=msgspec.structs.replace(TROUBLE.coilover, **changes)
    )


CORNERS = {
    "whole": TROUBLE,
    "right": mirror(TROUBLE),
    "no loads": msgspec.structs.replace(TROUBLE, loads=None),
    "no spring": coilover(spring=None),
    "no free length": spring(free=None),
    "no rate": spring(rate_n_per_mm=None, active_coils=None),
    "short": spring(free=320.0),
    "short, held": spring(free=335.0, locating_lip=12.0),
    "helper": spring(free=320.0, helper=Helper(10, 40, 15)),
    "nested": spring(inner=InnerSpring(55, 6, 8, 330, 120)),
    "no bump stop": coilover(bump_stop=None),
    "no shaft, no hose": msgspec.structs.replace(TROUBLE, parts={}, hoses={}),
    "short hose": msgspec.structs.replace(
        TROUBLE, hoses={"brake hose": Hose(TROUBLE.hoses["brake hose"].ends, 300.0)}
    ),
    "tight joint": msgspec.structs.replace(
        TROUBLE, bearings={"coilover foot": Bearing(limit_deg=2.0), "top bearing": Bearing()}
    ),
    "nothing typed": msgspec.structs.replace(TROUBLE, bearings={}),
    "strut": read(Path("assets/examples/front-strut.corner.json")),
    "bare": read(Path("assets/examples/published-wishbones.corner.json")),
}


@cache
def worked_out(name: str) -> tuple[Statics, tuple[Fact, ...]]:
    known = statics(move(corner(CORNERS[name]), np.linspace(-78.0, 78.0, 5)))
    return known, facts(known)


def every_row(name: str, travel: float, units: str) -> list[Row]:
    """All rows that the three pages and the command line would show."""
    known, said = worked_out(name)
    motion = known.motion
    found = here(move(motion.linkage, [travel], start=motion), LoadCase(up=2.0, back=0.5))
    rows = [
        *story_rows(said, SPRING_STORY, units),
        *story_rows(said, JOINT_STORY, units),
        *here_rows(found, units),
        *joint_rows(known, found, units),
        *shaft_rows(known, found, units),
    ]
    if found.forces is not None:
        rows += force_rows(found, found.forces, units)
    lines = [*bearings(known, units), *forces(known, units)]
    assert lines
    assert units == "mm" or not metric_words("\n".join(lines))
    return rows


@pytest.mark.parametrize("name", CORNERS)
def test_every_corner_can_be_read_out(name: str) -> None:
    for travel, units in ((-77.0, "mm"), (0.0, "in"), (76.0, "mm")):
        for row in every_row(name, travel, units):
            words = f"{row.label} {row.value} {row.note}"
            assert "nan" not in words.lower().replace("nant", "")
            assert "inf" not in words.lower()
            assert "None" not in words
            assert row.label
            if units == "in":
                assert not metric_words(words)


def test_a_position_that_cannot_be_has_no_rows_of_its_own() -> None:
    motion = worked_out("whole")[0].motion
    beyond = move(motion.linkage, [900.0], stops=False)
    assert not beyond.reached.any()
    assert here_rows(here(beyond), "mm") == []
    opened = SimpleNamespace(connect=lambda _: None)
    document = SimpleNamespace(now=SimpleNamespace(motion=beyond), opened=opened)
    now = HereNow(document, lambda: ("", LoadCase()))  # type: ignore[arg-type]
    assert now.found() is None
    assert now.wrong
    document.now = SimpleNamespace(motion=move(motion.linkage, [0.0], stops=False))
    assert now.found() is not None
    assert now.wrong == ""


def row(name: str, travel: float, begins: str) -> Row:
    return next(r for r in every_row(name, travel, "mm") if r.label.startswith(begins))


def test_a_loose_spring_says_whether_it_is_still_held() -> None:
    loose = row("short", -77.0, "Spring between")
    assert loose.state is State.TOUCH
    assert "nothing holds it" in loose.note
    held = row("short, held", -77.0, "Spring between")
    assert held.state is None
    assert "still held by its 12.0 mm lip" in held.note


def test_past_a_limit_a_row_bears_the_sign() -> None:
    tight = row("tight joint", 0.0, "Coilover foot")
    assert tight.state is State.TOUCH
    assert tight.share > 1.0
    assert row("short hose", 0.0, "Brake hose slack").state is State.TOUCH


def test_the_mirrored_corner_pushes_inboard_as_much() -> None:
    for begins in ("Top mount", "Upper link", "Radius arm ball"):
        left, right = (row(name, 30.0, begins) for name in ("whole", "right"))
        assert (left.value, left.note) == (right.value, right.note)


def test_springs_to_choose_are_the_same_in_the_panel_and_in_print() -> None:
    stand = seating(worked_out("whole")[0])
    rows = choice_rows(stand, "mm")
    printed = list(spring_table(stand, None, "mm"))
    assert sum(bool(r.act) for r in rows) == sum("  suits" in line for line in printed) > 0
    assert len(printed) == len(rows) + 3
