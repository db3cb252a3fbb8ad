"""The findings as text on the screen of a terminal."""

from __future__ import annotations

import textwrap

from kinematics.findings.finding import Finding
from kinematics.findings.words import Units, position, sentence
from kinematics.studies.study import Study

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
    lines = [_title(study), _checked(study, units), ""]
    for finding in study.findings:
        lines += _lines(finding, units)
    return "\n".join(lines)


def _title(study: Study) -> str:
    data = study.project.data
    return study.project.title + ("" if data == "measured" else f" ({data} data)")


def _checked(study: Study, units: Units) -> str:
    travel = f"{position(study.travel[0], units)} to {position(study.travel[-1], units)} {units}"
    if len(study.travel) == 1:
        travel = f"{position(study.travel[0], units)} {units}"
    rack = ""
    if len(study.rack) > 1:
        ends = [position(r, units) for r in (study.rack[0], study.rack[-1])]
        rack = f", rack {ends[0]} to {ends[1]} {units}"
    pairs = len(study.names)
    return (
        f"Checked travel {travel}{rack}, between positions too: {pairs} pairs of parts, "
        f"calculation error {study.tolerance:g} mm or less"
    )


def _lines(finding: Finding, units: Units) -> list[str]:
    headline, detail = sentence(finding, units)
    mark = f"{_WORDS[finding.kind]:<9}"
    body = textwrap.wrap(headline, _WIDE) + textwrap.wrap(detail, _WIDE)
    return [(mark if i == 0 else " " * 9) + line for i, line in enumerate(body)]
