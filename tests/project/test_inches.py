"""A file in inches: only lengths are converted, both ways, exactly to 1e-9 mm."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import to_builtins
from msgspec.structs import replace

from kinematics.project.files import dumps, loads, read
from tests.project.corners import WISHBONES, changed

_EXAMPLES = Path(__file__).parents[2] / "assets" / "examples"


def test_lengths_are_converted_and_nothing_else() -> None:
    inches = loads(changed("units", "in").replace(b"580", b"22.83").replace(b"-10,", b"-0.4,"))
    assert inches.points["top"] == pytest.approx((-0.4 * 25.4, 430 * 25.4, 22.83 * 25.4))
    assert inches.wheel.axis == (0.01, 1, 0.02)
    assert inches.tower is not None
    assert inches.tower.front == pytest.approx(80 * 25.4)
    assert inches.tower.thickness == 3  # a default is mm whatever the file's unit
    assert inches.rack is not None
    assert inches.rack.most == pytest.approx(45 * 25.4)
    assert inches.coilover is not None
    assert inches.coilover.spring is not None
    assert inches.coilover.spring.rate_n_per_mm == 60
    assert inches.coilover.open == pytest.approx(470 * 25.4)


def test_a_force_curve_has_its_squash_in_inches_and_its_force_in_newtons() -> None:
    stop = {"free": 2, "solid": 1, "curve": [[0.5, 400], [1, 2000]]}
    tree = json.loads(changed("coilover/bump_stop", stop))
    tree["units"] = "in"
    project = loads(json.dumps(tree).encode())
    assert project.coilover is not None
    assert project.coilover.bump_stop is not None
    assert project.coilover.bump_stop.curve == ((12.7, 400), (25.4, 2000))


def test_twenty_metres_is_the_most_in_inches_too() -> None:
    with pytest.raises(Exception, match="too far for a car"):
        loads(changed("points/top/0", 800).replace(b'"units": "mm"', b'"units": "in"'))


@given(st.tuples(*[st.floats(-15_000, 15_000)] * 3))
def test_inches_written_read_back_to_a_nanometre_thousandth(xyz) -> None:
    project = replace(
        loads(json.dumps(WISHBONES).encode()),
        units="in",
        points={**loads(json.dumps(WISHBONES).encode()).points, "new": xyz},
    )
    again = loads(dumps(project))
    assert again.points["new"] == pytest.approx(xyz, abs=1e-9, rel=0)
    assert again.units == "in"


@given(st.integers(-8000, 8000))
def test_sixty_fourths_are_written_as_typed(count: int) -> None:
    data = changed("points/top/0", count / 64).replace(b'"units": "mm"', b'"units": "in"')
    tree = json.loads(dumps(loads(data)))
    assert tree["points"]["top"][0] == count / 64


@pytest.mark.parametrize("path", sorted(_EXAMPLES.glob("*.corner.json")), ids=lambda p: p.name)
def test_an_example_kept_in_inches_is_the_same_corner(path: Path) -> None:
    """Every length of every kind of record goes out and comes back."""
    metric = read(path)
    inches = loads(dumps(replace(metric, units="in")))
    one, other = (_numbers(to_builtins(each)) for each in (metric, inches))
    assert other == pytest.approx(one, abs=1e-9, rel=0)


def _numbers(tree: object) -> list[float]:
    if isinstance(tree, dict):
        return [number for value in tree.values() for number in _numbers(value)]
    if isinstance(tree, list | tuple):
        return [number for value in tree for number in _numbers(value)]
    return [float(tree)] if isinstance(tree, int | float) else []
