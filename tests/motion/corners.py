"""Corners for the tests: one of every arrangement, invented unless a source is named."""

from __future__ import annotations

import math

from kinematics.project.model import (
    Arm,
    Arrangement,
    Ball,
    BumpStop,
    Coilover,
    End,
    FiveLinks,
    HArm,
    Hinge,
    Link,
    Project,
    Rack,
    RadiusArm,
    Rim,
    Strut,
    StrutLinks,
    TrailingArm,
    Tyre,
    Wheel,
    Wishbones,
)

Points = dict[str, tuple[float, float, float]]


def project(
    points: Points,
    arrangement: Arrangement | None = None,
    coilover: Coilover | None = None,
    **more: object,
) -> Project:
    wheel = more.pop("wheel", None) or Wheel(
        centre="wheel centre",
        tyre=Tyre(size="195/50R15", free_radius=288.0, loaded_radius=276.0),
        rim=Rim(size="6.5Jx15 ET25"),
        camber_deg=-1.0,
        toe_deg=0.1,
    )
    return Project(
        title="test corner",
        data="invented",
        points=points,
        arrangement=arrangement,
        coilover=coilover,
        wheel=wheel,  # type: ignore[arg-type]
        **more,  # type: ignore[arg-type]
    )


def damper(foot: End, top: str = "top", length: float = 450.0, stroke: float = 200.0) -> Coilover:
    half = 0.5 * stroke
    return Coilover(foot=foot, top=End(top), open=length + half, closed=length - half)


PUBLISHED_WISHBONE: Points = {
    name: (1000.0 * x, 1000.0 * y, 1000.0 * z)
    for name, (x, y, z) in {
        "W": (0.0, 0.768, 0.0),
        "A": (-0.251, 0.320, -0.080),
        "B": (0.148, 0.320, -0.094),
        "C": (0.013, 0.737, -0.145),
        "D": (-0.105, 0.435, 0.196),
        "E": (0.122, 0.435, 0.230),
        "F": (-0.025, 0.680, 0.162),
        "R": (-0.150, 0.380, -0.038),
        "Q": (-0.137, 0.690, -0.088),
    }.items()
}


def published_wishbone() -> Project:
    """The wishbone corner with rack published with Rill & Castro, Road Vehicle Dynamics, 2nd ed.

    CRC 2020 (identification from memory); left front wheel, tyre radius 285 mm.
    """
    return project(
        PUBLISHED_WISHBONE,
        Wishbones(lower=Arm("B", "A", "C"), upper=Arm("E", "D", "F"), tie_inner="R", tie_outer="Q"),
        wheel=Wheel(
            centre="W",
            tyre=Tyre(size="195/50R15", loaded_radius=285.0),
            rim=Rim(size="6.5Jx15"),
            axis=(0.0, 1.0, -0.8 * math.pi / 180.0),
        ),
    )


RADIUS_ARM_POINTS: Points = {
    "wheel centre": (0, 740, 276),
    "front ball": (640, 545, 385),
    "upper inner": (20, 200, 398),
    "upper outer": (-30, 622, 405),
    "lower inner": (10, 150, 227),
    "lower outer": (-45, 662, 172),
    "foot": (78, 545, 190),
    "top": (88, 518, 640),
    "arm 1": (40, 602, 262),
    "arm 2": (113, 600, 310),
    "arm 3": (166, 540, 405),
}


def radius_arm() -> Project:
    """The invented rear corner solved twice: a forward radius arm rigid to the upright."""
    return project(
        RADIUS_ARM_POINTS,
        RadiusArm(
            arm_chassis="front ball",
            lateral={
                "upper link": ("upper inner", "upper outer"),
                "lower link": ("lower inner", "lower outer"),
            },
            through=("arm 1", "arm 2", "arm 3"),
        ),
        Coilover(
            foot=End("foot", "upright"),
            top=End("top"),
            open=515.0,
            closed=365.0,
            bump_stop=BumpStop(free=50.0, solid=22.0),
        ),
        wheel=Wheel(
            centre="wheel centre",
            tyre=Tyre(size="195/50R15", free_radius=288.0, loaded_radius=276.0),
            rim=Rim(size="6.5Jx15 ET25"),
            axis=(math.tan(math.radians(0.10)), 1.0, -math.tan(math.radians(-1.0))),
        ),
    )


