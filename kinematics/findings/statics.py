"""The sentences of statics: springs, stops, joints, shafts, hoses and forces."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from kinematics.findings.fact_phrases import CAUTION
from kinematics.findings.finding import Finding, Onset
from kinematics.findings.joint_words import JOINT_SENTENCES
from kinematics.findings.phrases import Sentence, Units, position, steered
from kinematics.findings.room_words import ROOM_SENTENCES
from kinematics.findings.spring_words import SPRING_SENTENCES
from kinematics.statics.fact import Fact

__all__ = ["CAUTION", "SENTENCES", "fact_sentence", "say_fact", "static_findings"]

SENTENCES = SPRING_SENTENCES | JOINT_SENTENCES | ROOM_SENTENCES

_NOWHERE = ("does not ride", "bottoms", "rubs", "clamp")
"""Problems that are not worst at some travel of their own."""


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
    headline, detail = SENTENCES[fact.kind](fact, units)
    at = _worst(fact, units, place) if fact.problem and fact.kind not in _NOWHERE else ""
    return Sentence(headline, " ".join(part for part in (at, detail) if part))


def _worst(f: Fact, units: Units, place: str) -> str:
    if f.travel is None:
        return ""
    travel = position(f.travel, units)
    at = f"{place}, {travel}" if place and travel != "0" else place or travel
    return f"Worst at {at}{steered(f.rack or 0.0, units)}."
