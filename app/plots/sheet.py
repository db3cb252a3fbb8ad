"""The plot sheet: any figure against travel, against steer or over both, with a cursor to drag."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QCompleter,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.document import graphs, live
from app.document.document import Document
from app.document.graphs import Graph, Map, Series
from app.entry import HIGH, SIZE, Chooser
from app.look import numbers
from app.look.pick import Pick
from app.look.sheets import list_sheet, pick_sheet, quiet_button, room_sheet, scroll_bar
from app.look.theme import Theme
from app.look.type import font
from app.paper.graph import value_at
from app.plots.canvas import Canvas
from app.plots.scale import height
from app.told import told
from kinematics.errors import ClearstrokeError
from kinematics.units import Units

AGAINST = (
    ("travel", "against travel"),
    ("steer", "against steer"),
    ("map", "over travel and steer"),
)
UNPADDED = "QAbstractItemView { padding: 0; }"  # its height is reckoned without
SIZED = QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
KINDS = "Picture (*.png);;Drawing (*.svg);;Page (*.pdf);;Table (*.csv)"


@told
class PlotSheet(QWidget):
    """A window of its own beside the corner; follows it and can pull it."""

    def __init__(self, theme: Theme, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent, Qt.WindowType.Window)
        self.theme, self.document = theme, document
        self.reference: Series | None = None
        self._given_in: Units = "mm"  # what the reference's figures are in: the plot's units then
        self.figures, self.against = Pick(theme, "choose a figure"), Chooser(theme)
        self.figures.setAccessibleName("Figure")
        self.figures.setToolTip("Choose a figure, or type a part of its name: lip, camber, load")
        self._let_find()
        self.against.setAccessibleName("Against")
        self.figures.setSizeAdjustPolicy(SIZED)
        for key, words in AGAINST:
            self.against.addItem(words, key)
        self.reader, self.note = QLabel(), QLabel()
        self.note.setWordWrap(True)
        self.canvas = Canvas(theme)
        self._lay_out()
        self.figures.activated.connect(lambda _: self.renew())
        self.against.activated.connect(lambda _: self.renew())
        self.canvas.pulled.connect(self._pull)
        document.studied.connect(self.refill)
        document.moved.connect(self.follow)
        document.compared.connect(self.renew)
        theme.changed.connect(self._dress)
        self.setWindowTitle("Plot - Clearstroke")
        self.resize(860, 640)
        self._dress()

    def _lay_out(self) -> None:
        bar = self.bar = QHBoxLayout()
        bar.addWidget(self.figures, 1)
        bar.addWidget(self.against)
        self.buttons = {}
        for words, tip, call in (
            ("Reference…", "A curve from a CSV file, drawn beside this one", self.ask_reference),
            ("Copy", "This plot, as a picture, to the clipboard", self.copy),
            ("Export…", "PNG, SVG, PDF or CSV", self.ask_export),
            ("Print…", "This plot on paper", self.print),
        ):
            button = self.buttons[words] = QPushButton(words)
            button.setToolTip(tip)
            button.clicked.connect(lambda _=False, c=call: c())
            bar.addWidget(button)
        column = self.column = QVBoxLayout(self)
        column.addLayout(bar)
        column.addWidget(self.reader)
        column.addWidget(self.canvas, 1)
        column.addWidget(self.note)

    def _let_find(self) -> None:
        """There are many figures: a few letters from the middle of a name find it."""
        if (finder := self.figures.completer()) and (line := self.figures.lineEdit()):
            finder.setFilterMode(Qt.MatchFlag.MatchContains)
            finder.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)
            line.editingFinished.connect(self._find)

    def _find(self) -> None:
        """The first figure that has what was typed in its name; else the one shown stays."""
        figures, typed = self.figures, self.figures.currentText().strip()
        if typed == figures.itemText(figures.currentIndex()):
            return
        if typed and (at := figures.findText(typed, Qt.MatchFlag.MatchContains)) >= 0:
            figures.setCurrentIndex(at)
            self.renew()
        figures.setEditText(figures.itemText(figures.currentIndex()))

    def _dress(self) -> None:
        p, s = self.theme.palette, self.theme.scale
        self.setStyleSheet(
            f"{room_sheet(p, 'PlotSheet')}{pick_sheet(p)} QLabel {{ color: {p.ink}; }}"
        )
        high = round(HIGH * s)
        for widget in (self.figures, *self.buttons.values()):
            widget.setFixedHeight(high)
            widget.setFont(font(SIZE * s, 500, False))
        if line := self.figures.lineEdit():  # under a style sheet it takes no type from its owner
            line.setFont(font(SIZE * s, 500, False))
        self.figures.setMinimumWidth(round(260 * s))
        self.against.setMinimumWidth(round(170 * s))
        if (finder := self.figures.completer()) and (found := finder.popup()):
            found.setFont(font(SIZE * s, 500, False))
            found.setStyleSheet(list_sheet(p, "") + scroll_bar(p) + UNPADDED)
        for button in self.buttons.values():
            button.setStyleSheet(quiet_button(p))
        self.bar.setSpacing(round(6 * s))
        edge = round(20 * s)
        self.column.setContentsMargins(edge, round(12 * s), edge, round(16 * s))
        self.column.setSpacing(round(8 * s))
        self.reader.setFont(font(22 * s, 600))
        self.note.setFont(font(14 * s, 400, False))
        self.note.setStyleSheet(f"color: {p.ink2};")

    def showEvent(self, event: object) -> None:
        self.refill()

    def refill(self) -> None:
        """The figures this study has; the one shown stays if it can."""
        study = self.document.study
        if not self.isVisible() or study is None:
            return
        key = self.figures.currentData()
        found = graphs.choices(study)
        self.figures.clear()
        for name, choice in found.items():
            self.figures.addItem(choice.title, name)
        self.figures.setCurrentIndex(max(0, self.figures.findData(key)))
        self.renew()
        if self.reference is not None and self._given_in != study.project.units:
            given_in = self._given_in
            self.set_reference(None)
            self.note.setText(f"The reference was given in {given_in}: it was let go.")

    def choose(self, key: str, against: str = "travel") -> None:
        """Show a figure by its key."""
        self.figures.setCurrentIndex(self.figures.findData(key))
        self.against.setCurrentIndex(self.against.findData(against))
        self.renew()

    def plot(self) -> Graph | Map | None:
        """What is chosen, at the present position; None before anything is known."""
        document, study = self.document, self.document.study
        key = self.figures.currentData()
        if study is None or key not in graphs.choices(study):
            return None
        if self.against.currentData() == "map":
            return graphs.travel_steer_map(study, key)
        return graphs.graph(
            study, key, self.against.currentData(), document.travel, document.rack,
            document.before, self.reference,
        )  # fmt: skip

    def renew(self) -> None:
        """Show what is chosen; in words where it can't be had."""
        if not self.isVisible():
            return
        words = ""
        try:
            what = self.plot()
        except ClearstrokeError as error:
            what, words = None, str(error)
        self.canvas.show_plot(what)
        self.note.setText(words or (what.choice.help if what is not None else ""))
        self._shown = self.document.travel, self.document.rack
        self._read()

    def follow(self) -> None:
        """The corner moved: the cursor goes along, and the curve where it is of another row."""
        if not self.isVisible():
            return
        travel, rack = self.document.travel, self.document.rack
        against = self.against.currentData()
        kept = {"travel": rack == self._shown[1], "steer": travel == self._shown[0]}
        if not kept.get(against, True):
            self.renew()
        self._read()

    _shown = 0.0, 0.0

    def _read(self) -> None:
        study, what = self.document.study, self.canvas.what
        if study is None or what is None:
            self.reader.setText("")
            return
        size, units = graphs.per(study), study.project.units
        travel, rack = self.document.travel, self.document.rack
        self.canvas.move_cursor(travel / size, rack / size)
        across = isinstance(what, Graph) and what.axis == "steer"
        value = value_at(what, (rack if across else travel) / size, rack / size)
        where = f"travel {height(travel, units)}"
        if len(study.rack) > 1:
            if isinstance(what, Graph) and not across:  # the curve is that of the nearest one
                rack = float(study.rack[live.column(study, rack)])
            where += f", rack {height(rack, units)}"
        shown = f"{numbers.plain(value, what.choice.decimals)} {what.choice.unit}".rstrip()
        self.reader.setText(f"{shown.replace(' °', '°')} at {where} {units}")

    def _pull(self, travel: float, rack: float) -> None:
        study = self.document.study
        if study is None:
            return
        size = graphs.per(study)
        if travel == travel:
            self.document.set_travel(travel * size)
        if rack == rack:
            self.document.set_rack(rack * size)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.close()
        else:
            super().keyPressEvent(event)

    # --- reference, copy, export ----------------------------------------------------------

    def ask_reference(self) -> None:
        """Choose a CSV file, or let the reference go."""
        if self.reference is not None:
            self.set_reference(None)
            return
        name, _ = QFileDialog.getOpenFileName(self, "A curve to compare with", "", "Table (*.csv)")
        if name:
            self.set_reference(Path(name))

    def set_reference(self, path: Path | None) -> None:
        """Draw a curve from a file beside this one; says why it can't."""
        try:
            self.reference = graphs.read_reference(path) if path is not None else None
        except ClearstrokeError as error:
            self.note.setText(str(error))
            return
        project = self.document.project
        self._given_in = "mm" if project is None else project.units
        self.buttons["Reference…"].setText("Reference…" if path is None else "No reference")
        self.renew()

    def copy(self) -> None:
        """To the clipboard as it would be on paper."""
        from app.paper.graph_page import graph_page
        from app.paper.media import image

        study = self.document.study
        if self.canvas.what is not None and study is not None:
            QGuiApplication.clipboard().setImage(image(graph_page(study, self.canvas.what)))

    def ask_export(self) -> None:
        """Ask where and as what, then write."""
        name, kind = QFileDialog.getSaveFileName(self, "Export the plot", "plot.png", KINDS)
        if name:
            ending = f".{kind.split('*.')[1][:3]}"
            self.write(Path(name) if Path(name).suffix else Path(name).with_suffix(ending))

    def write(self, path: Path) -> bool:
        """Write the plot; says where it is, or why it isn't."""
        from app.paper.graph_page import write_graph

        study, what = self.document.study, self.canvas.what
        if study is None or what is None:
            return False
        try:
            write_graph(study, what, path)
        except ClearstrokeError as error:
            self.note.setText(str(error))
            return False
        self.note.setText(f"Written: {path}")
        return True

    def print(self) -> None:
        """On paper, through the system's own dialog."""
        from app.paper.graph_page import graph_page
        from app.paper.printing import ask_and_print

        study, what = self.document.study, self.canvas.what
        if study is not None and what is not None:
            ask_and_print(graph_page(study, what), self)
