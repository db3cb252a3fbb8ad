"""Box arms, rod ends, brakes, balance weights and arches: where the numbers put them."""

import numpy as np
import pytest
import trimesh
from msgspec.structs import replace

from kinematics.clearance import distance
from kinematics.motion.grid import move
from kinematics.motion.linkage import corner
from kinematics.project.checks import problems_of
from kinematics.project.files import dumps, loads
from kinematics.project.mirror import mirror
from kinematics.project.model import Arch, Beam, Caliper, Disc, Project, RodEnd, Weights
from kinematics.shapes.brakes import hub_face, inside_radius
from kinematics.shapes.build import parts
from kinematics.shapes.display.solid import CHORD
from kinematics.shapes.fabricated import EXCESS
from kinematics.shapes.pairs import pairs
from kinematics.shapes.pieces import Part, point
from kinematics.shapes.sections import SHELL, rim_section
from kinematics.shapes.skins import place, skins
from kinematics.shapes.wheel import axis, middle
from kinematics.studies.study import study
from tests.shapes.corners import TROUBLE, project
from tests.shapes.oracle import depth_outside

FITTED = {
    "box arm": Beam("upright", ("a", "b", "c"), 60.0, 30.0, offset_width=10.0, offset_height=4.0),
    "outer rod end": RodEnd("upright", "a", 34.0, 16.0, (0.0, 0.0, 1.0), "b", 14.0),
    "brake disc": Disc(260.0, 22.0, inboard=6.0),
    "caliper": Caliper(90.0, 150.0, at_deg=170.0, span_deg=60.0, outboard=8.0, depth=90.0),
    "wheel arch": Arch("wheel centre", 340.0, 600.0, 800.0, 20.0, 160.0, 1.2, lip=15.0),
}


def car() -> Project:
    bare = project(TROUBLE)
    points = {**bare.points, "a": (-60.0, 640.0, 200.0), "b": (-160.0, 560.0, 200.0),
              "c": (-260.0, 560.0, 240.0)}  # fmt: skip
    rim = replace(bare.wheel.rim, weights=(Weights(outboard=-60.0, width=20.0, height=8.0),))
    wheel = replace(bare.wheel, rim=rim)
    return replace(bare, points=points, wheel=wheel, parts={**bare.parts, **FITTED})


def named(which: Project) -> dict[str, Part]:
    here = move(corner(which), np.array([0.0]), [0.0])
    return {part.name: part for part in parts(which, here)}


def gap(part: Part, xyz: np.ndarray) -> float:
    return min(float(distance(piece, point(xyz)).low[0]) for piece in part.pieces)


def test_they_are_written_and_read_and_mirrored_twice() -> None:
    which = car()
    assert problems_of(which) == []
    assert loads(dumps(which)) == which
    assert mirror(mirror(which)) == which
    assert loads(dumps(mirror(which))) == mirror(which)


def test_mirrored_parts_are_mirror_images() -> None:
    rng = np.random.default_rng(4)
    here, there = named(car()), named(mirror(car()))
    for name in (*FITTED, "balance weights"):
        for at in np.array([-80.0, 650.0, 260.0]) + rng.normal(size=(12, 3)) * 150:
            other = at * np.array([1.0, -1.0, 1.0])
            assert gap(here[name], at) == pytest.approx(gap(there[name], other), abs=0.03), name


def test_a_box_arm_has_its_section_and_its_offsets() -> None:
    arm = named(car())["box arm"]
    a, b = np.array([-60.0, 640.0, 200.0]), np.array([-160.0, 560.0, 200.0])
    way = (b - a) / np.linalg.norm(b - a)
    across = np.array([-way[1], way[0], 0.0])
    across *= np.sign(across[1])  # outboard
    up = np.array([0.0, 0.0, 1.0])
    middle_ = a + 40.0 * way + 10.0 * across + 4.0 * up
    for side, half in ((across, 30.0), (-across, 30.0), (up, 15.0), (-up, 15.0)):
        assert gap(arm, middle_ + (half + 6.0) * side) == pytest.approx(6.0, abs=0.03)
    assert gap(arm, a + 10.0 * across + 4.0 * up - 7.0 * way) == pytest.approx(7.0, abs=0.03)


