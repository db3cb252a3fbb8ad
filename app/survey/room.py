"""The sheet for muddy hands: readings in a table and on a sketch, and what they come to."""

from __future__ import annotations

from html import escape
from pathlib import Path

import numpy as np
from PySide6.QtCore import QModelIndex, QPoint, Qt
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.document.document import Document
from app.look.halo import unbroken
from app.look.scroll import EDGE, Scroll, right_edge
from app.look.sheets import main_button, quiet_button, room_sheet
from app.look.theme import Theme
from app.look.type import font
from app.survey.add import Add
from app.survey.bench import Bench
from app.survey.canvas import Canvas
from app.survey.more import More
from app.survey.said import effect, said
from app.survey.table import READS, Table
from app.told import told
from kinematics.errors import ClearstrokeError
from kinematics.project.survey import Reading
from kinematics.survey.words import verdict_figures

EMPTY = (
    "No readings yet. Take them as they come: a distance, a height, a plumb-bob drop, a link on "
    "the bench. Every point follows from all of them together, and the one that lies is named."
)
AFTER = (
    "Nothing measured after tacking yet. Measure the tacked points again from points that stayed: "
    "what moved, and what it costs in clearance, is told before the final weld."
)

MAIN = "Use these points"  # what the readings are taken for


@told
class Measuring(QWidget):
    """The readings of the open project."""

    def __init__(self, theme: Theme, document: Document) -> None:
        super().__init__()
        self.theme, self.document = theme, document
        self.bench = Bench(document, self)
        self.table = Table(theme, self.bench)
        self.canvas = Canvas(theme, self.bench)
        self.add = Add(theme, self.bench, self._add)
        self.headline = self._label("What the readings come to")
        self.words = self._label("Suspects, questions and points")
        self.effect = self._label("What leaving the chosen reading out would do")
        self.wrong = self._label("What is wrong with an entry")
        self.more = More(theme, self.bench, self, lambda: self.row, self._do)
        self.buttons: dict[str, QPushButton] = {}
        self.answers: list[QPushButton] = []
        self._lay_out()
        self.bench.renewed.connect(self.renew)
        self.table.selectionModel().currentChanged.connect(self._chosen)
        self.table.model().dataChanged.connect(lambda *_: self._say_wrong())
        self.canvas.chosen.connect(self.choose)
        document.studied.connect(self._renew_words)
        document.opened.connect(lambda: self._turn_to(False))
        theme.changed.connect(self.dress)
        self.dress()

    def _label(self, name: str) -> QLabel:
        label = QLabel("")
        label.setWordWrap(True)
        label.setAccessibleName(name)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        return label

    def _lay_out(self) -> None:
        left, right = QVBoxLayout(), QVBoxLayout()
        left.addWidget(self.table, 1)
        left.addWidget(self.wrong)
        left.addWidget(self.add)
        left.addLayout(self._tools())
        page = QWidget()
        column = QVBoxLayout(page)
        column.addWidget(self.words)
        column.addStretch(1)
        self.area = Scroll(page)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(0)
        top = QVBoxLayout()
        self.columns = left, top, column
        top.addWidget(self.headline)
        top.addLayout(self._question())
        top.addWidget(self.effect)
        right.addLayout(top)
        right.addWidget(self.canvas, 5)
        right.addWidget(self.area, 4)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addLayout(left, 61)
        row.addLayout(right, 39)

    def _question(self) -> QHBoxLayout:
        """Two buttons that answer which of two places a point has; seen only when asked."""
        row = QHBoxLayout()
        for words, there in (
            ("It is where it is drawn", False),
            ("It is at the other place", True),
        ):
            button = QPushButton(words)
            button.clicked.connect(lambda _=False, t=there: self.settle(t))
            button.hide()
            self.answers.append(button)
            row.addWidget(button)
        row.addStretch(1)
        return row

    def _tools(self) -> QHBoxLayout:
        """What comes before, what is done to the chosen reading, what comes and goes, and last
        what it is all for."""
        row = self.tools = QHBoxLayout()
        chosen = "The chosen reading once more; the old one stays, dated"
        for group in (
            (
                (
                    "After tacking",
                    "The readings taken once it was tacked, against plan",
                    self._after,
                ),
                ("Suggest", "Readings that fix every point of this corner", self._suggest),
            ),
            (
                ("Measure again", chosen, self._again),
                ("Leave out", "Leave the chosen reading out, or take it back", self._leave_out),
                ("Remove", "Take the chosen reading away", self._remove),
            ),
            (
                ("Print…", "A measuring sheet with boxes, as a PDF", self._print),
                ("Save…", "The sheet as a table to fill in", self._save_table),
                ("Read…", "Take back a table that was filled in", self._read_table),
                ("More", "Datums, how the body stood, positions, the other side", self._more),
            ),
            ((MAIN, "Put the corner's points where they are measured", self._use),),
        ):
            if self.buttons:
                row.addStretch(1)
            for words, tip, call in group:
                button = self.buttons[words] = QPushButton(words)
                button.setToolTip(tip)
                button.clicked.connect(lambda _=False, c=call: self._do(c))
                row.addWidget(button)
        self.buttons["After tacking"].setCheckable(True)
        return row

    # --- showing ----------------------------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.bench.wake(True)
        self.add.renew()
        self.renew()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.bench.wake(False)

    @property
    def row(self) -> int:
        """The chosen row; -1 if none is."""
        return self.table.currentIndex().row()

    def choose(self, row: int) -> None:
        """Choose a reading by its row."""
        self.table.setCurrentIndex(self.table.model().index(row, READS))

    def _chosen(self, now: QModelIndex, _: QModelIndex) -> None:
        self.canvas.choose(now.row())
        self.table.viewport().update()
        self._renew_words()
        self._say_wrong()

    def renew(self) -> None:
        """Show what the readings now come to."""
        self._renew_words()
        self._say_wrong()
        self.add.renew()
        there = bool(self.bench.readings)
        for words in ("Leave out", "Measure again", "Remove", "Print…", "Save…", "Read…"):
            self.buttons[words].setEnabled(there)
        self.buttons[MAIN].setEnabled(self._new_points())
        self.table.viewport().update()

    def _new_points(self) -> bool:
        found, project = self.bench.found, self.bench.project
        if found is None or project is None:
            return False
        return any(
            np.abs(found.place(n).xyz - np.array(project.points[n])).max() > 1e-3
            for n in found.measured
        )

    def _renew_words(self) -> None:
        if not self.isVisible():
            return
        bench = self.bench
        if not bench.readings:
            headline, words = AFTER if bench.after else EMPTY, ""
        elif bench.error:
            headline, words = bench.error, ""
        else:
            headline, words = said(bench, self.document.study, self.theme.palette)
        if self.more.compared:
            words = f"<p>{escape(self.more.compared)}</p>{words}"
        self.headline.setText(unbroken(headline))
        self.words.setToolTip("" if bench.found is None else verdict_figures(bench.found))
        self.words.setText(unbroken(words))
        asked = bench.found is not None and bool(bench.found.twins)
        for button in self.answers:
            button.setVisible(asked)
        change = effect(bench, self.row)
        self.effect.setText(unbroken(change))
        self.effect.setVisible(bool(change))

    def _say_wrong(self) -> None:
        error = self.table.say()
        self.wrong.setText(error)
        self.wrong.setVisible(bool(error))

    def dress(self) -> None:
        """Colours and type of the theme."""
        s, p = self.theme.scale, self.theme.palette
        edge = round(EDGE * s)
        sides = ((10, round(8 * s), 12), (12, edge, 10), (10, right_edge(s), 12))
        for layout, space, (top, right, foot) in zip(self.columns, (8, 8, 10), sides, strict=True):
            layout.setSpacing(round(space * s))
            layout.setContentsMargins(edge, round(top * s), right, round(foot * s))
        self.headline.setFont(font(22 * s, 600))
        self.words.setFont(font(15 * s, 400, False))
        self.effect.setFont(font(15 * s, 500, False))
        self.wrong.setFont(font(15 * s, 500, False))
        self.wrong.setStyleSheet(
            f"background: {p.touch_wash}; color: {p.ink}; padding: 8px 14px;"
            f" border-left: 5px solid {p.touch_fill};"
        )
        self.effect.setStyleSheet(
            f"background: {p.wash}; color: {p.ink}; padding: 8px 12px; border-radius: 8px;"
        )
        for button in (*self.buttons.values(), *self.answers):
            button.setFont(font(14 * s, 500))
        for words, button in self.buttons.items():
            if words not in (MAIN, "After tacking"):
                button.setStyleSheet(quiet_button(p))
        self.buttons[MAIN].setStyleSheet(main_button(p))
        self.tools.setSpacing(round(2 * s))
        self.setStyleSheet(
            room_sheet(p, "Measuring") + f"QLabel {{ color: {p.ink}; }}"
            f"QPushButton:checked {{ background: {p.dye}; color: {p.on_dye}; }}"
            f"QPushButton:checked:focus {{ border-color: {p.ink}; }}"
        )
        self._renew_words()

    # --- doing ------------------------------------------------------------------------------

    def _do(self, call: object) -> None:
        """Do what a button asks; a sentence where it can't be done."""
        try:
            call()  # type: ignore[operator]
        except (ClearstrokeError, OSError) as error:
            self.document.said.emit(str(error))
            self.wrong.setText(str(error))
            self.wrong.setVisible(True)

    def _add(self, reading: Reading) -> None:
        self._do(lambda: self.bench.add(reading))
        self.choose(len(self.bench.readings) - 1)

    def _leave_out(self) -> None:
        if self.row >= 0:
            self.bench.leave_out(self.row)

    def _more(self) -> None:
        button = self.buttons["More"]
        self.more.menu().popup(button.mapToGlobal(QPoint(0, button.height())))

    def _again(self) -> None:
        if self.row >= 0:
            row = self.row
            self.bench.again(row)
            self.choose(row + 1)

    def _after(self) -> None:
        self.more.compared = ""
        self._turn_to(not self.bench.after)

    def _turn_to(self, after: bool) -> None:
        """The readings of before or after tacking; another project begins with the first."""
        self.bench.turn_to(after)
        self.buttons["After tacking"].setChecked(after)

    def settle(self, there: bool) -> None:
        """Answer the first question of two places: where it is, or the other."""
        found = self.bench.found
        if found is not None and found.twins:
            self._do(lambda: self.bench.settle(found.twins[0].point, there))

    def _remove(self) -> None:
        if self.row >= 0:
            self.bench.remove(self.row)

    def _suggest(self) -> None:
        self.bench.begin()

    def _use(self) -> None:
        self.bench.take_points()

    def _print(self) -> None:
        name = self._ask_where("measuring-sheet.pdf", "Page (*.pdf)")
        if name:
            self.write_sheet(Path(name))

    def write_sheet(self, path: Path) -> None:
        """Write the measuring sheet as a PDF."""
        from app.paper.survey_sheet import write_sheet

        project = self.bench.project
        assert project is not None
        write_sheet(project, path, project.units)
        self.document.said.emit(f"Written: {path}")

    def _save_table(self) -> None:
        name = self._ask_where("measuring-sheet.csv", "Table (*.csv)")
        if name:
            self.write_table(Path(name))

    def write_table(self, path: Path) -> None:
        """Write the measuring sheet as a table."""
        from app.paper.media import write_text
        from app.paper.survey_table import write_under_about

        project = self.bench.project
        assert project is not None
        write_text(path, lambda out: write_under_about(project, out))
        self.document.said.emit(f"Written: {path}")

    def _read_table(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Read a table", "", "Table (*.csv)")
        if name:
            self.read_table(Path(name))

    def read_table(self, path: Path) -> None:
        """Take a filled-in table, as one undo step."""
        from kinematics.survey.table import read_csv, text_of

        project = self.bench.project
        assert project is not None
        made = read_csv(project, text_of(path))
        self.bench.take(made, "read a measuring table")

    def _ask_where(self, name: str, kinds: str) -> str:
        path = self.document.path
        folder = path.parent if path is not None else Path.home()
        chosen, _ = QFileDialog.getSaveFileName(self, "Write", str(folder / name), kinds)
        return chosen
