"""Words on a terminal, broken into lines that can be read."""

from __future__ import annotations

import textwrap

WIDE = 92
"""Characters a line."""


def lines(words: str, begin: str = "", then: str = "") -> str:
    """The words in lines; ``begin`` stands before the first, ``then`` before the others."""
    return textwrap.fill(
        words, WIDE, initial_indent=begin, subsequent_indent=then,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
