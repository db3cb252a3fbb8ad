"""Where the wheel stands when an edit takes its place away, and when that is undone."""

from __future__ import annotations

from functools import cache

import msgspec
import pytest
from PySide6.QtWidgets import QApplication

from app import examples
from app.document import live
from app.document.document import Document
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.studies.study import Study

RIGHT = files.read(examples.examples()["front-strut"]).points["top bearing"][1]
SLIP = 21.1875  # an inch typed as a millimetre: the links meet only far up in travel


@pytest.fixture
def document(app: QApplication, monkeypatch: pytest.MonkeyPatch) -> Document:
    """Without its worker: each study is handed to it."""
    for name in ("_ask", "_ask_first", "_ask_map"):
        monkeypatch.setattr(Document, name, lambda self: None)
    return Document()


@cache
def movable(side: float) -> Study:
    """How the corner moves with its top bearing that far out."""
    return live.movable(corner(side))


@cache
def corner(side: float) -> Project:
    """An example with its top bearing that far out."""
    project = files.read(examples.examples()["front-strut"])
    x, _, z = project.points["top bearing"]
    return msgspec.structs.replace(project, points={**project.points, "top bearing": (x, side, z)})


def study_as_it_is(document: Document) -> None:
    """What the worker would find first."""
    project = document.project
    assert project is not None
    found = movable(project.points["top bearing"][1])
    document._done("first", document.revision, found)


def test_undo_lets_the_wheel_back_to_where_it_was_put(document: Document) -> None:
    document.start(corner(RIGHT), example=True)
    study_as_it_is(document)
    document.set_travel(-12.0)
    document.edit(corner(SLIP), "type a point")
    study_as_it_is(document)
    assert document.travel > 50.0, "the slip pushed it"
    document.stack.undo()
    study_as_it_is(document)
    assert document.travel == -12.0
    document.stack.redo()
    study_as_it_is(document)
    pushed = document.travel
    document.set_travel(pushed)  # a hand that puts it there means it
    document.stack.undo()
    study_as_it_is(document)
    assert document.travel == min(pushed, document.limits[1])
    document.close()
