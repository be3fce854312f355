"""One member of a cage, as intent: its role, its nodes or the member that it mirrors, its ends."""

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from hoopwright.bars import Node
from hoopwright.tubes import TubeSize

Side = Literal["L", "R", ""]
EndKind = Literal["shell", "bar", "free"]


class Role(StrEnum):
    """What a member is in the cage."""

    MAIN_HOOP = "main hoop"
    FRONT_HOOP = "front hoop"
    SIDE_BAR = "side bar"
    SIDE_HOOP = "side hoop"
    PILLAR_BAR = "pillar bar"
    SCREEN_BAR = "screen bar"
    ROOF_BAR = "roof bar"
    BACKSTAY = "backstay"
    HOOP_DIAGONAL = "hoop diagonal"
    HARNESS_BAR = "harness bar"
    DASH_BAR = "dash bar"
    DOOR_BAR = "door bar"
    SILL_BAR = "sill bar"
    STRUT_LINK = "strut link"
    OTHER = "other bar"


SHELL_LANDING_MM = 100.0
JOINT_LANDING_MM = 60.0


def landing_on(kind: EndKind) -> float:
    """Length in mm that is usually not judged at an end: trimmed to a plate, or coped to another bar."""
    return {"shell": SHELL_LANDING_MM, "bar": JOINT_LANDING_MM, "free": 0.0}[kind]


@dataclass(frozen=True, kw_only=True)
class End:
    """What an end of a member lands on.

    Args:
        kind: The shell, another bar, or nothing.
        on: The member that it ends on, for `bar`.
        trim_mm: Tube left beyond the drawn end until test fit.
        landing_mm: Length at this end that is not judged for gaps, since it is trimmed to its landing.
    """

    kind: EndKind = "free"
    on: str | None = None
    trim_mm: float = 0.0
    landing_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class FitNote:
    """How a member was fitted: what gives the same bar again.

    Args:
        seed: Of the search.
        gap_mm: Gap that was asked.
        bends: How many bends were taken.
    """

    seed: int
    gap_mm: float
    bends: int


@dataclass(frozen=True, kw_only=True)
class Member:
    """A member.

    Args:
        member_id: Short name, such as `MH` or `SB-L`; unique in the cage.
        role: What it is.
        nodes_mm: Nodes from end A to end B, vehicle frame; empty for a mirrored member.
        mirror_of: The member of the other side that it mirrors in the centre plane, or None.
        tube: Tube size.
        die: Name of the die that it is bent on.
        clr_mm: Centreline radius that it is drawn with; sheets use the calibrated one.
        end_a: Its first end.
        end_b: Its last end.
        fit: How it was fitted, when it was and its nodes have not been changed since.
        steel: What it is made of, in the words of the certificate; empty until said.
        leg_mm: Length along the bar that counts as its leg, where a book asks; None until marked.
        leg_from: The end that the leg is counted from.
    """

    member_id: str
    role: Role
    nodes_mm: tuple[Node, ...] = ()
    mirror_of: str | None = None
    tube: TubeSize
    die: str
    clr_mm: float
    end_a: End = field(default_factory=End)
    end_b: End = field(default_factory=End)
    fit: FitNote | None = None
    steel: str = ""
    leg_mm: float | None = None
    leg_from: Literal["A", "B"] = "A"
