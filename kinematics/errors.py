"""The one family of exceptions: a sentence for the person who typed or chose something."""

from __future__ import annotations


class ClearstrokeError(Exception):
    """Something the user gave can't be used; the message says what, where, and what to do."""


class EntryError(ClearstrokeError):
    """A length, angle or number as typed can't be read."""


class ProjectError(ClearstrokeError):
    """A project, or its file, can't be used.

    ``problems`` holds one sentence each, every one naming the entry it is about; the message is
    those sentences on lines of their own.
    """

    def __init__(self, *problems: str) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems
