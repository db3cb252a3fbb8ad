"""The fixes a builder has: each an edit of the project by an amount, and what work it takes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kinematics.errors import EntryError
from kinematics.project.model import Project
from kinematics.studies.bench import Bench
from kinematics.studies.cure import SPRUNG, WELDED, Cure, Work
from kinematics.studies.cures_around import cures_around
from kinematics.studies.cures_coilover import cures_of_coilover
from kinematics.studies.cures_links import cures_of_links
from kinematics.studies.cures_own import cures_of_own
from kinematics.studies.cures_tower import cures_of_tower
from kinematics.studies.cures_wheel import cures_of_wheel

__all__ = [
    "SPRUNG",
    "WELDED",
    "Choice",
    "Cure",
    "Own",
    "Work",
    "cures_for",
    "cures_of",
    "families",
    "ranges",
]

MOVED, PLATED = "top mount and tower moved", "adjustable plate"
"""The fixes that the map of the mount's places gives."""
TOGETHER = "two fixes together"
"""The family of pairs of fixes."""
AROUND = ("arms and links offset", "parts of the car trimmed", "parts of the car moved")
"""The families of the fixes that go round a trouble."""


@dataclass(frozen=True, slots=True)
class Own:
    """A dimension of the builder's own choice and how far it may be changed either way, mm."""

    path: str
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Choice:
    """Which fixes are tried: all but ``without``, or ``only`` those; and ``own`` ones.

    Either names fixes or their families.
    """

    without: frozenset[str] = frozenset()
    only: frozenset[str] | None = None
    own: tuple[Own, ...] = ()

    def allows(self, name: str, family: str = "") -> bool:
        """Whether a fix of that name and family is to be tried."""
        called = {name, family}
        return not called & self.without and (self.only is None or bool(called & self.only))


def cures_of(project: Project) -> tuple[Cure, ...]:
    """The fixes that this corner has something to be fixed on, the likeliest first.

    Without those that go round a trouble: see ``cures_for``.
    """
    return tuple(_plain(project))


def cures_for(bench: Bench, choice: Choice | None = None) -> tuple[Cure, ...]:
    """All fixes to be tried on a corner, the likeliest and soonest tried first.

    Raises EntryError for a name in ``choice`` that no fix bears, or a dimension there is none of.
    """
    choice = Choice() if choice is None else choice
    found = [*cures_around(bench), *_plain(bench.project)]
    own = [cure for mine in choice.own for cure in _own(bench.project, mine)]
    _refuse_unknown(choice, found)
    return (*own, *(cure for cure in found if choice.allows(cure.name, cure.family)))


def ranges(cures: Iterable[Cure]) -> dict[str, str]:
    """How far each fix may go, in words, by name; nothing of those that can do nothing here."""
    return {cure.name: _range(cure) for cure in cures if not cure.cannot}


def _range(cure: Cure) -> str:
    if not cure.sizes:
        return f"up to {cure.most:.0f} mm"
    sizes = [f"{size:g}" for size in cure.sizes]
    return f"{', '.join(sizes[:-1])} or {sizes[-1]} mm" if len(sizes) > 1 else f"{sizes[0]} mm"


def families(project: Project) -> tuple[str, ...]:
    """The kinds of thing that can be changed on a corner, for a choice of what is tried."""
    named = dict.fromkeys(cure.family for cure in _plain(project))
    places = (MOVED,) if project.coilover is not None else ()
    plated = (PLATED,) if places and project.tower is not None else ()
    return (*named, *AROUND, *places, *plated, TOGETHER)


def _own(project: Project, mine: Own) -> tuple[Cure, ...]:
    return cures_of_own(project, mine.path, mine.least, mine.most)


def _refuse_unknown(choice: Choice, found: Iterable[Cure]) -> None:
    known = {MOVED, PLATED, TOGETHER, *AROUND}
    for cure in found:
        known |= {cure.name, cure.family}
    for name in sorted(choice.without | (choice.only or frozenset())):
        if name not in known:
            raise EntryError(
                f'There is no fix called "{name}" for this corner. There are: '
                f"{', '.join(sorted(known))}."
            )


def _plain(project: Project) -> Iterator[Cure]:
    yield from cures_of_wheel(project)
    if project.tower is not None:
        yield from cures_of_tower(project, project.tower)
    if project.coilover is not None:
        yield from cures_of_coilover(project, project.coilover)
    yield from cures_of_links(project)
