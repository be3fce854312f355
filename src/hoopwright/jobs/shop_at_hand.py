"""What the shop offers to a project: machine, die and calibration, where the project itself says nothing."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from hoopwright.bender import CalibrationRecord, Machine, ShopBender, ShopDie, Swing, same_tube
from hoopwright.cage import Limits, Member
from hoopwright.findings import Finding
from hoopwright.jobs.shop_if_there import shop_if_there
from hoopwright.store import Project

ASSUMED_SWING: Swing = "clockwise"
_NAMELESS = "bender"


@dataclass(frozen=True, kw_only=True)
class ShopAtHand:
    """Benders and dies in use, and the calibrations in force; empty where there is no shop.

    Args:
        benders: By name.
        dies: By name.
        calibrations: In the order of keeping.
    """

    benders: Mapping[str, ShopBender] = field(default_factory=lambda: MappingProxyType({}))
    dies: Mapping[str, ShopDie] = field(default_factory=lambda: MappingProxyType({}))
    calibrations: tuple[CalibrationRecord, ...] = ()

    def die_of(self, member: Member) -> ShopDie | None:
        """The die that a member names, if the shop has it for that tube."""
        die = self.dies.get(member.die)
        return die if die is not None and die.fits(member.tube) else None

    def calibration_of(self, member: Member) -> CalibrationRecord | None:
        """The samples of a member's die and tube that were kept last."""
        found = [
            record
            for record in self.calibrations
            if record.die == member.die and same_tube(record.tube, member.tube)
        ]
        return found[-1] if found else None


def shop_at_hand() -> ShopAtHand:
    """The shop as it is now; empty where there is none, and none is made.

    Raises:
        UserError: `SHOP-020` to `SHOP-023` when there is one and it cannot be read: what it would have said must
            not be left out unseen.
    """
    with shop_if_there() as shop:
        if shop is None:
            return ShopAtHand()
        return ShopAtHand(
            benders=MappingProxyType({bender.name: bender for bender in shop.benders()}),
            dies=MappingProxyType({die.name: die for die in shop.dies()}),
            calibrations=shop.calibrations(),
        )


@dataclass(frozen=True, kw_only=True)
class MachineForBar:
    """What bends one bar.

    Args:
        machine: Its swing, clamp and reach.
        die: The die, where the shop has it.
        is_swing_known: False where nobody said which way the bender swings.
        findings: What a person should know of the choice.
    """

    machine: Machine
    die: ShopDie | None = None
    is_swing_known: bool = True
    findings: tuple[Finding, ...] = ()


def machine_for(
    project: Project, member: Member, shop: ShopAtHand, *, swings: Swing | None = None
) -> MachineForBar:
    """The machine of a bar: what is asked, else what the project says, else what the shop knows of the bar's die.

    Args:
        project: Its `swings` and its clamp, where a person typed another than the usual one, go before the shop.
        member: The bar.
        shop: The shop at hand.
        swings: Which way the leading end swings, as asked.
    """
    die = shop.die_of(member)
    bender = None if die is None else shop.benders.get(die.bender)
    known = swings or project.swings or (bender.swings if bender else None)
    machine = Machine(
        name=bender.name if bender else _NAMELESS,
        swings=known or ASSUMED_SWING,
        clamp_mm=clamp_for(project.cage.limits, member, shop),
        axis_height_mm=bender.axis_height_mm if bender else None,
        die_reach_deg=min([180.0, *(d.reach_deg for d in (die, bender) if d is not None)]),
    )
    return MachineForBar(
        machine=machine, die=die, is_swing_known=known is not None, findings=_other_tube(member, shop)
    )


def clamp_for(limits: Limits, member: Member, shop: ShopAtHand) -> float:
    """Straight that the clamp needs, mm: the project's where a person typed one, else the die's, else the bender's."""
    die = shop.die_of(member)
    if _is_typed(limits) or die is None:
        return limits.clamp_mm
    if die.clamp_mm is not None:
        return die.clamp_mm
    bender = shop.benders.get(die.bender)
    return limits.clamp_mm if bender is None else bender.clamp_mm


def shop_for_clamps(limits: Limits) -> ShopAtHand:
    """The shop as far as clamps hang on it: empty, and not opened, where the project's own clamp decides."""
    return ShopAtHand() if _is_typed(limits) else shop_at_hand()


def _is_typed(limits: Limits) -> bool:
    return limits.clamp_mm != Limits().clamp_mm


def _other_tube(member: Member, shop: ShopAtHand) -> tuple[Finding, ...]:
    die = shop.dies.get(member.die)
    if die is None or die.fits(member.tube):
        return ()
    return (
        Finding(
            code="SHOP-046",
            sentence=f"Bar {member.member_id} is tube {member.tube} and names die '{die.name}', which the shop has for "
            f"{die.od_mm:g} mm; what the shop knows of that die was left out.",
            todo="Name the right die in the bar, or the right tube.",
            objects=(member.member_id, die.name),
            measured=member.tube.od_mm,
            limit=die.od_mm,
            unit="mm",
        ),
    )
