"""A cutting plan as a person uses it: sticks with their parts and what is left of each."""

from dataclasses import dataclass

from hoopwright.findings import Finding
from hoopwright.stock.pieces import CutTask, StickOffer


@dataclass(frozen=True, kw_only=True)
class CutPart:
    """One part of a stick: the piece that it is for, and its length."""

    name: str
    length_mm: float


@dataclass(frozen=True, kw_only=True)
class CutStick:
    """One stick and what is cut from it.

    Args:
        number: From 1, in the order of the plan.
        offer: What it is; its `label` is that of the very stick where it has one.
        parts: The longest first.
        rest_mm: What is left, behind the last cut and before the trim; 0 where the last cut takes it all.
    """

    number: int
    offer: StickOffer
    parts: tuple[CutPart, ...]
    rest_mm: float

    @property
    def parts_mm(self) -> float:
        """Length of its parts together."""
        return sum(part.length_mm for part in self.parts)


@dataclass(frozen=True, kw_only=True)
class CutPlan:
    """A cutting plan of one task.

    Args:
        task: What was asked.
        sticks: Offcuts first, then sticks on the rack, then those to be bought.
        lower_bound: Number of sticks, offcuts not counted, that no plan is below.
        proven_optimal: Whether it is proven that no plan does better by the goal.
        gap_ratio: How far the plan may be from the best, as a share of what it counts; 0 when proven.
        findings: What a person should know.
    """

    task: CutTask
    sticks: tuple[CutStick, ...]
    lower_bound: int
    proven_optimal: bool
    gap_ratio: float
    findings: tuple[Finding, ...] = ()

    @property
    def stick_count(self) -> int:
        """Whole sticks, offcuts not counted."""
        return sum(stick.offer.source != "offcut" for stick in self.sticks)

    @property
    def offcut_count(self) -> int:
        """Offcuts that are cut."""
        return len(self.sticks) - self.stick_count

    @property
    def bought(self) -> tuple[CutStick, ...]:
        """Sticks that must be bought."""
        return tuple(stick for stick in self.sticks if stick.offer.source == "buy")

    @property
    def parts_mm(self) -> float:
        """Length of all parts."""
        return sum(stick.parts_mm for stick in self.sticks)

    @property
    def sticks_mm(self) -> float:
        """Length of all sticks that are cut, offcuts with them."""
        return sum(stick.offer.length_mm for stick in self.sticks)

    @property
    def waste_ratio(self) -> float:
        """1 - parts / sticks; what is left and can be used again counts as waste."""
        return 1.0 - self.parts_mm / self.sticks_mm

    @property
    def price(self) -> float | None:
        """Of the sticks to be bought; None where a price is not known."""
        prices = [stick.offer.price for stick in self.bought]
        known = [price for price in prices if price is not None]
        return sum(known) if len(known) == len(prices) else None
