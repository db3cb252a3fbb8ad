"""Every picture a study can be written as, by name."""

from __future__ import annotations

from pathlib import Path

from app.paper.curves import clearance_strip, figure_strip
from app.paper.media import KINDS, Page, PaperError, write
from app.paper.plot_table import write_plot_table
from app.paper.report import report_page
from app.paper.sheet import plot_page
from app.paper.statics_curves import grid_strip, statics_strip
from app.paper.statics_page import statics_page
from kinematics.findings.words import Units
from kinematics.measures import FIGURES
from kinematics.statics.figures import FIGURES as STATICS
from kinematics.studies.study import Study

PLOTS = ("camber", "toe", "clearance", "motion_ratio")
__all__ = ["KINDS", "PLOTS", "export", "page"]


def export(study: Study, what: str, path: Path, units: Units, level: float | None = None) -> None:
    """Write a picture of a study to ``path``; its suffix (.png, .svg, .pdf) says the kind.

    ``what`` is ``clearance``, ``report``, ``statics`` or the key of any figure, measured or of
    statics. ``level`` draws the level line at that travel, mm. A path ending in .csv takes the
    table instead. Raises PaperError in one sentence.
    """
    if path.suffix.lower() == ".csv":
        write_plot_table(study, what, path, units)
    else:
        write(page(study, what, units, level), path)


def page(study: Study, what: str, units: Units, level: float | None = None) -> Page:
    """The same as a page to be drawn, for the printer or the clipboard."""
    if what == "report":
        return report_page(study, units)
    if what == "statics":
        return statics_page(study, units)
    if what == "clearance":
        note = "Least room between the surfaces of two parts; left of 0 they overlap."
        if len(study.rack) > 1:
            note += " The least over all rack positions."
        return plot_page(study, clearance_strip(study, units), units, note, level)
    known = study.statics
    if known is not None and what in known.figures:
        note = STATICS[what].help
        return plot_page(study, statics_strip(study, known, what, units), units, note, level)
    if (made := grid_strip(study, what, units)) is not None:
        return plot_page(study, made[0], units, made[1], level)
    if what not in FIGURES:
        raise PaperError(f'There is no figure called "{what}".')
    return plot_page(study, figure_strip(study, what, units), units, FIGURES[what].help, level)