def radius_rod() -> Project:
    """A ball-ended rearward radius arm and four lateral links."""
    points: Points = {
        "wheel centre": (0, 740, 276),
        "arm chassis": (-560, 600, 330),
        "arm outer": (-40, 650, 240),
        "bend": (-300, 640, 250),
        "i1": (70, 230, 420),
        "o1": (60, 640, 410),
        "i2": (-90, 240, 430),
        "o2": (-70, 645, 415),
        "i3": (110, 180, 200),
        "o3": (95, 660, 180),
        "i4": (-120, 190, 215),
        "o4": (-105, 665, 190),
        "foot": (60, 560, 200),
        "top": (75, 520, 650),
    }
    laterals = {f"link {i}": (f"i{i}", f"o{i}") for i in range(1, 5)}
    return project(
        points,
        RadiusArm(
            arm_chassis="arm chassis",
            lateral=laterals,
            arm_outer="arm outer",
            rigid=False,
            through=("bend",),
        ),
        damper(End("foot", "upright")),
    )


STRUT_POINTS: Points = {
    "wheel centre": (0, 735, 290),
    "lower front": (15, 340, 205),
    "lower rear": (-280, 330, 215),
    "lower ball": (8, 690, 190),
    "tie inner": (-140, 330, 265),
    "tie outer": (-130, 680, 255),
    "foot": (-4, 620, 330),
    "top": (-30, 545, 790),
}


def strut() -> Project:
    """A steered front strut: narrow lower arm, rack behind the axle."""
    return project(
        STRUT_POINTS,
        Strut(
            lower=Arm("lower front", "lower rear", "lower ball"),
            tie_inner="tie inner",
            tie_outer="tie outer",
        ),
        damper(End("foot", "upright"), length=470.0),
    )


def strut_toe_link() -> Project:
    """The same strut unsteered, its track rod a toe link to the chassis."""
    return project(
        STRUT_POINTS,
        Strut(
            lower=Arm("lower front", "lower rear", "lower ball"),
            tie_inner="tie inner",
            tie_outer="tie outer",
            steered=False,
        ),
        damper(End("foot", "upright"), length=470.0),
    )


def strut_links() -> Project:
    """A rear strut on two lateral links and a trailing rod."""
    points: Points = {
        "wheel centre": (0, 730, 285),
        "fi": (110, 250, 250),
        "fo": (90, 660, 235),
        "ri": (-150, 240, 262),
        "ro": (-130, 655, 240),
        "rod inner": (480, 560, 300),
        "rod outer": (30, 640, 225),
        "foot": (0, 610, 320),
        "top": (-20, 560, 760),
    }
    return project(
        points,
        StrutLinks(
            front_link=("fi", "fo"), rear_link=("ri", "ro"), radius_rod=("rod inner", "rod outer")
        ),
        damper(End("foot", "upright")),
    )


FIVE_POINTS: Points = {
    "wheel centre": (0, 740, 300),
    "i1": (110, 300, 470),
    "o1": (25, 650, 460),
    "i2": (-160, 320, 455),
    "o2": (-35, 655, 465),
    "i3": (120, 250, 225),
    "o3": (30, 690, 190),
    "i4": (-210, 260, 240),
    "o4": (-60, 680, 205),
    "i5": (-150, 280, 300),
    "o5": (-120, 670, 290),
    "foot": (10, 560, 210),
    "top": (25, 500, 680),
}


def five_links() -> Project:
    """A five-link rear corner."""
    links = {f"link {i}": (f"i{i}", f"o{i}") for i in range(1, 6)}
    return project(FIVE_POINTS, FiveLinks(links), damper(End("foot", "upright"), length=475.0))


def five_links_steered() -> Project:
    """The five links with the fifth on a rack: steered about an axis no joint stands on."""
    base = five_links()
    links = {
        f"link {i}": Link(End(f"i{i}", "rack" if i == 5 else "chassis"), End(f"o{i}", "upright"))
        for i in range(1, 6)
    }
    return project(
        dict(base.points), None, base.coilover, bodies=("upright",), links=links, rack=Rack()
    )


