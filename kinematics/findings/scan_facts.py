"""Facts about imported meshes: their size, and what was lost or is doubtful."""

from __future__ import annotations

from pathlib import Path

from kinematics.project.model import Project, Scan
from kinematics.shapes.scan import scan_of
from kinematics.statics.fact import Fact


def scan_facts(project: Project, folder: Path | None) -> list[Fact]:
    """One for every scan, whose file lies in ``folder``. Raises `ScanError`."""
    found = []
    for name, spec in project.parts.items():
        if isinstance(spec, Scan):
            mesh = scan_of(spec, folder)
            notes = {"size": mesh.size, "told": " ".join(mesh.notes)}
            found.append(Fact("scan", name, False, float(len(mesh.faces)), notes=notes))
    return found
