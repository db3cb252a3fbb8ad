"""A plot as a table: under what every sheet carries, the figures it is drawn from."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TextIO

from app.paper.about import about
from app.paper.media import PaperError, write_text
from app.paper.statics_curves import grid_strip
from app.paper.statics_tables import statics_csv
from app.paper.tables import clearance_csv, motion_csv, numbers, write_about
from kinematics.measures import FIGURES
from kinematics.statics.figures import FIGURES as STATICS
from kinematics.studies.study import Study
from kinematics.units import Units, unit_of


def write_plot_table(study: Study, what: str, path: Path, units: Units) -> None:
    """Write the figures of a plot as CSV, under two lines that begin with # and say of what.

    ``what``: ``clearance`` gives every pair; a figure of motion or statics comes with all of its
    kind; what is drawn of joints, shafts, hoses or forces stands alone. Raises PaperError.
    """
    title = _title(study, what, units)

    def fill(out: TextIO) -> None:
        write_about(out, f"{title} against travel", about(study, units))
        if what == "clearance":
            clearance_csv(study, out, units)
        elif what in FIGURES:
            motion_csv(study, out, units)
        elif what in STATICS:
            statics_csv(study, out, units)
        else:
            _drawn(study, what, out, units)

    write_text(path, fill)


def _title(study: Study, what: str, units: Units) -> str:
    """What the figure is called. Raises PaperError for what is no figure of this study."""
    if what == "clearance":
        return "Clearance"
    if what in FIGURES:
        return FIGURES[what].label
    if what in STATICS and study.statics is not None and what in study.statics.figures:
        return STATICS[what].label
    if (made := grid_strip(study, what, units)) is not None:
        return made[0].title
    raise PaperError(f'There is no table of "{what}": end the name in .png, .svg or .pdf.')


def _drawn(study: Study, what: str, out: TextIO, units: Units) -> None:
    """The curves of a strip, one after the other."""
    made = grid_strip(study, what, units)
    assert made is not None
    strip = made[0]
    value = f"{strip.title} {strip.unit}".strip()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow([f"travel{unit_of('travel', units).column}", value, "curve"])
    for curve in strip.curves:
        cells = zip(numbers(curve.travel), numbers(curve.value), strict=True)
        rows.writerows([*pair, curve.label or strip.title] for pair in cells)
