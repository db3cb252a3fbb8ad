"""Toe typed and shown in degrees or as a length over the rim's diameter, as the builder chose."""

from __future__ import annotations

import math
import re
from typing import Any

from PySide6.QtCore import QSettings

from app.entry import Field
from app.told import told
from kinematics.errors import ClearstrokeError, EntryError
from kinematics.project.markings import read_rim
from kinematics.project.model import Project
from kinematics.units import MM_PER_INCH, read_degrees, read_length, show_length

CHOICES = ("degrees", "over the rim")
_SIZED = re.compile(r"(mm|cm|in|inch|\"|″)\s*$", re.IGNORECASE)


def toe_unit() -> str:
    """How toe is typed and shown, as remembered."""
    kept = str(QSettings().value("toe", CHOICES[0]))
    return kept if kept in CHOICES else CHOICES[0]


def choose_toe_unit(words: str) -> None:
    """Remember it."""
    QSettings().setValue("toe", words)


@told
class ToeField(Field):
    """Toe of the wheel. A unit typed with the figure holds, whichever is shown."""

    across = 0.0  # the rim's marked diameter, mm

    def follow(self, project: Project) -> None:
        """Take the rim's diameter of a project as it is now."""
        try:
            across = read_rim(project.wheel.rim.size).code * MM_PER_INCH
        except ClearstrokeError:
            across = 0.0
        if across != self.across:
            self.across = across
            self.show_value(self.value)

    def written(self, value: Any) -> str:
        """Degrees, or the length by which the rim's front edge is nearer than its rear."""
        if value is None or toe_unit() == CHOICES[0] or not self.across:
            return super().written(value)
        length = self.across * math.sin(math.radians(float(value)))
        return show_length(length, self.units, 4 if self.units == "in" else 2)

    def read(self, text: str) -> float:
        """Degrees from either."""
        sized = bool(_SIZED.search(text))
        angled = "°" in text or "deg" in text.lower()
        if not sized and (angled or toe_unit() == CHOICES[0]):
            return read_degrees(text)
        length = read_length(text, self.units)
        if abs(length) >= self.across:
            raise EntryError(f"{text.strip()} is more toe than the rim is wide.")
        return math.degrees(math.asin(length / self.across))

    def nudge(self, way: int, mods: Any) -> None:
        """A tenth of a degree, or a millimetre, at a step."""
        if toe_unit() == CHOICES[0] or not isinstance(self.value, int | float):
            super().nudge(way, mods)
            return
        length = self.across * math.sin(math.radians(self.value))
        self.setText(show_length(length + way, "mm", 2))
        self.take()
