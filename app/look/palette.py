"""The colours of the light and the dark theme, by what they are for.

Violet ('dye') marks what the hand can move or click and nothing else. Clear is quiet; near and
touching are told by shape first (``app.look.signs``), by colour second.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from PySide6.QtGui import QColor


class State(IntEnum):
    """How a pair of parts stands, worst last."""

    UNKNOWN = 0
    CLEAR = 1
    NEAR = 2
    TOUCH = 3


@dataclass(frozen=True)
class Palette:
    """One theme. Hex colours; ``parts`` by kind of part."""

    dark: bool
    sheet: str
    ground: str
    stage: tuple[str, str]
    ink: str
    ink2: str
    ink3: str
    hair: str
    dye: str
    on_dye: str
    wash: str
    clear: str
    clear_fill: str
    near: str
    near_fill: str
    near_wash: str
    touch: str
    touch_fill: str
    touch_wash: str
    parts: dict[str, str]

    def state(self, state: State) -> str:
        """The line colour of a state."""
        return {
            State.UNKNOWN: self.ink3,
            State.CLEAR: self.clear,
            State.NEAR: self.near,
            State.TOUCH: self.touch,
        }[state]

    def part(self, kind: str) -> str:
        """The grey of a kind of part; an unknown kind looks like chassis."""
        return self.parts.get(kind, self.parts["chassis"])


LIGHT = Palette(
    dark=False,
    sheet="#F6F8F7",
    ground="#DCE2E0",
    stage=("#EEF2F0", "#C9D2CF"),
    ink="#15242A",
    ink2="#46565B",
    ink3="#56666B",
    hair="#B9C4C2",
    dye="#3A36A6",
    on_dye="#FFFFFF",
    wash="#D9D8F2",
    clear="#1E6E73",
    clear_fill="#BFDDD8",
    near="#8A5A00",
    near_fill="#E2A93B",
    near_wash="#F3EAD6",
    touch="#B0123C",
    touch_fill="#CB1F47",
    touch_wash="#EFD5DB",
    parts={
        "tyre": "#343B3E",
        "wheel": "#C3CBCB",
        "tower": "#B7C4C3",
        "chassis": "#8E9B9D",
        "link": "#7F9198",
        "arm": "#758990",
        "spring": "#E7E2D2",
        "damper": "#4C585C",
        "shaft": "#97A3A6",
        "upright": "#A3AFB1",
        "scan": "#A9A79C",
    },
)

DARK = Palette(
    dark=True,
    sheet="#152124",
    ground="#0D1618",
    stage=("#283A3F", "#0B1315"),
    ink="#EAF1EE",
    ink2="#B3C1C0",
    ink3="#97A7A8",
    hair="#34464A",
    dye="#AAB0FF",
    on_dye="#11163A",
    wash="#2A2D57",
    clear="#6CC4BE",
    clear_fill="#1F4B4C",
    near="#F0B64A",
    near_fill="#D99B2B",
    near_wash="#3B3420",
    touch="#FF8FA3",
    touch_fill="#FF5C7C",
    touch_wash="#43222C",
    parts={
        "tyre": "#3B4649",
        "wheel": "#9AA6A8",
        "tower": "#7E9093",
        "chassis": "#5C6B6F",
        "link": "#687C84",
        "arm": "#5F737B",
        "spring": "#D8D2BF",
        "damper": "#465357",
        "shaft": "#7C898C",
        "upright": "#818E91",
        "scan": "#8B897F",
    },
)


def rgb(colour: str) -> tuple[float, float, float]:
    """A hex colour as three floats from 0 to 1."""
    c = QColor(colour)
    return c.redF(), c.greenF(), c.blueF()


def mix(a: str, b: str, share: float) -> QColor:
    """``a`` moved towards ``b`` by ``share`` (0 to 1)."""
    x, y = rgb(a), rgb(b)
    return QColor.fromRgbF(*(p + (q - p) * share for p, q in zip(x, y, strict=True)))
