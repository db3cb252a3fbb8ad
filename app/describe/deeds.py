"""What the description does to the project: each a step of undo, each refused in a sentence."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, Any

from app.describe.slips import slip
from app.document import red, tree
from app.document.steps import red_along
from app.document.tree import Entry, Path
from kinematics.errors import ClearstrokeError
from kinematics.motion import mobility
from kinematics.project.arms import copy_body
from kinematics.project.bodies import remove_body
from kinematics.project.fresh import fresh
from kinematics.project.furnish import copy_entry, remove_entry
from kinematics.project.model import Project
from kinematics.project.rename import TABLES, rename_body, rename_entry, rename_point

if TYPE_CHECKING:
    from app.describe.room import Describe

Make = Callable[[Project], Project]
FURNISHED = (("parts",), ("links",), ("joints",))
HOLDING = ("links", "joints")


class Deeds:
    """Carries out what is asked of the room."""

    def __init__(self, room: Describe) -> None:
        self.room, self.draft = room, room.draft

    def change(self, what: str, make: Make) -> bool:
        """One undo step; what can't stand is said below the form, or waits for what it lacks."""
        before = self.room.project
        try:
            done = self.draft.change(make, what, may_wait=True)
        except ClearstrokeError as error:
            self.room.tell(tree.in_words(error))
            self.room.renew()
            return False
        self.room.tell("")
        self.room.renew()
        self._say_how_held(before)
        return done

    def _say_how_held(self, before: Project | None) -> None:
        """After a link or joint came or went: whether the corner moves as it should."""
        now = self.room.project
        if before is None or now is None:
            return
        if self.draft.waits:
            self.room.say("")
            return
        if any(getattr(before, table).keys() != getattr(now, table).keys() for table in HOLDING):
            self.room.say(" ".join(mobility(now).sentences))

    def make(self, what: str, maker: Callable[[Project], tuple[Project, Any]]) -> Any:
        """One undo step that brings something new; what it is, or None if it can't stand."""
        made: list[Any] = []

        def more(project: Project) -> Project:
            changed, new = maker(project)
            made.append(new)
            return changed

        return made[0] if self.change(what, more) else None

    def add_at(self, path: Path) -> None:
        """Give what isn't given yet, or one more of a table or list; it is shown."""
        place = self.make(f"add {tree.label_of(path)}", lambda project: fresh(project, path))
        if place is not None and len(place) > len(path) and isinstance(place[-1], str):
            self.room.present(path, place[-1])

    def drop_at(self, path: Path) -> None:
        """Leave out what may be left out, or one of a list."""
        document, last = self.room.document, path[-1]
        going: AbstractContextManager[None] = nullcontext()
        if isinstance(last, int):
            going = red_along(document, red.by_row(document.red, path[:-1], last))
        with going:
            self.change(f"remove {tree.label_of(path)}", lambda p: tree.drop(p, path))

    def copy(self, table: str, name: str) -> None:
        """A copy beside the first, unfolded."""
        new = self.make(
            f"copy {name}",
            lambda project: copy_entry(project, table, name),  # type: ignore[arg-type]
        )
        if new is not None:
            self.room.present((table,), new)

    def remove(self, table: Path, name: str) -> None:
        """Take an entry of a table away, if the corner can stand without it."""

        def removed(project: Project) -> Project:
            if table in FURNISHED:
                return remove_entry(project, table[0], name)  # type: ignore[arg-type]
            return tree.drop(project, (*table, name))

        self.change(f"remove {name}", removed)

    def rename(self, path: Path, new: str) -> None:
        """Call an entry of a table, or a point, otherwise. Raises what its field then shows."""
        table, old = path[:-1], str(path[-1])
        if new == old:
            return

        def renamed(project: Project) -> Project:
            if table == ("points",):
                return rename_point(project, old, new)
            if len(table) == 1 and table[0] in TABLES:
                return rename_entry(project, str(table[0]), old, new)
            there = tree.get(project, table)
            names = {new if n == old else n: value for n, value in there.items()}
            return tree.put(project, table, names)

        was_open = self.room.opened.get(table) == old
        if was_open:
            self.room.opened[table] = new
        along = red.by_name(path, (*table, new))
        try:
            with red_along(self.room.document, along):
                self.draft.change(renamed, f"call {old} {new}", may_wait=False)
        except ClearstrokeError:
            if was_open:
                self.room.opened[table] = old
            raise

    def move_to(self, path: Path, new: str) -> None:
        """Have an entry that is named after something else be of another."""
        try:
            self.rename(path, new)
        except ClearstrokeError as error:
            self.room.tell(tree.in_words(error))
            self.room.renew()

    def rename_body(self, old: str, new: str) -> None:
        """Call a moving body otherwise. Raises what its field then shows."""
        self.draft.change(lambda p: rename_body(p, old, new), f"call {old} {new}", may_wait=False)
        self.room.rebuild()

    def copy_body(self, name: str) -> None:
        """Another arm or rocker like it."""
        self.make(f"copy {name}", lambda project: copy_body(project, name))

    def remove_body(self, name: str) -> None:
        """Take a moving body away with all that is joined to it."""
        self.change(f"remove {name}", lambda project: remove_body(project, name))

    def put(self, entry: Entry, value: Any) -> None:
        """Change one entry; the last good project stays alive while this raises.

        What stands red beside it is tried along with it: a tyre and a rim of another diameter
        can only be taken together.
        """
        what, before = f"change {entry.label}", self.room.project
        may_wait = entry.path[0] in ("links", "joints") and not isinstance(value, float)
        try:
            self.draft.change(lambda p: tree.put(p, entry.path, value), what, may_wait)
        except ClearstrokeError:
            waiting = self.room.waiting(entry.path)
            if not waiting:
                raise
            together = {path: field.read(field.text()) for path, field in waiting.items()}
            together[entry.path] = value
            self.draft.change(lambda p: tree.put_all(p, together), what, may_wait=False)
            for field in waiting.values():
                field.settle()
        self.room.ask(slip(entry.path, before, self.room.project))

    def choose(self, entry: Entry, value: Any) -> None:
        """Change one entry by a choice; what can't stand is said, and shown as it was."""
        try:
            self.put(entry, value)
        except ClearstrokeError as error:
            self.room.tell(tree.in_words(error, entry.path))
            self.room.renew()
        else:
            self.room.tell("")
