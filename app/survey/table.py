"""The table of readings: what is read stands large; bars show how far each is off."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QRectF, Qt
from PySide6.QtCore import QPointF as Point
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from app.document.red import Red, followed
from app.document.tree import Path
from app.look.palette import State
from app.look.sheets import scroll_bar
from app.look.signs import draw_sign
from app.look.theme import Theme
from app.look.type import font
from app.survey.bench import Bench
from app.told import told
from kinematics.errors import ClearstrokeError
from kinematics.project.survey import AngleReading, LengthReading, Reading
from kinematics.survey.entry import show_to, show_tool, show_value
from kinematics.survey.judge import LIMIT
from kinematics.survey.words import reading_words, shown
from kinematics.units import MINUS, show_plain

Index = QModelIndex | QPersistentModelIndex
COLUMNS = ("", "What", "Measured to", "With", "Reads", "Off the fit", "Note")
SIGN, WHAT, TO, TOOL, READS, BAR, NOTE = range(7)
FIELDS = {TO: "to", TOOL: "tool", READS: "value", NOTE: "note"}
WIDTHS = {SIGN: 44, TO: 128, TOOL: 88, READS: 96, BAR: 138}
NOTED = 1000  # px wide from which notes have a column
MOST_W = 8.0
ROW = 36
HELP = {
    SIGN: "Click to leave a reading out, and again to take it back",
    TO: "centre, near edge 12, far face 8, outer face 3: what the tape was held to",
    TOOL: "tape, rule, calliper or eye; tape 2 says how far off it may be",
    READS: "as read, in your units; 3 1/4 in and sums are fine; empty: not taken yet",
    BAR: "what is left once the fit has shared every error out among the readings that check it;"
    " a wrong reading is more wrong than that: the words say by how much. Past the mark it can't"
    " be chance",
}


@told
class Readings(QAbstractTableModel):
    """The readings as rows; a wrong entry stays in its cell with the reason."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self.bench = bench
        self._count = 0
        self._held: dict[Path, tuple[Reading, ...]] = {}  # as last seen, by where they stand
        bench.renewed.connect(self.renew)
        bench.document.opened.connect(self._held.clear)

    @property
    def wrong(self) -> dict[tuple[int, int], Red]:
        """What can't be taken, and why, by row and column."""
        columns = {field: column for column, field in FIELDS.items()}
        return {
            (int(path[2]), columns[str(path[3])]): red
            for path, red in self.bench.document.red.items()
            if path[:2] == self.bench.listed
        }

    def _follow(self) -> None:
        """What can't be taken goes along with the reading it stands in."""
        document, listed, now = self.bench.document, self.bench.listed, self.bench.readings
        before = self._held.get(listed)
        if before is not None and before is not now:
            document.red = followed(document.red, listed, before, now)
        self._held[listed] = now

    def renew(self) -> None:
        """Show the project's readings as they now are."""
        self._follow()
        count = len(self.bench.readings)
        if count != self._count:
            self.beginResetModel()
            self._count = count
            self.endResetModel()
        elif count:
            self.dataChanged.emit(self.index(0, 0), self.index(count - 1, len(COLUMNS) - 1))

    def rowCount(self, parent: Index | None = None) -> int:
        return self._count

    def columnCount(self, parent: Index | None = None) -> int:
        return len(COLUMNS)

    def headerData(
        self, section: int, way: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if way == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return COLUMNS[section]
        if way == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.ToolTipRole:
            return HELP.get(section)
        if role == Qt.ItemDataRole.TextAlignmentRole and section == READS:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter  # over its figures
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        angle = isinstance(self.bench.readings[index.row()], AngleReading)
        if index.column() in FIELDS and not (angle and index.column() == TO):
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row, column = index.row(), index.column()
        if not 0 <= row < len(self.bench.readings):
            return None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole):
            held = self.wrong.get((row, column))
            return held[0] if held is not None else self._text(row, column, role)
        if role == Qt.ItemDataRole.ToolTipRole:
            held = self.wrong.get((row, column))
            return held[1] if held is not None else self._tip(row, column)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{reading_words(self.bench.readings[row])}: {self._text(row, column, role)}"
        return None

    def _text(self, row: int, column: int, role: int) -> str:
        reading, units = self.bench.readings[row], self.bench.units
        match column:
            case 0:
                return str(row + 1)
            case 1:
                return reading_words(reading)
            case 2:
                return show_to(reading, units)
            case 3:
                return show_tool(reading, units)
            case 4:
                text = show_value(reading, units)
                if role == Qt.ItemDataRole.EditRole or not text:
                    return text
                if isinstance(reading, LengthReading):
                    return show_plain(reading.value or 0.0, units)
                return f"{text.replace('-', MINUS)}°"
            case 6:
                return reading.note
            case _:
                return self._off(row)

    def _off(self, row: int) -> str:
        number = self.bench.used(row)
        found = self.bench.found
        if number is None or found is None:
            return "left out" if self.bench.readings[row].left_out else ""
        if not found.judged.checked[number]:
            return "not checked"
        amount = float(found.fit.residual[number])
        return shown(self.bench.readings[row], amount, self.bench.units)

    def _tip(self, row: int, column: int) -> str | None:
        reading = self.bench.readings[row]
        if column == WHAT:
            day = f", taken {reading.date}" if reading.date else ""
            return f"{reading_words(reading)}{day}. {reading.note}".strip()
        return HELP.get(column)

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        row, column = index.row(), index.column()
        if role != Qt.ItemDataRole.EditRole or column not in FIELDS:
            return False
        text = str(value)
        if (row, column) not in self.wrong and text == self._text(row, column, role):
            return False
        try:
            self.bench.type_in(row, FIELDS[column], text)
        except ClearstrokeError as error:
            self._mark(row, column, text, str(error).split("\n")[0])
            self.dataChanged.emit(index, index)
            return False
        self._mark(row, column, text, "")
        self.dataChanged.emit(index, index)
        return True

    def _mark(self, row: int, column: int, text: str, error: str) -> None:
        self.bench.document.mark((*self.bench.listed, row, FIELDS[column]), text, error)


