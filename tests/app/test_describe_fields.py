"""Every field of the description: shown whole, typed as a workshop writes it, wrong in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app import examples
from app.describe.pages import NEW, PAGES
from app.describe.room import Describe
from app.document import tree
from app.entry import Field
from app.look.type import metrics
from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.fitted import FITTINGS, add_fitting
from kinematics.project.fresh import fresh
from kinematics.project.furnish import add_part
from kinematics.project.model import Project
from tests.app.test_describe_deeds import ADDED

THOUSANDS = 3  # digits
FRAME = 2 * 6 + 2 * 2 + 3  # px of a field that its text does not have


def furnished(project: Project) -> Project:
    """With one of all that can be added."""
    for path in ADDED:
        project, _ = fresh(project, path)
    for kind in (*NEW, "link"):
        project, _ = (add_fitting if kind in FITTINGS else add_part)(project, kind)
    return project


@pytest.fixture
def room(describing: Callable[[Project], Describe]) -> Describe:
    return describing(furnished(files.read(examples.examples()["rear-in-trouble"])))


def fields(room: Describe) -> Iterator[Field]:
    """All there are, page by page, with each entry of a table unfolded once."""
    seen = set()
    for page in PAGES:
        room.go(page.word)
        room.opened.clear()
        room.rebuild()
        for fold in (None, *room.folds):
            if fold is not None:
                room.opened[fold[:-1]] = str(fold[-1])
                room.rebuild()
            QApplication.processEvents()
            for path, field in dict(room.fields).items():
                if path not in seen:
                    seen.add(path)
                    yield field


def ways(field: Field) -> list[str]:
    """The value shown, as one may write it."""
    plain = field.text().replace("\u2212", "-")
    number = plain.split(" ")[0].rstrip("\u00b0")
    unit = plain[len(number) :]
    if field.entry.kind == "count":
        return [number, f"{number} + 1 - 1"]
    found = [plain, f"{number}*2/2{unit}", f"({number}{unit})"]
    if len(number.partition(".")[2]) != THOUSANDS:  # 29,134 might be either, and is asked about
        found.append(f"{number.replace('.', ',')}{unit}")
    if field.entry.kind == "length":
        mm = float(field.value)
        found += [f"{mm:.4f} mm", f"{mm / 25.4:.6f} in", f"{mm / 25.4 - 0.5:.6f} in + 1/2 in"]
    return found


@pytest.mark.parametrize("units", ["mm", "in"])
def test_each_is_shown_whole_and_takes_what_a_workshop_writes(room: Describe, units: str) -> None:
    document = room.document
    document.edit(tree.put(document.project, ("units",), units), "units", strict=True)
    walked = 0
    for field in fields(room):
        if field.entry.kind == "text" or not isinstance(field.value, int | float):
            continue
        walked += 1
        scale = room.theme.scale
        taken = metrics(15 * scale, 500).horizontalAdvance(field.text())
        assert taken <= field.width() - FRAME * scale, field.entry.path
        shown = field.read(field.text())
        for text in ways(field):
            assert field.read(text) == pytest.approx(shown, abs=2e-2, rel=1e-3), (
                field.entry.path, text
            )  # fmt: skip
        with pytest.raises(ClearstrokeError) as said:
            field.read("much")
        assert '"much"' in str(said.value)
    assert walked > 250


def test_what_is_wrong_is_said_at_the_field_and_leaves_the_corner_alone(room: Describe) -> None:
    project = room.document.project
    room.reveal(("coilover", "open"))
    field = room.fields["coilover", "open"]
    field.selectAll()
    QTest.keyClicks(field, "much")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert field.error
    assert field.toolTip() == field.error == field.accessibleDescription()
    assert room.foot.currentWidget() is room.message
    assert room.document.project is project
    QTest.keyClick(field, Qt.Key.Key_Escape)
    assert not field.error
