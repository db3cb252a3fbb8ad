"""A corner on its way from one that fits together to the next: links and joints changed singly.

One link taken out leaves it loose, one more locks it. What can't stand yet is kept here, each
change a step of undo, while the view goes on showing the last corner that could. As soon as all of
it together stands, it becomes the project.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import reduce

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QUndoCommand

from app.document.document import Document
from kinematics.errors import ClearstrokeError
from kinematics.motion import MotionError, mobility
from kinematics.motion.mobility import Mobility
from kinematics.project import files
from kinematics.project.model import Project, Tube

Array = NDArray[np.float64]
Make = Callable[[Project], Project]
Makes = tuple[Make, ...]


class Draft:
    """Changes that can't stand by themselves yet, to be made to the document's project."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self._makes: Makes = ()
        self._kept: tuple[Project, Makes, Project] | None = None

    @property
    def makes(self) -> Makes:
        """The changes that wait, in their order."""
        return self._makes

    @makes.setter
    def makes(self, makes: Makes) -> None:
        self._makes = makes
        self.document.unfinished = bool(makes)

    @property
    def project(self) -> Project | None:
        """What is being described: the document's project with the changes that wait."""
        base = self.document.project
        if base is None or not self.makes:
            return base
        if self._kept is None or self._kept[0] is not base or self._kept[1] is not self.makes:
            try:
                made = reduce(lambda project, make: make(project), self.makes, base)
            except ClearstrokeError as error:  # what they were to be made to has gone meanwhile
                self.makes = ()
                self.document.said.emit(f"What waited in Describe can't be done now: {error}")
                return base
            self._kept = base, self.makes, made
        return self._kept[2]

    def change(self, make: Make, what: str, may_wait: bool) -> bool:
        """One more change, a step of undo; with those that wait it becomes the project if it can.

        If not it waits, if it ``may_wait`` or others do, where only too much or too little holds
        the corner. Raises ClearstrokeError for anything else. Says whether anything changed.
        """
        base = self.project
        if base is None:
            return False
        made = make(base)
        if made == base:
            return False
        if not self.makes:
            try:
                return self.document.edit(made, what, strict=True)
            except MotionError:
                if not may_wait or unheld(made) is None:
                    raise
        elif unheld(made) is None:
            return self._settle(made, what)
        files.dumps(made)
        self.document.stack.push(Step(self, (*self.makes, make), what))
        return True

    def _settle(self, made: Project, what: str) -> bool:
        """All that waited becomes the project, with the last change in one step."""
        stack = self.document.stack
        stack.beginMacro(what)
        try:
            stack.push(Step(self, (), what))
            done = self.document.edit(made, what, strict=True)
        except ClearstrokeError:
            stack.endMacro()
            stack.undo()
            raise
        stack.endMacro()
        return done

    def give_up(self) -> None:
        """Back to the last corner that stood, as a step of undo."""
        if self.makes:
            self.document.stack.push(Step(self, (), "give up what does not fit together"))

    def lines(self) -> dict[str, Array]:
        """The middle lines (n, 3) of the links and tubes that wait, by name."""
        now, base = self.project, self.document.project
        if now is None or base is None or not self.makes:
            return {}
        found: dict[str, tuple[str, ...]] = {
            name: (link.inner.point, link.outer.point)
            for name, link in now.links.items()
            if name not in base.links
        }
        for name, part in now.parts.items():
            if isinstance(part, Tube) and name not in base.parts:
                found[name] = part.points
        return {n: np.array([now.points[p] for p in on], float) for n, on in found.items()}

    def forget(self) -> None:
        """Nothing waits: another project is open."""
        self.makes = ()


class Step(QUndoCommand):
    """One step of undo that changes only what waits."""

    def __init__(self, draft: Draft, makes: Makes, what: str) -> None:
        super().__init__(what)
        self.draft, self.before, self.after = draft, draft.makes, makes

    def redo(self) -> None:
        """Let it wait."""
        self.draft.makes = self.after

    def undo(self) -> None:
        """As it was."""
        self.draft.makes = self.before


def unheld(project: Project) -> Mobility | None:
    """How a corner is held, if it can't move so: too much or too little; None of one that can."""
    found = mobility(project)
    harmful = [each for each in found.loose if not each.idle]
    return found if harmful or not found.moves else None


def words(found: Mobility) -> tuple[str, str]:
    """In a few words what is wrong with how it is held, and which members that is about."""
    loose = [each for each in found.loose if not each.idle]
    many = len(found.fights)
    if found.fights and loose:
        title = "Held twice in one way, and loose in another"
    elif found.fights:
        title = "One link too many" if many == 1 else f"{COUNTS.get(many, many)} links too many"
    else:
        few = len(loose)
        title = "One link missing" if few == 1 else f"{COUNTS.get(few, few)} links missing"
    said = [each.hint or each.words for each in loose[:2]]
    members = list(dict.fromkeys(name for fight in found.fights for name in fight.members))
    if members:
        said.append(f"take out one of {', '.join(members[:-1])} and {members[-1]}")
    detail = "; ".join(said)
    return title, f"{detail[:1].upper()}{detail[1:]}."


COUNTS = {2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six"}
