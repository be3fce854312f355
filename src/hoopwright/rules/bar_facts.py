"""What a check knows of one bar: its tube, its certificate, its bends, its inspection holes."""

from dataclasses import dataclass
from enum import StrEnum

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
        number: What was typed as the number of the certificate; empty where nothing was.
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
        leg_words: Where its leg was marked, such as `the 860 mm from end A`; empty where it was not.
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
    leg_words: str = ""
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
