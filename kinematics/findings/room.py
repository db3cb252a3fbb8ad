"""Every fact about room that is not the clearance of a pair: ground, stack, scans, hoses."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from kinematics.findings.ground import ground_facts
from kinematics.findings.hose_reach import hose_reach_facts
from kinematics.findings.mount_stack import stack_facts
from kinematics.findings.scan_facts import scan_facts
from kinematics.motion import Motion
from kinematics.project.model import Project
from kinematics.project.rules import rules_of
from kinematics.shapes.build import Builder
from kinematics.shapes.pieces import Part
from kinematics.statics.fact import Fact


def room_facts(
    project: Project,
    parts: Sequence[Part],
    motion: Motion,
    builder: Builder,
    places: Callable[[float], str],
    folder: Path | None,
) -> list[Fact]:
    """They all, of an unfolded project.

    ``builder`` made the ``parts``; ``places`` names a travel, scans lie in ``folder``.
    """
    rules = rules_of(project)
    return [
        *ground_facts(project, parts, motion, builder, rules, places),
        *stack_facts(project),
        *scan_facts(project, folder),
        *hose_reach_facts(project, parts, motion, builder, rules),
    ]
