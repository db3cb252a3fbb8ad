"""What is bought and bolted on: tyre, rim and coilover, by the few numbers a shop knows."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta

from kinematics.project.basics import (
    UPRIGHT,
    BodyName,
    Degrees,
    End,
    Length,
    NotNegative,
    PointName,
    Positive,
    Record,
    says,
)
from kinematics.project.fittings import Direction, Weights
from kinematics.project.loads import ForcePoints

TYRE_MARKING = (
    "as on the sidewall: 195/50R15; its width is that on the rim the size is measured on, and a "
    "wider rim spreads it"
)
SECTION_WIDTH = (
    "widest, on this rim: the marked width, and 0.4 of what the rim is wider than the one the size "
    "is measured on"
)
AboveNought = Annotated[float, Meta(gt=0)]


class Tyre(Record, frozen=True):
    """A tyre by its size marking; the rest overrides what the marking gives."""

    size: Annotated[str, says(TYRE_MARKING)]
    free_radius: Annotated[
        Positive | None, says("wheel centre to tread, off the ground: what it can touch")
    ] = None
    section_width: Annotated[Positive | None, says(SECTION_WIDTH)] = None
    loaded_radius: Annotated[
        Positive | None, says("wheel centre to the ground under the car: for contact and scrub")
    ] = None
    flat_radius: Annotated[
        Positive | None,
        says("wheel centre to the ground with no air in it; left out: the rim's flange"),
    ] = None
    shoulder_radius: Annotated[Positive | None, says("round of the shoulder in section")] = None
    tread_width: Annotated[Positive | None, says("flat width of the tread")] = None
    growth: Annotated[NotNegative, says("added all round for growth and tolerance")] = 0.0


class Rim(Record, frozen=True):
    """A rim by its marking, and the spacer behind it."""

    size: Annotated[str, says("as cast in the wheel: 6.5Jx15 ET25")]
    bolts: Annotated[str | None, says("bolt circle: 4x100")] = None
    centre_bore: Annotated[Positive | None, says("diameter of the hole in its middle")] = None
    spacer: Annotated[NotNegative, says("moves the rim outboard by this much")] = 0.0
    disc_thickness: Annotated[Positive, says("of the wheel's centre at the hub")] = 12.0
    stud_thread: Annotated[
        Positive | None, says("thread a wheel nut holds on with no spacer behind the wheel")
    ] = None
    weights: Annotated[tuple[Weights, ...], says("balance weights")] = ()


class Wheel(Record, frozen=True):
    """The wheel on its carrier, as it stood when the points were measured.

    Its lean is given by ``camber_deg`` and ``toe_deg`` or by ``axis``, not both.
    """

    centre: Annotated[PointName, says("on the wheel's axis, in the rim's centre plane")]
    tyre: Annotated[Tyre, says("the tyre")]
    rim: Annotated[Rim, says("the rim")]
    body: Annotated[BodyName, says("what carries it")] = UPRIGHT
    camber_deg: Annotated[Degrees, says("top leaning outboard is positive")] = 0.0
    toe_deg: Annotated[Degrees, says("toe-in is positive")] = 0.0
    axis: Annotated[
        tuple[float, float, float] | None,
        says("the wheel's axis as a direction pointing outboard; any length"),
    ] = None


class BumpStop(Record, frozen=True):
    """The bump stop on the damper shaft."""

    free: Annotated[NotNegative, says("its height as bought")]
    solid: Annotated[NotNegative, says("its height when it will squash no more")]
    packer: Annotated[NotNegative, says("height of packers under it")] = 0.0
    curve: ForcePoints | None = None
    full_squash: Annotated[
        NotNegative | None, says("squash taken as full bump; left out: until it is solid")
    ] = None
    diameter: Annotated[
        Positive | None,
        says("outside; left out: 0.9 of the damper's body (common practice, no source)"),
    ] = None


class DroopStop(Record, frozen=True):
    """A rubber or spring inside the damper that ends droop softly.

    ``open`` of the coilover is with it squashed: it meets ``free - solid`` before.
    """

    free: Annotated[NotNegative, says("its height as bought")]
    solid: Annotated[NotNegative, says("its height when it will squash no more")]
    curve: ForcePoints | None = None


class Helper(Record, frozen=True):
    """A soft spring stacked on the main one to keep it seated in droop."""

    rate_n_per_mm: Annotated[AboveNought, says("force for each length it is squashed")]
    free: Annotated[Positive, says("length on the bench")]
    solid: Annotated[Positive, says("length pressed flat, with the ring between the springs")]
    outside: Annotated[
        Positive | None, says("outside diameter, where it stands out past the main spring")
    ] = None


class InnerSpring(Record, frozen=True):
    """A second spring inside the main one, on the same seats; shorter, it is met later."""

    outside: Annotated[Positive, says("outside diameter")]
    wire: Annotated[Positive, says("wire diameter")]
    rate_n_per_mm: Annotated[AboveNought, says("force for each length it is squashed")]
    free: Annotated[Positive, says("length on the bench")]
    solid: Annotated[Positive, says("length pressed flat")]


class Clamp(Record, frozen=True):
    """How a strut is held by the upright: a split clamp, or two bolts one of them in a slot."""

    insertion: Annotated[Positive, says("length of the strut held by the clamp")]
    least_insertion: Annotated[Positive | None, says("its maker's least")] = None
    bolt_spacing: Annotated[Positive | None, says("between the two bolts, centre to centre")] = None
    slot: Annotated[NotNegative, says("how far one bolt can shift in its slot, end to end")] = 0.0


class Spring(Record, frozen=True):
    """A coil spring between the spring seat and the top hat, both on the damper's line."""

    outside: Annotated[Positive, says("outside diameter")]
    wire: Annotated[Positive, says("wire diameter")]
    seat_from_foot: Annotated[Length, says("foot eye centre up to the spring's lower end")]
    end_from_top: Annotated[Length, says("top bearing centre down to the spring's upper end")]
    free: Annotated[Positive | None, says("length on the bench")] = None
    rate_n_per_mm: Annotated[AboveNought | None, says("force for each length it is squashed")] = (
        None
    )
    active_coils: Annotated[AboveNought | None, says("coils that are free to move")] = None
    seat_outside: Annotated[Positive | None, says("outside diameter of the spring seat")] = None
    total_coils: Annotated[AboveNought | None, says("all coils; left out: active plus two")] = None
    ends: Annotated[
        Literal["ground", "closed", "open"], says("closed and ground flat, closed, or cut off")
    ] = "ground"
    shear_modulus: Annotated[
        AboveNought, says("of the wire; the usual one is that of spring steel")
    ] = 78_500.0
    solid: Annotated[Positive | None, says("length pressed flat, from its maker")] = None
    curve: Annotated[ForcePoints | None, says("of a progressive spring, instead of a rate")] = None
    locating_lip: Annotated[
        NotNegative, says("height of the lip that keeps a loose spring in place")
    ] = 0.0
    thread_pitch: Annotated[Positive, says("the seat moves this much a turn")] = 2.0
    helper: Annotated[Helper | None, says("a soft spring stacked on it")] = None
    inner: Annotated[InnerSpring | None, says("a second spring nested inside it")] = None
    coils_grow: Annotated[
        bool, says("take it as wide at every length as its coils are with the damper closed")
    ] = False
    seat_thickness: Annotated[Positive, says("of the spring seat with its lock ring")] = 8.0
    hat_outside: Annotated[Positive | None, says("outside diameter of the top hat")] = None
    hat_height: Annotated[Positive, says("of the top hat's rim above the spring")] = 10.0


