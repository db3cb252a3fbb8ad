"""Sentences about bearings, the top plate, shafts, hoses, struts and forces."""

from __future__ import annotations

import math
from collections.abc import Callable

from kinematics.findings.fact_phrases import (
    CAUTION,
    degrees,
    over,
    past,
    place_of,
    up,
    usual,
)
from kinematics.findings.phrases import Sentence, Units, position, room
from kinematics.statics.fact import Fact
from kinematics.units import show, show_force, show_plain


def _binds(f: Fact, units: Units) -> Sentence:
    headline = f"The joint at {f.subject} binds: it needs {up(f.figures['angle'])} and has "
    by = f"What limits it: {f.notes['by']}." if f.notes["by"] else ""
    return Sentence(
        f"{headline}{degrees(f.figures['limit'])}.",
        " ".join(part for part in (past(f, units), by, usual(f)) if part),
    )


def _bearing(f: Fact, units: Units) -> Sentence:
    headline = (
        f"The joint nearest its limit is at {f.subject}: {up(f.figures['angle'])} of "
        f"{degrees(f.figures['limit'])} used."
    )
    return Sentence(headline, f"Most at {place_of(f, units)}. {usual(f)}".strip())


def _twists(f: Fact, units: Units) -> Sentence:
    headline = (
        f"The bush at {f.subject} twists {up(f.figures['angle'])}, more than its "
        f"{degrees(f.figures['limit'])}."
    )
    return Sentence(headline, past(f, units))


def _plate(f: Fact, units: Units) -> Sentence:
    g = f.figures
    headline = (
        f"Tilting the plate at {f.subject} would centre its bearing: {up(g['then'])} used, "
        f"not {up(g['now'])}."
    )
    along = f"{degrees(abs(g['forward']))} {'forward' if g['forward'] >= 0 else 'rearward'}"
    across = f"{degrees(abs(g['inboard']))} {'inboard' if g['inboard'] >= 0 else 'outboard'}"
    return Sentence(headline, f"Lean the top of its bore {along} and {across} from upright.")


def _shaft(f: Fact, units: Units) -> Sentence:
    g = f.figures
    bends = [
        f"{up(g[end])}{f' of {degrees(g[limit])}' if limit in g else ''} at its {end} joint"
        for end, limit in (("inner", "inner_limit"), ("outer", "outer_limit"))
    ]
    headline = f"The {f.subject} bends up to {' and '.join(bends)}."
    ways = []
    for word, amount, limit in (
        ("shortens", max(-g["shortest"], 0.0), "bottoming"),
        ("lengthens", max(g["longest"], 0.0), "pull_apart"),
    ):
        may = f" (it may {show_plain(g[limit], units)})" if limit in g else ""
        ways.append(f"{word} {over(amount, units)}{may}")
    uneven = ""
    if "uneven" in g:
        uneven = f" One cross joint bent so far runs ahead and behind by {up(g['uneven'])} a turn."
    return Sentence(headline, f"From set-up it {' and '.join(ways)}.{uneven}")


def _shaft_bends(f: Fact, units: Units) -> Sentence:
    limit = f.figures["limit"]
    headline = (
        f"The {f.subject} bends {up(limit - f.amount)} at its {f.notes['end']} joint, more than "
        f"its {degrees(limit)}."
    )
    return Sentence(headline, past(f, units))


def _shaft_pulls_apart(f: Fact, units: Units) -> Sentence:
    return _plunge(f, units, "pulls apart", "lengthens")


def _shaft_bottoms(f: Fact, units: Units) -> Sentence:
    return _plunge(f, units, "bottoms in its joint", "shortens")


def _plunge(f: Fact, units: Units, what: str, how: str) -> Sentence:
    limit = f.figures["limit"]
    headline = (
        f"The {f.subject} {what}: it {how} {over(limit - f.amount, units)} and may "
        f"{show_plain(limit, units)}."
    )
    return Sentence(headline, past(f, units))


def _hose(f: Fact, units: Units) -> Sentence:
    if not f.problem:
        wanted = show_plain(f.figures["wanted"], units)
        headline = f"The {f.subject} keeps {room(f.amount, units)} of slack; {wanted} is asked for."
        return Sentence(headline, f"Tightest at {place_of(f, units)}.")
    if f.amount < 0.0:
        headline = f"The {f.subject} is {over(-f.amount, units)} too short: it tears."
    else:
        wanted = show_plain(f.figures["wanted"], units)
        headline = (
            f"The {f.subject} has only {room(f.amount, units)} of slack; {wanted} is asked for."
        )
    return Sentence(headline, past(f, units))


def _clamp(f: Fact, units: Units) -> Sentence:
    camber = f.figures.get("camber")
    slot = f"Its slot gives ±{degrees(camber)} of camber." if camber is not None else ""
    if f.problem:
        return Sentence(
            f"The strut is held {over(-f.amount, units)} short of its least depth.", slot
        )
    if "insertion_left" in f.figures:
        return Sentence(f"The strut is held {room(f.amount, units)} over its least depth.", slot)
    return Sentence(slot, "")


def _strut(f: Fact, units: Units) -> Sentence:
    g = f.figures
    headline = (
        f"The strut's top takes {show_force(f.amount, units)} sideways in “{f.notes['case']}”."
    )
    moment = f"That bends it by {show(g['at_clamp'], 'moment', units)} at its clamp"
    if math.isfinite(g["at_gland"]):
        moment += f" and {show(g['at_gland'], 'moment', units)} at the gland"
    return Sentence(headline, f"{moment}. {CAUTION}")


def _force(f: Fact, units: Units) -> Sentence:
    g = f.figures
    headline = f"The {f.subject} takes up to {show_force(f.amount, units)}, in “{f.notes['case']}”."
    ways = [
        f"{show_force(abs(g[axis]), units)} {word if g[axis] >= 0 else back}"
        for axis, word, back in (
            ("x", "forward", "rearward"),
            ("inboard", "inboard", "outboard"),
            ("z", "up", "down"),
        )
        if abs(g[axis]) >= 5.0
    ]
    pushes = ", ".join(ways[:-1]) + (" and " if len(ways) > 1 else "") + ways[-1]
    where = f"It pushes {pushes}, the wheel at {position(f.travel or 0.0, units)}."
    return Sentence(headline, f"{where} {CAUTION}")


JOINT_SENTENCES: dict[str, Callable[[Fact, Units], Sentence]] = {
    "binds": _binds,
    "bearing": _bearing,
    "twists": _twists,
    "plate": _plate,
    "shaft": _shaft,
    "shaft bends": _shaft_bends,
    "shaft pulls apart": _shaft_pulls_apart,
    "shaft bottoms": _shaft_bottoms,
    "hose": _hose,
    "clamp": _clamp,
    "strut": _strut,
    "force": _force,
}
