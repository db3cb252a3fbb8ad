"""What the window asks of kinematics, in one place: studies, moments and skins."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec
import numpy as np
from msgspec import to_builtins
from numpy.typing import NDArray

from app.document.sliding import slid_by as slid_by  # asked for as of this module
from app.document.sliding import top_mount as top_mount
from kinematics.clearance import Clearances, clearances
from kinematics.findings.find import clearance_findings, ranked
from kinematics.measures import measure
from kinematics.motion import Motion, corner, corner_like, move
from kinematics.project.model import Project
from kinematics.project.unfold import unfold
from kinematics.shapes.build import Builder
from kinematics.shapes.display import coilover
from kinematics.shapes.poses import Poses
from kinematics.shapes.skins import Dresser, Placement, Skin
from kinematics.studies.study import Setting, Study, checked_of, look, racks, set_up, study, travels

if TYPE_CHECKING:
    from kinematics.studies.top_map import TopMap
    from kinematics.units import Units

Array = NDArray[np.float64]
COARSE = 41  # travel samples of the curves while a mount slides
FAR = 1.0  # mm over its rule at which a pair is not looked at again from position to position
MOVES = 6.0  # mm beyond the nearest pair: far more than any closes in between two travels
SAME_RACK = 0.5  # mm
_BUILT = ("parts", "wheel", "coilover", "tower", "top_mount", "hoses", "bearings", "joints")
"""What parts and their joints are made of, besides links."""
DRAWN = 50.0  # mm: a pair that stays this much farther apart than the nearest is not drawn
_SHARED = ("pairs", "names", "kinds", "rule", "_parts")  # of a setting, while its parts stay


def stand(project: Project, folder: Path | None = None) -> Mapping[str, Placement]:
    """Where each skin is at set-up height: what can be shown before anything is checked."""
    linkage = corner(unfold(project))
    return _dresser(project, folder).place(move(linkage, np.zeros(1), np.zeros(1)))


def full(
    project: Project,
    progress: Callable[[float], None],
    cancelled: Callable[[], bool],
    folder: Path | None = None,
) -> Study:
    """All of it, certified between positions; scans are looked for in ``folder``."""
    return study(project, progress=progress, cancelled=cancelled, folder=folder)


def in_other_units(found: Study | None, project: Project, folder: Path | None) -> Study | None:
    """The study of a project that differs only in the units it is shown in; None of any other."""
    if found is None or found.statics is None:  # a coarse one, while a hand holds the mount
        return None
    old = found.setting
    if msgspec.structs.replace(project, units=old.project.units) != old.project:
        return None
    if folder != old.folder:  # its scans may be others
        return None
    return _shown_as(found, project)


def in_units(found: Study, units: Units) -> Study:
    """The same study shown in these units."""
    shown = msgspec.structs.replace(found.project, units=units)
    return found if shown == found.project else _shown_as(found, shown)


def _shown_as(found: Study, project: Project) -> Study:
    old = found.setting
    setting = replace(old, project=project, unfolded=unfold(project))
    known = {name: value for name, value in vars(old).items() if name not in vars(setting)}
    vars(setting).update(known)
    return replace(found, setting=setting)


def movable(project: Project, folder: Path | None = None) -> Study:
    """How the corner moves, a few travel samples fine, with no clearance known yet.

    A hand can pull the wheel long before everything is checked.
    """
    setting = set_up(project, folder)
    return _unchecked(setting, move(setting.linkage, travels(setting, COARSE), racks(setting)))


def _unchecked(setting: Setting, motion: Motion) -> Study:
    travel, rack = np.asarray(motion.travel), np.asarray(motion.rack)
    none, points = np.empty((0, len(travel), len(rack))), np.empty((0, len(travel), len(rack), 3))
    between = none[:, 1:]
    found = Clearances((), none, none, points, points, between, between)
    return Study(setting, travel, rack, motion, measure(setting.unfolded, motion), (), found)


def coarse(setting: Setting, before: Study, rack: float, cancelled: Callable[[], bool]) -> Study:
    """A few travel samples at one steer, for curves and findings that follow a sliding mount.

    Pairs too far apart to be drawn are not measured closer than that they are, which saves most
    of the work. ``cancelled`` is asked often enough to rest in between (``jobs.gently``).
    """
    wanted, where = np.linspace(before.travel[0], before.travel[-1], COARSE), np.array([rack])
    motion = move(setting.linkage, wanted, where)
    parts = setting.builder(motion)
    nearest = float(np.nanmin(before.clearances.low, initial=np.inf))
    found = clearances(
        parts, setting.pairs.checked, grid=(COARSE, 1), tol=before.tolerance,
        joints=setting.joints(motion), cutoff=DRAWN + max(0.0, nearest),
        threads=1, cancelled=cancelled,
    )  # fmt: skip
    measured = measure(setting.unfolded, motion)
    done = Study(setting, wanted, where, motion, measured, parts, found)
    told = clearance_findings(checked_of(done), setting.ends.place)
    return replace(done, findings=ranked(told))


@dataclass(frozen=True, eq=False)
class Pose:
    """One position, solved but not yet checked: all that is needed to show it."""

    setting: Setting
    motion: Motion

    @property
    def project(self) -> Project:
        """The project as it was given."""
        return self.setting.project


def pose(found: Study, travel: float, rack: float) -> Pose:
    """One position of a study's corner."""
    motion = move(found.linkage, np.array([travel]), np.array([rack]), start=found.motion)
    return Pose(found.setting, motion)


