"""The cage: members, landmarks and the limits that the person typed."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from hoopwright.bars import Node
from hoopwright.cage.driver import Driver
from hoopwright.cage.hole import Hole
from hoopwright.cage.landing import Gusset, Landing
from hoopwright.cage.member import Member
from hoopwright.findings import Finding, Severity, UserError


@dataclass(frozen=True, kw_only=True)
class Limits:
    """What the person holds the cage to.

    Args:
        gap_mm: Gap to the shell that a bar keeps outside its landings.
        clamp_mm: Straight that the bender's clamp needs.
    """

    gap_mm: float = 10.0
    clamp_mm: float = 60.0


@dataclass(frozen=True, kw_only=True)
class Cage:
    """A cage as intent; everything else is derived from it.

    Args:
        members: In the order in which they were added.
        landmarks: Named places, vehicle frame.
        limits: What the person typed.
        drivers: Who drives, as measured.
        holes: What is cut in the shell for bars to pass.
        landings: What is made where legs stand on the shell.
        gussets: Small plates between bars, and ties to the shell.
        order: Bars in the order of assembly that the person typed; empty leaves it to be found.
    """

    members: tuple[Member, ...] = ()
    landmarks: Mapping[str, Node] = field(default_factory=lambda: MappingProxyType({}))
    limits: Limits = field(default_factory=Limits)
    drivers: tuple[Driver, ...] = ()
    holes: tuple[Hole, ...] = ()
    landings: tuple[Landing, ...] = ()
    gussets: tuple[Gusset, ...] = ()
    order: tuple[str, ...] = ()

    def member(self, member_id: str) -> Member:
        """The member of that name.

        Raises:
            UserError: `CAGE-001` when there is none.
        """
        for member in self.members:
            if member.member_id == member_id:
                return member
        known = ", ".join(member.member_id for member in self.members) or "none yet"
        raise UserError(
            Finding(
                code="CAGE-001",
                severity=Severity.STOP,
                sentence=f"There is no bar '{member_id}' in the cage.",
                todo=f"The bars are: {known}.",
                objects=(member_id,),
            )
        )

    def __contains__(self, member_id: object) -> bool:
        return any(member.member_id == member_id for member in self.members)
