"""A plot on a sheet of its own, with title, project, date and units; or as a table."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TextIO

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.document.graphs import Graph, Map, table
from app.look.palette import LIGHT
from app.paper import ink
from app.paper.about import about
from app.paper.graph import draw_graph
from app.paper.ink import face, text
from app.paper.media import Page, write, write_text
from app.paper.sheet import MARGIN, footer
from app.paper.tables import write_about
from kinematics.findings.words import Units
from kinematics.studies.study import Study

WIDE, HIGH = 900, 640


def graph_page(study: Study, what: Graph | Map) -> Page:
    """The sheet of a plot, in the project's own units."""
    units: Units = study.project.units
    against = "over travel and steer" if isinstance(what, Map) else f"against {what.axis}"

    def draw(painter: QPainter) -> None:
        wide = text(painter, MARGIN, 58, what.choice.title, face(29, 600, True))
        words = f"{what.choice.unit} {against}".strip()
        text(painter, MARGIN + wide + 8, 58, words, face(18, 400, True), ink.INK2)
        note = ink.wrapped(what.choice.help, face(14), WIDE - 2 * MARGIN)
        for i, line in enumerate(note[:2]):
            text(painter, MARGIN, 80 + 18 * i, line, face(14), ink.INK2)
        area = QRectF(MARGIN, 104, WIDE - 2 * MARGIN, HIGH - 104 - 68)
        draw_graph(painter, area, what, LIGHT, 1.0)
        footer(painter, WIDE, HIGH, study, units)

    title = f"{what.choice.title} {against}: {study.project.title}"
    return Page(WIDE, HIGH, title, about(study, units), draw)


def write_graph(study: Study, what: Graph | Map, path: Path) -> None:
    """Write the sheet (.png, .svg, .pdf) or its table (.csv). Raises PaperError."""
    if path.suffix.lower() != ".csv":
        write(graph_page(study, what), path)
        return
    units: Units = study.project.units

    def fill(out: TextIO) -> None:
        write_about(out, what.choice.title, about(study, units))
        csv.writer(out, lineterminator="\n").writerows(table(what))

    write_text(path, fill)
