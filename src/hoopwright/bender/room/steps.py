"""One bend in the room: the bent part swung, the tail drawn on, each held against what it may hit."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import BendTable
from hoopwright.bender.order import Feed
from hoopwright.bender.room.fields import rails, together
from hoopwright.bender.room.obstacles import Surroundings
from hoopwright.bender.room.solids import BENDERS_OWN
from hoopwright.bender.room.standing import SetUp
from hoopwright.bender.room.sweep import LeastClearances, MovingTube, least_clearances
from hoopwright.bender.room.tube_parts import ARC_STEP_DEG, LaidTube, Side, lay_tube

BAR_ITSELF = "the bar itself"
_RIM_POINTS = 180
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


def check_step(
    task: BendingTask, around: Surroundings, set_up: SetUp, feed: Feed, made: Collection[int]
) -> StepCheck:
    """Sweep one bend.

    The straight that is held by the clamp, and the straight behind the die, lie where the bender is built to have
    tube: they are held against the room, not against the head. The bent part is held against head and tail too.

    Args:
        task: The bar.
        around: What it may hit at that tilt.
        set_up: How the bender is set up.
        feed: The bend and the end that leads.
        made: Bends that are finished.
    """
    swing_deg = task.swings_deg[feed.bend - 1]
    laid = lay_tube(task.table, feed, made, swings=set_up.swings, swing_deg=swing_deg)
    found, names, stands = _swept(task, around, laid, swing_deg)
    return StepCheck(
        feed=feed,
        set_up=set_up,
        made=tuple(sorted(made)),
        swing_deg=swing_deg,
        clearances=clearances_of(found, names, stands, laid),
        clamp_mm=laid.lead.first_straight_mm,
        clamp_needed_mm=task.clamp_mm,
        tail_mm=laid.tail.first_straight_mm,
        tail_needed_mm=task.tail_mm,
        keep_clear_mm=task.keep_clear_mm,
        swung_tube_mm=float(np.linalg.norm(laid.lead.ends_mm - laid.lead.starts_mm, axis=1).sum()),
        reach_mm=reach_mm(laid.lead, 0.0),
        reach_skin_mm=reach_mm(laid.lead, task.od_mm / 2.0),
    )


def moving_tube(laid: LaidTube, od_mm: float, swing_deg: float) -> MovingTube:
    """Leading side and tail as one set of moving pieces, the leading side first."""
    sides = (laid.lead, laid.tail)
    return MovingTube(
        starts_mm=np.concatenate([side.starts_mm for side in sides]),
        ends_mm=np.concatenate([side.ends_mm for side in sides]),
        swinging=np.repeat([True, False], [len(laid.lead.parts), len(laid.tail.parts)]),
        radii_mm=np.concatenate([radii_mm(side, laid.clr_mm, od_mm) for side in sides]),
        sense=laid.sense,
        swing_deg=swing_deg,
        clr_mm=laid.clr_mm,
    )


def radii_mm(side: Side, clr_mm: float, od_mm: float) -> NDArray[np.float64]:
    """Radius about each piece, shape (n,): the tube's, and in bends as much more as the arc stands off its chords."""
    stands_off = clr_mm * (1.0 - np.cos(np.radians(ARC_STEP_DEG / 2.0)))
    radii: NDArray[np.float64] = np.where(side.curved, od_mm / 2.0 + stands_off, od_mm / 2.0)
    return radii


def reach_mm(side: Side, radius_mm: float) -> float:
    """Farthest that a tube of that radius with flat ends comes from the die's axis; radius 0 for its centreline.

    0 where there is no tube ahead of the bend.
    """
    along = side.ends_mm - side.starts_mm
    if not len(along):
        return 0.0
    across = np.cross(along, np.eye(3)[np.argmin(np.abs(along), axis=1)])
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    other = np.cross(along, across) / np.linalg.norm(along, axis=1, keepdims=True)
    turn_rad = np.linspace(0.0, 2.0 * np.pi, _RIM_POINTS, endpoint=False)[:, None, None]
    rims = radius_mm * (np.cos(turn_rad) * across + np.sin(turn_rad) * other)
    skin = np.concatenate([side.starts_mm + rims, side.ends_mm + rims])
    return float(np.hypot(skin[..., 0], skin[..., 1]).max())


def clearances_of(
    found: LeastClearances, names: Sequence[str], stands: Sequence[str], laid: LaidTube
) -> tuple[Clearance, ...]:
    """What was compared, with its name, the least first."""
    parts = np.concatenate([laid.lead.parts, laid.tail.parts])
    clearances = [
        Clearance(
            to=name,
            stands=stand,
            clearance_mm=float(found.clearance_mm[k]),
            proven_mm=float(found.proven_mm[k]),
            swung_deg=float(found.swung_deg[k]),
            side="lead" if found.piece[k] < len(laid.lead.parts) else "tail",
            part=int(parts[found.piece[k]]),
            place_mm=tuple(found.place_mm[k].tolist()),
        )
        for k, (name, stand) in enumerate(zip(names, stands, strict=True))
        if np.isfinite(found.clearance_mm[k])
    ]
    return tuple(sorted(clearances, key=lambda one: one.clearance_mm))


def _swept(
    task: BendingTask, around: Surroundings, laid: LaidTube, swing_deg: float
) -> tuple[LeastClearances, list[str], list[str]]:
    tail_radii = radii_mm(laid.tail, laid.clr_mm, task.od_mm)
    tail = rails(laid.tail.starts_mm, laid.tail.ends_mm, tail_radii, follow=True)
    obstacles = together([around.obstacles, tail])
    fixed = len(around.names)
    found = least_clearances(
        moving_tube(laid, task.od_mm, swing_deg),
        obstacles,
        np.minimum(np.arange(len(obstacles)), fixed),
        _pairs(around, laid, fixed, len(obstacles)),
        groups=fixed + 1,
    )
    return found, [*around.names, BAR_ITSELF], [*around.stands, "bar"]


def _pairs(around: Surroundings, laid: LaidTube, fixed: int, count: int) -> NDArray[np.int64]:
    """Which piece is held against which obstacle, shape (k, 2); the straights at the die not against each other."""
    swinging, tail = np.arange(len(laid.lead.beyond)), np.arange(fixed, count)
    return np.concatenate(
        [
            room_pairs(around, laid),
            _each_with_each(swinging[laid.lead.beyond], tail),
            _each_with_each(swinging[~laid.lead.beyond], tail[laid.tail.beyond]),
        ]
    )


def room_pairs(around: Surroundings, laid: LaidTube) -> NDArray[np.int64]:
    """Every piece against the room, and the bent ones against the bender's own solids, shape (k, 2)."""
    beyond = np.concatenate([laid.lead.beyond, laid.tail.beyond])
    on_head = np.array([stand in BENDERS_OWN for stand in around.stands])
    return np.concatenate(
        [
            _each_with_each(np.arange(len(beyond)), np.flatnonzero(~on_head)),
            _each_with_each(np.flatnonzero(beyond), np.flatnonzero(on_head)),
        ]
    )


def _each_with_each(pieces: NDArray[np.int64], obstacles: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.stack([np.repeat(pieces, len(obstacles)), np.tile(obstacles, len(pieces))], axis=1).astype(
        np.int64
    )
