"""What the window asks of kinematics, in one place: studies, moments, skins and their ways."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from kinematics.project.model import Project
from kinematics.shapes.skins import Dresser, Placement, Skin
from kinematics.studies.study import Study, look, moment, set_up, study, travels

if TYPE_CHECKING:
    from app.stage.pick import Hit

Array = NDArray[np.float64]
FIRST = 41  # travel samples of the quick first study


def first(project: Project) -> Study:
    """A coarse study without findings, quick enough to open with."""
    setting = set_up(project)
    return look(setting, travels(setting, FIRST), np.zeros(1))


def full(
    project: Project, progress: Callable[[float], None], cancelled: Callable[[], bool]
) -> Study:
    """All of it, certified between positions."""
    return study(project, progress=progress, cancelled=cancelled)


def coarse(project: Project, travel: Array, rack: float, cancelled: Callable[[], bool]) -> Study:
    """A few travel samples at one steer, for curves that follow a sliding mount."""
    return look(set_up(project), travel, np.array([rack]), cancelled=cancelled)


def fresh(project: Project, travel: float, rack: float) -> Study:
    """One position of a project that has just changed."""
    return look(set_up(project), np.array([travel]), np.array([rack]))


def moment_of(found: Study, travel: float, rack: float) -> Study:
    """One position of a study, warm."""
    return moment(found, travel, rack)


def column(found: Study, rack: float) -> int:
    """The study's rack position nearest to this one."""
    return int(np.argmin(np.abs(np.asarray(found.rack) - rack)))


def limits(found: Study, rack: float) -> tuple[float, float]:
    """The travel that is real, around set-up height, at the nearest rack position."""
    good = np.asarray(found.reached)[:, column(found, rack)]
    travel = np.asarray(found.travel)
    if not good.any():
        return 0.0, 0.0
    here = int(np.argmin(np.where(good, np.abs(travel), np.inf)))
    low = high = here
    while low > 0 and good[low - 1]:
        low -= 1
    while high < len(good) - 1 and good[high + 1]:
        high += 1
    return float(travel[low]), float(travel[high])


def top_mount(project: Project | None) -> Array | None:
    """The top bearing's centre, mm; None without a coilover."""
    if project is None or project.coilover is None:
        return None
    return np.asarray(project.points[project.coilover.top.point], float)


def dressed(project: Project) -> tuple[Skin, ...]:
    """The display meshes."""
    return _dresser(project).skins


def placements(found: Study) -> Mapping[str, Placement]:
    """Where each skin is at the study's poses, travel slowest."""
    return _dresser(found.project).place(found.motion)


def still(placed: Mapping[str, Placement]) -> frozenset[str]:
    """The names of the skins that nothing on the corner moves."""
    return frozenset(name for name, p in placed.items() if p.still)


_KEPT: list[tuple[Project, Dresser]] = []
_KEEP = 6  # projects whose meshes are kept: now, before, and the steps of a drag


def _dresser(project: Project) -> Dresser:
    for kept, dresser in _KEPT:
        if kept is project:
            return dresser
    made = Dresser(project)
    _KEPT.insert(0, (project, made))
    del _KEPT[_KEEP:]
    return made


def way_by_travel(found: Study | None, hit: Hit, rack: float) -> tuple[Array, Array]:
    """A held point's places over the travel that is real. Values (n,), points (n, 3)."""
    assert found is not None
    points = _carried(found, hit)[:, column(found, rack)]
    low, high = limits(found, rack)
    travel = np.asarray(found.travel)
    kept = (travel >= low - 1e-9) & (travel <= high + 1e-9)
    return travel[kept], points[kept]


def way_by_rack(found: Study | None, hit: Hit, travel: float) -> tuple[Array, Array]:
    """A held point's places over the rack's travel at the nearest travel sample."""
    assert found is not None
    row = int(np.argmin(np.abs(np.asarray(found.travel) - travel)))
    return np.asarray(found.rack), _carried(found, hit)[row]


def _carried(found: Study, hit: Hit) -> Array:
    """The held point of a skin at every pose of the study. (nz, ns, 3)"""
    placed = placements(found)[hit.piece.name]
    count = len(found.travel) * len(found.rack)
    local = np.broadcast_to(hit.local, (len(placed.origin), 3)).copy()
    local[:, 2] += hit.along * np.asarray(placed.stretch)
    world = np.einsum("nij,nj->ni", placed.rotation, local) + placed.origin
    world = np.broadcast_to(world, (count, 3)) if len(world) == 1 else world
    return np.asarray(world.reshape(len(found.travel), len(found.rack), 3))
