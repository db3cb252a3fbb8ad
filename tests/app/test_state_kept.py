"""What the window keeps between events is still right once what it was of has changed or gone."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from app import examples
from kinematics.project import files
from tests.app.conftest import Driver


def begin(driver: Driver, name: str) -> None:
    """Another project, before anything of it is worked out."""
    driver.document.start(files.read(examples.examples()[name]))


def in_inches(driver: Driver) -> None:
    """The same project shown in inches."""
    document = driver.document
    assert document.project is not None
    document.edit(msgspec.structs.replace(document.project, units="in"), "show inches")


def test_of_a_project_just_opened_the_points_to_be_pulled_are_its_own(driver: Driver) -> None:
    """Before it is known how it moves too: those of the one before have other names."""
    driver.window.enter("Describe")
    begin(driver, "front-strut")
    assert driver.window.hands.points.project is driver.document.project
    driver.settle()
    driver.window.enter("Move")


def test_nothing_found_of_the_project_before_is_written_over_another(driver: Driver) -> None:
    """Cards of contacts, the arrow by the wheel, the needle that would be pulled to steer."""
    driver.open("front-strut")
    needle = driver.window.show_it.needle
    assert needle in driver.stage.extras
    begin(driver, "rear-in-trouble")
    assert needle not in driver.stage.extras
    driver.settle()
    driver.document.set_travel(driver.document.limits[1])
    assert driver.stage.tags
    assert driver.stage.arrow is not None
    begin(driver, "rear-five-links")
    assert driver.stage.tags == []
    assert driver.stage.arrow is None
    driver.settle()


def test_what_is_kept_as_before_is_drawn_in_the_units_of_now(driver: Driver) -> None:
    """Both stand on one axis. One inch is 25.4 mm (by definition, since 1959)."""
    document, strips = driver.document, driver.window.strips
    document.keep()
    driver.settle()
    assert strips.before is not None
    mm = strips.before.curves["damper"].lines[0].values
    in_inches(driver)
    driver.settle()
    now, before = (board.curves["damper"] for board in (strips.board, strips.before))
    assert before.unit == now.unit
    assert np.allclose(before.lines[0].values, now.lines[0].values)
    assert np.allclose(before.lines[0].values * 25.4, mm)


def test_the_rulers_of_a_square_view_follow_the_units(driver: Driver) -> None:
    in_inches(driver)
    assert driver.window.show_it.edges.units == "in"
    driver.document.stack.undo()
    assert driver.window.show_it.edges.units == "mm"
    driver.settle()


def test_a_rack_with_nearer_ends_takes_the_wheel_along(driver: Driver) -> None:
    """Else it would stand, with figures told of it, where it can't be steered to."""
    driver.open("front-strut")
    document = driver.document
    document.set_rack(document.rack_limits[1])
    project = document.project
    assert project is not None
    assert project.rack is not None
    half = msgspec.structs.replace(project.rack, most=project.rack.most / 2)
    document.edit(msgspec.structs.replace(project, rack=half), "change the rack")
    driver.settle()
    assert document.now is not None
    assert document.rack == pytest.approx(project.rack.most / 2)
    assert document.now.rack[0] == document.rack
