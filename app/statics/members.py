"""The pages of joints and of forces."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal

from app.look.theme import Theme
from app.statics.cases import Cases
from app.statics.corner import Corner
from app.statics.here import HereNow
from app.statics.page import Page
from app.statics.rows import (
    JOINT_STORY,
    Row,
    force_rows,
    joint_rows,
    seat_rows,
    settled_row,
    shaft_rows,
    story_rows,
)
from kinematics.findings.fact_phrases import CAUTION
from kinematics.findings.words import position
from kinematics.statics.loading import Settled
from kinematics.units import show, unit_of

USUAL = "Multiples of this corner's weight. These are the usual cases: common practice, no source."


class JointsPage(Page):
    """Angles used here and at most, shafts and hoses."""

    def __init__(self, theme: Theme, now: HereNow) -> None:
        super().__init__(theme, now)
        self.told = self.rows()
        self.joints, self.shafts = self.rows("Joints"), self.rows("Shaft and hose")
        note = "Each figure is the angle here; the bar is the most, against its limit."
        self.stack(self.told, self.joints, self.shafts, self.words(note))

    def renew(self) -> None:
        """What passes a limit, and the plate; then all of them here."""
        study = self.document.study
        facts = () if study is None else study.facts
        chosen = [f for f in facts if f.problem or f.kind in ("plate", "clamp")]
        self.told.show_rows(story_rows(chosen, JOINT_STORY, self.units))
        self.renew_here()

    def renew_here(self) -> None:
        """Every joint, shaft and hose at the present position."""
        known, found = self.now.known(), self.now.found()
        self.joints.show_rows([] if known is None else joint_rows(known, found, self.units))
        self.shafts.show_rows([] if known is None else shaft_rows(known, found, self.units))


class ForcesPage(Page):
    """A load case, where it settles, and the force in every member here."""

    picked = Signal()  # another load case: the arrows change

    def __init__(self, theme: Theme, now: HereNow, cases: Cases) -> None:
        super().__init__(theme, now)
        self.cases = cases
        self.rest, self.forces, self.most = self.rows(), self.rows("Here"), self.rows("At most")
        cases.wrong.connect(self.wrong.emit)
        cases.picked.connect(self._picked)
        self.corner = Corner(theme, cases)
        self.usual = self.words(USUAL)
        self.stack(
            self.head("Load case"), cases, self.usual, self.rest, self.forces,
            self.words(CAUTION), self.most,
            self.head("This corner"), self.corner,
        )  # fmt: skip

    def renew(self) -> None:
        """The case's figures, where it settles, and the forces here."""
        self.cases.renew()
        self.corner.renew()
        loads = self.cases.loads
        self.usual.setVisible(loads is not None and loads.cases is None)
        study = self.document.study
        told = story_rows(() if study is None else study.facts, ("force", "strut"), self.units)
        quiet = [replace(r, note=r.note.replace(CAUTION, "").strip(), state=None) for r in told]
        self.most.show_rows(quiet)
        settled = self._settled()
        row = settled_row(settled, self.units)
        self.rest.show_rows(
            [] if settled is None or row is None else [row, *seat_rows(settled, self.units)]
        )
        self.renew_here()

    def renew_here(self) -> None:
        """The forces at the present position, and what is left over."""
        found, rows = self.now.found(), []
        if found is not None and found.forces is not None:
            left = float(found.forces.unbalance.max())
            rows = force_rows(found, found.forces, self.units)
            least = 0.1 * unit_of("force", self.units).size
            told = f"{'under ' * (left < least)}{show(max(left, least), 'force', self.units, 1)}"
            rows.append(Row("Left over on any part", told, "a check: all forces on it, summed"))
        self.forces.call(f"Here, at {position(self.document.travel, self.units)} {self.units}")
        self.forces.show_rows(rows)

    def _settled(self) -> Settled | None:
        """Where the case comes to rest, as the study of this very project has it."""
        study, known = self.document.study, self.now.known()
        loading = known.loading if known is not None else None
        if loading is None or study is None or study.project is not self.document.project:
            return None
        return next((s for s in loading.settled if s.case == self.cases.name), None)

    def _picked(self) -> None:
        self.renew()
        self.picked.emit()
