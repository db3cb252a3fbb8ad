"""Export: plots, tables, report, folder and picture, through the room that draws on paper."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPoint
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QFileDialog, QMenu

from app.look.menu import Menu
from kinematics.errors import ClearstrokeError
from kinematics.findings.phrases import position

if TYPE_CHECKING:
    from app.window.window import Window
    from kinematics.studies.fix import Remedy
    from kinematics.studies.study import Study

SHEETS = "Page (*.pdf);;Picture (*.png);;Drawing (*.svg)"
MAPS = f"{SHEETS};;Outlines (*.dxf);;Table (*.csv)"
UNCHECKED = "There is nothing to export until the corner has been checked."
PLOTS = "Picture (*.png);;Drawing (*.svg);;Page (*.pdf);;Table (*.csv)"


class Exports(QObject):
    """What can be taken out of a window, and how it is asked for."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window = window

    def _unchecked(self) -> str:
        """Why nothing can be taken out."""
        ended = self.window.document.ended
        return f"{UNCHECKED} {ended}" if ended else UNCHECKED

    def menu(self) -> None:
        """Everything that can be exported, below its icon."""
        window = self.window
        if window.document.known is None:
            window.notice.say(self._unchecked())
            return
        menu = Menu(window.theme, window)
        plots = menu.addMenu("Plot of")
        groups: dict[str, QMenu] = {}
        for curve in window.strips.board.curves.values():
            if curve.group and curve.group not in groups:
                groups[curve.group] = plots.addMenu(curve.group)
            groups.get(curve.group, plots).addAction(curve.title).triggered.connect(
                lambda _=False, c=curve: self.ask(c.key, c.title, PLOTS)
            )
        menu.addAction("Any figure, against travel or steer…\tP").triggered.connect(
            lambda: window.do("plot")
        )
        menu.addAction("Print the report…").triggered.connect(self.print_report)
        menu.addAction("Report, one page…").triggered.connect(
            lambda: self.ask("report", "report", "Page (*.pdf);;Picture (*.png);;Drawing (*.svg)")
        )
        menu.addAction("Springs, joints and forces, one page…").triggered.connect(
            lambda: self.ask("statics", "springs", "Page (*.pdf);;Picture (*.png);;Drawing (*.svg)")
        )
        if window.document.ground is not None:
            menu.addAction("Map of the top mount…").triggered.connect(self.ask_map)
        if window.fixes.remedies:
            menu.addAction("Fixes, one sheet…").triggered.connect(
                lambda: self.ask("fixes", "fixes", SHEETS)
            )
        menu.addAction("Everything into a folder…").triggered.connect(self.ask_folder)
        menu.addSeparator()
        menu.addAction("Picture of the corner…").triggered.connect(
            lambda: self.ask("picture", "corner", "Picture (*.png)")
        )
        menu.addAction("Copy the picture").triggered.connect(self.copy)
        menu.aboutToHide.connect(menu.deleteLater)
        button = window.bar.icons["paper"]
        menu.popup(button.mapToGlobal(QPoint(0, button.height())))

    def ask(self, what: str, name: str, kinds: str) -> None:
        """Ask where and in which kind, then write."""
        start = str(Path(self._folder()) / f"{_file_name(name)}.{kinds.split('*.')[1][:3]}")
        chosen, kind = QFileDialog.getSaveFileName(self.window, "Export", start, kinds)
        if chosen:
            path = Path(chosen)
            if not path.suffix:
                path = path.with_suffix(f".{kind.split('*.')[1][:3]}")
            self.write(what, path)

    def ask_map(self) -> None:
        """Ask where the map of the top mount is to go."""
        self.ask("map", "top mount", MAPS)

    def ask_folder(self) -> None:
        """Ask for a folder and write everything into it."""
        chosen = QFileDialog.getExistingDirectory(self.window, "Export into", self._folder())
        if chosen:
            self.write("folder", Path(chosen))

    def write(self, what: str, path: Path) -> bool:
        """Write one thing to a path; says where it is, or why it isn't."""
        document = self.window.document
        study = document.study
        if study is None:
            return False
        if what != "picture" and document.known is None:  # it may be at work again since the menu
            document.said.emit(self._unchecked())
            return False
        try:
            if what == "picture":
                from app.paper.media import write_picture

                write_picture(self._picture(study), path)
            elif what in ("map", "fixes"):
                self._sheet(what, path, study)
            elif what == "folder":
                from app.paper.folder import write_folder

                found = self._found(study) or None
                write_folder(study, path, study.project.units, found)
            elif what == "report":
                from app.paper.media import write
                from app.paper.report import report_page

                write(report_page(study, study.project.units, self._found(study)), path)
            else:
                from app.paper.export import export

                export(study, what, path, study.project.units, document.travel)
        except Exception as error:
            if not isinstance(error, ClearstrokeError | OSError) and not _says(error):
                raise
            document.said.emit(str(error))
            return False
        document.said.emit(f"Written: {path}")
        return True

    def _sheet(self, what: str, path: Path, study: Study) -> None:
        """The map of the mount's places, or the fixes found."""
        from app.paper.media import write

        units, room, ground = study.project.units, self.window.fixes, self.window.document.ground
        if what == "fixes" and room.project is not None:
            from app.paper.fixes_page import fixes_page

            write(fixes_page(room.project, room.remedies, units), path)
        elif ground is None:
            raise ClearstrokeError("There is no map to export until it has been worked out.")
        else:
            from app.paper.map_dxf import write_map_dxf
            from app.paper.map_page import map_page
            from app.paper.map_table import write_map_csv
            from kinematics.studies.places import rising

            plan = rising(ground.plan)
            page = map_page(study.setting, plan, units)
            if path.suffix.lower() == ".csv":
                write_map_csv(study.setting, plan, path, units)
            elif path.suffix.lower() == ".dxf":
                about = f"{page.title}. Lengths in mm. {page.about}"
                write_map_dxf(study.project, plan, path, about)
            else:
                write(page, path)

    def _found(self, study: Study) -> Sequence[Remedy]:
        """The fixes that were found for the project as it was checked."""
        room = self.window.fixes
        return tuple(room.remedies) if room.project == study.project else ()

    def print_report(self) -> None:
        """The report on paper, through the system's own dialog."""
        from app.paper.printing import ask_and_print
        from app.paper.report import report_page

        document = self.window.document
        study = document.known
        if study is None:
            document.said.emit(self._unchecked())
        else:
            page = report_page(study, study.project.units, self._found(study))
            ask_and_print(page, self.window)

    def copy(self) -> None:
        """The stage as it stands, to the clipboard."""
        study = self.window.document.study
        if study is not None:
            QGuiApplication.clipboard().setImage(self._picture(study))
            self.window.notice.say("The picture is on the clipboard.")

    def _picture(self, study: Study) -> QImage:
        """The stage as it stands; what it is of goes along in the picture's own texts."""
        from app.paper.about import about

        document, units = self.window.document, study.project.units
        picture = self.window.stage.snapshot()
        where = position(document.travel, units)
        if document.rack:
            where += f", rack {position(document.rack, units)}"
        picture.setText("Title", f"{study.project.title}, travel {where}")
        picture.setText("Description", about(study, units))
        return picture

    def _folder(self) -> str:
        path = self.window.document.path
        return str(path.parent if path is not None else Path.home())


def _says(error: Exception) -> bool:
    """Whether an error is one of paper's, told in a sentence."""
    from app.paper.media import PaperError

    return isinstance(error, PaperError)


def _file_name(name: str) -> str:
    kept = "".join(c if c.isalnum() else "-" for c in name.lower())
    return "-".join(word for word in kept.split("-") if word) or "plot"
