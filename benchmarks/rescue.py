"""What the rescue is worth in a simulated shop, and how long it takes.

    python -m benchmarks.rescue [--bars 200] [--seed 1]

The shop bends hoops and side bars as it is told, with the scatter, reading errors and slips of `Shop`, and with a
springback that is 0.1 degrees off its calibration. A bar is scrap where an end is more than 5 mm off, the gap is
under its limit, or tube is missing, once it is laid in the car as well as it goes. Hoops stand in a simple body's
section with a gap of 10.5 mm as drawn; side bars in a corridor 10 mm round the drawn tube. The limit is 5 mm.
"""

import argparse
import itertools
from dataclasses import replace
from functools import partial

import numpy as np
from scipy.spatial import cKDTree

from benchmarks.timing import best_of, line
from hoopwright.bars import Bar, centreline
from hoopwright.bender import BendNumbers, Feed, Springback, a_to_b
from hoopwright.bender.bend_job import plan_job
from hoopwright.bender.rescue.goal import Goal
from hoopwright.bender.rescue.records import Bands, Started
from hoopwright.bender.rescue.simulated_shop import Shop, ShopBar, bend_in_shop
from hoopwright.bender.rescue.solve_again import Made, solve_again
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
CAL_1 = BendNumbers(clr_mm=137.5, used_per_deg_mm=2.3556, start_offset_mm=11.5)
BELIEVED = Springback(
    constant_deg=0.777, per_command_deg=0.0301, covariance=((0.0, 0.0), (0.0, 0.0)), scatter_sd_deg=0.25
)
TRUE = replace(BELIEVED, constant_deg=0.677)
HOOP = Bar(
    name="hoop",
    nodes_mm=tuple(
        (-900.0, left, up)
        for left, up in ((610, 0), (640, 620), (505, 1085), (-505, 1085), (-640, 620), (-610, 0))
    ),
    clr_mm=137.5,
    tube=TUBE,
)
SIDE_BAR = Bar(
    name="side bar",
    nodes_mm=(
        (-350.0, 640.0, 60.0),
        (-430.0, 655.0, 560.0),
        (-880.0, 525.0, 1125.0),
        (-1560.0, 505.0, 1150.0),
    ),
    clr_mm=137.5,
    tube=TUBE,
)
HALF = np.array([(680.0, 0.0), (680.0, 620.0), (556.0, 1082.0), (500.0, 1118.0)])
OUTLINE = np.concatenate([HALF, HALF[::-1] * [-1.0, 1.0]])
CLOSE = Bands(angle_deg=0.1, turn_deg=0.0, mark_mm=0.0)
HABITS = (
    ("as the sheet says, nothing read", "sheet", Bands()),
    ("read, added to where under", "add", Bands()),
    ("rescue, bands 0.3 deg, 1 deg, 1 mm", "rescue", Bands()),
    ("rescue after every bend", "rescue", CLOSE),
)


def gap_mm(points_mm):
    """Gap of a 45 mm tube to the section of a simple body."""
    nearest = np.full(len(points_mm), np.inf)
    for a, b in itertools.pairwise(OUTLINE):
        share = np.clip(((points_mm[:, 1:] - a) @ (b - a)) / ((b - a) @ (b - a)), 0.0, 1.0)
        nearest = np.minimum(nearest, np.linalg.norm(points_mm[:, 1:] - a - share[:, None] * (b - a), axis=1))
    return nearest - TUBE.od_mm / 2.0


def corridor():
    """Gap of the side bar's tube to a corridor 10 mm wide round the drawn one, as a function of places."""
    path = centreline(SIDE_BAR)
    drawn = cKDTree(path.at(np.arange(0.0, path.length_mm, 1.0)))
    return lambda points_mm: 10.0 - drawn.query(points_mm)[0]


def begun(bar: Bar, bands: Bands) -> Started:
    """A stick of that bar."""
    feeds: tuple[Feed, ...] = a_to_b(bar.bend_count)
    job, plan = plan_job(bar, CAL_1, feeds, trim_a_mm=30.0, trim_b_mm=30.0, clamp_mm=30.0)
    return Started(
        bar_id=bar.name, revision=1, identity="", stick=1, job=job, plan=plan, line=BELIEVED, die_reach_deg=180.0,
        swings="clockwise", bands=bands, calibration="", die="", batch="", at="", key="0",
    )  # fmt: skip


def bent(bar: Bar, habit: str, bands: Bands, bars: int, seed: int) -> list[ShopBar]:
    """Bars bent by one habit; every habit gets the same errors as far as it makes the same bends."""
    goal, started = Goal(gap_mm=5.0), begun(bar, bands)
    gap = gap_mm if bar is HOOP else corridor()
    return [
        bend_in_shop(Shop(line=TRUE), started, habit, np.random.default_rng((seed, k)), goal=goal, gap=gap)
        for k in range(bars)
    ]


def row(name: str, made: list[ShopBar]) -> str:
    """One line of the table."""
    outcomes = [one.outcome for one in made if one.outcome is not None]
    misses = np.array([outcome.worst_miss_mm for outcome in outcomes])
    off = np.array([outcome.off_mm for outcome in outcomes])
    gaps = [outcome.least.gap_mm for outcome in outcomes if outcome.least is not None]
    low = f"{np.quantile(gaps, 0.05):6.1f}" if gaps else "     -"
    return (
        f"| {name:<35} | {np.sqrt(np.mean(misses**2)):5.2f} | {np.quantile(misses, 0.95):6.2f} | "
        f"{np.quantile(off, 0.95):6.1f} | {low} | {100 * np.mean([one.scrapped for one in made]):5.1f} % | "
        f"{np.mean([one.pulls for one in made]):4.1f} | {np.mean([one.solved_again for one in made]):4.1f} |"
    )


def main() -> None:
    """Bend, count and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--bars", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    wanted = parser.parse_args()
    for bar in (HOOP, SIDE_BAR):
        print(f"\n{wanted.bars} of each, seed {wanted.seed}: {bar.name}\n")
        print("| how | end off, rms mm | 95 % | bar off 95 % | least gap 5 % | scrap | pulls | solved |")
        print("|---|---|---|---|---|---|---|---|")
        for name, habit, bands in HABITS:
            print(row(name, bent(bar, habit, bands, wanted.bars, wanted.seed)))
    print()
    for bar, over in ((HOOP, (0.0, 0.79)), (SIDE_BAR, (1.5,))):
        started = begun(bar, Bands())
        made = [
            Made(
                bend=k + 1,
                released_deg=started.plan.angles_deg[k] + by,
                total_deg=started.plan.totals_deg[k],
                mark_mm=started.plan.marks_mm[k],
            )
            for k, by in enumerate(over)
        ]
        work = partial(
            solve_again, started.job, started.plan, made, goal=Goal(gap_mm=8.0),
            gap=gap_mm if bar is HOOP else corridor(),
        )  # fmt: skip
        seconds = best_of(work)
        line(f"rescue of a {bar.name} after a bend that is over", seconds, "s", "under 1 s")


if __name__ == "__main__":
    main()
