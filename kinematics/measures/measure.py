"""Measuring a motion: every figure at every pose, from its definition.

Everything is a plain formula in the bodies' poses and their exact rates, so that derivatives pass
through it (see ``dual``). Vectors are (3, n), n poses with travel slowest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kinematics.frames import Array, cross_last, dot_last
from kinematics.measures.ackermann import ackermann_error, mirrored
from kinematics.measures.dual import arcsin, arctan2
from kinematics.measures.ground import loaded_radius, rim_diameter
from kinematics.measures.steering import Line, steering_line
from kinematics.motion import Motion
from kinematics.motion.motion import setup_motion
from kinematics.project.model import Project
from kinematics.project.unfold import unfold


@dataclass(frozen=True)
class Measures:
    """``figures`` by key (see ``FIGURES``), each (nz, ns) over ``travel`` × ``rack``.

    Angles in rad, lengths in mm; NaN where undefined or not reached.
    """

    travel: Array
    rack: Array
    figures: dict[str, Array]

    def __getitem__(self, key: str) -> Array:
        """The figure of that key, (nz, ns)."""
        return self.figures[key]


@dataclass(frozen=True)
class Posture:
    """The wheel at n poses: ``centre`` W, ``axis`` n (pointing outboard), ``contact`` C (below the
    rim's middle, which a spacer moves out along n), and their rates by travel; ``spin`` of its
    carrier. All (3, n)."""

    centre: Array
    axis: Array
    contact: Array
    centre_rate: Array
    axis_rate: Array
    contact_rate: Array
    spin: Array
    down: Array


def measure(project: Project, motion: Motion) -> Measures:
    """Every figure over the motion's grid. The project may be unfolded or not."""
    project = unfold(project)
    setup = setup_motion(motion.linkage)
    with np.errstate(invalid="ignore", divide="ignore"):
        flat = figures(project, motion, setup)
        flat |= pair_figures(project, mirrored(project, motion), setup, flat["steer"])
    # An instant centre at infinity is nowhere: undefined, like what was not reached.
    shaped = {
        key: np.where(np.isfinite(value), value, np.nan).reshape(motion.shape)
        for key, value in flat.items()
    }
    return Measures(motion.travel, motion.rack, shaped)


def figures(project: Project, motion: Motion, setup: Motion) -> dict[str, Array]:
    """Every figure by key, flat (n,); ``setup`` is the same corner at set-up height."""
    out_sign = 1.0 if project.side == "left" else -1.0
    now, then = posture(project, motion), posture(project, setup)
    found: dict[str, Array] = {}
    found |= _stance(project, now, then, out_sign)
    found |= _rates(now, out_sign)
    found |= _centres(now)
    found |= _damper(motion, now)
    line = steering_line(motion)
    found |= _steering(now, line, out_sign)
    return found


def pair_figures(
    project: Project, opposite: Motion | None, setup: Motion, steer: Array
) -> dict[str, Array]:
    """Figures that take both wheels of an axle; ``opposite`` is the motion with the rack turned
    the opposite way, which mirrored is the other wheel."""
    if opposite is None:
        return {"ackermann_error": np.full(len(steer), np.nan)}
    other = figures(project, opposite, setup)["steer"]
    standing = figures(project, setup, setup)
    out = 1.0 if project.side == "left" else -1.0
    axis_y = out * standing["contact_y"] - standing["scrub"]
    return {"ackermann_error": ackermann_error(project, steer, other, axis_y)}


def wheel_axis(project: Project) -> Array:
    """The wheel's axis as measured, a unit vector pointing outboard (3,)."""
    wheel, out = project.wheel, 1.0 if project.side == "left" else -1.0
    if wheel.axis is not None:
        axis = np.array(wheel.axis, dtype=float)
        return np.asarray(axis / np.sqrt(axis @ axis))
    g, t = np.radians(wheel.camber_deg), np.radians(wheel.toe_deg)
    return np.array([np.cos(g) * np.sin(t), out * np.cos(g) * np.cos(t), -np.sin(g)])


def posture(project: Project, motion: Motion) -> Posture:
    """Where the wheel is, how it stands, and how both change by travel."""
    wheel = project.wheel
    k = motion.number(wheel.body)
    measured = motion.measured(wheel.centre)
    matrix, twist = motion.flat_rotation[k], motion.by_travel
    centre = motion.carried(k, measured)
    spin = twist.spin[k]
    speed = cross_last(spin, centre) + twist.drift[k]
    n = np.matmul(wheel_axis(project), matrix)
    dn = cross_last(spin, n)
    # By height gained, whatever the driver was.
    spin, speed, dn = spin / speed[2], speed / speed[2], dn / speed[2]
    level = np.sqrt(1.0 - n[2] * n[2])
    down = n * (n[2] / level)
    down[2] = down[2] - 1.0 / level
    sinking = dn * (n[2] / level) + n * (dn[2] / level) + down * (n[2] * dn[2] / level**2)
    radius, spacer = loaded_radius(project), wheel.rim.spacer
    return Posture(
        centre=centre,
        axis=n,
        contact=centre + spacer * n + radius * down,
        centre_rate=speed,
        axis_rate=dn,
        contact_rate=speed + spacer * dn + radius * sinking,
        spin=spin,
        down=down,
    )


def _stance(project: Project, now: Posture, then: Posture, out: float) -> dict[str, Array]:
    toe, toe_then = (arctan2(p.axis[0], out * p.axis[1]) for p in (now, then))
    return {
        "camber": arcsin(-now.axis[2]),
        "toe": toe,
        "toe_rim": rim_diameter(project.wheel.rim) * np.sin(toe),
        "steer": -out * (toe - toe_then),
        "front_view_lean": arctan2(-now.axis[2], out * now.axis[1]),
        "wheel_x": now.centre[0],
        "wheel_y": now.centre[1],
        "wheel_z": now.centre[2],
        "contact_x": now.contact[0],
        "contact_y": now.contact[1],
        "contact_z": now.contact[2],
        "track_change": out * (now.contact[1] - then.contact[1]),
        "wheelbase_change": now.contact[0] - then.contact[0],
    }


def _rates(now: Posture, out: float) -> dict[str, Array]:
    n, dn = now.axis, now.axis_rate
    return {
        "camber_gain": -dn[2] / np.sqrt(1.0 - n[2] * n[2]),
        "bump_steer": out * (dn[0] * n[1] - n[0] * dn[1]) / (n[0] * n[0] + n[1] * n[1]),
        "roll_centre": now.contact[1] * now.contact_rate[1] / now.contact_rate[2],
    }


def _centres(now: Posture) -> dict[str, Array]:
    """Instant centres in the planes through the wheel centre, the instant axis, and paths."""
    w, v, at = now.spin, now.centre_rate, now.centre
    locked = v + cross_last(w, now.contact - at)
    turning = np.sqrt(dot_last(w, w))
    return {
        "front_centre_y": at[1] - v[2] / w[0],
        "front_centre_z": at[2] + v[1] / w[0],
        "side_centre_x": at[0] + v[2] / w[1],
        "side_centre_z": at[2] - v[0] / w[1],
        "brake_path": arctan2(locked[0], locked[2]),
        "drive_path": arctan2(v[0], v[2]),
        "axis_turn_x": w[0] / turning,
        "axis_turn_y": w[1] / turning,
        "axis_turn_z": w[2] / turning,
    }


def _damper(motion: Motion, now: Posture) -> dict[str, Array]:
    coilover = motion.linkage.mechanism.coilover
    if coilover is None:
        gone = np.full(now.centre.shape[1], np.nan)
        return {"damper": gone, "motion_ratio": gone, "wheel_per_damper": gone}
    foot, foot_rate = motion.place_and_rate(coilover.foot)
    top, top_rate = motion.place_and_rate(coilover.top)
    d = top - foot
    length = np.sqrt(dot_last(d, d))
    lifted = motion.place_and_rate(motion.linkage.project.wheel.centre)[1][2]
    ratio = -dot_last(d, top_rate - foot_rate) / length / lifted
    return {"damper": length, "motion_ratio": ratio, "wheel_per_damper": 1.0 / ratio}


def _steering(now: Posture, line: Line | None, out: float) -> dict[str, Array]:
    keys = ("caster", "kpi", "scrub", "trail")
    if line is None:
        return dict.fromkeys(keys, np.full(now.centre.shape[1], np.nan))
    k, base = line.direction, line.point
    caster, kpi = arctan2(-k[0], k[2]), arctan2(-out * k[1], k[2])
    meets = base + k * ((now.contact[2] - base[2]) / k[2])
    apart = now.contact - meets
    n = now.axis
    level = np.sqrt(n[0] * n[0] + n[1] * n[1])
    outward, sideways = n[0] / level, n[1] / level
    # The wheel's heading is its axis turned a quarter, forward.
    ahead = (out * sideways, -out * outward)
    return {
        "caster": caster,
        "kpi": kpi,
        "scrub": apart[0] * outward + apart[1] * sideways,
        "trail": -(apart[0] * ahead[0] + apart[1] * ahead[1]),
    }
