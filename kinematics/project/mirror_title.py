"""The word of the side in what the builder calls a corner."""

from __future__ import annotations

import re
from typing import Literal

OTHER = {"left": "right", "right": "left", "lh": "rh", "rh": "lh"}
SIDE = {"left": "left", "right": "right", "lh": "left", "rh": "right"}
_WORD = r"(?<!\w)(?P<word>left|right|lh|rh)(?!\w)"
_PLACE = re.compile(
    rf"(?:^|(?:front|rear|back|,|\(|[-\u2013\u2014])\s*){_WORD}"  # rear left; corner, left
    rf"|{_WORD.replace('word', 'before')}(?=[\s-]+(?:front|rear|back|side|hand|corner|wheel)\b)"
    rf"|{_WORD.replace('word', 'last')}(?=\W*$)"  # at the end
    r"|(?<!\w)(?P<hand>lh|rh)(?!\w)",
    re.IGNORECASE,
)
_NO_PLACE = re.compile(
    r"\b(?:put|set|made|get|got|all|is|was|not|just|what's|what) $", re.IGNORECASE
)


def mirrored_title(title: str, side: Literal["left", "right"]) -> str:
    """The title with its word of the side turned to the other side's, written as it was.

    Turned is ``left``, ``right``, ``LH`` or ``RH`` where it says which corner: beside front or
    rear, after a comma or a dash, before side or hand, or at the end. What is right because it is
    not wrong stays (``put right``), and so does a title that speaks of the other side as well.
    """
    found = [m for m in _PLACE.finditer(title) if _is_place(m, title)]
    if any(SIDE[_word(m).lower()] != side for m in found):
        return title
    for match in reversed(found):
        start, end = match.span(match.lastgroup or 0)
        title = title[:start] + _as_written(_word(match)) + title[end:]
    return title


def _word(match: re.Match[str]) -> str:
    return match[match.lastgroup or 0]


def _is_place(match: re.Match[str], title: str) -> bool:
    return not _NO_PLACE.search(title[: match.start(match.lastgroup or 0)])


def _as_written(word: str) -> str:
    """The other side's word, in the same capitals."""
    other = OTHER[word.lower()]
    return other.upper() if word.isupper() else other.title() if word[0].isupper() else other
