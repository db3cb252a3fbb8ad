"""What stands on the stage: pieces with their poses and the way each is to be shown.

The scene knows nothing of OpenGL: the painters (``opengl``, ``plain``) read it, so that either
may be replaced.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from app.look.palette import State
from app.stage.mesh import Mesh, drawn
from kinematics.shapes.skins import Skin

Array = NDArray[np.float64]
STILL = np.hstack([np.eye(3), np.zeros((3, 1))])


@dataclass
class Piece:
    """One skin on the stage. ``pose`` (3, 4) and ``stretch`` place it (see ``Skin``)."""

    name: str
    part: str
    kind: str
    mesh: Mesh
    skin: Skin
    moving: bool
    pose: Array = field(default_factory=STILL.copy)
    stretch: float = 0.0
    shown: bool = True
    faded: bool = False
    hovered: bool = False
    selected: bool = False
    dyed: bool = False

    def points(self) -> Array:
        """The corners of what is drawn where it stands now, by its mesh's faces. (n, 3)"""
        local = self.mesh.position.astype(float)
        local[:, 2] += self.mesh.along * self.stretch
        return np.asarray(local @ self.pose[:, :3].T + self.pose[:, 3])


@dataclass(frozen=True)
class Mark:
    """Where two parts meet or come near: a point on each, the state, the distance between."""

    parts: tuple[str, str]
    state: State
    amount: float
    point_a: Array
    point_b: Array


class Scene:
    """The pieces, the marks and the ghosts. ``shape`` and ``look`` count what changed.

    ``loose`` counts what of ``shape`` was only the meshes of pieces that move.
    """

    def __init__(self) -> None:
        self.pieces: dict[str, Piece] = {}
        self.ghosts: dict[str, Piece] = {}
        self.marks: tuple[Mark, ...] = ()
        self.ground_z = 0.0
        self.cut: Array | None = None  # plane (4,): what lies on its positive side is cut away
        self.shape = self.loose = 0
        self.look = 0

    def dress(self, skins: Iterable[Skin], still: Container[str]) -> None:
        """Put these skins on the stage, keeping what is the same as before."""
        before, self.pieces = self.pieces, {}
        changed = stands = False  # whether anything did, and anything of what stands
        for skin in skins:
            old = before.get(skin.name)
            if old is not None and _same(old.skin, skin):
                self.pieces[skin.name] = old
            else:
                self.pieces[skin.name] = piece = Piece(
                    skin.name, skin.part, skin.kind, drawn(skin), skin, skin.name not in still
                )
                if old is not None:
                    piece.shown, piece.faded = old.shown, old.faded
                    piece.dyed, piece.selected = old.dyed, old.selected
                changed = True
                stands |= old is None or not (piece.moving and old.moving)
            moves = skin.name not in still
            stands |= self.pieces[skin.name].moving != moves
            self.pieces[skin.name].moving = moves
        stands |= list(before) != list(self.pieces)
        if changed or stands:
            self.shape += 1
            self.loose += not stands

    def pose(self, poses: Mapping[str, tuple[Array, Array, float]]) -> None:
        """Place the pieces: rotation (3, 3), origin (3,) and stretch by name; NaN hides none."""
        for name, (rotation, origin, stretch) in poses.items():
            if (piece := self.pieces.get(name)) is not None:
                _place(piece, rotation, origin, stretch)

    def keep_ghosts(self) -> None:
        """Keep what stands now as the ghost of before."""
        self.ghosts = {
            name: Piece(p.name, p.part, p.kind, p.mesh, p.skin, p.moving, p.pose.copy(), p.stretch)
            for name, p in self.pieces.items()
        }
        self.shape += 1

    def pose_ghosts(self, poses: Mapping[str, tuple[Array, Array, float]]) -> None:
        """Place the ghosts; those that stand where their piece stands are not shown."""
        for name, ghost in self.ghosts.items():
            if name in poses:
                _place(ghost, *poses[name])
            piece = self.pieces.get(name)
            same = piece is not None and piece.mesh is ghost.mesh
            same = same and piece is not None and abs(piece.stretch - ghost.stretch) < 0.05
            ghost.shown = not (same and piece is not None and _near(piece, ghost))

    def drop_ghosts(self) -> None:
        """No before any more."""
        if self.ghosts:
            self.ghosts = {}
            self.shape += 1

    def bounds(self, moving_only: bool = False) -> Array:
        """Least and most corner of what is shown. (2, 3)"""
        points = [p.points() for p in self.pieces.values() if p.shown]
        if moving_only:
            points = [p.points() for p in self.pieces.values() if p.shown and p.moving]
        if not points:
            return np.array([[-400.0, -400.0, 0.0], [400.0, 400.0, 700.0]])
        return np.array(
            [np.min([p.min(0) for p in points], 0), np.max([p.max(0) for p in points], 0)]
        )


def _place(piece: Piece, rotation: Array, origin: Array, stretch: float) -> None:
    """Put a piece where it is; a position that was not reached leaves it where it was."""
    if np.isfinite(rotation).all() and np.isfinite(origin).all():
        piece.pose[:, :3] = rotation
        piece.pose[:, 3] = origin
        piece.stretch = float(stretch) if np.isfinite(stretch) else 0.0


def _near(a: Piece, b: Piece) -> bool:
    """Whether two pieces stand in the same place, to what can be seen."""
    reach = float(np.abs(a.mesh.position).max())
    off = np.abs(a.pose - b.pose)
    return bool(off[:, 3].max() < 0.1 and off[:, :3].max() * reach < 0.1)


def _same(a: Skin, b: Skin) -> bool:
    if a is b:
        return True
    if a.kind != b.kind or a.part != b.part or a.vertices.shape != b.vertices.shape:
        return False
    if a.closed != b.closed:
        return False
    if a.vertices is b.vertices and a.faces is b.faces and a.along is b.along:
        return True
    if (a.along is None) != (b.along is None):
        return False
    if a.along is not None and b.along is not None and not np.array_equal(a.along, b.along):
        return False
    if not np.array_equal(a.faces, b.faces):
        return False
    # Mostly the same to the last digit, which is found out in a tenth of the time.
    same = np.array_equal(a.vertices, b.vertices)
    return same or np.allclose(a.vertices, b.vertices, atol=1e-3)
