import dataclasses
import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh
from msgspec.structs import replace

from kinematics.clearance import clearances
from kinematics.project.model import Project, Scan
from kinematics.shapes.build import Builder, parts
from kinematics.shapes.pieces import Mesh, Part, Rod
from kinematics.shapes.scan import ScanError, read_scan
from kinematics.shapes.skins import skins
from tests.shapes.corners import TROUBLE, moved, project


@pytest.fixture
def ball() -> trimesh.Trimesh:
    return trimesh.creation.icosphere(subdivisions=3, radius=20.0)


def written(mesh: trimesh.Trimesh, place: Path, name: str) -> Path:
    path = place / name
    mesh.export(path)
    return path


@pytest.mark.parametrize("kind", ["stl", "ply", "obj"])
def test_a_closed_mesh_comes_in_whole(ball: trimesh.Trimesh, tmp_path: Path, kind: str) -> None:
    scan = read_scan(written(ball, tmp_path, f"ball.{kind}"), "mm")
    assert len(scan.faces) == len(ball.faces)
    assert len(scan.vertices) == len(ball.vertices)
    assert scan.closed.tolist() == [True]
    assert scan.notes == ()
    again = trimesh.Trimesh(scan.vertices, scan.faces, process=False)
    assert again.volume == pytest.approx(ball.volume, rel=1e-5)


