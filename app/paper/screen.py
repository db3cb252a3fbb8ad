"""The findings as text on the screen of a terminal."""

from __future__ import annotations

import math
import textwrap

from kinematics.findings.give_words import say_give
from kinematics.findings.statics import fact_sentence
from kinematics.findings.words import Sentence, Units, position, sentence
from kinematics.project.checks import cautions_of
from kinematics.studies.study import Study
from kinematics.units import unit_of

_WORDS = {
    "contact": "TOUCHES",
    "near": "near",
    "limit": "LIMIT",
    "unreachable": "NO REACH",
    "clear": "clear",
    "end": "end",
}
_WIDE = 92


def screen(study: Study, units: Units) -> str:
    """Title, what was checked, then the findings worst first."""
    lines = [_title(study), *textwrap.wrap(_checked(study, units), _WIDE), "", _verdict(study)]
    for finding in study.findings:
        lines += _lines(_WORDS[finding.kind], sentence(finding, units))
    if give := say_give(study.given, study.project, units):
        lines += textwrap.wrap(give, _WIDE, initial_indent=" " * 9, subsequent_indent=" " * 9)
    for caution in cautions_of(study.project):
        lines += textwrap.wrap(f"Look again: {caution}", _WIDE, initial_indent=" " * 9,
                               subsequent_indent=" " * 9)  # fmt: skip
    rest = [fact for fact in study.facts if not fact.problem]
    lines += [""] if rest else []
    for fact in rest:
        lines += _lines("", fact_sentence(fact, units))
    return "\n".join(lines)


def _title(study: Study) -> str:
    data = study.project.data
    return study.project.title + ("" if data == "measured" else f" ({data} data)")


def _verdict(study: Study) -> str:
    wrong = sum(f.is_problem for f in study.findings)
    if not study.reached.any():
        return "No position could be reached, so nothing was checked."
    if not wrong:
        return "Nothing touches, and every rule is kept."
    return f"{wrong} problems, worst first:" if wrong > 1 else "1 problem:"


def _checked(study: Study, units: Units) -> str:
    travel = f"{position(study.travel[0], units)} to {position(study.travel[-1], units)} {units}"
    if len(study.travel) == 1:
        travel = f"{position(study.travel[0], units)} {units}"
    rack = ""
    if len(study.rack) > 1:
        ends = [position(r, units) for r in (study.rack[0], study.rack[-1])]
        rack = f", at {len(study.rack)} rack positions from {ends[0]} to {ends[1]} {units}"
    between = " and all between" if len(study.travel) > 1 else ""
    pairs = len(study.names)
    return (
        f"Checked travel {travel}{between}{rack}: {pairs} pairs of parts, "
        f"calculation error {tolerance(study.tolerance, units)} or less"
    )


def tolerance(mm: float, units: Units) -> str:
    """A calculation error in words, never rounded down to less than it is."""
    return f"{math.ceil(unit_of('length', units).of(mm) * 1e4 - 1e-6) / 1e4:g} {units}"


def _lines(mark: str, said: Sentence) -> list[str]:
    body = textwrap.wrap(said.headline, _WIDE) + textwrap.wrap(said.detail, _WIDE)
    return [f"{mark if i == 0 else '':<9}{line}" for i, line in enumerate(body)]
