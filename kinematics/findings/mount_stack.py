"""The fact about the top mount's stack: where its plate is, and what is left of its slots."""

from __future__ import annotations

from kinematics.project.model import Project
from kinematics.project.mount import slot_range
from kinematics.shapes.mount import stack_heights
from kinematics.statics.fact import Fact


def stack_facts(project: Project) -> list[Fact]:
    """Heights from the plate's surface, and how far its slots still let it be shifted."""
    heights = stack_heights(project)
    if not heights or project.coilover is None:
        return []
    surface = heights["plate surface"]
    figures = {name: height - surface for name, height in heights.items()}
    if (left := slot_range(project.top_mount)) is not None:
        (rearward, forward), (outboard, inboard) = left
        figures |= {
            "forward": forward, "rearward": -rearward, "inboard": inboard, "outboard": -outboard,
        }  # fmt: skip
    top = project.coilover.top.point
    return [Fact("stack", top, False, figures["bearing centre"], figures=figures)]
