"""A corner with a part of every kind, none of it any car's."""

from __future__ import annotations

from msgspec.structs import replace

from kinematics.project.model import (
    Arch,
    Beam,
    Box,
    Caliper,
    Cylinder,
    Disc,
    FootEnd,
    Gusset,
    Helper,
    MountPlate,
    Plate,
    Project,
    RodEnd,
    Thread,
    TopMount,
    Tube,
    Upright,
    Weights,
)
from tests.shapes.corners import TROUBLE, project


def whole() -> Project:
    """The corner in trouble with every fitting there is."""
    car = project(TROUBLE)
    assert car.coilover is not None
    assert car.coilover.spring is not None
    assert car.tower is not None
    points = {**car.points, "a": (-60.0, 640.0, 200.0), "b": (-160.0, 560.0, 200.0),
              "c": (-260.0, 560.0, 240.0), "d": (-340.0, 380.0, 300.0)}  # fmt: skip
    spring = replace(car.coilover.spring, helper=Helper(10.0, 60.0, 12.0, outside=90.0),
                     seat_outside=78.0, hat_outside=96.0, hat_height=14.0)  # fmt: skip
    foot = FootEnd(44.0, 46.0, gap=24.0, axis=(1.0, 0.2, 0.0))
    thread = Thread(56.0, 60.0, 180.0)
    coilover = replace(car.coilover, spring=spring, thread=thread, foot_end=foot)
    plate = MountPlate(110.0, 100.0, 6.0, bolts=3, bolt_circle=90.0, slot_forward=20.0,
                       slot_inboard=12.0)  # fmt: skip
    above = car.points[coilover.top.point][2] - (car.tower.top + 6.0)
    mount = TopMount(above, 9.0, housing_diameter=52.0, housing_height=24.0, plate=plate)
    gussets = (
        Gusset(on="outer", at=60.0, height=50.0, depth=40.0, thickness=4.0),
        Gusset(on="inner", at=20.0, height=30.0, depth=25.0, inside=True, foot=600.0),
    )
    tower = replace(
        car.tower,
        thickness_of={"lip": 5.0, "inner": 2.0},
        front_down_to=600.0,
        inner_down_to=580.0,
        front_lip=18.0,
        inner_lip=-15.0,
        gussets=gussets,
    )
    rim = replace(car.wheel.rim, weights=(Weights(outboard=-60.0, width=20.0, height=8.0),))
    parts = {
        "box arm": Beam("upright", ("a", "b", "c"), 60.0, 30.0, offset_width=10.0),
        "outer rod end": RodEnd("upright", "c", 44.0, 16.0, (0.0, 0.0, 1.0), "b", 14.0),
        "brake disc": Disc(260.0, 22.0, inboard=6.0),
        "caliper": Caliper(90.0, 150.0, at_deg=170.0, span_deg=60.0, outboard=8.0, depth=90.0),
        "knuckle": Upright(80.0, 40.0, 42.0, 16.0, 24.0, 44.0),
        "wheel arch": Arch("wheel centre", 340.0, 600.0, 800.0, 20.0, 160.0, 1.2, lip=15.0),
        "exhaust": Tube("chassis", ("c", "d"), 110.0, is_a="chassis"),
        "tank": Cylinder("chassis", ("d", "lower link inner"), 240.0),
        "rail": Box("chassis", (-500.0, 200.0, 400.0), (500.0, 240.0, 460.0)),
        "floor": Plate("chassis", ((-300.0, 250.0, 100.0), (300.0, 250.0, 100.0),
                                   (300.0, 500.0, 100.0), (0.0, 350.0, 100.0),
                                   (-300.0, 480.0, 100.0)), 3.0),
    }  # fmt: skip
    return replace(car, points=points, coilover=coilover, top_mount=mount, tower=tower,
                   wheel=replace(car.wheel, rim=rim), parts={**car.parts, **parts})  # fmt: skip
