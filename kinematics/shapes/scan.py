"""Imported meshes: read with care, so that a broken file never reads as clear.

Mesh readers accept far too much: files cut short load as nothing at all, faces with corners that
are not numbers vanish without a word. Here every loss is either refused or counted and told.
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from kinematics.errors import ClearstrokeError
from kinematics.frames import about_axes
from kinematics.project.model import Scan
from kinematics.shapes.pieces import Mesh, Surface
from kinematics.shapes.poses import Poses
from kinematics.shapes.recipe import Carried, Recipe, carried
from kinematics.units import MM_PER_INCH

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH}
MOST_BYTES = 800_000_000
MOST_TRIANGLES = 8_000_000
FARTHEST = 100_000.0
"""Farthest a corner may lie from the origin, mm: beyond it the unit is surely wrong."""
FLAT = 1e-9
"""Doubled area below which a triangle is none, mm^2."""

_STL_HEAD, _STL_FACE = 84, 50
_STL_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
_PLY_FACES = re.compile(rb"element\s+face\s+(\d+)")


class ScanError(ClearstrokeError):
    """A mesh file that can't be used; the message says what is wrong with it."""


@dataclass(frozen=True, eq=False)
class ScanMesh:
    """A mesh as imported, in mm.

    vertices : (m, 3). faces : (k, 3), anticlockwise from outside where closed. component : (k,)
    which connected piece each face is of. closed : (components,) which of them are watertight,
    so that inside is known. notes : what was lost or is doubtful, a sentence each.
    """

    vertices: Floats
    faces: Ints
    component: Ints
    closed: NDArray[np.bool_]
    notes: tuple[str, ...]

    @cached_property
    def surface(self) -> Surface:
        """What other parts are measured to."""
        inside = tuple(bool(whole) for whole in self.closed)
        return Surface(self.vertices[self.faces], self.component, inside)

    @cached_property
    def box(self) -> tuple[Floats, Floats]:
        """Least and most corner, mm."""
        return self.vertices.min(axis=0), self.vertices.max(axis=0)

    @property
    def size(self) -> str:
        """Its bounding box in mm and inches, to judge the unit by."""
        low, high = self.box
        mm = " × ".join(f"{v:.0f}" for v in high - low)
        inches = " × ".join(f"{v / MM_PER_INCH:.1f}" for v in high - low)
        return f"{mm} mm ({inches} in)"


def scan_of(spec: Scan, folder: Path | None) -> ScanMesh:
    """The mesh of a project's scan, whose file lies in `folder` (None: where the program runs).

    As in its file, wherever it is placed (`placing`). Remembered until the file changes. Raises
    `ScanError`.
    """
    path = (folder or Path()) / spec.file
    try:
        changed = path.stat().st_mtime_ns
    except OSError as error:
        raise ScanError(f"{path.name}: the file can't be read ({error.strerror}).") from error
    return _remembered(path, changed, spec.file_unit, spec.mirrored)


@lru_cache(maxsize=4)
def _remembered(path: Path, changed: int, unit: str, mirrored: bool) -> ScanMesh:
    return read_scan(path, unit, mirrored)


def scan(name: str, spec: Scan, folder: Path | None) -> Recipe:
    """A scan carried whole by a body. Raises `ScanError`."""
    mesh = scan_of(spec, folder)
    low, high = mesh.box
    box = np.array([[x, y, z] for x in (low[0], high[0]) for y in (low[1], high[1])
                    for z in (low[2], high[2])])  # fmt: skip
    turned, moved = placing(spec)

    def make(poses: Poses) -> Mesh:
        rotation, position = poses.frame(spec.body)
        return Mesh(mesh.surface, rotation @ turned, rotation @ moved + position)

    closed = bool(mesh.closed.all())
    hull = box @ turned.T + moved
    return carried(name, spec.body, spec.is_a, [Carried(hull, make)], closed=closed)


def placing(spec: Scan) -> tuple[Floats, Floats]:
    """How a scan is placed as measured: point p of its file, in mm, stands at rotation @ p + move.

    Rotation (3, 3), move (3,) mm. It is put on to the pose of what carries the scan, so that a scan
    placed otherwise is neither read nor sorted again.
    """
    return about_axes(spec.turn_deg), np.array(spec.move, float)


