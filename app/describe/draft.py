"""A corner on its way from one that fits together to the next: links and joints changed singly.

One link taken out leaves it loose, one more locks it. What can't stand yet is kept here, each
change a step of undo, while the view goes on showing the last corner that could. As soon as all of
it together stands, it becomes the project.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from app.document.document import Document
from app.document.waiting import Waiting
from kinematics.errors import ClearstrokeError, ProjectError
from kinematics.motion import MotionError, mobility
from kinematics.motion.mobility import Mobility
from kinematics.project import files
from kinematics.project.basics import Xyz
from kinematics.project.model import Project, Tube
from kinematics.project.unfinished import clash, merged

Array = NDArray[np.float64]
Make = Callable[[Project], Project]


class Draft:
    """What the builder makes of the corner, whether it can stand by itself yet or not."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self._held = ""  # what a hand does that holds something, in words
        self._from: Waiting | None = None  # what waited when it took hold
        self._last: Make = lambda project: project
        document.claimed.connect(self.finish)

    @property
    def waits(self) -> bool:
        """Whether something waits for what it lacks."""
        return self.document.waiting is not None

    @property
    def project(self) -> Project | None:
        """What is being described: the document's project with what waits."""
        return self.document.described

    def change(self, make: Make, what: str, may_wait: bool) -> bool:
        """One more change, a step of undo; with what waits it becomes the project if it can.

        If not it waits, if it ``may_wait`` or something does, where only too much or too little
        holds the corner. Raises ClearstrokeError for anything else. Says whether anything changed.
        """
        described, base = self.project, self.document.project
        if described is None or base is None:
            return False
        made = make(described)
        if made == described:
            return False
        if self.waits and unheld(made) is None:
            return self._settle(made, what)
        alone = self._beside(described, made, base) if self.waits else made
        if alone is not None:
            try:
                return self.document.edit(alone, what, strict=True)
            except MotionError:
                if not (may_wait or self.waits) or unheld(alone) is None:
                    raise
        files.dumps(made)
        self.document.wait(Waiting(base, made), what)
        return True

    def begin(self, what: str) -> None:
        """A hand takes hold: what it drags until :meth:`finish` is one step, so called."""
        self.document.begin()
        self._held, self._from = what, self.document.waiting

    def drag(self, make: Make) -> None:
        """Show a change of what there was when the hand took hold: of the project, or of what
        waits alone. Raises ClearstrokeError for what can't be said of either.
        """
        base, waited = self.document.drag_start, self._from
        if not self._held or base is None:
            return  # it was made to let go
        described = base if waited is None else waited.of(base)
        made = make(described)
        alone = made if waited is None else self._beside(described, made, base)
        if alone is None or self.document.waiting is not waited:
            files.dumps(made)
            self.document.begin_on(made)
            self._last = make
        else:
            self.document.drag(alone)

    def finish(self) -> None:
        """The hand lets go: one step of undo, none if it came back to where it started."""
        if not self._held:
            return
        what, self._held = self._held, ""
        shown, self.document.waiting = self.document.waiting, self._from
        self.document.finish(what)
        if shown is self._from:
            return
        try:
            if not self.change(self._last, what, may_wait=True):
                self.document.changed.emit()  # back at the start
        except ClearstrokeError as error:
            self.document.changed.emit()
            self.document.said.emit(str(error))

    @staticmethod
    def _beside(described: Project, made: Project, base: Project) -> Project | None:
        """The project with a change that has nothing to do with what waits; None if it has."""
        if clash(described, made, base):
            return None
        alone = merged(described, made, base)
        try:
            files.dumps(alone)
        except ProjectError:  # it speaks of what waits
            return None
        return alone

    def _settle(self, made: Project, what: str) -> bool:
        """All that waited becomes the project, with the last change in one step."""
        if made == self.document.project:
            self.document.wait(None, what)
            return True
        return self.document.edit(made, what, strict=True, waiting=None)

    def turn(self, make: Make, what: str) -> None:
        """Change the project and what waits alike, as a mirror image does."""
        described, base = self.project, self.document.project
        if described is None or base is None:
            return
        turned = make(base)
        waiting = Waiting(turned, make(described)) if self.waits else None
        self.document.edit(turned, what, waiting=waiting)

    def give_up(self) -> None:
        """Back to the last corner that stood, as a step of undo."""
        if self.waits:
            self.document.wait(None, "give up what does not fit together")

    def points(self) -> dict[str, Xyz]:
        """The points that wait, by name: the project has none of them."""
        now, base = self.project, self.document.project
        if now is None or base is None:
            return {}
        return {name: xyz for name, xyz in now.points.items() if name not in base.points}

    def lines(self) -> dict[str, Array]:
        """The middle lines (n, 3) of the links and tubes that wait, by name."""
        now, base = self.project, self.document.project
        if now is None or base is None or not self.waits:
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
