"""The window: puts the pieces together and hands what is asked to whoever does it."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from functools import partial
from pathlib import Path

import numpy as np
from PySide6.QtCore import QRectF, QTimer
from PySide6.QtGui import (
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QKeyEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.describe.room import Describe
from app.document import recovery
from app.document.document import Document
from app.document.fetching import fetched
from app.fixes.room import FixesRoom
from app.hand.hands import StageHands
from app.look.theme import Theme
from app.mount.mounting import Mounting
from app.mount.pad import Pad
from app.mount.room import MountRoom
from app.plots.ruler import WIDTH as RULER
from app.plots.ruler import Ruler
from app.plots.strips import STRIP, Strips
from app.stage.camera import Camera
from app.stage.choose import painter
from app.stage.scene import Scene
from app.stage.view import Picture, Stage
from app.statics.room import StaticsRoom
from app.survey.room import Measuring
from app.tidy import Tidy
from app.told import told
from app.window import importing, keys
from app.window.actions import Actions
from app.window.bar import Bar
from app.window.headline import Headline
from app.window.help import Help
from app.window.notice import Notice
from app.window.present import Presenter
from app.window.seeking import best_view
from app.window.tour import Tour
from app.window.views import Views

EXAMPLE = "rear-in-trouble"
ROOMS = (
    ("Move", "Pull the wheel, slide the mount, see what meets"),
    ("Measure", "Readings from tape, string and level, and which of them lies"),
    ("Springs", "Where it rides, what stops it, what joints use, where the load goes"),
    ("Mount", "Where the top of the coilover can go, and what stops it elsewhere"),
    ("Fixes", "What would put it right, ranked: look at it, take it"),
    ("Describe", "The points and shop numbers of this corner"),
)
LOW, SLIM = 620, 600  # of the stage: below this height or width the pad gives way
NARROW = 1100
WIDE = 1800  # from here on strips stand beside the readouts
log = logging.getLogger(__name__)


@told
class Window(QWidget):
    """One window on one document."""

    def __init__(self, picture: Picture | None = None) -> None:
        super().__init__()
        # First: the collector must not run while a widget is being made either.
        self.tidy = Tidy(lambda: self.hands.drag is not None, self)
        self.theme = Theme(self)
        self.document = Document(self)
        self.document.fetch = partial(fetched, self)
        self.scene = Scene()
        self.why_flat = ""
        made, self.why_flat = (picture, "") if picture is not None else painter()
        self.bar = Bar(self.theme, ROOMS)
        self.stage = Stage(self.theme, self.scene, made)
        self.ruler = Ruler(self.theme)
        self.strips = Strips(self.theme)
        self.headline = Headline(self.theme, self.stage)
        self.pad = Pad(self.theme, self.stage)
        self.notice = Notice(self.theme, self.stage)
        self.help = Help(self.theme, self, self.document)
        self.describe = Describe(self.theme, self.document)
        self.fixes = FixesRoom(self.theme, self.document)
        self.mounting = Mounting(self.document, self)
        self.mounting.take(self.pad)
        self.mount = MountRoom(self.theme, self.document, self.mounting)
        self.measuring = Measuring(self.theme, self.document)
        self.statics = StaticsRoom(self.theme, self.document)
        self.hands = StageHands(self.document, self)
        self.stage.hands = self.hands
        self.show_it = Presenter(
            self.document, self.scene, [self.stage], self.ruler, self.strips,
            self.headline, self.hands,
        )  # fmt: skip
        self.hands.needle = self.show_it.needle
        self.views = Views(self)
        self.tour = Tour(self.theme, self)
        self.actions_ = Actions(self)
        self._play = QTimer(self, interval=16)
        self._play.timeout.connect(self._play_on)
        self._playing = 1.0
        self._refit_soon = QTimer(self, interval=0, singleShot=True)
        self._refit_soon.timeout.connect(self._refit)
        self.stage.resized.connect(self._refit_soon.start)
        self._settled = False  # whether the view was fitted to what is written over it
        self._lay_out()
        self._connect()
        self.setAcceptDrops(True)
        self.setMinimumSize(900, 560)
        self.resize(1280, 800)
        self._retitle()

    def _lay_out(self) -> None:
        row = self.row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.stage, 1)
        row.addWidget(self.ruler)
        row.addWidget(self.strips)
        row.addWidget(self.statics)
        row.addWidget(self.mount)
        row.addWidget(self.fixes)
        row.addWidget(self.describe)
        row.addWidget(self.measuring, 1)
        self.measuring.hide()
        self.statics.hide()
        self.mount.hide()
        self.fixes.hide()
        self.describe.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.bar)
        column.addLayout(row, 1)
        self.stage.setFocus()  # else the first key would open the menu of the project's name
        self.enter("Move")

    def _connect(self) -> None:
        document, show = self.document, self.show_it
        document.said.connect(self.notice.say)
        document.working.connect(self.notice.work)
        document.changed.connect(self._retitle)
        document.compared.connect(self._retitle)
        document.studied.connect(self._settle)
        document.opened.connect(lambda: setattr(self, "_settled", False))
        show.said.connect(self._fit_over)
        self.stage.looked.connect(show.retag)
        self.stage.resized.connect(show.retag)
        for board in (self.ruler, self.strips):
            board.pulled.connect(self._pull)
            board.released.connect(lambda: self.hands.past.emit(0.0))
            board.nudged.connect(partial(keys.nudge, document))
        self.ruler.jumped.connect(self.go)
        self.headline.chosen.connect(self.jump)
        self.headline.more.connect(lambda: self.do("pairs"))
        self.hands.turned.connect(self._turn)
        self.hands.picked.connect(self.actions_.pick)
        self.hands.picked.connect(
            lambda hit: self.describe.show_part("" if hit is None else hit.piece.part)
        )
        self.hands.held.connect(lambda *_: self.describe.show_point(self.hands.points.hovered))
        self.hands.chosen.connect(self.describe.reveal)
        self.pad.more.connect(lambda: self.enter("Mount"))
        self.mount.exported.connect(self.actions_.exports.ask_map)
        self.bar.asked.connect(self.do)
        for word, button in self.bar.rooms.items():
            button.clicked.connect(lambda _=False, w=word: self.enter(w))
        self.describe.focused.connect(self._name_point)
        self.describe.slides.connect(lambda way: setattr(self.hands, "way", way))
        self.describe.added.connect(self.actions_.select)
        self.describe.drafted.connect(self.hands.points.wait)
        self.describe.begun.connect(self.hands.points.begin)
        self.statics.went.connect(self.visit)
        self.statics.turned.connect(lambda: self.statics.dress_stage(self.show_it.stages))
        self.bar.title.clicked.connect(lambda: self.do("menu"))
        self.theme.changed.connect(self._fit_over)

    # --- what is asked --------------------------------------------------------------------

    def do(self, what: str) -> None:
        """Do what an icon, a key or a menu names."""
        self.actions_.do(what)

    def enter(self, room: str) -> None:
        """Into a room: the strips make way for the form, and the points can be pulled."""
        self.hands.escape()  # an amount that was not taken
        for word, button in self.bar.rooms.items():
            button.setChecked(word == room)
        self._free_focus()
        describing = room == "Describe"
        if describing:  # points are measured, shown and pulled at set-up height
            self.visit(0.0, 0.0)
        self.describe.setVisible(describing)
        self.mount.setVisible(room == "Mount")
        self.fixes.setVisible(room == "Fixes")
        if room != "Fixes":
            self.fixes.leave()
        self.statics.setVisible(room == "Springs")
        self._measure_instead(room == "Measure")
        self._fit_strips()
        self._refit_soon.start()  # the pad gives way to its room
        points = self.hands.points
        points.project = self.document.project
        self.views.write_over(points, describing)
        self.statics.dress_stage(self.show_it.stages)

    def _free_focus(self) -> None:
        """Out of a room that may be left: else it would fall on what stands first in the bar."""
        held = self.focusWidget()
        rooms = (self.describe, self.mount, self.fixes, self.statics, self.measuring)
        if held is not None and any(room.isAncestorOf(held) for room in rooms):
            self.setFocus()

    def _measure_instead(self, measuring: bool) -> None:
        """The measuring sheet takes the whole place of the corner, or gives it back."""
        self.measuring.setVisible(measuring)
        if measuring and not self.bar.isAncestorOf(self.focusWidget() or self):
            self.measuring.table.setFocus()
        for each in (self.stage, self.ruler):
            each.setVisible(not measuring)
        self.views.set_visible(not measuring)

    def _name_point(self, name: str) -> None:
        self.hands.points.current = name
        self.stage.update()

    def open(self, path: Path, example: bool = False) -> bool:
        """Open a project in this window."""
        return self.document.open(path, example)

    def go(self, travel: float) -> None:
        """Travel there."""
        self.document.set_travel(travel)

    def jump(self, index: int) -> None:
        """To a finding's travel and steer; the facts come after them, then those of before."""
        study, before = self.document.study, self.document.before
        if study is None or index < 0:
            return
        findings, facts = study.findings, study.facts
        if index < len(findings):
            self.show_it.current = index
            self.visit(findings[index].travel, findings[index].rack, findings[index].point_a)
            self.tour.look()
        elif (k := index - len(findings)) < len(facts):
            if (travel := facts[k].travel) is not None:
                self.visit(travel, facts[k].rack or 0.0)
        elif before is not None and (k := k - len(facts)) < len(before.findings):
            self.visit(before.findings[k].travel, before.findings[k].rack)

    def visit(self, travel: float, rack: float, point: Sequence[float] | None = None) -> None:
        """Take travel and steer there, and the eye to where the point can be seen."""
        self.document.set_rack(rack)
        self.document.set_travel(travel)
        known = point is not None and bool(np.isfinite(point).all())  # not so where they are far
        if known and not self.stage.camera.flat:
            camera = best_view(self.scene, self.stage.camera, np.asarray(point, float))
            if camera != self.stage.camera:
                self.stage.look(camera, glide=True)

    def view(self, name: str) -> None:
        """3D, or square from the front, the side or the top."""
        self.views.go(name)

    def play(self) -> None:
        """Through travel and back until asked again."""
        if self._play.isActive():
            self._play.stop()
        else:
            self._play.start()

    def _play_on(self) -> None:
        low, high = self.document.limits
        step = (high - low) / 110
        travel = self.document.travel + self._playing * step
        if travel >= high or travel <= low:
            self._playing = -self._playing
        self.document.set_travel(travel)

    def _pull(self, travel: float) -> None:
        low, high = self.document.limits
        self.document.set_travel(travel)
        beyond = travel - min(max(travel, low), high)
        self.hands.past.emit(max(-6.0, min(6.0, beyond / 4)))

    def _turn(self, word: str) -> None:
        if word == "all":
            self.stage.look(self.views.home(self.stage), glide=True)
            return
        self.view({"FRONT": "front", "REAR": "front"}.get(word, "side"))

    # --- the window's own -----------------------------------------------------------------

    def _retitle(self) -> None:
        document = self.document
        project = document.project
        title = project.title if project is not None else "Clearstroke"
        about = "not saved" if document.dirty else ""
        if document.example:
            about = "example, not saved" if document.dirty else "example"
        self.bar.title.say(title, about, document.dirty)
        self.setWindowTitle(f"{title}{'*' if document.dirty else ''} - Clearstroke")
        self.bar.icons["undo"].setEnabled(document.stack.canUndo())
        self.bar.icons["redo"].setEnabled(document.stack.canRedo())
        what = document.stack.undoText()
        self.bar.icons["undo"].setToolTip(f"Undo: {what} (Ctrl+Z)" if what else "Undo (Ctrl+Z)")
        self.bar.icons["before"].setChecked(document.before is not None)

    def fit(self) -> None:
        """What stands beside and over the view, for the room there is now."""
        self._fit_strips()
        self._fit_over()

    def _fit_over(self) -> None:
        """Place what stands over the stage, and keep tags off it."""
        if not self.measuring.isHidden():
            return  # the stage is not seen
        s = self.theme.scale
        wide = 350 if self.stage.width() < 1200 * s else 560
        low = self.stage.height() < LOW * s or self.stage.width() < SLIM * s
        free = self.stage.height() - (0 if low else self.pad.height() + 40 * s) - 60 * s
        self.headline.fit(round(min(wide * s, self.stage.width() - 48 * s)), round(free))
        self.headline.move(round(24 * s), round(20 * s))
        seen = self.document.offset3() is not None and self.mount.isHidden()
        self.pad.setVisible(seen and not low)
        self.pad.move(round(24 * s), self.stage.height() - self.pad.height() - round(24 * s))
        boxes = self.headline.boxes()
        if not self.pad.isHidden():
            boxes.append(QRectF(self.pad.geometry()))
        self.stage.keep_clear = boxes
        self.show_it.edges.left = self.pad.geometry().right() + 8.0 if self.pad.isVisible() else 0.0

    def _fit_strips(self) -> None:
        """As many strips as there is room for; a form takes their place, on a wide window half."""
        s = self.theme.scale
        room = self.width() * 0.395 - RULER * s
        count = 1 if self.width() < NARROW else max(1, min(6, round(room / (STRIP * s) - 0.1)))
        form = max(round(STRIP * s * count), round(430 * s))
        self.describe.setFixedWidth(form)
        self.fixes.setFixedWidth(form)
        self.mount.setFixedWidth(form)
        springs, wide = not self.statics.isHidden(), self.width() >= WIDE
        self.statics.setFixedWidth(round(430 * s) if wide else form)
        beside = self.describe.isHidden() and (wide or not springs)
        formless = all(r.isHidden() for r in (self.measuring, self.fixes, self.mount))
        self.strips.setVisible(beside and formless and (wide or not self.views.split))
        count = min(count, 3) if springs else count
        if count != self.strips.count:
            self.strips.set_count(count)

    def _refit(self) -> None:
        """Place it, and have the corner stand in what is left free, if it was not turned."""
        self._fit_over()
        if self.stage.camera in (self.views.last_home, Camera()) and self.scene.pieces:
            self.stage.look(self.views.home(self.stage))

    def _settle(self) -> None:
        """A study came: the first one of a project says what is written over the stage."""
        # Not under a hand: what it holds would leave the pointer.
        known = self.document.checked or bool(self.document.ended)
        if known and not self._settled and not self.stage.held:
            self._settled = True
            self._refit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.theme.fit(self.width())
        self._fit_strips()
        self._refit_soon.start()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not keys.press(self, event):
            super().keyPressEvent(event)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if importing.files_of(event.mimeData()):  # what can't be taken is told so
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        importing.take(self, event.mimeData())

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.actions_.may_leave():
            event.ignore()
            return
        self._play.stop()
        self.document.close()
        self.tidy.stop()
        self.fixes.close_jobs()
        recovery.drop()
        self.stage.picture.release()
        self.views.release()
        event.accept()
