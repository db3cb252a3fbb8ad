"""The report folder: everything ``check --out DIR`` writes, whole or not at all."""

from __future__ import annotations

import contextlib
import json
import os
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TextIO

from app.paper.about import about
from app.paper.fixes_record import fix_list
from app.paper.record import record
from app.paper.statics_tables import forces_csv, statics_csv
from app.paper.tables import clearance_csv, motion_csv, write_about
from kinematics.errors import ClearstrokeError
from kinematics.findings.words import Units
from kinematics.project.files import reason
from kinematics.studies.fix import Remedy
from kinematics.studies.study import Study

TABLES: dict[str, tuple[str, Callable[[Study, TextIO, Units], None]]] = {
    "motion.csv": ("Wheel and damper at every position", motion_csv),
    "clearance.csv": ("Clearance of every pair at every position", clearance_csv),
    "statics.csv": ("Springs, stops, joints, shafts and hoses at every position", statics_csv),
    "forces.csv": ("Forces in every joint in the load cases", forces_csv),
}
"""Under what title each table of the folder stands, and what fills it."""


class FolderError(ClearstrokeError):
    """The report folder can't be written, in one sentence."""


def write_folder(
    study: Study, folder: Path, units: Units, remedies: Sequence[Remedy] | None = None
) -> None:
    """Write tables, findings, plots and report into the folder, made if it isn't there.

    remedies : fixes that were found for it, None where none were looked for; they follow the
    report on sheets of their own and stand in the findings.

    Everything is first written beside its place, then moved in, so that a run that is
    interrupted leaves no half-written file. Raises FolderError.
    """
    made = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".writing-", dir=folder) as beside:
            _everything(study, Path(beside), units, remedies)
            for file in sorted(Path(beside).iterdir()):
                os.replace(file, folder / file.name)
    except BaseException as error:
        if made:
            with contextlib.suppress(OSError):
                folder.rmdir()
        if not isinstance(error, OSError):
            raise
        raise FolderError(f'"{folder}" can\'t be written to: {reason(error)}.') from None


def _everything(
    study: Study, folder: Path, units: Units, remedies: Sequence[Remedy] | None
) -> None:
    for name, (title, fill) in TABLES.items():
        with _new(folder / name) as out:
            write_about(out, title, about(study, units))
            fill(study, out, units)
    found = record(study, units)
    if remedies is not None:
        found["fixes"] = fix_list(remedies, units)
    with _new(folder / "findings.json") as out:
        json.dump(found, out, indent=2, ensure_ascii=False)
    from app.paper import export  # Qt from here on
    from app.paper.media import write
    from app.paper.report import report_page

    for plot in export.PLOTS:
        for kind in export.KINDS:
            export.export(study, plot, folder / f"{plot}.{kind}", units)
    export.export(study, "statics", folder / "statics.pdf", units)
    write(report_page(study, units, remedies or ()), folder / "report.pdf")


def _new(path: Path) -> TextIO:
    return path.open("w", encoding="utf-8", newline="\n")
