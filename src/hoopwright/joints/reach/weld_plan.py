"""What a plan of welding holds: the reach of every joint, the places, and when each is welded."""

from dataclasses import dataclass
from enum import StrEnum

from hoopwright.cage import EndLetter
from hoopwright.findings import Finding
from hoopwright.joints.reach.legs import Leg
from hoopwright.joints.reach.reached import SeamReach
from hoopwright.joints.reach.room_over import RoomOver
from hoopwright.joints.reach.seam import WeldSeam
from hoopwright.joints.reach.stations import Station
from hoopwright.joints.reach.torch import Torch
from hoopwright.joints.reach.wish import Wish


class When(StrEnum):
    """When a joint is welded."""

    LOW = "low"
    ASIDE = "aside"
    IN_PLACE = "in place"
    BEFORE = "before the next bars"


@dataclass(frozen=True, eq=False, kw_only=True)
class JointReach:
    """What the torch reaches of one joint, and when it is welded.

    Args:
        in_place: In its last place with every bar of the cage there.
        early: In its last place before the bars of `early_before` go in; None where no bar is in the way.
        early_before: The bars that it must be welded before, for `early`.
        low: In the low place; None where the joint is not lowered.
        aside: In the place aside; None likewise.
        when: When it is welded: where the torch reaches most.
    """

    in_place: SeamReach
    early: SeamReach | None
    early_before: tuple[str, ...]
    low: SeamReach | None
    aside: SeamReach | None
    when: When

    @property
    def seam(self) -> WeldSeam:
        """The joint, in its last place."""
        return self.in_place.seam

    @property
    def planned(self) -> SeamReach:
        """The reach when it is welded."""
        by_when = {When.LOW: self.low, When.ASIDE: self.aside, When.BEFORE: self.early}
        return by_when.get(self.when) or self.in_place


@dataclass(frozen=True, eq=False, kw_only=True)
class WeldPlan:
    """Everything that was found.

    Args:
        torch: The torch.
        wish: What was asked.
        order: Bars in the order of assembly.
        rooms: Room over the hoops and joints in place, the least first.
        needed_drop_mm: The room asked less the least one; None where no room was asked.
        joints: Every joint between bars, in the order of assembly.
        feet: Every foot, in place.
        low: Where tops are welded lower; None where nothing is lowered.
        aside: Where joints are welded that are short even so; None likewise.
        touching: Places that would help and that cannot be moved to.
        without_seam: Ends that should land on a bar and do not meet it, as bar, end and header.
        left_out: Why bars of short joints are not moved: legs that cannot be cut for the pedestals.
    """

    torch: Torch
    wish: Wish
    order: tuple[str, ...]
    rooms: tuple[RoomOver, ...]
    needed_drop_mm: float | None
    joints: tuple[JointReach, ...]
    feet: tuple[SeamReach, ...]
    low: Station | None
    aside: Station | None
    touching: tuple[Station, ...]
    without_seam: tuple[tuple[str, EndLetter, str], ...]
    left_out: tuple[Finding, ...]

    @property
    def legs(self) -> tuple[Leg, ...]:
        """The legs of everything that is moved, each once; those that a box under them spares are not cut."""
        found: dict[tuple[str, str], Leg] = {}
        for station in (self.low, self.aside):
            for leg in station.part.legs if station is not None else ():
                found.setdefault((leg.bar_id, leg.end), leg)
        return tuple(found.values())
