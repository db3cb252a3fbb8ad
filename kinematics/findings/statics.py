"""The sentences of statics: springs, stops, joints, shafts, hoses and forces."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from kinematics.findings.finding import Finding, Onset
from kinematics.findings.phrases import (
    Sentence,
    Units,
    onset,
    plain,
    position,
    room,
    steered,
)
from kinematics.statics.fact import Fact
from kinematics.units import MINUS

CAUTION = (
    "This sizes nothing: strength, welding and approval are for a qualified engineer and local "
    "rules."
)
ASSUMED = "Its force curve is a usual one, not typed (common practice, no source)."


def static_findings(
    facts: Sequence[Fact], places: Callable[[float], str] = lambda travel: ""
) -> list[Finding]:
    """Problems of statics as findings of the kind ``limit``; ``places`` names a travel."""
    return [
        Finding(
            "limit",
            (fact.subject,),
            fact.travel or 0.0,
            fact.rack or 0.0,
            fact.amount,
            under=Onset(fact.bump, fact.droop),
            place="" if fact.travel is None else places(fact.travel),
            reason=fact.kind,
            fact=fact,
        )
        for fact in facts
        if fact.problem
    ]


def say_fact(fact: Fact, units: Units = "mm") -> str:
    """Headline and detail in one line of text."""
    headline, detail = fact_sentence(fact, units)
    return f"{headline} {detail}".strip()


def fact_sentence(fact: Fact, units: Units = "mm", place: str = "") -> Sentence:
    """A fact as a headline and a detail; ``place`` is the name of its travel, if it has one."""
    headline, detail = _SENTENCES[fact.kind](fact, units)
    at = _worst(fact, units, place) if fact.problem and fact.kind not in _NOWHERE else ""
    return Sentence(headline, " ".join(part for part in (at, detail) if part))


def _rides(f: Fact, units: Units) -> Sentence:
    g = f.figures
    where = position(f.amount, units)
    stands = "at set-up height" if where == "0" else f"at {where} of travel"
    held = (
        f"Its spring is {room(g['spring_length'], units)} long there and pushes "
        f"{newtons(g['spring_force'])}; wheel rate {g['wheel_rate']:.1f} N/mm, "
        f"{g['frequency']:.2f} Hz."
    )
    left = [
        f"{room(g[f'{side}_left'], units)} of {side}"
        for side in ("bump", "droop")
        if f"{side}_left" in g
    ]
    rest = f"From there it has {' and '.join(left)}." if left else ""
    return Sentence(f"The car rides {stands}.", f"{held} {rest}".strip())


def _does_not_ride(f: Fact, units: Units) -> Sentence:
    if f.notes["stands"] == "topped out":
        headline = "The car hangs at full droop: its spring pushes more than its weight."
        return Sentence(headline, "Take preload off, or fit a softer or shorter spring.")
    if f.notes["stands"] == "on a stop":
        headline = f"The car stands on its {f.notes['why']}, at {position(f.amount, units)}."
        return Sentence(headline, "Wind the spring seat, or fit a spring that carries it alone.")
    headline = "The car goes down on its stops: its spring can't carry the weight."
    return Sentence(headline, "Wind the spring seat up, or fit a stiffer or longer spring.")


def _bump_stops(f: Fact, units: Units) -> Sentence:
    return _stops(f, units, "bump")


def _droop_stops(f: Fact, units: Units) -> Sentence:
    return _stops(f, units, "droop")


def _stops(f: Fact, units: Units, side: str) -> Sentence:
    first, end = f.notes["first"], f.notes["end"]
    at = position(f.amount, units)
    met = f.figures.get(f"meets: {end}")
    if met is not None:
        headline = f"{_name(end)} meets at {position(met, units)} and ends {side} at {at}."
    else:
        headline = f"{_ENDING.get(end, f'{_name(end)} acts')} at {at}: that ends {side}."
    sentences = []
    if first != end and (early := f.figures.get(f"meets: {first}")) is not None:
        sentences.append(f"{_name(first)} meets first, at {position(early, units)}.")
    left = [
        f"{room(value, units)} {_LEFT.get(name[6:], f'before the {name[6:]} ends it')}"
        for name, value in f.figures.items()
        if name.startswith("left: ") and value > 0.0
    ]
    if left:
        sentences.append(f"Left there: {', '.join(left)}.")
    if f.notes.get("assumed"):
        sentences.append(ASSUMED)
    return Sentence(headline, " ".join(sentences))


_ENDING = {
    "damper closed": "The damper shuts",
    "damper open": "The damper is fully open",
    "spring": "The spring is coil-bound",
    "strap": "The strap is tight",
}
_LEFT = {
    "damper closed": "of damper before it shuts",
    "spring": "of spring before it is coil-bound",
    "damper open": "of damper before it is open",
    "bump stop": "of bump stop",
    "strap": "of strap",
}


def _bottoms(f: Fact, units: Units) -> Sentence:
    met = (
        f"{_name(f.notes['met'])} has met before, but is not solid yet. " if f.notes["met"] else ""
    )
    if f.subject == "spring":
        headline = (
            f"The spring is coil-bound at {position(f.amount, units)}, before a stop ends bump."
        )
        return Sentence(
            headline, f"{met}Let a bump stop end it sooner, or fit a longer stroke spring."
        )
    headline = f"The damper shuts metal to metal at {position(f.amount, units)}."
    return Sentence(headline, f"{met}Let a bump stop end the travel sooner.")


def _loose(f: Fact, units: Units) -> Sentence:
    slack, lip = f.figures["slack"], f.figures["lip"]
    since = onset("Loose", Onset(f.bump, f.droop), units)
    if not f.problem:
        headline = (
            f"The spring is loose by {over(slack, units)} in droop, held by its locating lip."
        )
        return Sentence(headline, since)
    held = f", more than the {plain(lip, units)} its lip holds" if lip else ", and nothing holds it"
    headline = f"The spring hangs loose by {over(slack, units)}{held}."
    return Sentence(
        headline, f"{since} A longer or softer spring, a helper or less droop cures it."
    )


def _tight(f: Fact, units: Units) -> Sentence:
    headline = f"The spring is {over(-f.amount, units)} shorter than is safe."
    gaps = f"{over(f.figures['gaps'], units)} between all its coils should stay (EN 13906-1)."
    return Sentence(headline, f"{_past(f, units)} {gaps}")


def _coil_bound(f: Fact, units: Units) -> Sentence:
    return Sentence("The spring is pressed flat: it is coil-bound.", _past(f, units))


def _coils(f: Fact, units: Units) -> Sentence:
    headline = f"Pressed flat, the spring grows {over(f.amount, units)} across."
    turn = up(f.figures["turn"])
    return Sentence(
        headline,
        "Half of that comes off what it clears (the larger of two published forms). Free to, its "
        f"hat and seat turn {turn} against each other from full droop to full bump.",
    )


def _rubs(f: Fact, units: Units) -> Sentence:
    if f.problem:
        return Sentence("The spring does not go over the damper's body.", "Check both diameters.")
    headline = f"The spring clears the damper's body by only {room(f.amount, units)} all round."
    wanted = plain(f.figures["wanted"], units)
    return Sentence(headline, f"Springs bow: {wanted} is wanted (common practice, no source).")


def _may_buckle(f: Fact, units: Units) -> Sentence:
    g = f.figures
    headline = f"The spring would buckle when squashed {room(g['buckles_at'], units)}, unguided."
    return Sentence(
        headline,
        f"It is squashed up to {over(g['squash'], units)}: it will lean on the damper's body.",
    )


def _binds(f: Fact, units: Units) -> Sentence:
    headline = f"The joint at {f.subject} binds: it needs {up(f.figures['angle'])} and has "
    by = f"What limits it: {f.notes['by']}." if f.notes["by"] else ""
    return Sentence(
        f"{headline}{degrees(f.figures['limit'])}.",
        " ".join(part for part in (_past(f, units), by, _usual(f)) if part),
    )


def _bearing(f: Fact, units: Units) -> Sentence:
    headline = (
        f"The joint nearest its limit is at {f.subject}: {up(f.figures['angle'])} of "
        f"{degrees(f.figures['limit'])} used."
    )
    return Sentence(headline, f"Most at {_place(f, units)}. {_usual(f)}".strip())


def _twists(f: Fact, units: Units) -> Sentence:
    headline = (
        f"The bush at {f.subject} twists {up(f.figures['angle'])}, more than its "
        f"{degrees(f.figures['limit'])}."
    )
    return Sentence(headline, _past(f, units))


def _usual(f: Fact) -> str:
    usual = f.notes.get("usual")
    return f"Taken as usual, not typed: its {usual}." if usual else ""


def _plate(f: Fact, units: Units) -> Sentence:
    g = f.figures
    headline = (
        f"Tilting the plate at {f.subject} would centre its bearing: {up(g['then'])} used, "
        f"not {up(g['now'])}."
    )
    along = f"{degrees(abs(g['forward']))} {'forward' if g['forward'] >= 0 else 'rearward'}"
    across = f"{degrees(abs(g['inboard']))} {'inboard' if g['inboard'] >= 0 else 'outboard'}"
    return Sentence(headline, f"Lean the top of its bore {along} and {across} from upright.")


def _shaft_bends(f: Fact, units: Units) -> Sentence:
    limit = f.figures["limit"]
    headline = (
        f"The {f.subject} bends {up(limit - f.amount)} at its {f.notes['end']} joint, more than "
        f"its {degrees(limit)}."
    )
    return Sentence(headline, _past(f, units))


def _shaft_pulls_apart(f: Fact, units: Units) -> Sentence:
    return _plunge(f, units, "pulls apart", "lengthens")


def _shaft_bottoms(f: Fact, units: Units) -> Sentence:
    return _plunge(f, units, "bottoms in its joint", "shortens")


def _plunge(f: Fact, units: Units, what: str, how: str) -> Sentence:
    limit = f.figures["limit"]
    headline = (
        f"The {f.subject} {what}: it {how} {over(limit - f.amount, units)} and may "
        f"{plain(limit, units)}."
    )
    return Sentence(headline, _past(f, units))


def _hose(f: Fact, units: Units) -> Sentence:
    if f.amount < 0.0:
        headline = f"The {f.subject} is {over(-f.amount, units)} too short: it tears."
    else:
        wanted = plain(f.figures["wanted"], units)
        headline = (
            f"The {f.subject} has only {room(f.amount, units)} of slack; {wanted} is asked for."
        )
    return Sentence(headline, _past(f, units))


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
    headline = f"The strut's top takes {newtons(f.amount)} sideways in “{f.notes['case']}”."
    moment = f"That bends it by {g['at_clamp'] / 1000.0:.0f} N m at its clamp"
    if math.isfinite(g["at_gland"]):
        moment += f" and {g['at_gland'] / 1000.0:.0f} N m at the gland"
    return Sentence(headline, f"{moment}. {CAUTION}")


def _force(f: Fact, units: Units) -> Sentence:
    g = f.figures
    headline = f"The {f.subject} takes up to {newtons(f.amount)}, in “{f.notes['case']}”."
    ways = [
        f"{newtons(abs(g[axis]))} {word if g[axis] >= 0 else back}"
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


_SENTENCES: dict[str, Callable[[Fact, Units], Sentence]] = {
    "rides": _rides,
    "does not ride": _does_not_ride,
    "bump stops": _bump_stops,
    "droop stops": _droop_stops,
    "bottoms": _bottoms,
    "loose": _loose,
    "tight": _tight,
    "coil-bound": _coil_bound,
    "coils": _coils,
    "rubs": _rubs,
    "may buckle": _may_buckle,
    "binds": _binds,
    "bearing": _bearing,
    "twists": _twists,
    "plate": _plate,
    "shaft bends": _shaft_bends,
    "shaft pulls apart": _shaft_pulls_apart,
    "shaft bottoms": _shaft_bottoms,
    "hose": _hose,
    "clamp": _clamp,
    "strut": _strut,
    "force": _force,
}
_NOWHERE = ("does not ride", "bottoms", "rubs", "clamp")
"""Problems that are not worst at some travel of their own."""


def newtons(force: float) -> str:
    """A force to three figures: ``3440 N``, ``12.2 kN``."""
    if force < 1.0:
        return "0 N"
    step = 10.0 ** max(math.floor(math.log10(force)) - 2, 0)
    rounded = round(force / step) * step
    return f"{rounded:.0f} N" if rounded < 10_000.0 else f"{rounded / 1000.0:.1f} kN"


def degrees(angle: float) -> str:
    """An angle of rad in degrees, to a tenth."""
    return f"{math.degrees(angle):.1f}°".replace("-", MINUS)


def up(angle: float) -> str:
    """An angle used, rounded up: a sentence never promises more room than was found."""
    return f"{math.ceil(math.degrees(angle) * 10.0 - 1e-6) / 10.0:.1f}°"


def over(length: float, units: Units) -> str:
    """A length wanted or lacking, rounded up."""
    return room(-length, units)


def _worst(f: Fact, units: Units, place: str) -> str:
    if f.travel is None:
        return ""
    travel = position(f.travel, units)
    at = f"{place}, {travel}" if place and travel != "0" else place or travel
    return f"Worst at {at}{steered(f.rack or 0.0, units)}."


def _place(f: Fact, units: Units) -> str:
    return position(f.travel or 0.0, units) + steered(f.rack or 0.0, units)


def _past(f: Fact, units: Units) -> str:
    return onset("Past it", Onset(f.bump, f.droop), units)


def _name(part: str) -> str:
    return f"The {part}"
