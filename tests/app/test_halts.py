"""What is said to stop the wheel is what stops it, not what would farther on."""

from __future__ import annotations

from msgspec.structs import replace

from app import examples
from app.document import live
from app.document.halts import ASKED, LOOKED, halts
from kinematics.motion.limits import DAMPER_OPEN, STOP_SOLID, STRAIGHT
from kinematics.project.files import read
from kinematics.project.model import Project


def said(project: Project) -> tuple[str, str]:
    found = live.movable(project)
    return halts(found, 0, *live.limits(found, float(found.rack[0])))


def test_damper_and_bump_stop_are_named_where_they_stop_it() -> None:
    trouble = read(examples.examples()["rear-in-trouble"])
    assert said(trouble) == (DAMPER_OPEN, STOP_SOLID)
    assert said(replace(trouble, travel=(-40.0, 40.0))) == (ASKED, ASKED)


def test_links_are_straightened_out_only_where_they_are() -> None:
    bare = read(examples.examples()["published-wishbones"])  # straight at −146 and +375
    assert said(bare) == (ASKED, ASKED)
    assert said(replace(bare, travel=(-250.0, 60.0))) == (STRAIGHT, ASKED)
    assert said(replace(bare, travel=None)) == (LOOKED, LOOKED)