def posed(
    project: Project,
    shown: Pose | None,
    before: Study,
    travel: float,
    rack: float,
    folder: Path | None,
) -> Pose:
    """One position of a project, from what is known of it: its study, or what is shown of it; else
    from the study of what it was."""
    if before.project is project:
        return pose(before, travel, rack)
    if shown is None or shown.project is not project:
        return fresh_pose(project, before, travel, rack, folder)
    setting = shown.setting
    return Pose(setting, move(setting.linkage, np.array([travel]), np.array([rack])))


def figures_at(found: Pose, travel: float, rack: float) -> dict[str, float]:
    """The figures of a corner that is being changed, at another position; NaN if out of reach."""
    motion = move(found.setting.linkage, np.array([travel]), np.array([rack]))
    measured = measure(found.setting.unfolded, motion)
    return {key: float(values[0, 0]) for key, values in measured.figures.items()}


def fresh_pose(
    project: Project, before: Study, travel: float, rack: float, folder: Path | None = None
) -> Pose:
    """One position of a project that has just changed a little from a study's.

    The ends of travel and the choice of pairs are the old study's: near enough while a hand
    holds the mount, and worked out anew in the full study that follows.
    """
    setting = _near(project, before, folder)
    return Pose(setting, move(setting.linkage, np.array([travel]), np.array([rack])))


def check(pose: Pose, found: Study) -> Study:
    """A position measured and its clearances found, with the help of a study made before.

    Pairs that can be neither the nearest here nor nearer than their rule, by what the study
    certifies between the neighbouring travels, are not looked at again: they keep the study's
    figure of the nearer one.
    """
    if not found.clearances.pairs:
        return _unchecked(pose.setting, pose.motion)
    travel, rack = float(pose.motion.travel[0]), float(pose.motion.rack[0])
    far = FAR
    if pose.setting is not found.setting:
        slid = slid_by(found.project, pose.project)
        if slid is None:
            return look(pose.setting, np.array([travel]), np.array([rack]))
        # A mount slid by d takes no point of coilover or tower farther than about d.
        far = FAR + 1.5 * slid
    return _at(pose, found, travel, rack, _near_pairs(found, travel, rack, far))


def _near(project: Project, before: Study, folder: Path | None) -> Setting:
    old = before.setting
    unfolded = unfold(project)
    setting = replace(
        old,
        project=project,
        unfolded=unfolded,
        linkage=corner_like(old.linkage, unfolded) or corner(unfolded),
        builder=Builder(unfolded, folder, old.builder),
        folder=folder,
    )
    if unfolded.links == old.unfolded.links and _same_things(unfolded, old.unfolded):
        # The same parts on the same bodies: the same pairs, which cost more than a position.
        # What the first study is still working out is not waited for: a hand holds the mount.
        known = vars(old)
        vars(setting).update({name: known[name] for name in _SHARED if name in known})
    return setting


def _same_things(a: Project, b: Project) -> bool:
    """Whether the same things are on two corners, whatever their sizes and places."""
    pairs = ((getattr(a, name), getattr(b, name)) for name in _BUILT)
    return all(
        one is other or _built_alike(to_builtins(one), to_builtins(other)) for one, other in pairs
    )


def _built_alike(a: Any, b: Any) -> bool:
    """Whether two trees of plain data have the same things in them, whatever their sizes."""
    if isinstance(a, dict) and isinstance(b, dict):
        return a.keys() == b.keys() and all(_built_alike(a[key], b[key]) for key in a)
    if isinstance(a, list | tuple) and isinstance(b, list | tuple):
        return len(a) == len(b) and all(map(_built_alike, a, b))
    return bool(a) == bool(b)


def _at(pose: Pose, found: Study, travel: float, rack: float, near: NDArray[np.bool_]) -> Study:
    """A position, the pairs that are ``near`` looked at, the rest from a study."""
    setting, motion = pose.setting, pose.motion
    parts = setting.builder(motion)
    # Packing parts costs more than measuring them: hand over only those that are looked at.
    chosen = [found.clearances.pairs[p] for p in np.flatnonzero(near)]
    used = sorted({part for pair in chosen for part in pair})
    place = {part: k for k, part in enumerate(used)}
    new = clearances(
        [parts[k] for k in used],
        [(place[a], place[b]) for a, b in chosen],
        tol=found.tolerance,
        joints=[
            replace(joint, part_a=place[joint.part_a], part_b=place[joint.part_b])
            for joint in setting.joints(motion)
            if joint.part_a in place and joint.part_b in place
        ],
        threads=1,
    )
    i, j = int(np.argmin(np.abs(found.travel - travel))), column(found, rack)
    kept = found.clearances
    low, bound = kept.low[:, i, j, None, None].copy(), kept.bound[:, i, j, None, None].copy()
    a, b = kept.point_a[:, i, j, None, None].copy(), kept.point_b[:, i, j, None, None].copy()
    low[near], bound[near], a[near], b[near] = new.low, new.bound, new.point_a, new.point_b
    none = np.empty((len(low), 0, 1))
    return Study(
        setting,
        np.array([travel]),
        np.array([rack]),
        motion,
        measure(setting.unfolded, motion),
        parts,
        Clearances(kept.pairs, low, bound, a, b, none, none),
    )


