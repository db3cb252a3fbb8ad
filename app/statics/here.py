"""Statics at the position on show, worked out once for each, for readouts and arrows alike."""

from __future__ import annotations

from collections.abc import Callable

from app.document.document import Document
from app.statics.arrows import SIZES_NOTHING
from kinematics.errors import ClearstrokeError
from kinematics.project.loads import LoadCase
from kinematics.statics.chassis import ChassisPush, on_chassis
from kinematics.statics.here import Here, here
from kinematics.statics.statics import Statics
from kinematics.units import Units

Chosen = Callable[[], tuple[str, LoadCase | None]]
"""The load case looked at: its name and figures, None where the car's weight is not known."""


class HereNow:
    """Asks the document where it stands; ``chosen`` gives the load case looked at."""

    def __init__(self, document: Document, chosen: Chosen) -> None:
        self.document, self.chosen = document, chosen
        self.wrong = ""
        self._of: tuple[object, object] = (None, None)
        self._found: Here | None = None
        self._known: Statics | None = None
        document.opened.connect(self._forget)

    def _forget(self) -> None:
        """Keep nothing of the project that was open before."""
        self._of, self._found, self._known, self.wrong = (None, None), None, None, ""

    @property
    def units(self) -> Units:
        """The project's own."""
        project = self.document.project
        return "mm" if project is None else project.units

    def found(self) -> Here | None:
        """Statics here; None where there is no position yet, or ``wrong`` says why not."""
        now, (_, case) = self.document.now, self.chosen()
        if now is None:
            return None
        if self._of[0] is not now or self._of[1] != case:
            self._of, self._found, self.wrong = (now, case), None, ""
            if not now.motion.reached.all():
                self.wrong = "The wheel can't stand here."
                return None
            try:
                self._found = here(now.motion, case)
            except ClearstrokeError as error:
                self.wrong = str(error)
        return self._found

    def known(self) -> Statics | None:
        """Statics over the whole travel, as the last study has it.

        While a mount slides its studies leave statics out: what was known before it was taken
        hold of stays.
        """
        study = self.document.study
        if study is None or study.statics is not None or self.document.drag_start is None:
            self._known = None if study is None else study.statics
        return self._known

    def pushes(self) -> tuple[tuple[ChassisPush, ...], str]:
        """What the chassis feels here in the load case looked at, and the words below the stage."""
        found = self.found()
        if found is None or found.forces is None or not found.forces.held:
            return (), ""
        words = f"“{self.chosen()[0]}”, pushing on the chassis here. {SIZES_NOTHING}"
        return on_chassis(found.project, found.forces), words
