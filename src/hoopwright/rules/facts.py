"""What a check needs to know of a car and its cage. A project gives it, and a case of a rule types it.

Everything may be None: not known. A check of what is not known ends in `not checked` and says what to give.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from hoopwright.cage.car import Car
from hoopwright.cage.member import Role, Side
from hoopwright.tubes import TubeSize

Place = tuple[float, float, float]


class Process(StrEnum):
    """How a tube was made."""

    CDS = "cold drawn seamless"
    SEAMLESS = "seamless"
    DOM = "DOM"
    ERW = "ERW"


@dataclass(frozen=True, kw_only=True)
class Certificate:
    """What the certificate of a tube says.

    Args:
        number: Of the certificate; empty where not known.
        process: How the tube was made.
        carbon_percent: Carbon, by mass.
        manganese_percent: Manganese, by mass.
        other_percent: All other elements together, by mass.
        yield_mpa: Yield strength as tested.
        tensile_mpa: Tensile strength as tested.
    """

    number: str = ""
    process: Process | None = None
    carbon_percent: float | None = None
    manganese_percent: float | None = None
    other_percent: float | None = None
    yield_mpa: float | None = None
    tensile_mpa: float | None = None


@dataclass(frozen=True, kw_only=True)
class BendFacts:
    """One bend of a bar.

    Args:
        angle_deg: Change of direction, 0 to 180.
        clr_mm: Centreline radius, as bent where it was measured.
        is_reverse: Whether it bends against the first bend of the bar.
        in_leg: Whether it lies in the part that is marked as the leg.
        side_view_deg: Change of direction as seen from the side.
        narrow_mm: Smallest outside width measured in the bend.
        wide_mm: Largest outside width measured in the bend.
        place_mm: Middle of its arc.
    """

    angle_deg: float
    clr_mm: float | None = None
    is_reverse: bool = False
    in_leg: bool | None = None
    side_view_deg: float | None = None
    narrow_mm: float | None = None
    wide_mm: float | None = None
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class BarFacts:
    """One bar.

    Args:
        bar_id: Its name.
        role: What it is; None where nobody said.
        side: Its side of the car.
        tube: Nominal size.
        od_measured_mm: Outside diameter as measured.
        wall_measured_mm: Wall as measured.
        steel: What it is made of, in the words of the certificate.
        certificate: What its certificate says.
        bends: Its bends from end A; None where not known.
        down_mm: Vector from its upper to its lower end, forward, left, up.
        length_mm: Developed length.
        is_one_piece: Whether it is one tube without a joint.
        is_required: Whether the book demands this bar, or it was added freely.
        padding_mm: Thickness of the padding on it; 0 for none.
        padding_standard: Standard that the padding is marked with.
        place_mm: A place on it, to point at.
    """

    bar_id: str = "bar"
    role: Role | None = None
    side: Side = ""
    tube: TubeSize | None = None
    od_measured_mm: float | None = None
    wall_measured_mm: float | None = None
    steel: str = ""
    certificate: Certificate | None = None
    bends: tuple[BendFacts, ...] | None = None
    down_mm: Place | None = None
    length_mm: float | None = None
    is_one_piece: bool | None = None
    is_required: bool | None = None
    padding_mm: float | None = None
    padding_standard: str = ""
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class Measured:
    """One named distance, angle or ratio; `rules.measures` says what each name means and how it is taken.

    Args:
        name: One of `rules.measures.MEASURES`.
        about: The bar, foot, opening or joint that it was measured at.
        role: Role of the bar, where it is one.
        measured: In mm, degrees, or without a unit for a ratio, as the name says; None where it could not be taken.
        other: The same measured in the other way that the name says, where there is one.
        missing: What to give where it could not be taken.
        place_mm: Where.
    """

    name: str
    about: str = ""
    role: Role | None = None
    measured: float | None = None
    other: float | None = None
    missing: str = ""
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class FootFacts:
    """One foot: where a bar stands on the shell.

    Args:
        bar_id: The bar.
        role: Its role.
        side: Its side of the car.
        tube: Of the bar.
        planes_mm: Two sides of each flat part of the plate, developed; one row for a flat plate.
        area_mm2: Area in all planes together; None takes it from the sides.
        contact_mm2: Area that touches the shell.
        thickness_mm: Of the plate.
        backing_mm: Thickness of the plate on the other side of the shell; 0 for none.
        is_bolted: Whether it is bolted, else welded.
        bolts: How many.
        bolt_mm: Nominal diameter.
        bolt_grade: As marked, such as `8.8` or `SAE 5`.
        in_double_shear: Whether a single bolt stands in double shear with a bush welded in the tube.
        place_mm: Where it stands.
    """

    bar_id: str = "foot"
    role: Role | None = None
    side: Side = ""
    tube: TubeSize | None = None
    planes_mm: tuple[tuple[float, float], ...] | None = None
    area_mm2: float | None = None
    contact_mm2: float | None = None
    thickness_mm: float | None = None
    backing_mm: float | None = None
    is_bolted: bool | None = None
    bolts: int | None = None
    bolt_mm: float | None = None
    bolt_grade: str = ""
    in_double_shear: bool | None = None
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class GussetFacts:
    """One gusset.

    Args:
        name: Its name.
        largest_od_mm: Outside diameter of the largest tube that it joins.
        legs_mm: From the corner along each tube.
        thickness_mm: Of its sheet.
        cutout_mm: Radius of the cut-out at the corner.
        hole_mm: Diameter of the hole in a side; 0 for none.
        is_folded: Whether it is bent to a U.
        place_mm: Where.
    """

    name: str = "gusset"
    largest_od_mm: float | None = None
    legs_mm: tuple[float, ...] | None = None
    thickness_mm: float | None = None
    cutout_mm: float | None = None
    hole_mm: float | None = None
    is_folded: bool | None = None
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class JointFacts:
    """Where bars meet.

    Args:
        joint_id: Such as `BS-L to MH`.
        roles: Roles of the bars that meet.
        gussets: How many gussets stand there.
        is_crossing: Whether bars cross there, rather than one ending on another.
        is_removable: Whether it can be undone.
        bolt_grade: Of its bolts, where removable.
        bolt_mm: Of its bolts.
        place_mm: Where.
    """

    joint_id: str = "joint"
    roles: frozenset[Role] = frozenset()
    gussets: int | None = None
    is_crossing: bool | None = None
    is_removable: bool | None = None
    bolt_grade: str = ""
    bolt_mm: float | None = None
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class HoleFacts:
    """An inspection hole in a bar.

    Args:
        bar_id: The bar.
        role: Its role.
        diameter_mm: Of the hole.
        to_weld_mm: To the nearest weld.
        to_bend_mm: To the nearest bend.
        place_mm: Where.
    """

    bar_id: str = "bar"
    role: Role | None = None
    diameter_mm: float | None = None
    to_weld_mm: float | None = None
    to_bend_mm: float | None = None
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class HelmetRoom:
    """From a driver's helmet to one bar.

    Args:
        bar_id: The bar.
        room_mm: From the helmet to the bare tube.
        place_mm: Where on the bar.
    """

    bar_id: str
    room_mm: float
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class DriverFacts:
    """One driver.

    Args:
        driver_id: Who.
        helmet_line_mm: Room of the helmet under a straight edge over main hoop and the bar in front.
        line_bars: The two bars that the edge lies on.
        seat_drop_ratio: How much lower the seat must go for each mm that is missing.
        brace_line_mm: Room of the helmet to the line from main hoop top to the lower end of its braces.
        level_mm: How far the top of the helmet lies below the level of the main hoop's top.
        belt_deg: Fall of the shoulder belt from shoulder to guide, below horizontal positive.
        rooms: From the helmet to the bars near it; None where not measured.
        exit_s: Time in which the driver got out.
        helmet_place_mm: Centre of the helmet.
        belt_place_mm: Where the belt leaves the shoulder.
    """

    driver_id: str = "driver"
    helmet_line_mm: float | None = None
    line_bars: tuple[str, ...] = ()
    seat_drop_ratio: float = 1.0
    brace_line_mm: float | None = None
    level_mm: float | None = None
    belt_deg: float | None = None
    rooms: tuple[HelmetRoom, ...] | None = None
    exit_s: float | None = None
    helmet_place_mm: Place | None = None
    belt_place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class OpeningFacts:
    """A door opening.

    Args:
        side: Its side of the car.
        circle_mm: Greatest circle that passes.
        free_ratio: Share of its area that no bar covers.
        crossed_by: Roles of the bars that cross it, one for each bar.
        place_mm: Middle of the circle.
    """

    side: Side = ""
    circle_mm: float | None = None
    free_ratio: float | None = None
    crossed_by: tuple[Role, ...] | None = None
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class Extent:
    """How far the cage reaches, and where the suspension takes its vertical load; forward positive.

    Args:
        front_mm: Foremost place of the cage.
        rear_mm: Rearmost place of the cage.
        front_mount_mm: Front suspension mounting point.
        rear_mount_mm: Rear suspension mounting point.
    """

    front_mm: float | None = None
    rear_mm: float | None = None
    front_mount_mm: float | None = None
    rear_mount_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class Pattern:
    """What several bars together form.

    Args:
        place: Such as `roof`, `main hoop`, `door`, `layout`.
        name: Such as `X`, `V`, `inverted V`, `one diagonal`, `parallel`.
        side: Side of the car, for a place that is there on each.
        bars: The bars that form it.
    """

    place: str
    name: str
    side: Side = ""
    bars: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Facts:
    """All that is known; None is not known, and an empty tuple is none there.

    Args:
        car: The car as the person described it.
        bars: Every bar of the cage.
        measures: Named distances, angles and ratios.
        feet: Every foot on the shell.
        gussets: Every gusset.
        joints: Every joint between bars.
        holes: Inspection holes.
        drivers: Drivers as measured.
        openings: Door openings.
        extent: How far the cage reaches.
        patterns: What bars together form.
    """

    car: Car = field(default_factory=Car)
    bars: tuple[BarFacts, ...] | None = None
    measures: tuple[Measured, ...] | None = None
    feet: tuple[FootFacts, ...] | None = None
    gussets: tuple[GussetFacts, ...] | None = None
    joints: tuple[JointFacts, ...] | None = None
    holes: tuple[HoleFacts, ...] | None = None
    drivers: tuple[DriverFacts, ...] | None = None
    openings: tuple[OpeningFacts, ...] | None = None
    extent: Extent | None = None
    patterns: tuple[Pattern, ...] | None = None
