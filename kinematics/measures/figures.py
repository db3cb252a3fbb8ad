"""The figures a corner is judged by: their names, meaning, sign and source.

Angles are rad inside, lengths mm. 'Set-up' is travel 0 with the rack central.
"""

from __future__ import annotations

from dataclasses import dataclass

from kinematics.units import Quantity

_ISO = "ISO 8855:2011 (its definition, from memory)"


@dataclass(frozen=True)
class Figure:
    """One figure: ``label`` as shown, ``quantity`` for its unit, ``help`` in one plain sentence."""

    key: str
    label: str
    quantity: Quantity
    help: str
    source: str


def _table(*rows: tuple[str, str, Quantity, str, str]) -> dict[str, Figure]:
    return {row[0]: Figure(*row) for row in rows}


FIGURES: dict[str, Figure] = _table(
    (
        "camber",
        "Camber",
        "angle",
        "The wheel's lean from upright as a bubble gauge on a level car reads it; positive with "
        "the top leaning out.",
        _ISO,
    ),
    (
        "toe",
        "Toe",
        "angle",
        "The wheel's angle to straight ahead seen from above; positive toe-in.",
        "ISO 8855:2011 (read)",
    ),
    (
        "toe_rim",
        "Toe at the rim",
        "length",
        "How much nearer the centre plane the rim's front edge stands than its rear edge, over the "
        "rim's marked diameter; positive toe-in.",
        "common practice, no source",
    ),
    (
        "steer",
        "Steer",
        "angle",
        "How far the wheel has turned from its direction at set-up height, seen from above; "
        "positive to the left.",
        _ISO,
    ),
    (
        "caster",
        "Caster",
        "angle",
        "The steering axis seen from the side; positive with its top leaning back.",
        _ISO,
    ),
    (
        "kpi",
        "Kingpin inclination",
        "angle",
        "The steering axis seen from the front; positive with its top leaning in.",
        _ISO,
    ),
    (
        "scrub",
        "Scrub radius",
        "length",
        "How far outboard of the steering axis, at the ground, the tyre's contact stands, square "
        "to the wheel's heading.",
        _ISO,
    ),
    (
        "trail",
        "Caster trail",
        "length",
        "How far ahead of the tyre's contact, along the wheel's heading, the steering axis meets "
        "the ground.",
        _ISO,
    ),
    ("wheel_x", "Wheel centre, forward", "length", "Where the wheel centre is, forward.", _ISO),
    ("wheel_y", "Wheel centre, left", "length", "Where the wheel centre is, to the left.", _ISO),
    ("wheel_z", "Wheel centre, up", "length", "Where the wheel centre is, upward.", _ISO),
    (
        "contact_x",
        "Contact, forward",
        "length",
        "Where the tyre meets the ground, forward (loaded radius).",
        _ISO,
    ),
    (
        "contact_y",
        "Contact, left",
        "length",
        "Where the tyre meets the ground, to the left (loaded radius).",
        _ISO,
    ),
    (
        "contact_z",
        "Contact, up",
        "length",
        "Where the tyre meets the ground, upward (loaded radius).",
        _ISO,
    ),
    (
        "damper",
        "Damper length",
        "length",
        "From the damper's lower eye centre to the top bearing's centre.",
        "common practice, no source",
    ),
    (
        "motion_ratio",
        "Motion ratio",
        "ratio",
        "How much the damper shortens to how much the wheel centre rises.",
        "its definition; the inverse is also in use",
    ),
    (
        "wheel_per_damper",
        "Wheel per damper",
        "ratio",
        "The inverse: how much the wheel centre rises to how much the damper shortens.",
        "its definition",
    ),
    (
        "track_change",
        "Track change (this wheel)",
        "length",
        "How far the tyre's contact has moved outboard since set-up height.",
        _ISO,
    ),
    (
        "wheelbase_change",
        "Wheelbase change (this wheel)",
        "length",
        "How far the tyre's contact has moved forward since set-up height.",
        _ISO,
    ),
    (
        "roll_centre",
        "Roll centre height",
        "length",
        "Where, above the ground and on the car's centre plane, the line square to the contact's "
        "path in the front view passes.",
        _ISO,
    ),
    (
        "bump_steer",
        "Bump steer",
        "angle_per_length",
        "How fast toe-in grows as the wheel rises.",
        "its definition",
    ),
    (
        "camber_gain",
        "Camber gain",
        "angle_per_length",
        "How fast camber grows as the wheel rises; negative when the top leans in in bump.",
        "its definition",
    ),
    (
        "front_view_lean",
        "Lean in the front view",
        "angle",
        "The wheel's axis projected on the front view; positive with the top leaning out. A "
        "steered wheel's camber reads less.",
        "its definition",
    ),
    (
        "front_centre_y",
        "Instant centre, front view, left",
        "length",
        "Where the wheel turns about in the front view through its centre, to the left.",
        "common practice, no source",
    ),
    (
        "front_centre_z",
        "Instant centre, front view, up",
        "length",
        "Where the wheel turns about in the front view through its centre, upward.",
        "common practice, no source",
    ),
    (
        "side_centre_x",
        "Instant centre, side view, forward",
        "length",
        "Where the upright turns about in the side view through the wheel centre, forward.",
        "common practice, no source",
    ),
    (
        "side_centre_z",
        "Instant centre, side view, up",
        "length",
        "Where the upright turns about in the side view through the wheel centre, upward.",
        "common practice, no source",
    ),
    (
        "brake_path",
        "Contact's path, brake held",
        "angle",
        "How far the contact's path leans forward as it rises, the wheel locked to the upright: in "
        "front, positive resists dive; at the rear, negative resists lifting. Outboard brakes.",
        "T. D. Gillespie, Fundamentals of Vehicle Dynamics, ch. 7 (from memory)",
    ),
    (
        "drive_path",
        "Wheel centre's path",
        "angle",
        "How far the wheel centre's path leans forward as it rises: at a driven rear wheel, "
        "negative resists squat. Drive torque taken by the chassis.",
        "T. D. Gillespie, Fundamentals of Vehicle Dynamics, ch. 7 (from memory)",
    ),
    (
        "ackermann_error",
        "Ackermann error",
        "angle",
        "How much more this wheel is steered than would roll about one centre with the other "
        "wheel; positive when turned more, in the way it is turned. Needs the wheelbase.",
        "M. Guiggiani, The Science of Vehicle Dynamics (from memory)",
    ),
    (
        "axis_turn_x",
        "Instant axis, forward",
        "ratio",
        "Forward part of the unit direction of the axis the wheel screws about as it rises.",
        "its definition",
    ),
    (
        "axis_turn_y",
        "Instant axis, left",
        "ratio",
        "Leftward part of the unit direction of the axis the wheel screws about as it rises.",
        "its definition",
    ),
    (
        "axis_turn_z",
        "Instant axis, up",
        "ratio",
        "Upward part of the unit direction of the axis the wheel screws about as it rises.",
        "its definition",
    ),
)
"""Every figure by its key."""
