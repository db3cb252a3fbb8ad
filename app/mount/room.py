"""The room of the top mount: its map large, in a plane of choice, and what a place comes to."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document.document import Document
from app.document.places import Flat, Ground, moved, spare, word_at
from app.document.plane import ABOVE, PLANES, Plane
from app.document.tree import Entry
from app.entry import Chooser, Field, wide
from app.look.halo import unbroken
from app.look.scroll import EDGE, Scroll, right_edge
from app.look.sheets import BAR, room_sheet
from app.look.theme import Theme
from app.look.type import font
from app.mount.legend import Legend
from app.mount.mounting import Mounting
from app.mount.pad import Pad
from app.mount.spots import SpotButton
from app.told import told

STAYS, ALONG = "the tower stays", "the tower goes along"
SPOTS = (
    ("best", "Most room"),
    ("middle", "Middle of the safe area"),
    ("slots", "Most room in the slots"),
)
BEFORE = "The map is of the corner before it was changed."
FOLLOWS = "The corner has changed; the map follows once it is checked."
NO_MOUNT = "This corner has no coilover, so there is no top mount to place."


@told
class MountRoom(QWidget):
    """The map beside the stage. ``exported`` asks for it on paper or as a file."""

    exported = Signal()

    def __init__(self, theme: Theme, document: Document, mounting: Mounting) -> None:
        super().__init__()
        self.theme, self.document, self.mounting = theme, document, mounting
        self.pad = Pad(theme, large=True)
        self.heading, self.state = QLabel("Top mount"), QLabel("")
        self.progress, self.stop = QLabel(""), QPushButton("Stop")
        self.plane, self.tower = Chooser(theme), Chooser(theme)
        entry = Entry(("plane",), "length", "How far the plane lies from the mount as it stands.")
        self.level = Field(theme, entry, "mm", self._level)
        self.apart = QLabel("")
        self.legend = Legend(theme)
        self.words = QLabel("")
        self.spots = {kind: SpotButton(theme, kind, title) for kind, title in SPOTS}
        self.export = QPushButton("Export\u2026")
        self._lay_out()
        self._connect()
        mounting.take(self.pad)
        self._dress()
        self.renew()

    def _lay_out(self) -> None:
        self.plane.setAccessibleName("Seen from")
        self.plane.offer([f"seen {each.words}" for each in PLANES.values()], "seen from above")
        self.plane.setToolTip("Which two ways the mount is slid, and the map is drawn in")
        self.tower.setAccessibleName("What the tower does")
        self.tower.setToolTip(
            "Whether the tower goes along when the mount is moved, or stays and its plate slides"
        )
        self.level.setAccessibleName("How far the plane lies from the mount")
        self.page = QWidget()
        column = self.column = QVBoxLayout(self.page)
        column.addWidget(self.heading)
        column.addWidget(self.state)
        self.choices = QHBoxLayout()
        self.choices.addWidget(self.plane, 1)
        self.choices.addWidget(self.tower, 1)
        column.addLayout(self.choices)
        self.where = QHBoxLayout()
        self.where.addWidget(self.level)
        self.where.addWidget(self.apart, 1)
        column.addLayout(self.where)
        column.addWidget(self.pad, 0, Qt.AlignmentFlag.AlignHCenter)
        self.working = QHBoxLayout()
        self.working.addWidget(self.progress, 1)
        self.working.addWidget(self.stop)
        self.working.addWidget(self.export)
        column.addWidget(self.legend)
        column.addLayout(self.working)
        column.addWidget(self.words)
        for spot in self.spots.values():
            column.addWidget(spot)
        column.addStretch(1)
        for label in (self.state, self.words, self.progress, self.apart):
            label.setWordWrap(True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.area = Scroll(self.page)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self.area)

    def _connect(self) -> None:
        self.document.opened.connect(self.level.settle)
        self.plane.activated.connect(lambda _: self._look())
        self.tower.activated.connect(
            lambda _: self.mounting.tower_along(self.tower.currentText() == ALONG)
        )
        self.stop.clicked.connect(self.document.stop_map)
        self.export.clicked.connect(self.exported.emit)
        self.pad.pointed.connect(lambda _: self._say())
        for kind, spot in self.spots.items():
            spot.clicked.connect(lambda _=False, k=kind: self.go(k))
        self.mounting.shown.connect(self.renew)
        self.theme.changed.connect(self._dress)

    # --- what is asked --------------------------------------------------------------------

    def _look(self) -> None:
        plane = list(PLANES.values())[self.plane.currentIndex()]
        self.mounting.look(plane, 0.0)

    def _level(self, mm: float) -> None:
        self.mounting.look(self.document.wanted.plane, float(mm))

    def go(self, kind: str) -> None:
        """Move the mount to one of the places pointed out."""
        ground = self.mounting.state.ground
        place = None if ground is None else _places(ground)[kind]
        if ground is not None and place is not None:
            self.mounting.go(place, ground.plane)

    # --- showing --------------------------------------------------------------------------

    def renew(self) -> None:
        """Bring everything up to date, if it is seen."""
        if self.isHidden():
            return
        shown, project = self.mounting.state, self.document.project
        has = project is not None and self.document.offset3() is not None
        always = (self.pad, self.plane, self.level, self.apart, self.legend)
        for widget in (*always, self.progress, self.words):
            widget.setVisible(has)
        self.tower.setVisible(has and project is not None and project.tower is not None)
        if not has or project is None:
            self.state.setText(NO_MOUNT)
            for each in (self.stop, self.export, *self.spots.values()):
                each.hide()
            return
        stale = BEFORE if self.document.ended else FOLLOWS
        self.state.setText(unbroken(stale if shown.stale else shown.sentence))
        self._say_choices(shown.plane, shown.level)
        self._say_progress(shown.share)
        self.legend.show_ground(shown.ground)
        self._say_spots(shown.ground)
        self.export.setEnabled(shown.ground is not None)
        self.export.setToolTip("As a page, a picture, outlines (DXF) or a table (CSV)")
        self._say()

    def _say_choices(self, plane: Plane, level: float) -> None:
        project = self.document.project
        assert project is not None
        self.plane.offer([self.plane.itemText(k) for k in range(3)], f"seen {plane.words}")
        if project.tower is not None:
            along = project.tower.moves_with_top
            self.tower.offer([ALONG, STAYS], ALONG if along else STAYS)
        self.level.units = project.units
        self.level.show_value(level)
        more, less = plane.apart
        self.apart.setText(
            f"{more} than the mount stands; negative: {less}"
            if level == 0.0
            else f"{more if level > 0 else less} than the mount stands; slide it and it goes there"
        )

    def _say_progress(self, share: float) -> None:
        ground, steered = self.mounting.state.ground, self.document.steered
        working = share >= 0.0
        self.stop.setVisible(working)
        self.export.setVisible(not working)
        if self.document.ended:
            self.progress.setText(f"No place can be looked at. {self.document.ended}")
        elif working and ground is not None:
            what = "lock to lock" if steered and not ground.whole else "finer"
            self.progress.setText(f"A rough picture; getting finer, {share:.0%} done.")
            if len(ground.rows) > 9:
                self.progress.setText(f"Looking {what}, {share:.0%} done.")
        elif working:
            self.progress.setText("Looking at every place.")
        elif ground is None:
            self.progress.setText("Nothing is known yet: the corner is being checked.")
        elif not ground.done:
            self.progress.setText("Stopped before it was as fine as it gets.")
        else:
            straight = " Looked at lock to lock." if ground.whole else ""
            count = len(ground.rows) * len(ground.columns)
            self.progress.setText(f"{count} places over their whole travel.{straight}")

    def _say_spots(self, ground: Ground | None) -> None:
        units = self.mounting.state.units
        for kind, spot in self.spots.items():
            place = None if ground is None else _places(ground)[kind]
            if ground is None or place is None:
                spot.say("")
                continue
            where = moved(ground.plane.place(place, ground.level), units) or "where it was"
            spot.say(f"{where}: {self._spare(ground, kind, place)}")

    def _spare(self, ground: Ground, kind: str, place: Flat) -> str:
        """What a place has over the rule that is tightest there."""
        plan = ground.plan
        if kind == "slots" and ground.slots is not None:
            plan = ground.slots.plan
            assert plan.best_in_slots is not None
            at = plan.best_in_slots
        else:
            found = ground.nearest(place)
            assert found is not None
            at = found
        said = spare(float(plan.margin[at]), self.mounting.state.units)
        return f"{said}, but something else is past its limit" if plan.limits.wrong[at] else said

    def _say(self) -> None:
        """What the place under the pointer comes to, or where the mount stands."""
        shown = self.mounting.state
        ground = shown.ground
        if ground is None:
            self.words.setText("")
            return
        place = self.pad.place or shown.plane.flat(shown.at)
        word = word_at(ground, place, shown.units)
        if word is None:
            self.words.setText("")
            return
        p = self.theme.palette
        wrong = "".join(f" <span style='color:{p.touch}'>{each}</span>" for each in word.wrong)
        rest = f" <span style='color:{p.ink2}'>{' '.join(word.rest)}</span>" if word.rest else ""
        self.words.setText(unbroken(f"<b>{word.where}:</b> {word.tight}{wrong}{rest}"))

    def showEvent(self, event: object) -> None:
        self.renew()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        s = self.theme.scale
        room = min(self.width() - EDGE * s - right_edge(s) - BAR, self.height() * 0.44)
        self.pad.grow(max(216.0, room / s))

    def _dress(self) -> None:
        s, p = self.theme.scale, self.theme.palette
        edge = round(EDGE * s)
        self.column.setContentsMargins(edge, round(12 * s), right_edge(s), edge)
        self.column.setSpacing(round(8 * s))
        for row in (self.choices, self.where, self.working):
            row.setSpacing(round(8 * s))
        self.heading.setFont(font(22 * s, 600))
        self.state.setFont(font(15 * s, 500, False))
        self.words.setFont(font(14 * s, 500, False))
        self.words.setMinimumHeight(round(88 * s))
        for label in (self.progress, self.apart):
            label.setFont(font(13 * s, 500, False))
            label.setStyleSheet(f"color: {p.ink2};")
        wide(self.level, 84, self.theme)
        for button in (self.stop, self.export):
            button.setFont(font(14 * s, 500, False))
        self.setStyleSheet(room_sheet(p, "MountRoom"))
        self._fit()
        self.renew()


def _places(ground: Ground) -> dict[str, Flat | None]:
    """The places pointed out, by their mark."""
    slots = None
    if ground.plane is ABOVE and ground.slots is not None:
        slots = ground.slots.best
    return {"best": ground.best, "middle": ground.middle, "slots": slots}