@told
class Painter(QStyledItemDelegate):
    """Paints cells in the look of the window, and the bars."""

    def __init__(self, theme: Theme, model: Readings, parent: QWidget) -> None:
        super().__init__(parent)
        self.theme, self.model = theme, model

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        editor = QLineEdit(parent)
        p, s = self.theme.palette, self.theme.scale
        editor.setFont(font((17 if index.column() == READS else 15) * s, 500))
        wrong = (index.row(), index.column()) in self.model.wrong
        edge = p.touch if wrong else p.dye
        editor.setStyleSheet(
            f"QLineEdit {{ background: {p.sheet}; color: {p.ink}; border: 2px solid {edge};"
            f" selection-background-color: {p.dye}; selection-color: {p.on_dye}; }}"
        )
        editor.setAccessibleName(COLUMNS[index.column()])
        return editor

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        p, s = self.theme.palette, self.theme.scale
        row, column = index.row(), index.column()
        box = QRectF(option.rect)
        view = self.parent()
        assert isinstance(view, QTableView)
        chosen = view.currentIndex().row() == row
        bench = self.model.bench
        if row >= len(bench.readings):
            return
        suspects = bench.suspects()
        reading = bench.readings[row]
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if chosen:
            painter.fillRect(box, QColor(p.wash))
        elif row in suspects:
            painter.fillRect(box, QColor(p.touch_wash))
        painter.fillRect(QRectF(box.left(), box.bottom() - 1, box.width(), 1), QColor(p.hair))
        ink = QColor(p.ink3 if reading.left_out else p.ink)
        if column == SIGN:
            self._sign(painter, box, row, row in suspects)
        elif column == BAR:
            self._bar(painter, box, row)
        else:
            self._words(painter, box, index, ink)
        if (row, column) in self.model.wrong:
            painter.setPen(QPen(QColor(p.touch), 2 * s))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box.adjusted(1, 1, -2, -2))
        painter.restore()

    def _sign(self, painter: QPainter, box: QRectF, row: int, suspect: bool) -> None:
        p, s, bench = self.theme.palette, self.theme.scale, self.model.bench
        state = State.UNKNOWN
        if suspect:
            state = State.TOUCH
        elif bench.used(row) is not None:
            state = State.CLEAR
        draw_sign(painter, p, state, Point(box.left() + 14 * s, box.center().y()), 6 * s)
        painter.setFont(font(13 * s, 500))
        painter.setPen(QColor(p.ink3))
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
        painter.drawText(box.adjusted(0, 0, -5 * s, 0), flags, str(row + 1))

    def _words(self, painter: QPainter, box: QRectF, index: Index, ink: QColor) -> None:
        s, column = self.theme.scale, index.column()
        big = column == READS
        painter.setFont(
            font((17 if big else 14) * s, 600 if big else 500 if column == WHAT else 400)
        )
        painter.setPen(ink if column in (WHAT, READS) else QColor(self.theme.palette.ink2))
        room = box.adjusted(6 * s, 0, -6 * s, 0)
        words = str(index.data() or "")
        if big and not words:
            words = "–"
        text = painter.fontMetrics().elidedText(
            words, Qt.TextElideMode.ElideRight, int(room.width())
        )
        side = Qt.AlignmentFlag.AlignRight if big else Qt.AlignmentFlag.AlignLeft
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | side, text)

    def _bar(self, painter: QPainter, box: QRectF, row: int) -> None:
        """How far off, in units of what chance allows; the mark stands where it can't be chance."""
        p, s, bench = self.theme.palette, self.theme.scale, self.model.bench
        number, found = bench.used(row), bench.found
        words = self.model._off(row)
        half = (box.width() - 64 * s) / 2
        middle, y = box.left() + 6 * s + half, box.center().y()
        if number is not None and found is not None and found.judged.checked[number]:
            w = float(found.judged.w[number])
            mark = half * LIMIT / MOST_W
            painter.setPen(QPen(QColor(p.hair), 1))
            painter.drawLine(Point(middle, y - 9 * s), Point(middle, y + 9 * s))
            for x in (middle - mark, middle + mark):
                painter.drawLine(Point(x, y - 4 * s), Point(x, y + 4 * s))
            reach = half * min(abs(w), MOST_W) / MOST_W * (1 if w > 0 else -1)
            bad = row in bench.suspects()
            fill = QColor(p.touch_fill if bad else p.clear)
            bar = QRectF(min(middle, middle + reach), y - 4 * s, abs(reach), 8 * s)
            painter.fillRect(bar, fill)
        painter.setFont(font(13 * s, 500))
        painter.setPen(QColor(p.ink2))
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
        painter.drawText(box.adjusted(0, 0, -6 * s, 0), flags, words)


