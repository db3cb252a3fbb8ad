"""The findings as plain data: ``findings.json`` and ``check --json``."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

from app.version import version
from kinematics.findings.finding import Finding, Give, Stretch
from kinematics.findings.give_words import say_give
from kinematics.findings.statics import say_fact
from kinematics.findings.words import Units, sentence
from kinematics.project.checks import cautions_of
from kinematics.project.model import Project
from kinematics.statics.fact import Fact
from kinematics.studies.study import Study

DECIMALS = 6


def record(study: Study, units: Units) -> dict[str, Any]:
    """Everything found, worst first; lengths in mm whatever the sentences are in."""
    project = study.project
    return {
        **head(project, units),
        "travel_mm": _span(study.travel),
        "rack_mm": _span(study.rack),
        "positions": len(study.travel) * len(study.rack),
        "positions_reached": int(study.reached.sum()),
        "pairs_checked": len(study.names),
        "calculation_error_mm": number(study.tolerance),
        "all_rules_kept": not any(f.is_problem for f in study.findings),
        "give": say_give(study.given, project, units),
        "cautions": cautions_of(project),
        "findings": [finding(f, units) for f in study.findings],
        "facts": [fact(f, units) for f in study.facts],
    }


def head(project: Project, units: Units) -> dict[str, Any]:
    """What every record begins with: of which project it is, by which version, when."""
    return {
        "clearstroke": version(),
        "date": date.today().isoformat(),
        "project": project.title,
        "data": project.data,
        "source": project.source,
        "side": project.side,
        "sentence_units": units,
    }


def finding(f: Finding, units: Units) -> dict[str, Any]:
    """One finding, facts and sentence."""
    headline, detail = sentence(f, units)
    return {
        "kind": f.kind,
        "problem": f.is_problem,
        "parts": list(f.parts),
        "travel_mm": number(f.travel),
        "rack_mm": number(f.rack),
        "place": f.place,
        "amount_mm": number(f.amount),
        "bound_mm": number(f.bound),
        "rule_mm": number(f.rule),
        "first_touches_bump_mm": number(f.touches.bump),
        "first_touches_droop_mm": number(f.touches.droop),
        "first_under_rule_bump_mm": number(f.under.bump),
        "first_under_rule_droop_mm": number(f.under.droop),
        "touching": [_stretch(s) for s in f.touching],
        "under_rule": [_stretch(s) for s in f.nearer],
        "with_give": None if f.give is None else give(f.give),
        "measuring_leaves_sigma_mm": number(f.doubt),
        "point_a_mm": _point(f.point_a),
        "point_b_mm": _point(f.point_b),
        "reason": f.reason,
        "headline": headline,
        "sentence": f"{headline} {detail}".strip(),
    }


def give(g: Give) -> dict[str, Any]:
    """What is left of a clearance once parts give."""
    return {
        "extra_position": g.name,
        "usual": g.usual,
        "amount_mm": number(g.amount),
        "travel_mm": number(g.travel),
        "rack_mm": number(g.rack),
        "first_touches_bump_mm": number(g.touches.bump),
        "first_touches_droop_mm": number(g.touches.droop),
        "touching": [_stretch(s) for s in g.touching],
    }


def _stretch(s: Stretch) -> dict[str, Any]:
    """Travel over which it is so at one rack; outside it is certified not to be."""
    return {"rack_mm": number(s.rack), "from_mm": number(s.low), "to_mm": number(s.high)}


def fact(f: Fact, units: Units) -> dict[str, Any]:
    """One fact of statics; its figures in mm, rad, N, N/mm and Hz."""
    return {
        "kind": f.kind,
        "subject": f.subject,
        "problem": f.problem,
        "amount": number(f.amount),
        "travel_mm": number(f.travel),
        "rack_mm": number(f.rack),
        "figures": {name: number(value) for name, value in f.figures.items()},
        "notes": dict(f.notes),
        "sentence": say_fact(f, units),
    }


def number(value: float | None) -> float | None:
    """A number fit for JSON: rounded to a nanometre, None where there is none."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), DECIMALS) + 0.0  # + 0.0 turns a minus nought


def _span(values: Any) -> dict[str, Any]:
    return {"from": number(values[0]), "to": number(values[-1]), "count": len(values)}


def _point(xyz: tuple[float, float, float] | None) -> list[float | None] | None:
    return None if xyz is None else [number(v) for v in xyz]
