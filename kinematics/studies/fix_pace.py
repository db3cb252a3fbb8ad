"""How far a long trial of many fixes is: a share that ever grows, whatever the next one takes."""

from __future__ import annotations

from collections.abc import Callable

SLOW = 0.1
"""What each look of an attempt of unknown length adds, as a share of what is left of it."""


class Pace:
    """Tells the share done of attempts one after another, each with an end of its own."""

    def __init__(self, told: Callable[[float], None] | None = None) -> None:
        """``told`` : handed every share, from 0 to 1."""
        self.told = told
        self._begun = self._ends = self._done = 0.0

    def begin(self, ends: float) -> None:
        """The next attempt ends at that share of all."""
        self._begun, self._ends, self._done = self._ends, ends, 0.0
        self._tell()

    def within(self, share: float) -> None:
        """So much of the attempt is done."""
        if share > self._done:
            self._done = share
            self._tell()

    def look(self) -> None:
        """One look more of an attempt, of which nobody knows how many it takes."""
        self.within(self._done + SLOW * (1.0 - self._done))

    def end(self) -> None:
        """All is done."""
        self._begun = self._ends = 1.0
        self._tell()

    def _tell(self) -> None:
        if self.told is not None:
            self.told(self._begun + self._done * (self._ends - self._begun))
