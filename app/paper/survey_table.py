"""The measuring sheet as a table, under what every table says of itself."""

from __future__ import annotations

from typing import TextIO

from app.paper.about import about_project
from app.paper.tables import write_about
from kinematics.project.model import Project
from kinematics.survey.table import write_csv


def write_under_about(project: Project, out: TextIO) -> None:
    """Write the readings of a project. Raises SurveyError where there are none."""
    write_about(out, "Measuring sheet", about_project(project, project.units))
    write_csv(project, out)
