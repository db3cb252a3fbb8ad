"""Sliders for what can be wound or slid within a range: adjusters, threaded links, slots."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLabel

from app.describe.bits import Slider
from app.document import tree
from app.document.tree import Entry
from app.look.type import font
from kinematics.errors import ClearstrokeError
from kinematics.project.adjusters import with_adjuster
from kinematics.project.model import Project
from kinematics.project.mount import slot_range
from kinematics.units import show_length

if TYPE_CHECKING:
    from app.describe.form import Form
    from app.describe.room import Describe

Change = Callable[[Project, float], Project]
Span = tuple[float, float, float]
"""Least, most and where it stands, mm."""
LEAST_SPAN = 0.1


def beneath(form: Form, entry: Entry) -> None:
    """A slider below an entry that has a range; its effect is live in the view."""
    path, name = entry.path, str(entry.path[1]) if len(entry.path) > 1 else ""
    if path[0] == "adjusters" and path[-1] == "set":

        def wound(project: Project) -> Span | None:
            adjuster = project.adjusters.get(name)
            return (adjuster.least, adjuster.most, adjuster.set) if adjuster else None

        put_in(form, f"wind {name}", wound, lambda p, v: with_adjuster(p, name, v))
    elif path[0] == "links" and path[-1] == "adjust":

        def threaded(project: Project) -> Span | None:
            link = project.links.get(name)
            span = link and link.adjust_range
            return (*span, link.adjust) if link and span else None

        put_in(form, f"wind {name}", threaded, lambda p, v: tree.put(p, path, v))


def slots(form: Form) -> None:
    """The mount shifted in the slots of its plate while the tower stays: a slider each way."""
    for index, (which, words) in enumerate(
        (("set_forward", "fore-aft"), ("set_inboard", "across"))
    ):

        def stands(project: Project, i: int = index, key: str = which) -> Span | None:
            span, mount = slot_range(project.top_mount), project.top_mount
            if span is None or mount is None or mount.plate is None:
                return None
            now = getattr(mount.plate, key)
            least, most = (now + end for end in span[i])
            return (least, most, now) if most - least > LEAST_SPAN else None

        def shift(start: Project, value: float, i: int = index) -> Project:
            from kinematics.studies.cures_coilover import moved_mount  # slow to import

            found = stands(start)
            by = 0.0 if found is None else value - found[2]
            inward = -1.0 if start.side == "left" else 1.0
            move = (by, 0.0) if i == 0 else (0.0, inward * by)
            return moved_mount(start, *move, 0.0, False)

        put_in(
            form, f"shift the mount {words} in its slots", stands, shift, f"in its slots, {words}"
        )


def put_in(
    form: Form,
    what: str,
    span: Callable[[Project], Span | None],
    change: Change,
    words: str = "",
) -> None:
    """A slider with its range written at its ends, if there is a range; it follows the project."""
    if span(form.project) is None:
        return
    s, p = form.theme.scale, form.theme.palette
    slider = Slider(form.theme, 0.0, 1.0)
    slider.setAccessibleName(what)
    slider.setToolTip("Pull it, or use the arrow keys")
    slider.setFixedWidth(round(168 * s))
    ends = [QLabel(), QLabel()]
    for label in ends:
        label.setFont(font(13 * s, 500))
        label.setStyleSheet(f"color: {p.ink2};")

    def follow(project: Project) -> None:
        found = span(project)
        slider.setEnabled(found is not None)
        if found is not None:
            slider.stand(*found)
            for label, value in zip(ends, found, strict=False):
                label.setText(show_length(value, project.units))

    slide(form.room, slider, change, what)
    form.room.watches.append(follow)
    form.line(words, what, ends[0], slider, ends[1])


def slide(room: Describe, slider: Slider, change: Change, what: str) -> None:
    """A pull is one step of undo, of what waits too; so is each press of a key."""

    def slid(value: float) -> None:
        if room.project is None:
            return
        if not slider.isSliderDown():
            room.deeds.change(what, lambda project: change(project, value))
            return
        try:
            room.draft.drag(lambda project: change(project, value))
            room.tell("")
        except ClearstrokeError as error:
            room.tell(tree.in_words(error))

    slider.began.connect(lambda: room.draft.begin(what))
    slider.slid.connect(slid)
    slider.ended.connect(room.draft.finish)
