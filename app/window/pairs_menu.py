"""The list of all pairs that are checked."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPoint

from app.document import reading
from app.look.menu import Menu

if TYPE_CHECKING:
    from app.window.window import Window

PAIRS = 40  # listed, nearest first


def show(window: Window) -> None:
    """Every pair that is checked, nearest first; choosing one goes to where it is nearest.

    Those that nothing is known of stand last, and lead nowhere.
    """
    study = window.document.study
    if study is None or not study.clearances.pairs:
        return  # not checked yet
    menu = Menu(window.theme, window)
    units = study.project.units
    worst = study.clearances.worst
    for p in np.argsort(worst)[:PAIRS]:  # NaN is last
        low = study.clearances.low[p]
        a, b = study.names[p]
        if not np.isfinite(low).any():
            menu.addAction(f"{a}, {b}\tnot known").setEnabled(False)
            continue
        i, j = divmod(int(np.nanargmin(low)), low.shape[1])
        place = (float(study.travel[i]), float(study.rack[j]))
        point = study.clearances.point_a[p, i, j]
        action = menu.addAction(f"{a}, {b}\t{reading.amount_words(float(worst[p]), units)}")
        action.triggered.connect(
            lambda _=False, at=place, spot=point: window.visit(at[0], at[1], tuple(spot))
        )
    menu.aboutToHide.connect(menu.deleteLater)
    rest = window.headline.rest
    menu.popup(rest.mapToGlobal(QPoint(34, rest.height())))
