"""What icons, keys and menus ask for: files, comparing, looking closer, exporting, help."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPoint
from PySide6.QtGui import QAction, QKeySequence

from app import examples
from app.document import gaps, reading, recents
from app.hand.tape import Gap, Tape
from app.look.menu import Menu
from app.plots.sheet import PlotSheet
from app.window import pairs_menu
from app.window.exports import Exports
from app.window.filing import Filing
from kinematics.project.files import SUFFIX

if TYPE_CHECKING:
    from app.stage.pick import Hit
    from app.window.window import Window

STARTS = (
    ("Lateral links and a radius arm", "rear-put-right"),
    ("Strut, steered", "front-strut"),
    ("Strut on three links", "rear-strut-links"),
    ("Wishbones, steered", "front-wishbones"),
    ("Five links", "rear-five-links"),
    ("Trailing or semi-trailing arm", "rear-semi-trailing"),
    ("H-arm", "rear-h-arm"),
)


class Actions(Filing):
    """Carries out what is asked of a window."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.selected: str = ""
        self.exports = Exports(window)
        self.tape = Tape(window.scene, self._gap)
        self._gap_of: tuple[object, Gap] | None = None  # position and parts, and what was found
        window.document.opened.connect(self._let_tape_go)
        window.document.opened.connect(self._look_at_all)
        window.document.changed.connect(self._tell_tape)
        window.document.reseated.connect(self._other_side)
        self.sheet: PlotSheet | None = None
        self._plan: dict[str, Callable[[], object]] = {
            "menu": self.menu,
            "undo": lambda: self._step(self._undo),
            "redo": lambda: self._step(window.document.stack.redo),
            "open": self.open,
            "save": self.save,
            "save as": self.save_as,
            "before": self.before,
            "lamp": window.theme.switch,
            "play": window.play,
            "escape": self.escape,
            "only": self.only,
            "hide": self.hide,
            "all": self.show_all,
            "cut": self.cut,
            "views": self.views,
            "pairs": lambda: pairs_menu.show(window),
            "paper": self.exports.menu,
            "distance": self.distance,
            "through": self.through,
            "help": window.help.toggle,
            "plot": self.plot,
            "tour": window.tour.start,
            "mirror": window.describe.mirror,
        }
        for keys, what in (
            (QKeySequence.StandardKey.Undo, "undo"),
            (QKeySequence.StandardKey.Redo, "redo"),
            (QKeySequence.StandardKey.Open, "open"),
            (QKeySequence.StandardKey.Save, "save"),
            (QKeySequence.StandardKey.SaveAs, "save as"),
            (QKeySequence("Ctrl+E"), "paper"),
        ):
            action = QAction(window)
            action.setShortcuts(
                QKeySequence.keyBindings(keys)
                if isinstance(keys, QKeySequence.StandardKey)
                else [keys]
            )
            action.triggered.connect(lambda _=False, w=what: self.do(w))
            window.addAction(action)

    def do(self, what: str) -> None:
        """Do it, if it is known."""
        if (call := self._plan.get(what)) is not None:
            call()

    # --- files ----------------------------------------------------------------------------

    def menu(self) -> None:
        """The project menu, below its name."""
        window = self.window
        menu = Menu(window.theme, window)
        self._add(menu, "Open…", "open", "Ctrl+O")
        fresh = menu.addMenu("New from an arrangement")
        known = {**examples.examples(), **examples.starts()}
        for words, name in STARTS:
            fresh.addAction(words).triggered.connect(
                lambda _=False, p=known[name]: self.begin_from(p)
            )
        shipped = menu.addMenu("Open an example")
        for path in examples.examples().values():
            shipped.addAction(examples.title_of(path)).triggered.connect(
                lambda _=False, p=path: self.open_path(p, example=True)
            )
        lately = menu.addMenu("Open a recent one")
        for path in recents.recent():
            lately.addAction(path.name.removesuffix(SUFFIX)).triggered.connect(
                lambda _=False, p=path: self.open_path(p)
            )
        lately.setEnabled(not lately.isEmpty())
        menu.addSeparator()
        self._add(menu, "Save", "save", "Ctrl+S")
        self._add(menu, "Save as…", "save as", "Ctrl+Shift+S")
        menu.addSeparator()
        looks = menu.addMenu("Light or dark")
        for choice, words in (("system", "As the system"), ("light", "Light"), ("dark", "Dark")):
            action = looks.addAction(words)
            action.setCheckable(True)
            action.setChecked(window.theme.choice == choice)
            action.triggered.connect(lambda _=False, c=choice: window.theme.choose(c))
        menu.addSeparator()
        self._add(menu, "Show me round", "tour", "F2")
        self._add(menu, "Hands and keys", "help", "F1")
        menu.addAction("Close").triggered.connect(lambda: window.close())
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(window.bar.title.mapToGlobal(QPoint(18, window.bar.height() - 4)))

    def _add(self, menu: Menu, words: str, what: str, keys: str = "") -> None:
        action = menu.addAction(words)
        if keys:
            action.setShortcut(keys)
        action.triggered.connect(lambda _=False: self.do(what))

    def _step(self, step: Callable[[], object]) -> None:
        """A step of undo or redo; what is held, on a pad too, is put back instead."""
        if not any(pad.escape() for pad in self.window.mounting.pads):
            self.window.hands.or_put_back(step)

    def _undo(self) -> None:
        """A fix that is only looked at is put back; else the last step is taken back."""
        if self.window.document.previewed is not None:
            self.window.fixes.leave()
        else:
            self.window.document.stack.undo()

    # --- looking --------------------------------------------------------------------------

    def before(self) -> None:
        """Keep the present state as before, or let it go."""
        document, notice = self.window.document, self.window.notice
        kept = document.before is not None
        document.keep()
        if document.before is not None:
            notice.say("Kept as before: dashed curves and thin edges. K lets it go.")
        elif kept:
            notice.put_away()
        else:
            notice.say(f"It can be kept once it has been checked. {document.ended}".rstrip())

    def _other_side(self) -> None:
        """Before was of the other wheel: at one rack travel the one is inner, the other outer."""
        if self.window.document.before is not None:
            self.window.document.keep()
            self.window.notice.say("What was kept as before is let go: it is the other wheel's.")

    def plot(self) -> None:
        """Any figure against travel or steer, in a window of its own."""
        if self.sheet is None:
            self.sheet = PlotSheet(self.window.theme, self.window.document, self.window)
        self.sheet.show()
        self.sheet.raise_()

    def distance(self) -> None:
        """Take up the tape, or put it away."""
        window = self.window
        measuring = not window.hands.measuring
        window.hands.measuring = measuring
        self._let_tape_go()
        window.views.write_over(self.tape, measuring)
        window.bar.icons["distance"].setChecked(measuring)
        if measuring:
            window.notice.say("Click two points on parts. D puts the tape away.")
        else:
            window.notice.put_away()
        self._redraw()

    def _let_tape_go(self) -> None:
        """Its ends come off, and with them the position it last measured in."""
        self.tape.let_go()
        self._gap_of = None

    def _tell_tape(self) -> None:
        """What its figures are told in."""
        if (project := self.window.document.project) is not None:
            self.tape.units = project.units

    def _measure(self, hit: Hit | None) -> None:
        window = self.window
        if hit is None or window.document.project is None:
            return
        self.tape.pick(hit)
        window.notice.put_away()
        self._redraw()

    def _gap(self, a: str, b: str) -> Gap | None:
        """The nearest two parts come to each other in the present position, if it is known."""
        document = self.window.document
        if document.study is None or document.pose is None or not document.checked:
            return None
        key = (document.pose, a, b)
        if self._gap_of is None or self._gap_of[0] != key:
            self._gap_of = (key, self._measured(a, b))
        return self._gap_of[1]

    def _measured(self, a: str, b: str) -> Gap:
        document = self.window.document
        assert document.study is not None
        assert document.pose is not None
        found = gaps.between(document.pose, document.study, a, b)
        if found is None:
            return Gap("these two are not checked against each other")
        amount, ends = found
        return Gap(f"nearest: {reading.amount_words(amount, self.tape.units)}", ends)

    def through(self) -> None:
        """Fade all parts but the two that meet; again to bring them back."""
        scene = self.window.scene
        named = {name for mark in scene.marks[:1] for name in mark.parts}
        if any(p.faded for p in scene.pieces.values()) or not named:
            named = {p.part for p in scene.pieces.values()}
        for piece in scene.pieces.values():
            piece.faded = piece.part not in named
        self._redraw()

    def pick(self, hit: Hit | None) -> None:
        """A click on a part selects it, on nothing lets go; with the tape it is an end."""
        if self.window.hands.measuring:
            self._measure(hit)
            return
        self.select(hit.piece.part if hit is not None else "")

    def select(self, part: str) -> None:
        """Select a part by name."""
        self.selected = part
        for piece in self.window.scene.pieces.values():
            piece.selected = bool(part) and piece.part == part
        self._redraw()

    def only(self) -> None:
        """Fade all but what is selected; again to bring all back."""
        pieces = self.window.scene.pieces.values()
        found = any(p.part == self.selected for p in pieces)  # it may be called otherwise by now
        if any(p.faded for p in pieces) or not found:
            if not found:
                self.window.notice.say("Click a part first; then O shows only that one.")
            for piece in pieces:
                piece.faded = False
        else:
            for piece in pieces:
                piece.faded = piece.part != self.selected
        self._redraw()

    def hide(self) -> None:
        """Hide what is selected."""
        for piece in self.window.scene.pieces.values():
            if self.selected and piece.part == self.selected:
                piece.shown = False
        self.select("")

    def _look_at_all(self) -> None:
        """Another project is open: nothing of it is selected, hidden, faded or cut."""
        self.selected = ""
        self.show_all()

    def show_all(self) -> None:
        """Nothing hidden, nothing faded, nothing cut."""
        self.window.scene.cut = None
        for piece in self.window.scene.pieces.values():
            piece.shown, piece.faded = True, False
        self._redraw()

    def cut(self) -> None:
        """Cut away what lies in front of the wheel's middle, or close the corner again."""
        scene = self.window.scene
        if scene.cut is None:
            tyre = next((p for p in scene.pieces.values() if p.kind == "tyre"), None)
            x = float(tyre.pose[0, 3]) if tyre is not None else 0.0
            scene.cut = np.array([1.0, 0.0, 0.0, -x])
        else:
            scene.cut = None
        self._redraw()

    def _redraw(self) -> None:
        window = self.window
        window.scene.look += 1
        window.bar.icons["only"].setChecked(any(p.faded for p in window.scene.pieces.values()))
        window.bar.icons["cut"].setChecked(window.scene.cut is not None)
        for stage in window.show_it.stages:
            stage.redraw()

    def views(self) -> None:
        """Which way to look."""
        window = self.window
        menu = Menu(window.theme, window)
        for key, name, words in (
            ("1", "3d", "3D"),
            ("2", "front", "From the front"),
            ("3", "side", "From the side"),
            ("4", "top", "From the top"),
        ):
            action = menu.addAction(f"{words}\t{key}")
            action.triggered.connect(lambda _=False, n=name: window.views.go(n))
        menu.addSeparator()
        both = menu.addAction("3D and square side by side")
        both.setCheckable(True)
        both.setChecked(window.views.split)
        both.triggered.connect(lambda _=False: window.views.beside())
        menu.aboutToHide.connect(menu.deleteLater)
        button = window.bar.icons["views"]
        menu.popup(button.mapToGlobal(QPoint(0, button.height())))

    def escape(self) -> None:
        """Put back what is held or looked at; else stop what runs; else let go of a selection."""
        window = self.window
        if window.hands.escape() or any(pad.escape() for pad in window.mounting.pads):
            return
        if window.tour.isVisible():
            window.tour.end()
            return
        if window.hands.measuring:
            self.distance()
            return
        if window.fixes.isVisible() and window.fixes.escape():
            return
        if window.document.jobs.busy:
            window.document.stop()
            window.notice.work(-1.0)
            return
        if window.document.again():
            window.notice.put_away()
            return
        if window.notice.sentence:
            window.notice.put_away()
            return
        self.select("")