def trailing_arm(sweep: float = 0.0) -> Project:
    """A trailing arm; with ``sweep`` in mm its outer pivot stands farther back."""
    points: Points = {
        "wheel centre": (0, 720, 280),
        "inner": (430, 330, 300),
        "outer": (430 - sweep, 680, 310),
        "foot": (-40, 560, 230),
        "top": (20, 540, 640),
    }
    return project(
        points, TrailingArm("inner", "outer"), damper(End("foot", "upright"), length=415.0)
    )


def semi_trailing_arm() -> Project:
    """A semi-trailing arm."""
    return trailing_arm(150.0)


def h_arm() -> Project:
    """A lower H-arm with upper, toe and integral links; the coilover stands on the arm."""
    points: Points = {
        "wheel centre": (0, 745, 300),
        "front": (140, 320, 220),
        "rear": (-190, 330, 235),
        "outer": (20, 690, 190),
        "upper inner": (30, 350, 480),
        "upper outer": (5, 660, 465),
        "toe inner": (-230, 330, 290),
        "toe outer": (-160, 690, 285),
        "arm post": (-110, 600, 215),
        "upright post": (-115, 640, 300),
        "foot": (0, 560, 205),
        "top": (20, 500, 640),
    }
    return project(
        points,
        HArm(
            front="front",
            rear="rear",
            outer="outer",
            upper=("upper inner", "upper outer"),
            toe=("toe inner", "toe outer"),
            arm_post="arm post",
            upright_post="upright post",
        ),
        damper(End("foot", "lower arm"), length=440.0, stroke=130.0),
    )


def wishbones_on_arm() -> Project:
    """Wishbones with the coilover on the lower arm."""
    points = {
        **PUBLISHED_WISHBONE,
        "foot": (0.0, 600.0, -120.0),
        "top": (10.0, 500.0, 300.0),
    }
    base = published_wishbone()
    return project(
        points, base.arrangement, damper(End("foot", "lower arm"), length=430.0), wheel=base.wheel
    )


def pushrod() -> Project:
    """Wishbones whose coilover is worked by a pushrod and a rocker: composed freely."""
    points: Points = {
        **PUBLISHED_WISHBONE,
        "push outer": (5.0, 640.0, -110.0),
        "push rocker": (10.0, 440.0, 300.0),
        "rocker front": (60.0, 330.0, 230.0),
        "rocker rear": (-60.0, 330.0, 230.0),
        "rocker damper": (5.0, 290.0, 350.0),
        "damper inner": (0.0, -20.0, 330.0),
    }
    base = published_wishbone()
    return project(
        points,
        base.arrangement,
        Coilover(
            foot=End("rocker damper", "rocker"), top=End("damper inner"), open=420.0, closed=240.0
        ),
        wheel=base.wheel,
        bodies=("rocker",),
        links={"pushrod": Link(End("push rocker", "rocker"), End("push outer", "lower arm"))},
        joints={
            "rocker bearing": Hinge(("rocker front", "rocker rear"), ("chassis", "rocker")),
        },
    )


def link_on_link() -> Project:
    """Two upper links and a lower arm that carries the inner end of a toe link."""
    base = five_links()
    points: Points = {**base.points, "i4b": (-120.0, 265.0, 236.0), "mid": (-140.0, 480.0, 225.0)}
    links = {f"link {i}": Link(End(f"i{i}"), End(f"o{i}", "upright")) for i in (1, 2)}
    links["link 5"] = Link(End("mid", "arm"), End("o5", "upright"))
    return project(
        points,
        None,
        base.coilover,
        bodies=("upright", "arm"),
        links=links,
        joints={
            "arm bushes": Hinge(("i4", "i4b"), ("chassis", "arm")),
            "arm ball": Ball("o4", ("arm", "upright")),
        },
    )


ALL = {
    "wishbones": published_wishbone,
    "wishbones, coilover on arm": wishbones_on_arm,
    "rigid radius arm": radius_arm,
    "ball-ended radius arm": radius_rod,
    "strut": strut,
    "strut with toe link": strut_toe_link,
    "strut on links": strut_links,
    "five links": five_links,
    "five links, steered": five_links_steered,
    "trailing arm": trailing_arm,
    "semi-trailing arm": semi_trailing_arm,
    "H-arm": h_arm,
    "pushrod and rocker": pushrod,
    "link on an arm": link_on_link,
}
"""A corner of every arrangement, by name."""
