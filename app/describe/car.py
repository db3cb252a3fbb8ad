"""The page of the car itself: title, units, which side, where the ground is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QLabel, QLayout, QVBoxLayout

from app.describe import editors
from app.describe.form import Form
from app.describe.toe import CHOICES, choose_toe_unit, toe_unit
from app.document import tree
from app.document.tree import Entry
from app.entry import Chooser, wide
from app.look.type import font
from kinematics.project.model import Project

if TYPE_CHECKING:
    from app.describe.room import Describe

WIDE = 240


def build(room: Describe, column: QVBoxLayout) -> None:
    """What the project is, and how its figures are written."""
    form = Form(room, column)
    held = {m.path[-1]: m for m in tree.members(Project, ()) if isinstance(m, Entry)}
    form.heading("This project")
    for name in ("title", "data", "source", "notes"):
        form.line(name, held[name].help, wide(editors.editor(room, held[name]), WIDE, room.theme))
    form.heading("Units")
    form.line(
        "lengths",
        "unit of every length shown and typed bare",
        wide(editors.editor(room, held["units"]), WIDE, room.theme),
    )
    form.line(
        "toe",
        "in degrees, or as a length over the rim's diameter",
        wide(_toe(room), WIDE, room.theme),
    )
    form.sentence("Any field takes the units of both, fractions and sums: 3 1/4 in + 2, 450 lb/in.")
    form.heading("This corner")
    form.add(side_row(form))
    for name in ("ground_z", "setup_wheel_z", "wheelbase"):
        form.entry(held[name])


def side_row(form: Form) -> QLayout:
    """Which side of the car this is, and the button that mirrors it."""
    row = QHBoxLayout()
    label = QLabel(f"The {form.project.side}-hand side of the car")
    label.setFont(font(15 * form.theme.scale, 500))

    def follow(project: Project) -> None:
        label.setText(f"The {project.side}-hand side of the car")

    form.room.watches.append(follow)
    row.addWidget(label, 1)
    other = form.button(
        "Other side  M", "The same corner mirrored to the other side (M)", form.room.mirror
    )
    other.setAccessibleName("Other side of the car")
    row.addWidget(other)
    return row


def _toe(room: Describe) -> Chooser:
    made = Chooser(room.theme)
    made.setAccessibleName("Toe in")
    made.offer(CHOICES, toe_unit())
    made.activated.connect(lambda _: choose_toe_unit(made.currentText()))
    return made
