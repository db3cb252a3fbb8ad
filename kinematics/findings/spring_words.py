"""Sentences about springs and stops."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kinematics.findings.fact_phrases import over, past, rates_between, up
from kinematics.findings.finding import Onset
from kinematics.findings.phrases import Sentence, Units, onset, position, room
from kinematics.statics.fact import Fact
from kinematics.units import show, show_force, show_plain

ASSUMED = "Its force curve is a usual one, not typed (common practice, no source)."


def _rides(f: Fact, units: Units) -> Sentence:
    g = f.figures
    where = position(f.amount, units)
    stands = "at set-up height" if where == "0" else f"at {where} of travel"
    held = (
        f"Its spring is {room(g['spring_length'], units)} long there and pushes "
        f"{show_force(g['spring_force'], units)}; wheel rate "
        f"{show(g['wheel_rate'], 'force_per_length', units)}, {g['frequency']:.2f} Hz."
    )
    left = [
        f"{room(g[f'{side}_left'], units)} of {side}"
        for side in ("bump", "droop")
        if f"{side}_left" in g
    ]
    rest = f"From there it has {' and '.join(left)}." if left else ""
    if "stroke" in g:
        stroke, used = show_plain(g["stroke"], units), over(g["stroke_used"], units)
        rest += f" Of the damper's {stroke} stroke {used} is used."
    said = ("" if where == "0" else _height(f.amount, units), held, rest.strip(), _wind(g, units))
    return Sentence(f"The car rides {stands}.", " ".join(words for words in said if words))


def _height(travel: float, units: Units) -> str:
    """Which way the car itself is off: it rides lower where the wheel stands in bump."""
    way = "lower" if travel > 0.0 else "higher"
    return f"That is {show_plain(round(abs(travel), 1), units)} {way} than at set-up height."


def _wind(figures: Mapping[str, float], units: Units) -> str:
    """How to wind the seat for set-up height, where that is worth a turn of the wrench."""
    shift, turns = figures.get("seat_up", 0.0), figures.get("turns", 0.0)
    if not abs(shift) >= 0.5:
        return ""
    way = "up" if shift > 0.0 else "down"
    wound = f"{way} by {over(abs(shift), units)} ({abs(turns):.1f} turns)"
    return f"Winding the seat {wound} brings it to set-up height."


def _does_not_ride(f: Fact, units: Units) -> Sentence:
    if f.notes["stands"] == "topped out":
        headline = "The car hangs at full droop: its spring pushes more than its weight."
        return _cured(headline, "Take preload off, or fit a softer or shorter spring.", f, units)
    if f.notes["stands"] == "on a stop":
        headline = f"The car stands on its {f.notes['why']}, at {position(f.amount, units)}."
        return _cured(headline, "Wind the seat, or fit a spring that carries it alone.", f, units)
    headline = "The car goes down on its stops: its spring can't carry the weight."
    return _cured(headline, "Wind the seat up, or fit a stiffer or longer spring.", f, units)


def _cured(headline: str, cure: str, f: Fact, units: Units) -> Sentence:
    return Sentence(headline, f"{cure} {_wind(f.figures, units)}".strip())


def _bump_stops(f: Fact, units: Units) -> Sentence:
    return _stops(f, units, "bump")


def _droop_stops(f: Fact, units: Units) -> Sentence:
    return _stops(f, units, "droop")


def _stops(f: Fact, units: Units, side: str) -> Sentence:
    first, end = f.notes["first"], f.notes["end"]
    at = position(f.amount, units)
    met = f.figures.get(f"meets: {end}")
    left = {name[6:]: v for name, v in f.figures.items() if name.startswith("left: ") and v > 0.0}
    nearest = min(left, key=lambda name: left[name]) if left else ""
    spare = f", {room(left[nearest], units)} {_LEFT.get(nearest, ('left', ''))[0]}" if left else ""
    safe = f.figures.get("safe: spring", -1.0)
    above = f", {room(safe, units)} above its shortest safe length" if safe >= 0.0 else ""
    if nearest == "spring":
        spare += above
    if met is not None:
        headline = f"{_name(end)} meets at {position(met, units)} and ends {side} at {at}{spare}."
    else:
        joint = end.startswith(("joint at ", "bush at "))
        acts = f"{_name(end)} is at its limit" if joint else f"{_name(end)} acts"
        ending = _ENDING.get(end, acts)
        headline = f"{ending} at {at}: that ends {side}{spare}."
    sentences = []
    if first != end and (early := f.figures.get(f"meets: {first}")) is not None:
        sentences.append(f"{_name(first)} meets first, at {position(early, units)}.")
    rest = [
        f"{room(value, units)} {_LEFT.get(name, ('', f'before the {name} ends it'))[1]}"
        + (above if name == "spring" else "")
        for name, value in left.items()
        if name != nearest
    ]
    if rest:
        sentences.append(f"Also left there: {', '.join(rest)}.")
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
    "damper closed": ("left before the damper shuts", "of damper before it shuts"),
    "spring": ("of spring left before it is coil-bound", "of spring before it is coil-bound"),
    "damper open": ("left before the damper is open", "of damper before it is open"),
    "bump stop": ("of bump stop left", "of bump stop"),
    "strap": ("of strap left", "of strap"),
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
    held = (
        f", more than the {show_plain(lip, units)} its lip holds"
        if lip
        else ", and nothing holds it"
    )
    headline = f"The spring hangs loose by {over(slack, units)}{held}."
    return Sentence(
        headline, f"{since} A longer or softer spring, a helper or less droop cures it."
    )


def _preload(f: Fact, units: Units) -> Sentence:
    headline = (
        f"At full droop the spring is still squashed {room(f.amount, units)}: it stays seated."
    )
    pushes = show_force(f.figures["force"], units)
    return Sentence(headline, f"It pushes {pushes} there, its preload.")


def _tight(f: Fact, units: Units) -> Sentence:
    headline = f"The spring is {over(-f.amount, units)} shorter than is safe."
    gaps = f"{over(f.figures['gaps'], units)} between all its coils should stay (EN 13906-1)."
    return Sentence(headline, f"{past(f, units)} {gaps}")


def _coil_bound(f: Fact, units: Units) -> Sentence:
    return Sentence("The spring is pressed flat: it is coil-bound.", past(f, units))


def _rates(f: Fact, units: Units) -> Sentence:
    least, greatest = f.figures["least"], f.figures["greatest"]
    if not least <= greatest:
        headline = "No spring of this wire and diameter is right in both droop and bump."
        return Sentence(headline, "Thinner wire, more room, a helper or less travel would do it.")
    suit = rates_between(least, greatest, units)
    return Sentence(
        f"Springs of this wire and diameter suit from {suit}.",
        "Softer, they run out of coil gaps in bump; stiffer, they hang loose.",
    )


def _coils(f: Fact, units: Units) -> Sentence:
    headline = f"Pressed flat, the spring grows {over(f.amount, units)} across."
    turn = up(f.figures["turn"])
    return Sentence(
        headline,
        "Half of that comes off what it clears (the larger of two published forms). Free to, its "
        f"hat and seat turn {turn} against each other from full droop to full bump.",
    )


def _rubs(f: Fact, units: Units) -> Sentence:
    inside = f.notes["inside"]
    if f.problem:
        return Sentence(f"The spring does not go over the {inside}.", "Check both diameters.")
    headline = f"The spring clears the {inside} by only {room(f.amount, units)} all round."
    wanted = show_plain(f.figures["wanted"], units)
    return Sentence(headline, f"Springs bow: {wanted} is wanted (common practice, no source).")


def _may_buckle(f: Fact, units: Units) -> Sentence:
    g = f.figures
    headline = f"The spring would buckle when squashed {room(g['buckles_at'], units)}, unguided."
    return Sentence(
        headline,
        f"It is squashed up to {over(g['squash'], units)}: it will lean on the damper's body.",
    )


def _name(part: str) -> str:
    return f"The {part}"


SPRING_SENTENCES: dict[str, Callable[[Fact, Units], Sentence]] = {
    "rides": _rides,
    "does not ride": _does_not_ride,
    "bump stops": _bump_stops,
    "droop stops": _droop_stops,
    "bottoms": _bottoms,
    "loose": _loose,
    "preload": _preload,
    "tight": _tight,
    "coil-bound": _coil_bound,
    "rates": _rates,
    "coils": _coils,
    "rubs": _rubs,
    "may buckle": _may_buckle,
}