def read_scan(path: str | Path, unit: str, mirrored: bool = False) -> ScanMesh:
    """The mesh in an STL, OBJ or PLY file whose numbers are in `unit` (mm, cm, m or in).

    `mirrored` negates y as it is read. Corners at exactly one place are made one; triangles of no
    area are dropped and counted. Raises `ScanError` for a file that is missing, cut short, empty,
    of another kind, or that holds what is not a number.
    """
    path = Path(path)
    data = _bytes(path)
    kind = path.suffix.lower().removeprefix(".")
    told = {"stl": _stl_count, "ply": _ply_count, "obj": _obj_count}
    if kind not in told:
        raise ScanError(f"{path.name}: only STL, OBJ and PLY meshes can be read.")
    expected = told[kind](data, path.name)
    corners, faces = _load(data, kind, path.name)
    notes = []
    if len(faces) < expected:
        lost = expected - len(faces)
        notes.append(f"{path.name}: {lost:,} of its {expected:,} faces could not be read.")
    _check(corners, faces, path.name)
    corners = corners * MM[unit]
    if mirrored:
        corners, faces = corners * (1.0, -1.0, 1.0), faces[:, ::-1]
    if float(np.abs(corners).max()) > FARTHEST:
        raise ScanError(
            f"{path.name}: it reaches {np.abs(corners).max() / 1000:.0f} m from the origin when "
            f"its unit is {unit}: choose another unit."
        )
    vertices, faces = _weld(corners, faces)
    faces, dropped = _without_slivers(vertices, faces, path.name)
    if dropped:
        were = "was" if dropped == 1 else "were"
        notes.append(f"{path.name}: {_many(dropped, 'triangle')} without area {were} left out.")
    return _assembled(vertices, faces, path.name, notes)