def test_ascii_stl_is_read_too(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    path = tmp_path / "ball.stl"
    path.write_text(ball.export(file_type="stl_ascii"))
    assert len(read_scan(path, "mm").faces) == len(ball.faces)


@pytest.mark.parametrize(
    ("unit", "factor"), [("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("in", 25.4)]
)
def test_the_unit_is_taken_as_told_and_shown_both_ways(
    ball: trimesh.Trimesh, tmp_path: Path, unit: str, factor: float
) -> None:
    scan = read_scan(written(ball, tmp_path, "ball.ply"), unit)
    low, high = scan.box
    assert high - low == pytest.approx(40.0 * factor, rel=1e-5)
    assert " mm (" in scan.size
    assert scan.size.endswith(" in)")


def test_mirrored_scans_keep_their_outside(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    ball.apply_translation((0.0, 100.0, 0.0))
    scan = read_scan(written(ball, tmp_path, "ball.stl"), "mm", mirrored=True)
    assert scan.vertices[:, 1].mean() == pytest.approx(-100.0, abs=1e-3)
    assert trimesh.Trimesh(scan.vertices, scan.faces, process=False).volume > 0


def test_inside_out_closed_meshes_are_turned(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    ball.invert()
    scan = read_scan(written(ball, tmp_path, "ball.stl"), "mm")
    assert trimesh.Trimesh(scan.vertices, scan.faces, process=False).volume > 0


def test_pieces_are_told_apart_and_open_ones_named(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    sheet = trimesh.Trimesh(
        [[50, 0, 0], [60, 0, 0], [60, 10, 0], [50, 10, 0]], [[0, 1, 2], [0, 2, 3]]
    )
    both = trimesh.util.concatenate([ball, sheet])
    scan = read_scan(written(both, tmp_path, "both.ply"), "mm")
    assert sorted(scan.closed.tolist()) == [False, True]
    assert len(scan.notes) == 1
    assert "open, so it has no inside" in scan.notes[0]


def test_one_missing_triangle_opens_a_mesh(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    holed = trimesh.Trimesh(ball.vertices, ball.faces[1:], process=False)
    assert not read_scan(written(holed, tmp_path, "holed.stl"), "mm").closed.any()


def test_a_flipped_triangle_is_not_closed(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    faces = ball.faces.copy()
    faces[0] = faces[0][::-1]
    flipped = trimesh.Trimesh(ball.vertices, faces, process=False)
    assert not read_scan(written(flipped, tmp_path, "flipped.ply"), "mm").closed.any()


def test_binary_stl_must_be_as_long_as_it_says(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    path = written(ball, tmp_path, "ball.stl")
    whole = path.read_bytes()
    for data in (
        whole[:-1],
        whole[:2000],
        whole + b"more",
        whole[:80] + struct.pack("<I", 7) + whole[84:],
    ):
        path.write_bytes(data)
        with pytest.raises(ScanError, match=r"says it has .* triangles"):
            read_scan(path, "mm")


def test_mutated_binary_stl_never_reads_as_empty(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    """Every way a file may be damaged ends in a refusal or in all its triangles."""
    path = written(ball, tmp_path, "ball.stl")
    whole = path.read_bytes()
    rng = np.random.default_rng(3)
    for _ in range(60):
        data = bytearray(whole)
        for at in rng.integers(0, len(data), 1 + int(rng.integers(0, 4))):
            data[at] = int(rng.integers(0, 256))
        path.write_bytes(bytes(data))
        try:
            scan = read_scan(path, "mm")
        except ScanError:
            continue
        assert len(scan.faces) + sum("without area" in note for note in scan.notes) >= 1279


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
def test_corners_that_are_not_numbers_are_refused_with_counts(
    ball: trimesh.Trimesh, tmp_path: Path, value: float
) -> None:
    path = written(ball, tmp_path, "ball.stl")
    data = bytearray(path.read_bytes())
    data[84 + 12 : 84 + 16] = struct.pack("<f", value)
    path.write_bytes(bytes(data))
    with pytest.raises(
        ScanError, match=r"1 corner is not made of numbers, which spoils 1 of 1,280 triangles"
    ):
        read_scan(path, "mm")


def test_absurd_coordinates_ask_for_another_unit(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    ball.apply_translation((0.0, 0.0, 3e38))
    with pytest.raises(ScanError, match="choose another unit"):
        read_scan(written(ball, tmp_path, "far.stl"), "mm")


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty.stl", b""),
        ("empty.obj", b""),
        ("empty.ply", b"ply\nformat ascii 1.0\nelement vertex 0\nelement face 0\nend_header\n"),
        ("text.stl", b"solid nothing\nfacet\nendsolid nothing\n"),
        ("points.obj", b"v 0 0 0\nv 1 0 0\n"),
        ("noise.ply", b"\x00\xff" * 400),
        ("flat.obj", b"v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n"),
        ("model.step", b"ISO-10303-21;"),
    ],
)
def test_what_holds_no_mesh_is_refused_by_name(tmp_path: Path, name: str, data: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(ScanError, match=name):
        read_scan(path, "mm")


@pytest.mark.parametrize("share", [0.3, 0.5, 0.77, 0.995])
def test_a_text_stl_cut_short_says_so(share: float, tmp_path: Path) -> None:
    text = trimesh.creation.box((100.0, 60.0, 40.0)).export(file_type="stl_ascii")
    cut = text[: int(share * text.index("endsolid"))]
    (tmp_path / "cut.stl").write_text(cut)
    with pytest.raises(ScanError) as refused:
        read_scan(tmp_path / "cut.stl", "mm")
    begun, ended = cut.count("facet normal"), cut.count("endfacet")
    assert f"begins {begun} triangles and ends {ended}" in str(refused.value)
    whole = text[: text.rindex("endfacet") + len("endfacet\n")]
    (tmp_path / "cut.stl").write_text(whole)
    with pytest.raises(ScanError, match="stops after 12 triangles without its last line"):
        read_scan(tmp_path / "cut.stl", "mm")


def test_faces_that_name_corners_that_are_not_there_are_refused_in_plain_words(
    tmp_path: Path,
) -> None:
    (tmp_path / "a.obj").write_text("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n")
    with pytest.raises(ScanError, match=r"faces name corners that are not there\.$"):
        read_scan(tmp_path / "a.obj", "mm")


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(ScanError, match=r"gone\.stl: the file can't be read"):
        read_scan(tmp_path / "gone.stl", "mm")


def test_triangles_without_area_are_counted(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    faces = np.vstack([ball.faces, [[0, 0, 1], [2, 2, 2]]])
    scan = read_scan(
        written(trimesh.Trimesh(ball.vertices, faces, process=False), tmp_path, "b.ply"), "mm"
    )
    assert len(scan.faces) == len(ball.faces)
    assert any("2 triangles without area" in note for note in scan.notes)


def replace_part(part: Part, piece: Rod) -> Part:
    return dataclasses.replace(part, pieces=(piece,), sagitta=())


def with_scan(place: Path, mesh: trimesh.Trimesh, body: str = "chassis") -> Project:
    mesh.export(place / "arch.stl")
    before = project(TROUBLE)
    scan = Scan(body, "arch.stl", "mm")
    return replace(before, parts={**before.parts, "wheel arch": scan})


@pytest.mark.parametrize("body", ["chassis", "upright"])
def test_a_scan_is_a_part_and_a_skin(ball: trimesh.Trimesh, tmp_path: Path, body: str) -> None:
    ball.apply_translation((0.0, 700.0, 900.0))
    which = with_scan(tmp_path, ball, body)
    here = moved(TROUBLE, -30.0, 0.0, 30.0)
    part = next(p for p in parts(which, here, tmp_path) if p.name == "wheel arch")
    assert part.closed
    (piece,) = part.pieces
    assert isinstance(piece, Mesh)
    assert len(piece.surface.triangles) == len(ball.faces)
    middle = here.carry(body, (0.0, 700.0, 900.0))[:, 0]
    for pose in range(3):
        at = pose % len(piece.position)
        corners = piece.surface.triangles @ piece.rotation[at].T + piece.position[at]
        assert np.linalg.norm(corners - middle[pose], axis=-1) == pytest.approx(20.0, abs=1e-4)
    skin = next(s for s in skins(which, tmp_path) if s.name == "wheel arch")
    assert len(skin.faces) == len(ball.faces)
    assert np.linalg.norm(skin.vertices, axis=1) == pytest.approx(20.0, abs=1e-3)


def test_a_fine_scan_is_checked_as_the_ball_it_is_of(tmp_path: Path) -> None:
    """Against a plain ball of its radius; 81,920 flat triangles lie within 0.01 mm of it."""
    fine = trimesh.creation.icosphere(subdivisions=6, radius=20.0)
    fine.apply_translation((0.0, 560.0, 700.0))
    which = with_scan(tmp_path, fine)
    here = moved(TROUBLE, 0.0, 30.0, 60.0)
    made = parts(which, here, tmp_path)
    tyre = next(p for p in made if p.name == "tyre")
    arch = next(p for p in made if p.name == "wheel arch")
    ball = replace_part(arch, Rod(np.array([[[0.0, 560.0, 700.0]] * 2]), 20.0))
    found = clearances((tyre, arch, ball), [(0, 1), (0, 2)], grid=(3, 1))
    scanned, plain = found.low[:, :, 0]
    assert scanned == pytest.approx(plain, abs=0.05)


def test_a_scan_that_is_not_there_is_named(ball: trimesh.Trimesh, tmp_path: Path) -> None:
    which = with_scan(tmp_path, ball)
    (tmp_path / "arch.stl").unlink()
    with pytest.raises(ScanError, match=r"arch\.stl: the file can't be read"):
        Builder(which, tmp_path)
