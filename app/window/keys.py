"""What the keys do in the window."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.document import ways
from app.document.document import Document
from app.hand.amounts import STEPS_SAID, key_step
from kinematics.units import Units

if TYPE_CHECKING:
    from app.window.window import Window

SHEET = (
    ("Left, Right", "turn the wheel: the rack goes by as much"),
    ("Page Up, Page Down", "to the next mark on the ruler"),
    ("Home", "to set-up height"),
    ("Space", "play through travel"),
    ("J", "to the next problem, worst first; with Shift the one before"),
    ("K", "keep this state as before; again to let it go"),
    ("1, 2, 3, 4", "look in 3D, square from the front, the side, the top"),
    ("L", "look through the parts at the contact"),
    ("O", "only the part selected, the rest faded; H hides it, A shows all"),
    ("C", "cut the corner open through the wheel"),
    ("M", "the same corner on the other side of the car"),
    ("D", "distance between two points or parts"),
    ("Digits", "type how far what is held goes: 12, 1/2 in, x −3; Enter takes it"),
    ("G", "the top mount, to type how far it goes"),
    ("Tab", "walk through what can be moved; arrows move the mount"),
    ("Esc", "put back what is held; stop what runs"),
    ("Ctrl+Z, Ctrl+Shift+Z", "undo, redo"),
    ("Ctrl+O, Ctrl+S", "open, save"),
    ("P", "plot any figure against travel or steer"),
    ("Ctrl+E", "export, print"),
    ("T", "light or dark"),
    ("F1, F2", "this sheet; a short tour on the example"),
)


def sheet(units: Units) -> tuple[tuple[str, str], ...]:
    """What each key does, for one who thinks in these units."""
    return (("Up, Down", f"travel by {STEPS_SAID[units]}"), *SHEET)


def press(window: Window, event: QKeyEvent) -> bool:
    """Do what a key asks for; False if it asks for nothing."""
    key, mods = Qt.Key(event.key()), event.modifiers()
    if mods & Qt.KeyboardModifier.ControlModifier:
        return False
    if window.hands.key(event):
        return True
    document = window.document
    step = key_step(units_of(document), mods)
    if key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
        document.set_travel(document.travel + (step if key == Qt.Key.Key_Up else -step))
    elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
        left = step if key == Qt.Key.Key_Left else -step
        document.set_rack(document.rack + left * leftward(document))
    elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
        next_stop(window, key == Qt.Key.Key_PageUp)
    elif key == Qt.Key.Key_Home:
        window.go(0.0)
    elif key == Qt.Key.Key_J:
        next_finding(window, -1 if mods & Qt.KeyboardModifier.ShiftModifier else 1)
    elif key in (Qt.Key.Key_1, Qt.Key.Key_2, Qt.Key.Key_3, Qt.Key.Key_4):
        window.view(("3d", "front", "side", "top")[key - Qt.Key.Key_1])
    elif key == Qt.Key.Key_G:
        window.hands.choose_mount(window.stage)
    elif key in _NAMED:
        window.do(_NAMED[key])
    else:
        return False
    return True


def nudge(document: Document, notches: float) -> None:
    """Travel by a key's step for each notch of the mouse's wheel."""
    step = key_step(units_of(document), Qt.KeyboardModifier.NoModifier)
    document.set_travel(document.travel + notches * step)


def units_of(document: Document) -> Units:
    """What lengths are shown in; mm while nothing is open."""
    return "mm" if document.project is None else document.project.units


def leftward(document: Document) -> float:
    """1 if the rack moved to the left turns the wheel left as the driver sees it, else -1.

    It turns it right where the steering arm reaches back behind the axle.
    """
    found = ways.steer_by_rack(document.study, document.travel)
    if found is None:
        return 1.0
    angles = found[1][np.isfinite(found[1])]
    return -1.0 if len(angles) > 1 and angles[-1] < angles[0] else 1.0


def next_finding(window: Window, way: int) -> None:
    """To the next problem, worst first; round and round."""
    study = window.document.study
    if study is None:
        return
    wanted = [i for i, f in enumerate(study.findings) if f.kind != "end"]
    if not wanted:
        return
    current = window.show_it.current
    at = wanted.index(current) if current in wanted else -1
    if at < 0 and way < 0:
        at = 0
    window.jump(wanted[(at + way) % len(wanted)])


def next_stop(window: Window, up: bool) -> None:
    """To the next named height."""
    now = window.document.travel
    stops = window.ruler.stops()
    beyond = [s for s in stops if (s > now + 0.05 if up else s < now - 0.05)]
    if beyond:
        window.go(min(beyond) if up else max(beyond))


_NAMED = {
    Qt.Key.Key_Space: "play",
    Qt.Key.Key_K: "before",
    Qt.Key.Key_L: "through",
    Qt.Key.Key_O: "only",
    Qt.Key.Key_H: "hide",
    Qt.Key.Key_A: "all",
    Qt.Key.Key_C: "cut",
    Qt.Key.Key_D: "distance",
    Qt.Key.Key_P: "plot",
    Qt.Key.Key_M: "mirror",
    Qt.Key.Key_T: "lamp",
    Qt.Key.Key_F1: "help",
    Qt.Key.Key_F2: "tour",
    Qt.Key.Key_Escape: "escape",
}
