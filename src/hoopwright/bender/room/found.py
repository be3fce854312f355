"""Orders of bends that were checked, and what a search of them found."""

from dataclasses import dataclass

from hoopwright.bender.order import Order
from hoopwright.bender.room.handling import PlannedStep


@dataclass(frozen=True, kw_only=True)
class FoundOrder:
    """An order of bends, checked.

    Args:
        name: `A to B`, `B to A`, `middle outward` or `mixed`.
        steps: Its bends as they are made.
        swung_kg: Tube on the swinging side, summed over the bends.
    """

    name: str
    steps: tuple[PlannedStep, ...]
    swung_kg: float

    @property
    def feeds(self) -> Order:
        """The order as a sheet takes it."""
        return tuple(step.check.feed for step in self.steps)

    @property
    def works(self) -> bool:
        """Whether every bend can be made."""
        return all(step.check.works for step in self.steps)

    @property
    def end_for_end_count(self) -> int:
        """How often the tube is turned end for end."""
        return sum(step.turn_end_for_end for step in self.steps)

    @property
    def set_up_count(self) -> int:
        """How often the bender is set up otherwise."""
        return sum(step.change_set_up for step in self.steps)

    @property
    def turned_deg(self) -> float:
        """Sum of the turns of the tube."""
        return sum(step.turned_deg for step in self.steps)

    @property
    def tightest(self) -> PlannedStep | None:
        """The step with the least clearance."""
        measured = [
            (step.check.least.clearance_mm, step) for step in self.steps if step.check.least is not None
        ]
        return min(measured, key=lambda one: one[0])[1] if measured else None

    @property
    def worst(self) -> PlannedStep | None:
        """The step that misses by most; None where all work."""
        failing = [step for step in self.steps if not step.check.works]
        return max(failing, key=lambda step: step.check.short_mm, default=None)


@dataclass(frozen=True, kw_only=True)
class OrderSearch:
    """What a search found.

    Args:
        orders: The usual orders and, where another is better, that one; each checked.
        chosen: The one with fewest turns end for end and least handling; None where none works.
        nearest: The one that misses by least, where none works.
        all_orders: Whether every order was searched, or only those in which each next bend is beside those made.
        head_assumed: Whether a plain die and pedestal were taken for the bender's own solids.
    """

    orders: tuple[FoundOrder, ...]
    chosen: FoundOrder | None
    nearest: FoundOrder | None
    all_orders: bool
    head_assumed: bool