class Thread(Record, frozen=True):
    """The thread that the spring seat runs on, where it is wider than the damper's body."""

    diameter: Annotated[Positive, says("outside")]
    start: Annotated[Length, says("foot eye centre up to its lower end")]
    end: Annotated[Length, says("foot eye centre up to its upper end")]


class FootEnd(Record, frozen=True):
    """The eye or clevis at a damper's foot, about its bolt; a strut's foot is clamped instead."""

    diameter: Annotated[Positive, says("outside, across its bolt")]
    width: Annotated[Positive, says("overall, along its bolt")]
    gap: Annotated[
        NotNegative, says("between a clevis's two cheeks; 0: an eye, whole across its width")
    ] = 0.0
    axis: Annotated[Direction, says("direction of its bolt")] = (1.0, 0.0, 0.0)


class Coilover(Record, frozen=True):
    """Damper and spring between the foot and the top bearing centre.

    ``open`` and ``closed`` are eye centre to eye centre with spring and bump stop off.
    """

    foot: Annotated[End, says("its lower eye")]
    top: Annotated[End, says("the top bearing's centre")]
    open: Annotated[Positive, says("eye to eye, pulled right out")]
    closed: Annotated[Positive, says("eye to eye, pushed right in, bump stop off")]
    body_diameter: Annotated[Positive, says("of the damper's body")] = 50.0
    body_length: Annotated[
        Positive | None, says("foot eye centre to the top of the damper's body")
    ] = None
    shaft_diameter: Annotated[Positive, says("of the damper's shaft")] = 14.0
    spring: Annotated[Spring | None, says("the main spring")] = None
    bump_stop: Annotated[BumpStop | None, says("on the damper's shaft")] = None
    droop_strap: Annotated[
        Positive | None, says("longest eye-to-eye length a strap lets the damper have")
    ] = None
    droop_stop: Annotated[DroopStop | None, says("inside the damper")] = None
    clamp: Annotated[Clamp | None, says("for a strut held by the upright")] = None
    thread: Annotated[Thread | None, says("what the spring seat runs on")] = None
    foot_end: Annotated[
        FootEnd | None, says("its eye or clevis; left out: drawn, and not checked")
    ] = None
