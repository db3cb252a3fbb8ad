"""The line that says what anything written is of: project, data, date, version and units."""

from __future__ import annotations

from datetime import date

from app.version import version
from kinematics.findings.words import Units
from kinematics.project.model import Project
from kinematics.studies.study import Study

IN_UNITS = {"mm": "lengths in mm", "in": "lengths in inches"}


def about(study: Study, units: Units) -> str:
    """The one line that says what a sheet is of: project, data, date, version, units."""
    return about_project(study.project, units)


def about_project(project: Project, units: Units) -> str:
    """The same of a project by itself."""
    data = {"measured": "", "invented": "invented data", "published": "published data"}
    words = [
        project.title,
        data[project.data],
        date.today().isoformat(),
        f"Clearstroke {version()}",
        f"{IN_UNITS[units]}, angles in degrees",
    ]
    return " · ".join(w for w in words if w)