def test_a_box_arm_is_mitred_without_a_gap() -> None:
    """The two blocks share the mitre plane: points on it lie on both, at a level bend."""
    bare = car()
    level = {**bare.points, "c": (-260.0, 560.0, 200.0)}
    arm = named(replace(bare, points=level))["box arm"]
    first, second = arm.pieces
    ends, starts = first.corners[0, 4:], second.corners[0, :4]  # type: ignore[union-attr]
    gaps = np.linalg.norm(ends[:, None] - starts[None], axis=2).min(axis=1)
    np.testing.assert_allclose(gaps, 0.0, atol=1e-9)


def test_a_rod_end_is_its_head_and_shank() -> None:
    end = named(car())["outer rod end"]
    a = np.array([-60.0, 640.0, 200.0])
    assert gap(end, a + np.array([27.0, 0.0, 0.0])) == pytest.approx(10.0, abs=0.03)
    assert gap(end, a + np.array([0.0, 0.0, 12.0])) == pytest.approx(4.0, abs=0.03)
    half = np.array([-110.0, 600.0, 200.0])
    assert gap(end, half + np.array([0.0, 0.0, 12.0])) == pytest.approx(5.0, abs=0.03)


def test_the_disc_is_on_the_hub_face_whatever_the_spacer() -> None:
    which = car()
    n, face = axis(which), hub_face(which)
    disc = named(which)["brake disc"]
    assert gap(disc, face + 0.0 * n) == pytest.approx(6.0, abs=0.03)
    assert gap(disc, face - 38.0 * n) == pytest.approx(10.0, abs=0.03)
    side = np.cross(n, [1.0, 0.0, 0.0])
    assert gap(disc, face - 17.0 * n + 137.0 * side) == pytest.approx(7.0, abs=0.1)
    rim = replace(which.wheel.rim, spacer=which.wheel.rim.spacer + 15.0)
    spaced = replace(which, wheel=replace(which.wheel, rim=rim))
    assert hub_face(spaced) == pytest.approx(face)
    assert middle(spaced) == pytest.approx(middle(which) + 15.0 * n)


def test_the_caliper_stands_about_the_axis_at_its_clock() -> None:
    which = car()
    part, n, face = named(which)["caliper"], axis(which), hub_face(which)
    forward = np.array([1.0, 0.0, 0.0]) - n[0] * n
    forward /= np.linalg.norm(forward)
    up = np.cross(n, forward)
    up *= np.sign(up[2])
    spoke = np.cos(np.radians(170.0)) * forward + np.sin(np.radians(170.0)) * up
    far = gap(part, face - 20.0 * n + 160.0 * spoke)
    assert 10.0 - EXCESS - 0.03 <= far <= 10.0 + 0.03
    near = gap(part, face - 20.0 * n + 80.0 * spoke)
    assert 10.0 - EXCESS * 4 <= near <= 10.0 + 0.03  # the inner side is cut straight
    assert gap(part, face + 13.0 * n + 120.0 * spoke) == pytest.approx(5.0, abs=0.05)
    assert gap(part, face - 92.0 * n + 120.0 * spoke) == pytest.approx(10.0, abs=0.05)
    assert gap(part, face - 20.0 * n - 120.0 * spoke) > 150.0


def test_caliper_and_weights_are_checked_against_each_other_and_the_rim() -> None:
    which = car()
    found = parts(which, move(corner(which), np.array([0.0]), [0.0]))
    names = {frozenset((found[i].name, found[j].name)) for i, j in pairs(which, found).checked}
    for one, other in (("caliper", "wheel"), ("caliper", "balance weights"),
                       ("brake disc", "lower link"), ("brake disc", "spring")):  # fmt: skip
        assert frozenset((one, other)) in names
    for one, other in (("brake disc", "wheel"), ("brake disc", "caliper"),
                       ("balance weights", "wheel"), ("balance weights", "tyre")):  # fmt: skip
        assert frozenset((one, other)) not in names


