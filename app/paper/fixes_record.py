"""Fixes as plain data: in ``findings.json``, ``check --json`` and ``cures --json``."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from app.paper.record import head, number
from kinematics.findings.phrases import Units
from kinematics.findings.statics import say_fact
from kinematics.project.model import Project
from kinematics.studies.bench import Gap, Names
from kinematics.studies.effects import Effects
from kinematics.studies.fix import Amount, Fix, Remedy
from kinematics.studies.fix_words import say

NEAR = 15.0
"""Clearances that have less left over their rule with a fix are listed, mm."""


def fixes_record(project: Project, remedies: Sequence[Remedy], units: Units) -> dict[str, Any]:
    """All fixes of a project by themselves, best first; lengths in mm, angles in degrees."""
    return {**head(project, units), "fixes": fix_list(remedies, units)}


def fix_list(remedies: Sequence[Remedy], units: Units) -> list[dict[str, Any]]:
    """Every fix that was tried, best first: what it takes and does, or why it can't."""
    return [_remedy(remedy, units) for remedy in remedies]


def _remedy(remedy: Remedy, units: Units) -> dict[str, Any]:
    return {
        "fix": remedy.name,
        "sentence": say(remedy, units),
        "stops_touching": _amount(remedy.touching),
        "keeps_rules": _amount(remedy.rules),
        "why_not": remedy.why_not,
        "outcome": None if remedy.fix is None else _outcome(remedy.fix),
    }


def _amount(amount: Amount | None) -> dict[str, float | None] | None:
    if amount is None:
        return None
    return {"amount_mm": number(amount.amount), "exact_mm": number(amount.exact)}


def _outcome(fix: Fix) -> dict[str, Any]:
    return {
        "instruction": fix.words,
        "amount_mm": number(fix.amount),
        "cures_all": fix.cures_all,
        "work": fix.work.name.lower(),
        "undoes": fix.undoes,
        "caution": fix.caution,
        "settles": _pairs(fix.settles),
        "only_stops_touching": _pairs(fix.frees),
        "leaves": _pairs(fix.leaves),
        "breaks": _pairs(fix.breaks),
        "spoils": [say_fact(fact) for fact in fix.spoils],
        "changes_much": list(fix.dear),
        "effects": _effects(fix.effects),
        "clearances": [
            _clearance(names, gap, fix.before.get(names))
            for names, gap in sorted(fix.gaps.items(), key=lambda item: item[1].left)
            if gap.left < NEAR
        ],
    }


def _pairs(pairs: Sequence[Names]) -> list[list[str]]:
    return [list(pair) for pair in pairs]


def _effects(change: Effects) -> dict[str, float | None]:
    """What changes of the corner, with its unit; track is one wheel's way out."""
    return {
        "camber_deg": number(math.degrees(change.camber)),
        "toe_deg": number(math.degrees(change.toe)),
        "track_mm": number(change.half_track),
        "wheelbase_mm": number(change.wheelbase),
        "scrub_mm": number(change.scrub),
        "motion_ratio": number(change.motion_ratio),
        "bump_mm": number(change.bump),
        "droop_mm": number(change.droop),
        "wheel_rate_n_per_mm": number(change.rate),
        "ride_mm": number(change.ride),
        "tyre_radius_mm": number(change.radius),
    }


def _clearance(names: Names, gap: Gap, was: Gap | None) -> dict[str, Any]:
    return {
        "parts": list(names),
        "lowest_mm": number(gap.low),
        "over_rule_mm": number(gap.left),
        "before_mm": None if was is None else number(was.low),
    }
