"""The pages of the description: what each has of the project, and how it is laid out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app.describe import car, choices, editors, mount, table
from app.describe.form import Form
from app.document import tree
from app.document.tree import Group, Path
from app.entry import wide
from app.look.menu import Menu
from app.look.palette import Palette
from app.look.sheets import room_sheet
from kinematics.project.arms import add_arm, add_joint
from kinematics.project.fitted import FITTINGS, add_fitting
from kinematics.project.fresh import usual_give, usual_rules
from kinematics.project.furnish import KINDS as PLAIN
from kinematics.project.furnish import add_part
from kinematics.project.model import Project
from kinematics.project.names import OF_A_COILOVER, OF_A_TOWER, OF_A_WHEEL
from kinematics.project.rules import extra_positions_of, rules_of
from kinematics.project.unfold import unfold
from kinematics.units import show_length

if TYPE_CHECKING:
    from app.describe.room import Describe

NEW = {
    "tube": "Round tube",
    "beam": "Box section through points",
    "plate": "Flat plate",
    "box": "Block, square to the car",
    "cylinder": "Cylinder",
    "rod_end": "Rod end or ball joint housing",
    "upright": "Upright",
    "shaft": "Drive shaft",
    "disc": "Brake disc",
    "caliper": "Brake caliper",
    "arch": "Wheel arch",
}
NEW_JOINTS = {
    "ball": "Ball joint",
    "hinge": "Hinge through two points",
    "slide": "Slide along a line",
    "point_on_line": "Point that stays on a line",
}


@dataclass(frozen=True)
class Page:
    """One page: its word, what it says of itself, its part of the project, its first entry."""

    word: str
    tip: str
    paths: tuple[Path, ...]
    build: Callable[[Describe, QVBoxLayout], None]
    first: Path = ()


def page_of(path: Path) -> str | None:
    """The page an entry is on."""
    found = [
        page.word for page in PAGES for held in page.paths if held and path[: len(held)] == held
    ]
    return found[0] if found else None


def page_for_part(name: str) -> str | None:
    """The page that describes what is not one of many: the tyre, the spring, the tower."""
    for word, names in (("Wheel", OF_A_WHEEL), ("Damper", OF_A_COILOVER), ("Tower", OF_A_TOWER)):
        if name in names:
            return word
    return "Tower" if name == "top mount" else None


def value_of(project: Project, path: Path) -> Any:
    """What the field of a path shows: a value, or what an entry of a table is called."""
    if path[-1] != "":
        return tree.get(project, path)
    return tree.get(project, path[:-1]) if path[0] == "bodies" else path[-2]


# --- the pages ------------------------------------------------------------------------------


def _points(room: Describe, column: QVBoxLayout) -> None:
    form = Form(room, column)
    form.add(car.side_row(form))
    table.build(room, form)


def _wheel(room: Describe, column: QVBoxLayout) -> None:
    form = Form(room, column)
    form.heading("Tyre")
    form.record(("wheel", "tyre"))
    form.heading("Rim")
    form.record(("wheel", "rim"))
    form.heading("Wheel")
    form.record(("wheel",), skip=("tyre", "rim"))


def _damper(room: Describe, column: QVBoxLayout) -> None:
    form = Form(room, column)
    if form.project.coilover is None:
        form.heading("Coilover")
        form.sentence("This corner has no damper and spring yet.")
        form.add(
            form.button(
                "Add a coilover", "Damper and spring", lambda: room.deeds.add_at(("coilover",))
            )
        )
        return
    held = ("spring", "bump_stop", "droop_stop", "clamp", "thread", "foot_end")
    form.heading("Damper", *_away(form, ("coilover",)))
    form.record(("coilover",), skip=held)
    for name in held:
        path = ("coilover", name)
        if tree.get(form.project, path) is None:
            group = next(m for m in tree.members(type(form.project.coilover), ("coilover",))
                         if m.path == path)  # fmt: skip
            assert isinstance(group, Group)
            form.absent(group)
        else:
            form.heading(tree.label_of(path).capitalize(), *_away(form, path))
            form.record(path)


def _tower(room: Describe, column: QVBoxLayout) -> None:
    form = Form(room, column)
    mount.build(form)
    for name, words, about in (
        ("top_mount", "Top mount", "Plate, bearing and what hangs below it."),
        ("tower", "Tower", "The sheet the top mount is bolted to."),
    ):
        if tree.get(form.project, (name,)) is None:
            add = form.button("Add", about, partial(room.deeds.add_at, (name,)))
            form.heading(words, add)
            form.sentence(about)
        else:
            form.heading(words, *_away(form, (name,)))
            form.record((name,))


def _links(room: Describe, column: QVBoxLayout) -> None:
    form = Form(room, column)
    project = form.project
    if project.arrangement is not None:
        apart = form.button(
            "Take apart",
            "The arrangement as separate links, joints and tubes: each can be changed",
            lambda: room.deeds.change("take the arrangement apart", unfold),
        )
        form.heading("Arrangement", apart)
        form.sentence(choices.KINDS[type(project.arrangement)])
        form.record(("arrangement",))
    link = form.button("Add a link", "A rod with a ball at either end", lambda: _add(room, "link"))
    form.heading("Links", link)
    _entries(form, "links", "None of its own beside the arrangement's.")
    form.heading(
        "Joints",
        _menu(form, "Add…", "A joint between two bodies", NEW_JOINTS, partial(_add_joint, room)),
    )
    _entries(form, "joints", "None of its own beside the arrangement's.")
    form.heading("Adjusters and shims", _more(form, "adjusters", "Add an adjuster"))
    _entries(form, "adjusters", "Threaded ends, cams and shims, each with its range.")
    form.heading(
        "Rack", *(_away(form, ("rack",)) if project.rack else [_more(form, "rack", "Add")])
    )
    if project.rack is not None:
        form.record(("rack",))
    more = "A moving body on a hinge, driven by a rod from the wheel's carrier"
    rocker = form.button("Add a rocker", more, lambda: room.deeds.add_at(("bodies",)))
    more = "An arm on two bushes with a ball at the wheel's carrier"
    arm = form.button("Add an arm", more, lambda: room.deeds.make("add an arm", add_arm))
    form.heading("Arms and rockers", arm, rocker)
    if not project.bodies:
        form.sentence("None of its own beside the arrangement's.")
    for k, name in enumerate(project.bodies):
        if name == project.wheel.body:  # what all is about: it is only called otherwise
            form.line("called", "", _body_name(room, k, name))
            continue
        copy = form.quiet(
            "Copy", f"Copy {name}", "Another, with all that is joined to it, a little above",
            partial(room.deeds.copy_body, name),
        )  # fmt: skip
        away = form.quiet(
            "Remove", f"Remove {name}", "Take it away with all that is joined to it",
            partial(room.deeds.remove_body, name),
        )  # fmt: skip
        form.line("called", "", _body_name(room, k, name), copy, away)


def _parts(room: Describe, column: QVBoxLayout) -> None:
    form = Form(room, column)
    tip = "A part by the wheel's inner side, to be put where it belongs"
    form.heading("Parts", _menu(form, "Add…", tip, NEW, partial(_add, room)))
    form.sentence("Drop a scan (STL, OBJ or PLY) on the window to bring it in.")
    _entries(form, "parts", "None yet.")


def _limits(room: Describe, column: QVBoxLayout) -> None:
    form = Form(room, column)
    _rules(form)
    _give(form)
    form.heading("Travel to look at")
    travel = next(m for m in tree.members(Project, ()) if m.path == ("travel",))
    assert isinstance(travel, Group)
    form.group(travel)
    for name, words, about in (
        ("bearings", "Rod ends, ball joints, bushes", "What tilts how far, by the point it is at."),
        ("stops", "Stops beside the damper", "None."),
        ("straps", "Limit straps", "None."),
        ("hoses", "Hoses", "None."),
    ):
        form.heading(words, _more(form, name, "Add"))
        _entries(form, name, about)


def _rules(form: Form) -> None:
    project, room = form.project, form.room
    if project.rules is None:
        change = form.button(
            "Change",
            "The usual rules as your own",
            lambda: room.deeds.change("own rules", usual_rules),
        )
        form.heading("Keep at least", change)
        units = project.units
        words = (f"{a} to {b} {show_length(r.at_least, units)}"
                 for r in rules_of(project) for a, b in (r.between,))  # fmt: skip
        form.sentence(f"The usual rules hold: {', '.join(words)}.")
        return
    usual = form.button(
        "Usual ones", "Back to the usual rules", lambda: room.deeds.drop_at(("rules",))
    )
    form.heading("Keep at least", _more(form, "rules", "Add a rule"), usual)
    form.sentence('A part by name beats its class, which beats "anything".')
    for i in range(len(project.rules)):
        away = form.quiet("×", f"Remove rule {i + 1}", "Take this rule away",
                          partial(room.deeds.drop_at, ("rules", i)))  # fmt: skip
        pair = [tree.Entry(("rules", i, "between", k), "name") for k in range(2)]
        form.pair_line(
            pair, tree.Entry(("rules", i, "at_least"), "length", project.rules[i].why), away
        )
        form.quiet_words(tree.Entry(("rules", i, "why"), "text", "why so much"), "why")


def _give(form: Form) -> None:
    project, room = form.project, form.room
    if project.extra_positions is None:
        change = form.button(
            "Change", "The usual positions as your own",
            lambda: room.deeds.change("own give", usual_give),
        )  # fmt: skip
        form.heading("How far the wheel gives", change)
        form.sentence(f"As a wheel usually does: {', '.join(extra_positions_of(project))}.")
    else:
        usual = form.button(
            "Usual ones", "Back to what a wheel usually gives",
            lambda: room.deeds.drop_at(("extra_positions",)),
        )  # fmt: skip
        form.heading("How far parts give", _more(form, "extra_positions", "Add"), usual)
        _entries(form, "extra_positions", "Nothing gives.")
    form.heading("Bushes that give", _more(form, "give", "Add a bush"))
    _entries(form, "give", "Links and balls taken as rigid.")


# --- pieces of pages ------------------------------------------------------------------------


def _body_name(room: Describe, k: int, name: str) -> QWidget:
    called = editors.name_field(room, ("bodies", k))
    called.put = partial(room.deeds.rename_body, name)
    called.setAccessibleName(f"name of {name}")
    return wide(called, 172, room.theme)


def _menu(
    form: Form, words: str, tip: str, kinds: dict[str, str], add: Callable[[str], None]
) -> QPushButton:
    """A button that asks which kind to add."""
    button = form.button(words, tip, _nothing)
    menu = Menu(form.theme, button)
    for kind, called in kinds.items():
        menu.addAction(called).triggered.connect(lambda _=False, k=kind: add(k))
    button.setMenu(menu)
    return button


def _nothing() -> None:
    """A button whose menu does what it is for."""


def _away(form: Form, path: Path) -> list[Any]:
    words = f"Remove {tree.label_of(path)}"
    return [form.quiet("Remove", words, words, lambda: form.room.deeds.drop_at(path))]


def _more(form: Form, name: str, words: str) -> Any:
    return form.button(words, "", lambda: form.room.deeds.add_at((name,)))


def _entries(form: Form, name: str, none: str) -> None:
    """A table of the project's, or a sentence where there is none."""
    group = next(m for m in tree.members(Project, ()) if m.path == (name,))
    assert isinstance(group, Group)
    if not tree.get(form.project, (name,)) and none:
        form.sentence(none)
    form.table(group)