def _bytes(path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise ScanError(f"{path.name}: {size / 1e6:.0f} MB is too large; thin the mesh out.")
        return path.read_bytes()
    except OSError as error:
        raise ScanError(f"{path.name}: the file can't be read ({error.strerror}).") from error


def _stl_count(data: bytes, name: str) -> int:
    """Triangles an STL file says it has; a binary one must be as long as that makes it."""
    if _is_text(data):
        lower = data.lower()
        begun, ended = lower.count(b"facet normal"), lower.count(b"endfacet")
        if begun != ended:
            raise ScanError(
                f"{name}: it begins {begun:,} triangles and ends {ended:,}: the file is damaged or "
                "cut short; export it again."
            )
        if b"endsolid" not in lower[-1000:]:
            raise ScanError(
                f"{name}: it stops after {_many(ended, 'triangle')} without its last line: the "
                "file is damaged or cut short; export it again."
            )
        return ended
    if len(data) < _STL_HEAD:
        raise ScanError(f"{name}: this is not an STL file, or it is cut short.")
    count = int.from_bytes(data[80:84], "little")
    if len(data) != _STL_HEAD + _STL_FACE * count:
        room = max(0, (len(data) - _STL_HEAD) // _STL_FACE)
        more = " and some more" if room >= count else ""
        raise ScanError(
            f"{name}: it says it has {count:,} triangles but is long enough for {room:,}{more}: "
            "the file is damaged or cut short; export it again."
        )
    return count


def _is_text(data: bytes) -> bool:
    """True for the text form of STL; some binary files begin with the same word."""
    return data[:5].lower() == b"solid" and b"facet" in data[:2000].lower()


def _ply_count(data: bytes, name: str) -> int:
    found = _PLY_FACES.search(data[:20_000])
    if data[:3] != b"ply" or found is None:
        raise ScanError(f"{name}: this is not a PLY mesh, or it has no faces.")
    return int(found[1])


def _obj_count(data: bytes, name: str) -> int:
    return data.count(b"\nf ") + data.startswith(b"f ")


def _load(data: bytes, kind: str, name: str) -> tuple[Floats, Ints]:
    if kind == "stl" and not _is_text(data):
        corners = np.frombuffer(data, _STL_RECORD, offset=_STL_HEAD)["corners"].reshape(-1, 3)
        return corners.astype(np.float64), np.arange(len(corners)).reshape(-1, 3)
    import trimesh  # Half a second, which only those who import a mesh should wait for.

    try:
        with np.errstate(all="ignore"):
            made: Any = trimesh.load(io.BytesIO(data), file_type=kind, process=False, force="mesh")
        corners = np.asarray(made.vertices, np.float64).reshape(-1, 3)
        faces = np.asarray(made.faces, np.int64).reshape(-1, 3)
    except Exception as error:  # The reader raises whatever it trips over.
        raise ScanError(f"{name}: the mesh can't be read: {_short(error)}.") from error
    return corners, faces


def _short(error: Exception) -> str:
    if isinstance(error, IndexError):
        return "its faces name corners that are not there"
    return " ".join(str(error).split())[:120].rstrip(".!") or type(error).__name__


def _many(count: int, what: str) -> str:
    """``1 triangle``, ``1,280 triangles``."""
    return f"{count:,} {what}{'' if count == 1 else 's'}"


def _check(corners: Floats, faces: Ints, name: str) -> None:
    if len(faces) == 0:
        raise ScanError(f"{name}: there is no triangle in it.")
    if len(faces) > MOST_TRIANGLES:
        raise ScanError(f"{name}: {len(faces):,} triangles are too many; thin the mesh out.")
    if faces.min() < 0 or faces.max() >= len(corners):
        raise ScanError(f"{name}: its faces name corners that are not there.")
    bad = np.asarray(~np.isfinite(corners).all(axis=1))
    if np.any(bad):
        spoilt = int(np.count_nonzero(np.any(bad[faces], axis=1)))
        raise ScanError(
            f"{name}: {_many(int(bad.sum()), 'corner')} {'is' if bad.sum() == 1 else 'are'} not "
            f"made of numbers, which spoils {spoilt:,} of {_many(len(faces), 'triangle')}; export "
            "it again."
        )


def _weld(corners: Floats, faces: Ints) -> tuple[Floats, Ints]:
    """Corners at exactly one place made one, and unused ones left out."""
    corners = np.ascontiguousarray(corners + 0.0)  # Minus zero becomes zero.
    bits = corners.view(np.uint64)
    key = np.zeros(len(corners), np.uint64)
    for column in bits.T:
        key = (key ^ column) * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(29)
    _, first, number = np.unique(key, return_index=True, return_inverse=True)
    if not np.array_equal(corners[first][number], corners):
        # Two places share a key: sort by the numbers themselves.
        _, first, number = np.unique(corners, axis=0, return_index=True, return_inverse=True)
    faces = number.reshape(-1)[faces]
    used = np.zeros(len(first), bool)
    used[faces] = True
    return corners[first][used], (np.cumsum(used) - 1)[faces]


def _without_slivers(vertices: Floats, faces: Ints, name: str) -> tuple[Ints, int]:
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    cross = np.cross(b - a, c - a)
    real = np.einsum("ij,ij->i", cross, cross) > FLAT**2
    if not np.any(real):
        raise ScanError(f"{name}: none of its triangles has any area.")
    return faces[real], int(np.count_nonzero(~real))


def _assembled(vertices: Floats, faces: Ints, name: str, notes: list[str]) -> ScanMesh:
    """Components, which of them are closed, and closed ones wound outward."""
    from scipy.sparse.csgraph import connected_components  # slow to import

    edges = _edges(len(vertices), faces)
    count, label = connected_components(edges, directed=False)
    component = label[faces[:, 0]].astype(np.int64)
    closed = ~np.isin(np.arange(count), label[_open_ends(edges)])
    a, b, c = (vertices[faces[:, k]] - vertices.mean(axis=0) for k in range(3))
    volume = np.bincount(component, np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0, count)
    inside_out = closed & (volume < 0)
    faces = np.where(inside_out[component][:, None], faces[:, ::-1], faces)
    if not closed.all():
        which = (
            "it" if count == 1 else f"{int(np.count_nonzero(~closed)):,} of its {count:,} pieces"
        )
        notes.append(
            f"{name}: {which} is open, so it has no inside: distances are to its surface, and "
            "a part wholly within it would read as clear of it."
        )
    return ScanMesh(vertices, faces, component, closed, tuple(notes))


def _edges(points: int, faces: Ints) -> csr_array:
    """How many faces run along each edge in each direction, (points, points)."""
    from scipy.sparse import coo_array  # slow to import

    start = faces.reshape(-1)
    end = np.roll(faces, -1, axis=1).reshape(-1)
    ones = np.ones(len(start), np.int32)
    return coo_array((ones, (start, end)), shape=(points, points)).tocsr()


def _open_ends(edges: csr_array) -> Ints:
    """Corners at an edge that is not met by exactly two faces, once in either direction."""
    uneven = (edges - edges.T).tocoo()
    loose = uneven.row[uneven.data != 0]
    counted = edges.tocoo()
    return np.concatenate([loose, counted.row[counted.data > 1]]).astype(np.int64)
