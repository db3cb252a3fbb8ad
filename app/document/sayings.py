"""A study's findings as sentences, worst first; beside what was kept as before, what changed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from app.document.reading import TOLD, amount_words, clearance_of, one_steer
from app.look.palette import State
from kinematics.findings.finding import NEVER, Finding
from kinematics.findings.phrases import position
from kinematics.findings.statics import fact_sentence
from kinematics.findings.words import sentence
from kinematics.units import Units

if TYPE_CHECKING:
    from kinematics.studies.study import Study

Pairs = set[frozenset[str]]
MEET = ("contact", "near", "clear")  # findings of a pair
STANDS = 1.0  # mm from set-up height that is as good as there
SAME = 0.05  # mm: less is no change worth a word
STATES = {
    "contact": State.TOUCH,
    "near": State.NEAR,
    "limit": State.TOUCH,
    "unreachable": State.UNKNOWN,
}


@dataclass(frozen=True)
class Saying:
    """A sentence, a quieter one below, its state, and what a click jumps to (an index).

    ``was``: how it stood before, said ahead of the quieter one.
    """

    text: str
    detail: str
    state: State | None
    target: int = -1
    was: str = ""


def sayings(study: Study, before: Study | None) -> tuple[list[Saying], str]:
    """Findings as sentences, worst first, and what is left to say of the rest.

    Their targets count through the study's findings, its facts, then the findings of before.
    """
    units = study.project.units
    said = [
        _saying(i, finding, study, before)
        for i, finding in enumerate(study.findings)
        if finding.kind != "end"
    ]
    told = {frozenset(f.parts) for f in study.findings if f.kind in MEET}
    if not any(f.is_problem for f in study.findings):
        closest = next((s for s in said if s.state is State.CLEAR), None)
        text, target = "", -1
        if closest is not None:
            text = f"Nearest to its rule: {_small(closest.text)} {closest.was}".rstrip()
            target = closest.target
        said = [Saying(_nothing(study), text, State.CLEAR, target)]
    right, put = _put_right(study, before, told)
    said += right
    said += [
        Saying(words.headline, words.detail, State.CLEAR, len(study.findings) + k)
        for k, fact in enumerate(study.facts)
        if fact.kind in TOLD and not fact.problem and (words := fact_sentence(fact, units))
    ]
    said = [*_not_standing(study), *said]
    clear = len(study.clearances.pairs) - len(told | put)
    rest = f"{clear} more pairs are clear" if clear > 1 else ""
    return said, rest


def _not_standing(study: Study) -> list[Saying]:
    """That set-up height can't be reached, where it was looked at: all else follows from it."""
    travel = np.asarray(study.travel)
    if len(travel) < 2 or not travel[0] <= 0.0 <= travel[-1]:
        return []
    reached = travel[np.asarray(study.reached).any(axis=1)]
    near = float(reached[np.argmin(np.abs(reached))]) if len(reached) else None
    if near is not None and abs(near) <= max(STANDS, float(np.diff(travel).max())):
        return []
    at = "" if near is None else f" The nearest it comes is {position(near, study.project.units)}."
    detail = f"A point or a length may be mistyped.{at} Ctrl+Z takes the last entry back."
    return [Saying("This corner can't stand at set-up height.", detail, State.TOUCH)]


def _nothing(study: Study) -> str:
    """While a hand slides the mount of a steered corner, only the present steer is looked at."""
    return "Nothing touches at this steer." if one_steer(study) else "Nothing touches."


def _saying(index: int, finding: Finding, study: Study, before: Study | None) -> Saying:
    words = sentence(finding, study.project.units)
    was = "" if before is None else _was(finding, before, study.project.units)
    state = STATES.get(finding.kind, State.CLEAR)
    return Saying(words.headline, words.detail, state, index, was)


def _was(finding: Finding, before: Study, units: Units) -> str:
    """How it stood before, in words; empty where nothing changed."""
    if len(finding.parts) == 2 and finding.kind in MEET:
        was = clearance_of(before, (finding.parts[0], finding.parts[1]))
        if was is None or abs(was - finding.amount) < SAME:
            return ""
        return f"Was {amount_words(was, units)}, now {amount_words(finding.amount, units)}."
    old = next((f for f in before.findings if _alike(f, finding)), None)
    if old is None:
        return "Not so before."
    now, then = (sentence(f, units).headline for f in (finding, old))
    return "" if now == then else f"Was: {_small(then)}"


def _put_right(study: Study, before: Study | None, told: Pairs) -> tuple[list[Saying], Pairs]:
    """What was a problem before and is none now, and its pairs; those told already left out."""
    said: list[Saying] = []
    pairs: Pairs = set()
    if before is None:
        return said, pairs
    units, start = study.project.units, len(study.findings) + len(study.facts)
    wrong = [f for f in study.findings if f.is_problem]
    for k, old in enumerate(before.findings):
        if not old.is_problem or any(_alike(old, f) for f in wrong):
            continue
        pair = frozenset(old.parts)
        if old.kind in MEET and pair in told:
            continue
        text, was = f"Put right: {_small(sentence(old, units).headline)}", ""
        if old.kind in MEET:
            now = clearance_of(study, (old.parts[0], old.parts[1]))
            if now is None or not np.isfinite(now):
                continue  # the parts are no longer there
            clear = replace(
                old, kind="clear", amount=now, touches=NEVER, under=NEVER, give=None, doubt=None
            )
            text = sentence(clear, units).headline
            pairs.add(pair)
            was = f"Was {amount_words(old.amount, units)}, now {amount_words(now, units)}."
        said.append(Saying(text, "", State.CLEAR, start + k, was))
    return said, pairs


def _alike(a: Finding, b: Finding) -> bool:
    """Whether two findings are of the same thing."""
    if a.kind in MEET and b.kind in MEET:
        return frozenset(a.parts) == frozenset(b.parts)
    facts = [f.fact.kind if f.fact is not None else f.reason for f in (a, b)]
    return a.kind == b.kind and a.parts == b.parts and facts[0] == facts[1]


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]
