"""Brings the pads and the document together: what they show, and what a hand on them asks."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from app.document import live, reading
from app.document.document import Document
from app.document.places import Flat, Ground, advice, describe, moved
from app.document.plane import Plane, Wanted
from app.mount.pad import Pad, Shown
from kinematics.project.model import Project

HINT = "Slide it to where nothing meets."


class Mounting(QObject):
    """Keeps every pad of a window up to date. ``shown`` tells that they show something else."""

    shown = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.pads: list[Pad] = []
        self.state = Shown()
        self.share = -1.0
        self._mapped_of: Project | None = None  # what the map on show was worked out for
        # Two projects, and whether more than the place differs.
        self._compared: tuple[Project, Project, bool] | None = None
        document.opened.connect(self._opened)
        document.changed.connect(self._changed)
        document.studied.connect(self.show)
        document.moved.connect(self._moved)
        document.mapped.connect(self._mapped)
        document.mapping.connect(self._progress)

    def take(self, pad: Pad) -> None:
        """One more pad."""
        self.pads.append(pad)
        pad.began.connect(self.document.begin)
        pad.slid.connect(self.slide)
        pad.ended.connect(self._let_go)
        pad.cancelled.connect(self.document.revert)
        pad.show_state(self.state)

    # --- what a hand asks -----------------------------------------------------------------

    def slide(self, fore: float, inward: float, up: float) -> None:
        """The mount is wanted so far from where it first stood."""
        document = self.document
        project, now = document.project, document.offset3()
        if project is None or now is None:
            return
        out = 1.0 if project.side == "left" else -1.0
        by = fore - now[0], -(inward - now[1]) * out, up - now[2]
        taken = document.slide_mount(project, *by)
        # In the plane shown from now on: its distance from the mount is used up.
        document.wanted = replace(document.wanted, level=0.0)
        document.drag(taken)

    def _let_go(self) -> None:
        self.document.finish("move the top mount")

    def go(self, place: Flat, plane: Plane) -> None:
        """Move the mount to a place of the map, as one step of undo."""
        now = self.document.offset3()
        if now is None:
            return
        level = now[plane.third] + self.document.wanted.level
        self.document.begin()
        self.slide(*plane.place(place, level))
        self._let_go()

    def look(self, plane: Plane, level: float) -> None:
        """Look at another plane, so far from the mount."""
        self.document.look_at(Wanted(plane, level))
        self.show()

    def tower_along(self, along: bool) -> None:
        """Whether the tower goes along with the mount, or stays."""
        import msgspec

        project = self.document.project
        if project is not None and project.tower is not None:
            tower = msgspec.structs.replace(project.tower, moves_with_top=along)
            what = "have the tower go along" if along else "have the tower stay"
            self.document.edit(msgspec.structs.replace(project, tower=tower), what)

    # --- what is shown --------------------------------------------------------------------

    def _opened(self) -> None:
        self.document.wanted = Wanted()
        self.share, self._mapped_of, self._compared = -1.0, None, None
        self.show()

    def _mapped(self) -> None:
        self._mapped_of = self.document.project
        self.show()

    def _progress(self, share: float) -> None:
        if share != self.share:
            self.share = share
            self.show()

    def _changed(self) -> None:
        if self.document.drag_start is None:  # else it is shown once moved
            self.show()

    def _moved(self) -> None:
        # While the wheel is pulled nothing of this changes.
        if self.document.drag_start is not None or self._stands() != self.state.at:
            self.show()

    def _stands(self) -> tuple[float, float, float]:
        fore, inward, up = self.document.offset3() or (0.0, 0.0, 0.0)
        return round(fore, 3), round(inward, 3), round(up, 3)

    def show(self) -> None:
        """Bring the pads up to date."""
        document = self.document
        project, wanted = document.project, document.wanted
        if project is None or document.offset3() is None:
            self._tell(Shown())
            return
        ground = document.ground
        fits = ground is not None and ground.plane is wanted.plane
        stale = self._stale(project)
        shown = Shown(
            self._stands(),
            self._sentence(project, ground if fits and not stale else None),
            1.0 if project.side == "left" else -1.0,
            ground if fits else None,
            wanted.plane,
            wanted.level,
            project.units,
            self.share,
            stale,
        )
        self._tell(shown)

    def _tell(self, state: Shown) -> None:
        """To the pads, and to whoever stands around them."""
        self.state = state
        for pad in self.pads:
            pad.show_state(state)
        self.shown.emit()

    def _stale(self, project: Project) -> bool:
        """Whether more than the mount's place has changed since the map."""
        was = self._mapped_of
        if was is None or was is project or self.document.drag_start is not None:
            return False
        kept = self._compared
        if kept is None or kept[0] is not was or kept[1] is not project:
            kept = self._compared = was, project, live.slid_by(was, project) is None
        return kept[2]

    def _sentence(self, project: Project, ground: Ground | None) -> str:
        """What to do with the mount as it stands, in a few words."""
        document, place = self.document, self._stands()
        words = HINT
        if max(map(abs, place)) > 0.04:
            words = describe(place[0], place[1], project.units)
            if abs(place[2]) > 0.04:
                words = moved(place, project.units)
        wanted = document.wanted
        if ground is not None and document.drag_start is None:
            flat = wanted.plane.flat(place)
            words = advice(ground, flat, wanted.level, project.units) or words
        found = document.study
        if found is not None and reading.all_kept(found, project):
            only = " at this steer" if reading.one_steer(found) else ""
            words = f"Every rule is kept here{only}."
        return words
