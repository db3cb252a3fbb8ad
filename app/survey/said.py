"""What the sheet says: the verdict, the rivals, what decides, and what leaving one out would do."""

from __future__ import annotations

from html import escape

import numpy as np

from app.look.palette import Palette
from app.survey.bench import Bench
from app.survey.text import setup_lines
from kinematics.findings.words import say
from kinematics.studies.measured import effect_of, measured
from kinematics.studies.study import Study
from kinematics.survey import Surveyed
from kinematics.survey.built import as_built
from kinematics.survey.words import (
    decider_words,
    loose_words,
    reading_words,
    suspect_words,
    twin_words,
    unchecked,
    verdict,
)
from kinematics.units import Units, show_length

SHOWN = 4
CLEARANCES = 3


def said(bench: Bench, study: Study | None, palette: Palette) -> tuple[str, str]:
    """The headline, and below it everything else as rich text."""
    found = bench.found
    if found is None:
        return f"{len(bench.readings)} readings, none with a value yet.", ""
    units = bench.units
    blocks = [_para(verdict(found, units)), *_suspects(found, units, palette)]
    blocks += [_para(twin_words(t, units)) for t in found.twins]
    blocks += [_para(loose_words(each)) for each in found.loose]
    blocks += [_para(line) for line in (" ".join(setup_lines(found.project, units)),)]
    blocks += _clearances(study, units)
    if bench.after:
        blocks[1:1] = _built(bench, study, units)
    blocks += _points(found, units)
    left = unchecked(found)
    if left and found.fit.surplus > 0:
        names = "; ".join(reading_words(r) for r in left[:SHOWN])
        blocks.append(_para(f"Nothing checks: {names}."))
    return _headline(found), "".join(blocks)


def _headline(found: Surveyed) -> str:
    suspects = found.judged.suspects
    if found.loose:
        names = ", ".join(each.point for each in found.loose[:3])
        return f"Not fixed yet: {names}."
    if found.twins:
        return f"{found.twins[0].point} fits in two places."
    if found.fit.surplus <= 0:
        return "Nothing is checked: a wrong reading would not show."
    if not suspects:
        if found.judged.agree:
            return "The readings agree."
        return "The readings don't agree."
    if len(suspects) == 1:
        return f"{_cap(reading_words(found.net.readings[suspects[0].reading]))}: look again."
    return f"One of {len(suspects)} readings is wrong."


def _cap(words: str) -> str:
    return words[:1].upper() + words[1:]


def _para(words: str) -> str:
    return f"<p style='margin: 0 0 8px 0'>{escape(words.strip())}</p>"


def _suspects(found: Surveyed, units: Units, palette: Palette) -> list[str]:
    blocks = [
        f"<p style='margin: 0 0 6px 0'><span style='color: {palette.touch}'><b>■</b></span> "
        f"{escape(_cap(suspect_words(found, s, units)))}</p>"
        for s in found.judged.suspects[:SHOWN]
    ]
    if found.decider is not None:
        blocks.append(_para(decider_words(found, found.decider, units)))
    return blocks


def _clearances(study: Study | None, units: Units) -> list[str]:
    """The closest pairs, with what the measuring leaves open."""
    if study is None:
        return []
    told = [f for f in study.findings if f.doubt is not None][:CLEARANCES]
    return [_para(say(f, units)) for f in told]


def _points(found: Surveyed, units: Units) -> list[str]:
    rows = "".join(
        f"<tr><td>{escape(name)}</td><td align='right'>&nbsp;&nbsp;± "
        f"{escape(show_length(1.96 * found.place(name).spread, units))}</td></tr>"
        for name in sorted(found.measured, key=lambda n: -found.place(n).spread)
    )
    return [f"<p style='margin: 0 0 2px 0'><b>Known to, at worst</b></p><table>{rows}</table>"]


def _built(bench: Bench, study: Study | None, units: Units) -> list[str]:
    project = bench.project
    if project is None:
        return []
    built = as_built(project, measured(project))
    blocks = ["<p style='margin: 8px 0 2px 0'><b>As built, against the plan</b></p>"]
    for moved in built.moved:
        shift = ", ".join(show_length(float(v), units) for v in moved.shift)
        far = show_length(moved.length, units)
        state = f"{far} off" if moved.sure else "where it should be, as far as the tape tells"
        blocks.append(_para(f"{moved.point}: {state} ({shift})"))
    if study is None:
        return blocks
    for change in effect_of(study, {m.point: m.shift for m in built.moved if m.sure})[:CLEARANCES]:
        a, b = change.parts
        was, now = (show_length(v, units) for v in (change.before, change.after))
        blocks.append(_para(f"{_cap(a)} to {b}: {was} as planned, {now} as built (less is worse)."))
    return blocks


def effect(bench: Bench, row: int) -> str:
    """What leaving the chosen reading out (or taking it back) would do, in a sentence or two."""
    now, other = bench.found, bench.without(row)
    if other is None or now is None:
        return ""
    back = bench.readings[row].left_out
    start = "With it again" if back else "Without it"
    if isinstance(other, str):
        return f"{start}: {other}"
    agree = "the rest agree" if other.judged.agree else "the rest still don't agree"
    if back:
        agree = "they agree" if other.judged.agree else "they don't agree"
    if other.loose:
        names = ", ".join(each.point for each in other.loose[:3])
        return f"{start}, {names} would not be fixed."
    shifts = {
        name: float(np.linalg.norm(other.place(name).xyz - now.place(name).xyz))
        for name in now.measured
        if name in other.measured
    }
    most = sorted(shifts, key=lambda name: -shifts[name])[:2]
    units = bench.units
    moves = " and ".join(f"{n} moves {show_length(shifts[n], units)}" for n in most)
    return f"{start}, {agree}; {moves}."
