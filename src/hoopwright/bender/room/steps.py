"""One bend in the room: the bent part swung, the tail drawn on, each held against what it may hit."""

from collections.abc import Collection, Sequence

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.order import Feed
from hoopwright.bender.room.fields import rails, together
from hoopwright.bender.room.moving import MovingTube
from hoopwright.bender.room.obstacles import Surroundings
from hoopwright.bender.room.solids import BENDERS_OWN
from hoopwright.bender.room.standing import SetUp
from hoopwright.bender.room.step_check import BAR_ITSELF, BendingTask, Clearance, StepCheck
from hoopwright.bender.room.sweep import LeastClearances, least_clearances
from hoopwright.bender.room.tube_parts import ARC_STEP_DEG, LaidTube, Side, lay_tube

_RIM_POINTS = 180


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
