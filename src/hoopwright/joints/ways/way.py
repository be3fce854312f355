"""The way of one part through one opening to its place."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Node, as_node
from hoopwright.geometry import Vector
from hoopwright.joints.ways.body import Part
from hoopwright.joints.ways.carried import Carried, Foul, carried
from hoopwright.joints.ways.drawing_off import DrawnOff, ways_off
from hoopwright.joints.ways.openings import ShellOpening
from hoopwright.joints.ways.planner import Question, plan
from hoopwright.joints.ways.poses import outside_poses
from hoopwright.joints.ways.smooth import motion_mm, shortened
from hoopwright.shell.moving import SLACK_MM, Pose, Surroundings, between, free_share, measure, placed, room

TRIALS = 6000
SEED = 1
LOOKS = 2
_OFF_SHARE, _FEWEST = 10, 100
_LAST_MM = 100.0
_ROUNDING_MM = 0.01
_STEP_MM = 12.0
_MOST_STEPS = 400
_BOUND_MM = 250.0
_SIDEWAYS, _WITHIN = 0.3, 0.9


@dataclass(frozen=True, eq=False, kw_only=True)
class Tightest:
    """Where a part comes nearest to anything on its way, its landings at its place left out.

    Args:
        clearance_mm: From its skin.
        step: Number of the pose in the fine way.
        name: Its bar.
        along_mm: From end A of that bar.
        place_mm: On its axis, where it is then, vehicle frame.
        to: The bar that is near, or empty for the shell.
        triangle: Number of the triangle that is near, for the shell.
    """

    clearance_mm: float
    step: int
    name: str
    along_mm: float
    place_mm: Node
    to: str
    triangle: int


@dataclass(frozen=True, eq=False, kw_only=True)
class Way:
    """What was found for one part.

    Args:
        carried: The part.
        through: Name of the opening; of the last that was tried when none goes.
        poses: Corners of the way from outside to the place; empty when none was found.
        fine: The same with poses between, no ball moving more than some 12 mm from one to the next.
        tightest: Where it comes nearest; None without a way.
        trials: How often the planner's trees were grown, over all openings.
        off: Ways off its place that were found; none says that it cannot even leave its place.
        straight: Whether it comes off its place straight, without being turned.
    """

    carried: Carried
    through: str
    poses: tuple[Pose, ...]
    fine: tuple[Pose, ...]
    tightest: Tightest | None
    trials: int
    off: int
    straight: bool

    @property
    def last_stretch(self) -> tuple[Vector, float]:
        """Whence its middle comes over the last 100 mm, shape (3,) in mm, and its turn there in degrees."""
        body, end = self.carried.body, self.fine[-1]
        pose = next(
            (one for one in reversed(self.fine) if motion_mm(body, one, end) >= _LAST_MM), self.fine[0]
        )
        return pose[:3] - end[:3], 2.0 * float(
            np.degrees(np.arccos(min(1.0, abs(float(pose[3:] @ end[3:])))))
        )

    @property
    def found(self) -> bool:
        """Whether there is a way."""
        return bool(self.poses)

    @property
    def foul(self) -> Foul | None:
        """Where it cuts into something at its place."""
        return self.carried.foul


def find_way(
    around: Surroundings,
    part: Part,
    openings: Sequence[ShellOpening],
    *,
    gap_mm: float,
    seed: int = SEED,
    trials: int = TRIALS,
    looks: int = LOOKS,
) -> Way:
    """A way through the first of the openings that gives one.

    Args:
        around: Metal, and the bars that are in already.
        part: What is carried in.
        openings: In the order of trying.
        gap_mm: Clearance that it keeps on its way, above 0.
        seed: Of the random numbers.
        trials: How often the trees are grown at most, for each opening.
        looks: How often it is looked for from other random numbers, each time longer at the place.

    Raises:
        UserError: `WAY-001` without the planner.
    """
    moved = carried(around, part, gap_mm)
    nothing = Way(
        carried=moved, through="", poses=(), fine=(), tightest=None, trials=0, off=0, straight=False
    )
    if moved.foul is not None:
        return nothing
    tried, off = 0, tuple[DrawnOff, ...]()
    for look in range(looks):
        off = ways_off(
            around, moved, seed=seed + look, trials=max(_FEWEST, trials // _OFF_SHARE) * (1 + look)
        )
        for opening in openings if off else ():
            answer, grown = _through(around, moved, off, opening, seed + look, trials)
            tried += grown
            if answer:
                taken = next(one for one in off if np.allclose(one.end, answer[-1], atol=1e-9))
                made = _finished(around, moved, taken, answer, opening.name, tried, len(off), seed)
                if keeps_clear(around, moved, made.fine):
                    return made
    return replace(
        nothing,
        through=openings[-1].name if openings else "",
        trials=tried,
        off=len(off),
        straight=any(one.straight for one in off),
    )


def _through(
    around: Surroundings,
    moved: Carried,
    off: Sequence[DrawnOff],
    opening: ShellOpening,
    seed: int,
    trials: int,
) -> tuple[tuple[Pose, ...], int]:
    body = moved.free_body
    starts = outside_poses(moved.part, body.middle_mm, opening)
    starts = [pose for pose in starts if room(around, body, pose) >= 0.0]
    if not starts:
        return (), 0
    low, high = _bounds(around, moved, opening, starts)
    answer = plan(
        Question(
            starts=starts,
            goals=[one.end for one in off],
            low_mm=low,
            high_mm=high,
            farthest_mm=body.farthest_mm,
            is_free=lambda pose: room(around, body, pose) >= 0.0,
            goes=lambda start, end: free_share(around, body, start, end) >= 1.0,
            seed=seed,
            trials=trials,
        )
    )
    return answer.poses, answer.trials


def _bounds(
    around: Surroundings, moved: Carried, opening: ShellOpening, starts: Sequence[Pose]
) -> tuple[Vector, Vector]:
    """Shifts that keep the middle between its place and before the opening, so that it takes no other way round."""
    inside = np.array([np.zeros(3), np.array(opening.middle_mm) - moved.body.middle_mm])
    outward = np.array(opening.outward)
    low, high = inside.min(axis=0) - _BOUND_MM, inside.max(axis=0) + _BOUND_MM
    outside = np.array([pose[:3] for pose in starts])
    for axis in range(3):
        low[axis] = min(low[axis], float(outside[:, axis].min()) - 1.0)
        high[axis] = max(high[axis], float(outside[:, axis].max()) + 1.0)
    if abs(outward[1]) < _SIDEWAYS:
        # not out beside the car and round it
        half = _WITHIN * max(abs(around.metal_box[1]), abs(around.metal_box[4]))
        low[1] = max(low[1], -half - moved.body.middle_mm[1])
        high[1] = min(high[1], half - moved.body.middle_mm[1])
    return low, high


def _finished(
    around: Surroundings,
    moved: Carried,
    off: DrawnOff,
    poses: Sequence[Pose],
    through: str,
    tried: int,
    off_count: int,
    seed: int,
) -> Way:
    short = shortened(around, moved.free_body, poses, seed=seed)
    whole = (*short, *reversed(off.poses[:-1]))
    fine = fine_way(moved, whole)
    return Way(
        carried=moved,
        through=through,
        poses=whole,
        fine=fine,
        tightest=tightest_on(around, moved, fine),
        trials=tried,
        off=off_count,
        straight=off.straight,
    )


def fine_way(moved: Carried, poses: Sequence[Pose], step_mm: float = _STEP_MM) -> tuple[Pose, ...]:
    """The way with poses between its corners, so that no ball moves more than about a step from one to the next."""
    lengths = [motion_mm(moved.body, a, b) for a, b in itertools.pairwise(poses)]
    step = max(step_mm, sum(lengths) / _MOST_STEPS)
    fine = [poses[0]]
    for (start, end), length in zip(itertools.pairwise(poses), lengths, strict=True):
        count = max(1, int(np.ceil(length / step)))
        fine += [between(start, end, k / count) for k in range(1, count + 1)]
    return tuple(fine)


def keeps_clear(around: Surroundings, moved: Carried, fine: Sequence[Pose]) -> bool:
    """Whether every ball keeps what it needs at every pose, on the full mesh: a second look at a finished way."""
    found = (measure(around, moved.body, pose) for pose in fine)
    return all(float((one.least_mm - one.needed_mm).min()) >= -SLACK_MM - _ROUNDING_MM for one in found)


def tightest_on(around: Surroundings, moved: Carried, fine: Sequence[Pose]) -> Tightest | None:
    """Where the part comes nearest to anything while it is not at its landings."""
    best: Tightest | None = None
    part = moved.part
    for step, pose in enumerate(fine):
        there = measure(around, moved.body, pose)
        away = (there.moved_mm > moved.body.near_mm) | ~part.at_landing
        least = np.where(away, there.least_mm, np.inf)
        ball = int(np.argmin(least))
        if np.isfinite(least[ball]) and (best is None or least[ball] < best.clearance_mm):
            on_bar = there.capsule[ball] >= 0 and there.capsule_mm[ball] < there.metal_mm[ball]
            at = placed(part.places_mm[ball : ball + 1], moved.body.middle_mm, pose)[0]
            best = Tightest(
                clearance_mm=float(least[ball]),
                step=step,
                name=part.names[part.of_bar[ball]],
                along_mm=float(part.along_mm[ball]),
                place_mm=as_node(at),
                to=around.capsules[there.capsule[ball]].name if on_bar else "",
                triangle=-1 if on_bar else int(there.triangle[ball]),
            )
    return best
