"""What a check knows of a foot, a gusset and a joint."""

from dataclasses import dataclass

from hoopwright.cage.member import Role, Side
from hoopwright.rules.bar_facts import Place
from hoopwright.tubes import TubeSize


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
        by_hand: Which were measured by hand, of `planes_mm`, `thickness_mm`, `backing_mm`, `bolts` and `bolt_mm`.
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
    by_hand: frozenset[str] = frozenset()
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
