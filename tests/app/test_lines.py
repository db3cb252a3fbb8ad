"""Lines on a terminal: none wider than can be read, every word kept, figures not hyphened apart."""

from __future__ import annotations

from app.commands.lines import WIDE, lines


def test_no_line_is_wider_and_no_word_is_lost() -> None:
    words = "Fit a 5.5Jx15 ET25 wheel: stops the tyre touching the tower lip by 0.1 mm. " * 4
    made = lines(words, "  - ", "    ")
    every = made.split("\n")
    assert len(every) > 2
    assert max(map(len, every)) <= WIDE
    assert every[0].startswith("  - Fit")
    assert all(line.startswith("    ") for line in every[1:])
    assert made.split()[1:] == words.split()


def test_a_word_longer_than_a_line_stays_whole() -> None:
    path = "/a/" + "b-c" * 60
    assert path in lines(f"Written to {path}").split("\n")
