import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kinematics.project.markings import MarkingError
from kinematics.project.model import Rim, Tyre, Wheel
from kinematics.shapes.profile import rounded
from kinematics.shapes.sections import rim_section, tyre_section


def wheel(tyre: Tyre, rim: str = "6.5Jx15 ET25", **more: object) -> Wheel:
    return Wheel(centre="wheel centre", tyre=tyre, rim=Rim(rim, **more))  # type: ignore[arg-type]


def test_the_section_reaches_its_radius_and_width() -> None:
    for tyre in (Tyre("195/50R15"), Tyre("195/50R15", shoulder_radius=40.0)):
        profile = tyre_section(wheel(tyre)).profile()
        assert profile.r_max == pytest.approx(288.0)
        assert profile.y_max == pytest.approx(103.22)
        assert profile.y_min == pytest.approx(-103.22)


def test_a_shoulder_radius_alone_makes_a_rounded_rectangle() -> None:
    profile = tyre_section(wheel(Tyre("195/50R15", shoulder_radius=40.0))).profile()
    corner = np.array([288.0 - 40.0, 103.22 - 40.0])
    points = profile.points(0.01)
    outer = points[(points[:, 0] > corner[0]) & (points[:, 1] > corner[1])]
    assert np.linalg.norm(outer - corner, axis=1) == pytest.approx(40.0)


def test_typed_sizes_take_the_place_of_the_marking() -> None:
    section = tyre_section(wheel(Tyre("195/50R15", free_radius=290.0, section_width=210.0)))
    assert (section.free_radius, section.half_width) == (290.0, 105.0)


def test_growth_is_added_all_round() -> None:
    lean, grown = (tyre_section(wheel(Tyre("195/50R15", growth=g))).profile() for g in (0.0, 4.0))
    assert grown.r_max == pytest.approx(lean.r_max + 4.0)
    assert grown.y_max == pytest.approx(lean.y_max + 4.0)
    for turn in np.linspace(-np.pi / 2, np.pi / 2, 19):
        way = (float(np.cos(turn)), float(np.sin(turn)))
        assert grown.support(way) >= lean.support(way) + 3.3


def test_a_wider_rim_widens_the_section() -> None:
    narrow = tyre_section(wheel(Tyre("195/50R15"), "6Jx15"))
    broad = tyre_section(wheel(Tyre("195/50R15"), "6.5Jx15"))
    assert 2 * (broad.half_width - narrow.half_width) == pytest.approx(5.08)


def test_a_tyre_on_the_wrong_rim_is_refused() -> None:
    with pytest.raises(MarkingError, match=r"is for a 15 in rim.*is 16 in"):
        tyre_section(wheel(Tyre("195/50R15"), "7Jx16 ET30"))


@pytest.mark.parametrize(
    ("tyre", "rim", "bolts", "entry"),
    [
        ("195-50x15", "6.5Jx15 ET25", "4x100", "wheel.tyre.size: "),
        ("195/50R15", "six and a half", "4x100", "wheel.rim.size: "),
        ("195/50R15", "6.5Jx15 ET25", "four", "wheel.rim.bolts: "),
    ],
)
def test_a_refusal_names_the_entry(tyre: str, rim: str, bolts: str, entry: str) -> None:
    which = wheel(Tyre(tyre), rim, bolts=bolts)
    with pytest.raises(MarkingError) as refused:
        (tyre_section(which), rim_section(which))
    assert str(refused.value).startswith(entry)
    assert str(refused.value).endswith(".")


def test_figures_that_fit_no_rim_are_refused() -> None:
    with pytest.raises(MarkingError, match=r"wheel.tyre: .* don't go on a rim of 190 mm radius"):
        tyre_section(wheel(Tyre("195/50R15", free_radius=195.0)))


SIZES = st.builds(
    lambda width, aspect, code, rim: (f"{width}/{aspect}R{code}", f"{rim}Jx{code} ET20"),
    st.sampled_from(range(125, 345, 10)),
    st.sampled_from((25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80)),
    st.sampled_from((12, 13, 14, 15, 16, 17, 18, 19, 20)),
    st.sampled_from((4, 5, 5.5, 6, 6.5, 7, 8, 9, 10, 11)),
)


@given(SIZES, st.none() | st.floats(1.0, 90.0), st.none() | st.floats(40.0, 300.0))
def test_every_size_has_a_closed_convex_section(
    size: tuple[str, str], shoulder: float | None, tread: float | None
) -> None:
    tyre = Tyre(size[0], shoulder_radius=shoulder, tread_width=tread)
    section = tyre_section(wheel(tyre, size[1]))
    profile = section.profile()  # `from_arcs` and `rounded` refuse what is not.
    assert profile.r_max == pytest.approx(section.free_radius)
    assert profile.y_max == pytest.approx(section.half_width)
    assert min(point[0] for point in profile.points(0.5)) >= section.bead_radius - 1e-6


@settings(max_examples=40)
@given(SIZES)
def test_every_rim_is_made_of_convex_rings(size: tuple[str, str]) -> None:
    section = rim_section(wheel(Tyre(size[0]), size[1], bolts="4x100"))
    for points in {**section.rings(), **section.centre()}.values():
        rounded(points)


def test_offset_places_the_mounting_face() -> None:
    section = rim_section(wheel(Tyre("195/50R15"), "6.5Jx15 ET25", disc_thickness=12.0))
    heights = [y for _, y in section.centre()["hub face"]]
    assert (min(heights), max(heights)) == (25.0, 37.0)
    overall = 2 * section.half_overall
    backspacing = overall / 2 + 25.0  # overall width / 2 + ET: from memory
    assert backspacing == pytest.approx(section.half_overall + min(heights))


def test_an_unmarked_offset_leaves_the_centre_out() -> None:
    section = rim_section(wheel(Tyre("195/50R15"), "6.5Jx15"))
    assert section.face is None
    assert section.centre() == {}
