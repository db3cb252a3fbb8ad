"""What each fix would take, and what it undoes: amounts found on certified clearances.

    for remedy in fixes(project):
        print(say(remedy))  # kinematics.studies.fix_words

Two amounts are looked for: what just stops the touching, and what keeps all the rules. Both are
exact to ``CLOSE`` and then rounded up to what a shop can do, and the rounded fix is checked again
with every pair over the whole travel.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from kinematics.project.model import Project
from kinematics.studies.bench import Bench, Gap, Gaps, troubles
from kinematics.studies.cure import Cure
from kinematics.studies.cures import MOVED, PLATED, TOGETHER, Choice, cures_for
from kinematics.studies.fix import Amount, Fix, Remedy
from kinematics.studies.fix_pace import Pace
from kinematics.studies.fix_pairs import suggested
from kinematics.studies.fix_places import placed
from kinematics.studies.fix_shop import CLOSE, Shop, remedy
from kinematics.studies.study import racks

__all__ = ["CLOSE", "Amount", "Fix", "Gap", "Gaps", "Remedy", "Shop", "fixes", "gaps", "remedy",
           "troubles"]  # fmt: skip

Progress = Callable[[float], None]
Asked = Callable[[], bool]
Told = Callable[[Remedy], None]

MAPPED = 10
"""The mount's places are mapped after so many other fixes: they take longer, and cure most."""
OPENING = 0.06
"""What looking at the corner as it stands is of all the work, about."""
PLACING, PAIRING = 8.0, 14.0
"""What the mount's places at one rack position, and pairs of fixes, take beside a single fix."""


def gaps(project: Project, folder: Path | None = None) -> Gaps:
    """Every pair's lowest clearance over the whole motion, between positions too.

    ``folder`` : where its scans lie. Raises ClearstrokeError for a corner that can't be assembled.
    """
    return Bench(project, folder).gaps


def fixes(
    project: Project,
    progress: Progress | None = None,
    cancelled: Asked | None = None,
    folder: Path | None = None,
    choice: Choice | None = None,
    told: Told | None = None,
) -> tuple[Remedy, ...]:
    """Every kind of fix for this corner, the best first; empty where nothing is wrong.

    choice : which fixes are tried. told : handed each remedy as soon as it is known.
    Raises Cancelled; EntryError for a choice that names what is not there; ClearstrokeError for a
    corner that can't be assembled.
    """
    pace = Pace(progress)
    pace.begin(OPENING)
    bench = Bench(project, folder, cancelled, pace.within)
    if not bench.troubles:
        return ()
    choice = Choice() if choice is None else choice
    cures = cures_for(bench, choice)
    shop = Shop(bench, cancelled, pace)
    tries = [(1.0, _try(shop, cure)) for cure in cures]
    placing = PLACING * len(racks(bench.setting))
    if choice.allows(PLATED):
        tries.insert(MAPPED, (placing, _place(shop, PLATED, False)))
    if choice.allows(MOVED):
        tries.insert(MAPPED, (placing, _place(shop, MOVED, True)))
    pairing = min(PAIRING, float(len(tries))) * choice.allows(TOGETHER)
    whole = sum(weight for weight, _ in tries) + pairing
    found: list[Remedy] = []

    def tell(known: Remedy) -> None:
        found.append(known)
        if told is not None:
            told(known)

    done = 0.0
    for weight, attempt in tries:
        done += weight
        pace.begin(OPENING + (1.0 - OPENING) * done / whole)
        shop.go_on()
        if (known := attempt()) is not None:
            tell(known)
    if choice.allows(TOGETHER):
        pace.begin(1.0)
        for known in suggested(shop, cures, tuple(found)):
            tell(known)
    pace.end()
    return tuple(sorted(found, key=lambda remedy: remedy.rank))


def _try(shop: Shop, cure: Cure) -> Callable[[], Remedy | None]:
    return lambda: remedy(shop, cure)


def _place(shop: Shop, name: str, with_tower: bool) -> Callable[[], Remedy | None]:
    return lambda: placed(shop, name, with_tower)