@told
class Table(QTableView):
    """The readings; Return moves on to the next value, Delete empties one."""

    def __init__(self, theme: Theme, bench: Bench) -> None:
        super().__init__()
        self.theme = theme
        self.readings = Readings(bench)
        self.setModel(self.readings)
        self.setItemDelegate(Painter(theme, self.readings, self))
        self.setShowGrid(False)
        self.setAccessibleName("Readings")
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        triggers = QAbstractItemView.EditTrigger
        self.setEditTriggers(triggers.DoubleClicked | triggers.AnyKeyPressed)
        self.verticalHeader().hide()
        self.clicked.connect(self._click)
        theme.changed.connect(self.dress)
        self.dress()

    def _click(self, index: QModelIndex) -> None:
        if index.column() == SIGN:
            self.readings.bench.leave_out(index.row())

    def dress(self) -> None:
        """Colours, type and column widths of the theme."""
        s, p = self.theme.scale, self.theme.palette
        header = self.horizontalHeader()
        header.setFont(font(13 * s, 600))
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header.setSectionResizeMode(WHAT, QHeaderView.ResizeMode.Stretch)
        header.setHighlightSections(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        for column, wide in WIDTHS.items():
            self.setColumnWidth(column, round(wide * s))
        self.setColumnWidth(NOTE, round(180 * s))
        self.setColumnHidden(NOTE, self.width() < NOTED * s)
        self.verticalHeader().setDefaultSectionSize(round(ROW * s))
        self.setStyleSheet(
            f"QTableView {{ background: {p.sheet}; border: 0; selection-background-color: {p.wash};"
            f" outline: 0; }} QHeaderView {{ background: {p.sheet}; }}"
            f"QHeaderView::section {{ background: {p.sheet}; color: {p.ink2}; border: 0;"
            f" border-bottom: 1px solid {p.hair}; padding: 4px 6px; }}{scroll_bar(p)}"
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, at = Qt.Key(event.key()), self.currentIndex()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and at.isValid():
            cell = at.siblingAtColumn(at.column() if at.column() in FIELDS else READS)
            edited = self.state() == QAbstractItemView.State.EditingState
            if not edited and cell.flags() & Qt.ItemFlag.ItemIsEditable:
                self.edit(cell)  # which complains of one that can't be
            return
        if key == Qt.Key.Key_Delete and at.column() in FIELDS:
            self.model().setData(at, "")
            return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.setColumnHidden(NOTE, self.width() < NOTED * self.theme.scale)

    def say(self) -> str:
        """The reason of the wrong entry at hand, or of the first there is; empty if none is."""
        at = self.currentIndex()
        held = self.readings.wrong.get((at.row(), at.column()))
        if held is None and self.readings.wrong:
            held = next(iter(self.readings.wrong.values()))
        return held[1] if held is not None else ""