def _add(room: Describe, kind: str) -> None:
    """Something new, unfolded here and selected in the view."""
    maker = add_fitting if kind in FITTINGS else add_part
    name = room.deeds.make(f"add a {NEW.get(kind, kind).lower()}", lambda p: maker(p, kind))
    if name is not None:
        room.present(("links",) if kind == "link" else ("parts",), name)


def _add_joint(room: Describe, kind: str) -> None:
    """A new joint, unfolded here."""
    words = NEW_JOINTS[kind].lower()
    name = room.deeds.make(f"add a {words}", lambda p: add_joint(p, kind))
    if name is not None:
        room.present(("joints",), name)


PAGES = (
    Page("Points", "Where everything is", (("points",), ("side",)), _points),
    Page("Wheel", "Tyre, rim, camber and toe", (("wheel",),), _wheel, ("wheel", "tyre", "size")),
    Page("Damper", "Damper, spring and stops", (("coilover",),), _damper, ("coilover", "open")),
    Page(
        "Tower", "The top mount and what it is bolted to",
        (("tower",), ("top_mount",), ("coilover", "top")), _tower, ("tower", "top"),
    ),
    Page(
        "Links", "Arms, links, joints, adjusters",
        (("arrangement",), ("links",), ("joints",), ("adjusters",), ("rack",), ("bodies",)), _links,
    ),
    Page("Parts", "What is fabricated, bolted on or scanned", (("parts",),), _parts),
    Page(
        "Limits", "Room to keep, give, stops, straps and hoses",
        (("rules",), ("extra_positions",), ("give",), ("travel",), ("bearings",), ("stops",),
         ("straps",), ("hoses",)), _limits,
    ),
    Page(
        "Car", "Title, units, side and ground",
        (("title",), ("data",), ("source",), ("notes",), ("units",), ("side",), ("ground_z",),
         ("setup_wheel_z",), ("wheelbase",)), car.build,
    ),
)  # fmt: skip
assert set(NEW) | {"link"} == {*PLAIN, *FITTINGS}


def style(p: Palette) -> str:
    """The room's style sheet."""
    return (
        room_sheet(p, "Describe") + "QPushButton::menu-indicator { width: 0; }"
        f"QToolButton {{ background: transparent; color: {p.dye}; border: none;"
        " border-radius: 6px; padding: 3px 6px; }"
        f"QToolButton:hover, QToolButton:focus {{ background: {p.wash}; }}"
    )
