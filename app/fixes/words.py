"""What a card says of a fix, in a fabricator's words."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from app.fixes.card import Told
from app.look.palette import State
from kinematics.findings.phrases import Units, room
from kinematics.project.model import Project
from kinematics.studies.best import Best
from kinematics.studies.cures_own import cures_of_own
from kinematics.studies.fix import Fix, Remedy
from kinematics.studies.fix_words import (
    amounts,
    instruction,
    outcome,
    say,
    say_cannot,
    say_closer,
    say_dear,
    say_effects,
    say_nearest,
    say_spoilt,
    say_studs,
    say_work,
)
from kinematics.units import MINUS

WHOLE = "These keep all rules too, but take more or spoil something else:"


def told_of(remedy: Remedy, units: Units) -> Told:
    """The instruction, what comes of it, its two amounts, what else it does, work and care."""
    fix = remedy.fix
    assert fix is not None
    said = outcome(remedy, units)
    rest = (say_spoilt(fix, units), say_effects(fix.effects, units), say_closer(fix, units),
            say_dear(fix), say_studs(fix, units), say_nearest(fix, units))  # fmt: skip
    return Told(
        instruction(fix.words, units),
        f"{said[:1].upper()}{said[1:]}.",
        amounts(remedy, units),
        " ".join(part for part in rest if part),
        say_work(fix),
        fix.caution,
        state_of(fix),
    )


def state_of(fix: Fix) -> State:
    """Whether all is right with it, or something touches still."""
    if fix.cures_all:
        return State.CLEAR
    touches = any(fix.gaps[n].low < 0.0 for n in (*fix.leaves, *fix.breaks))
    return State.TOUCH if touches else State.NEAR


def below(
    less: Sequence[Remedy], wont: Sequence[Remedy], units: Units
) -> list[tuple[str, list[str]]]:
    """What stands below the cards, under headings: fixes that come after them, and those that
    can't."""
    whole = [r for r in less if r.fix is not None and r.fix.cures_all]
    rest = [r for r in less if r not in whole]
    found = [
        (WHOLE, [say(r, units) for r in whole]),
        ("These do less:", [say(r, units) for r in rest]),
        ("These can't:", say_cannot(wont, units) if wont else []),
    ]
    return [(heading, said) for heading, said in found if said]


def in_paragraphs(groups: Sequence[tuple[str, Sequence[str]]]) -> str:
    """The same as text to be shown: what to do stands out, with room between one and the next."""
    lines = []
    for heading, said in groups:
        lines.append(f"<p style='margin: 10px 0 6px 0'><b>{escape(heading)}</b></p>")
        for each in said:
            head, colon, rest = escape(each).partition(": ")
            what = f"<span style='font-weight: 600'>{head}:</span> {rest}" if colon else head
            lines.append(f"<p style='margin: 0 0 7px 0'>{what}</p>")
    return "".join(lines)


def told_of_best(found: Best, project: Project) -> Told:
    """What a search over a project's dimensions came to."""
    units = project.units
    moved = [
        cures_of_own(project, path, -1.0, 1.0)[0 if mm > 0 else 1].say(round(abs(mm), 1))
        for path, mm in found.amounts.items()
        if abs(mm) >= 0.05
    ]
    a, b = found.tightest
    now, was = over_rule(found.after, units), over_rule(found.before, units)
    kept = found.after >= 0.0
    if not moved:
        return Told(
            "Leave it as it is", f"No better is found: {was}, {a} to {b}.", "", "", "", "",
            State.CLEAR if kept else State.NEAR,
        )  # fmt: skip
    return Told(
        ", ".join([moved[0], *(each[:1].lower() + each[1:] for each in moved[1:])]),
        "Keeps all rules." if kept else "Doesn't keep all rules yet.",
        f"Tightest then: {a} to {b}, {now}. Before: {was}.",
        "Camber and toe stay within what was allowed.",
        "Round it to what your shop can do, and look again.",
        "",
        State.CLEAR if kept else State.NEAR,
    )


def over_rule(mm: float, units: Units) -> str:
    """'3.1 mm over its rule' or short of it."""
    words = f"{room(mm, units)} {'over' if mm >= 0 else 'short of'} its rule"
    return words.replace("-", MINUS)
