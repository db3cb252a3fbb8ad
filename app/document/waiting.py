"""What is being described but can't stand yet: kept beside the project, plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kinematics.errors import ClearstrokeError
from kinematics.project import files
from kinematics.project.model import Project
from kinematics.project.unfinished import merged

if TYPE_CHECKING:
    from app.document.document import Document


@dataclass(frozen=True, eq=False)
class Waiting:
    """A corner ``made`` of the project ``on`` that can't stand, all of it plain data.

    The project may have moved on since: what was changed is then changed of what it is now.
    """

    on: Project
    made: Project

    def of(self, project: Project) -> Project:
        """The corner with what waits. Raises ClearstrokeError if the two don't go together."""
        made = merged(self.on, self.made, project)
        if made is not self.made:
            files.dumps(made)
        return made


class Described:
    """What is described: a project with what waits, worked out once for both."""

    def __init__(self) -> None:
        self._kept: tuple[Project, Waiting, Project] | None = None

    def of(self, document: Document) -> Project | None:
        """The document's; what was begun stays as it was where it no longer goes with the rest."""
        project, waiting = document.project, document.waiting
        if project is None or waiting is None:
            self._kept = None
            return project
        if self._kept is None or self._kept[0] is not project or self._kept[1] is not waiting:
            try:
                made = waiting.of(project)
            except ClearstrokeError as error:
                made = waiting.made
                document.said.emit(f"What waits in Describe stays as it was: {error}")
            self._kept = project, waiting, made
        return self._kept[2]