def test_the_caliper_clears_the_weights_by_the_plain_difference_of_radii() -> None:
    which = car()
    section = rim_section(which.wheel)
    on = inside_radius(section, -70.0, -50.0)
    assert section.well - SHELL <= on <= section.seat - SHELL
    checked = study(which, travel=[0.0])
    row = next(p for p, n in enumerate(checked.names) if set(n) == {"caliper", "balance weights"})
    low = float(checked.clearances.low[row, 0, 0])
    assert on - 8.0 - 150.0 - EXCESS - 0.05 <= low <= on - 8.0 - 150.0 + 0.05


def test_the_arch_shows_no_more_room_than_there_is() -> None:
    which = car()
    part = named(which)["wheel arch"]
    centre = np.array(which.points["wheel centre"])
    for turn in np.radians(np.linspace(25.0, 155.0, 40)):
        spoke = np.array([np.cos(turn), 0.0, np.sin(turn)])
        at = centre * (1.0, 0.0, 1.0) + np.array([0.0, 700.0, 0.0]) + 330.0 * spoke
        assert 10.0 - EXCESS - 0.03 <= gap(part, at) <= 10.0 + 0.01
        lipped = at + np.array([0.0, 99.5, 0.0]) - 10.0 * spoke
        assert 5.0 - EXCESS - 0.03 <= gap(part, lipped) <= 5.0 + 0.01
        out = at + 20.0 * spoke
        assert gap(part, out) <= 10.0 - 1.2 + 0.05


def test_they_are_drawn_within_a_chord_error_and_nowhere_outside() -> None:
    which = car()
    here = move(corner(which), np.array([-20.0, 30.0]), [0.0])
    solids = {part.name: part for part in parts(which, here)}
    placed = place(which, here)
    drawn = {skin.name: skin for skin in skins(which)}
    for name in (*FITTED, "balance weights"):
        skin, stands = drawn[name], placed[name]
        mesh = trimesh.Trimesh(skin.vertices.astype(float), skin.faces, process=False)
        assert all(m.is_watertight and m.volume > 0 for m in mesh.split(only_watertight=False))
        at = skin.vertices @ stands.rotation[1].T + stands.origin[1]
        assert depth_outside(at, solids[name], 1).max() < 0.02, name
        middles = at[skin.faces].mean(axis=1)
        edges = 0.5 * (at[skin.faces] + np.roll(at[skin.faces], 1, axis=1)).reshape(-1, 3)
        for inner in (middles, edges):
            deep = -np.max([[depth_outside(inner, solids[name], 1)]], axis=(0, 1))
            # Faces between two blocks of one part lie inside the union.
            if len(solids[name].pieces) == 1:
                assert deep.max() <= CHORD + 0.02, name


@pytest.mark.parametrize(
    ("name", "changes", "word"),
    [
        ("caliper", {"inner_radius": 160.0}, "inner_radius must be less"),
        ("brake disc", {"body": "chassis"}, "wheel's carrier"),
        ("wheel arch", {"to_deg": 20.0}, "must differ"),
        ("wheel arch", {"inner": 900.0}, "inner must be less"),
        ("outer rod end", {"axis": (0.0, 0.0, 0.0)}, "no direction"),
        ("box arm", {"points": ("a", "a")}, "both ends"),
    ],
)
def test_what_can_not_be_is_one_sentence(name: str, changes: dict[str, object], word: str) -> None:
    which = car()
    bad = {**which.parts, name: replace(which.parts[name], **changes)}
    (problem,) = problems_of(replace(which, parts=bad))
    assert problem.startswith(f"parts.{name}")
    assert word in problem