def _near_pairs(found: Study, travel: float, rack: float, far: float) -> NDArray[np.bool_]:
    """Which pairs may be the nearest here, or less than ``far`` over their rule. (pairs,)"""
    kept, j = found.clearances, column(found, rack)
    every = np.ones(len(kept.pairs), bool)
    grid = np.asarray(found.travel)
    if len(grid) < 2 or abs(float(found.rack[j]) - rack) > SAME_RACK:
        return every
    i = int(np.clip(np.searchsorted(grid, travel), 1, len(grid) - 1))
    least = np.minimum(
        np.minimum(kept.low[:, i - 1, j], kept.low[:, i, j]), kept.between_low[:, i - 1, j]
    )
    rule = np.nan_to_num(found.rule, nan=0.0)
    known = least[np.isfinite(least)]
    nearest = float(known.min()) + MOVES if len(known) else np.inf
    return np.asarray(~(least > np.maximum(np.maximum(rule, 0.0) + far, nearest)))


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


def dressed(project: Project, folder: Path | None = None) -> tuple[Skin, ...]:
    """The display meshes."""
    return _dresser(project, folder).skins


def placements(found: Study | Pose) -> Mapping[str, Placement]:
    """Where each skin is at the study's poses, travel slowest."""
    return _dresser(found.project, found.setting.folder).place(found.motion)


def stood(found: Study, travel: float, rack: float) -> Mapping[str, Placement]:
    """Where each skin of a study is at one position, without checking anything."""
    motion = move(found.linkage, np.array([travel]), np.array([rack]))
    return _dresser(found.project, found.setting.folder).place(motion)


def slid(found: Study | Pose, start: Project) -> Mapping[str, Placement]:
    """Where each skin of ``start`` is once its mount has been slid to where ``found`` has it.

    Meshes stay as they are: only the coilover's are asked for again, the tower's are shifted.
    """
    placed = dict(_dresser(start, found.setting.folder).place(found.motion))
    project = found.setting.unfolded
    if project.coilover is None:
        return placed
    poses = Poses(found.motion)
    for figure in coilover.figures(project.coilover, project):
        rotation, origin, stretch = figure.place.at(poses)
        placed[figure.skin.name] = Placement(
            rotation, origin, np.asarray(stretch, float), figure.place.still
        )
    was, now = top_mount(start), top_mount(project)
    if was is not None and now is not None and (start.tower is None or start.tower.moves_with_top):
        for skin in dressed(start, found.setting.folder):
            if skin.kind == "tower" and placed[skin.name].still:
                kept = placed[skin.name]
                placed[skin.name] = replace(kept, origin=kept.origin + (now - was))
    return placed


def still(placed: Mapping[str, Placement]) -> frozenset[str]:
    """The names of the skins that nothing on the corner moves."""
    return frozenset(name for name, p in placed.items() if p.still)


_KEPT: list[tuple[Project, Path | None, Dresser]] = []
_KEEP = 6  # projects whose meshes are kept: now, before, and the steps of a drag


def _dresser(project: Project, folder: Path | None) -> Dresser:
    for kept, place, dresser in _KEPT:
        if kept is project and place == folder:
            return dresser
    made = Dresser(project, folder)
    _KEPT.insert(0, (project, folder, made))
    del _KEPT[_KEEP:]
    return made


def mapped(
    found: Study,
    fore: Array,
    inward: Array,
    progress: Callable[[float], None],
    cancelled: Callable[[], bool],
    rack: Array | None = None,
) -> TopMap:
    """What is worst at every place of the mount: offsets (n,) forward and (m,) inward, mm.

    ``rack`` : the rack positions looked at; straight ahead if left out.
    """
    from kinematics.studies.top_map import top_map  # slow to import

    return top_map(
        found.setting,
        -found.out * inward,
        fore,
        rack=0.0 if rack is None else rack,
        progress=progress,
        cancelled=cancelled,
    )


def poses_of(
    placements: Mapping[str, Any], index: int = 0
) -> dict[str, tuple[Array, Array, float]]:
    """Rotation, origin and stretch of every skin at one pose of its placements."""
    found = {}
    for name, placed in placements.items():
        i = min(index, len(placed.origin) - 1)
        found[name] = placed.rotation[i], placed.origin[i], float(placed.stretch[i])
    return found
