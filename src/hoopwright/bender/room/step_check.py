"""What was found of one bend in the room, and the bar that it was found for."""

from dataclasses import dataclass
from typing import Literal

from hoopwright.bars import BendTable
from hoopwright.bender.order import Feed
from hoopwright.bender.room.standing import SetUp

BAR_ITSELF = "the bar itself"
TubeSide = Literal["lead", "tail"]


@dataclass(frozen=True, kw_only=True)
class Clearance:
    """The least clearance of the tube to one thing during one bend.

    Args:
        to: What it is.
        stands: `room`, `head`, `frame`, `operator`, or `bar`.
        clearance_mm: From the tube's skin, negative where the tube cuts in.
        proven_mm: Over the whole swing it is nowhere less than this.
        swung_deg: How far the die has swung where it is least.
        side: Whether the swinging part or the tail comes so near.
        part: Which part of the bar: 0 is straight 1, 1 bend 1, 2 straight 2 and so on, from end A.
        place_mm: Where on the tube's axis, head frame.
    """

    to: str
    stands: str
    clearance_mm: float
    proven_mm: float
    swung_deg: float
    side: TubeSide
    part: int
    place_mm: tuple[float, float, float]

    @property
    def part_name(self) -> str:
        """The part in words."""
        number = self.part // 2 + 1
        return f"bend {number}" if self.part % 2 else f"straight {number}"


@dataclass(frozen=True, kw_only=True)
class StepCheck:
    """One bend in the room.

    Args:
        feed: The bend and the end that leads.
        set_up: How the bender is set up.
        made: Bends that are finished before it.
        swing_deg: How far it is drawn.
        clearances: To everything that was held against it, least first.
        clamp_mm: Straight that is there for the clamp.
        clamp_needed_mm: Straight that the clamp needs.
        tail_mm: Straight that is there for what holds the tail.
        tail_needed_mm: Straight that it needs.
        keep_clear_mm: Clearance that is wanted.
        swung_tube_mm: Length of tube that swings.
        reach_mm: Farthest that its axis comes from the die's axis.
        reach_skin_mm: Farthest that its skin comes.
    """

    feed: Feed
    set_up: SetUp
    made: tuple[int, ...]
    swing_deg: float
    clearances: tuple[Clearance, ...]
    clamp_mm: float
    clamp_needed_mm: float
    tail_mm: float
    tail_needed_mm: float
    keep_clear_mm: float
    swung_tube_mm: float
    reach_mm: float
    reach_skin_mm: float

    @property
    def least(self) -> Clearance | None:
        """The least clearance to anything but the operator's place."""
        return next((one for one in self.clearances if one.stands != "operator"), None)

    @property
    def hits(self) -> tuple[Clearance, ...]:
        """What is nearer than wanted, least first, without the operator's place."""
        return tuple(one for one in self.clearances if one.stands != "operator" and self._near(one))

    @property
    def operator_hits(self) -> tuple[Clearance, ...]:
        """Where the tube comes over the operator's place."""
        return tuple(one for one in self.clearances if one.stands == "operator" and self._near(one))

    @property
    def held(self) -> bool:
        """Whether clamp and tail have the straight that they need."""
        return self.clamp_mm >= self.clamp_needed_mm - 1e-6 and self.tail_mm >= self.tail_needed_mm - 1e-6

    @property
    def works(self) -> bool:
        """Whether the tube is held and nothing is nearer than wanted."""
        return self.held and not self.hits

    @property
    def short_mm(self) -> float:
        """By how much the worst thing misses what is wanted; 0 where all is well."""
        near = self.keep_clear_mm - self.hits[0].proven_mm if self.hits else 0.0
        grip = max(self.clamp_needed_mm - self.clamp_mm, self.tail_needed_mm - self.tail_mm, 0.0)
        return max(near, grip)

    def to(self, name: str) -> Clearance | None:
        """The least clearance to one thing."""
        return next((one for one in self.clearances if one.to == name), None)

    def _near(self, one: Clearance) -> bool:
        return one.proven_mm < self.keep_clear_mm


@dataclass(frozen=True, eq=False, kw_only=True)
class BendingTask:
    """A bar to be bent on a bender.

    Args:
        name: Name of the bar.
        table: Straights with trims, rotations, angles and radius.
        od_mm: Outside diameter.
        kg_per_m: Mass for each metre of tube.
        swings_deg: How far each bend is drawn: the angle under load where it is known, else the finished one.
        clamp_mm: Straight that the clamp needs.
        tail_mm: Straight that what holds the tail needs.
        keep_clear_mm: Clearance that is wanted.
    """

    name: str
    table: BendTable
    od_mm: float
    kg_per_m: float
    swings_deg: tuple[float, ...]
    clamp_mm: float
    tail_mm: float
    keep_clear_mm: float

    @property
    def bend_count(self) -> int:
        """How many bends."""
        return len(self.table.angles_deg)
