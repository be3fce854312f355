"""A simulated shop: with the rescue, ends scatter less and fewer bars are scrapped."""

from dataclasses import replace

import numpy as np
import pytest

from hoopwright.bender import BendNumbers, Springback, a_to_b
from hoopwright.bender.bend_job import plan_job
from hoopwright.bender.rescue.goal import Goal
from hoopwright.bender.rescue.records import Bands, Started
from hoopwright.bender.rescue.simulated_shop import Shop, bend_in_shop

LINE = Springback(
    constant_deg=0.777, per_command_deg=0.0301, covariance=((0.0, 0.0), (0.0, 0.0)), scatter_sd_deg=0.25
)
PERFECT = Shop(
    line=LINE, angle_sd_deg=0.0, pull_sd_deg=0.0, turn_sd_deg=0.0, mark_sd_mm=0.0, gauge_sd_deg=0.0,
    level_sd_deg=0.0, tape_sd_mm=0.0, slip_share=0.0,
)  # fmt: skip


@pytest.fixture
def started(bodies):
    numbers = BendNumbers(clr_mm=137.5, used_per_deg_mm=2.3556, start_offset_mm=11.5)
    job, plan = plan_job(bodies.hoop(), numbers, a_to_b(4), trim_a_mm=30.0, trim_b_mm=30.0, clamp_mm=30.0)
    return Started(
        bar_id="MH", revision=1, identity="", stick=1, job=job, plan=plan, line=LINE, die_reach_deg=180.0,
        swings="clockwise", bands=Bands(), calibration="", die="", batch="", at="", key="0",
    )  # fmt: skip


def bent(started, shop, habit, bars):
    return [
        bend_in_shop(shop, started, habit, np.random.default_rng((1, k)), goal=Goal()) for k in range(bars)
    ]


@pytest.mark.parametrize("habit", ["sheet", "add", "rescue"])
def test_a_shop_without_errors_bends_the_drawn_bar(started, habit):
    (made,) = bent(started, PERFECT, habit, 1)
    assert made.outcome.worst_miss_mm < 0.01
    assert made.outcome.off_mm < 0.05
    assert (made.scrapped, made.pulls, made.solved_again) == (False, 4, 0)


def test_a_springback_that_is_off_is_read_and_added_to(started):
    """A constant 1 degree greater than calibrated leaves every bend 1 degree under; adding mends it, the sheet not."""
    stiff = replace(PERFECT, line=replace(LINE, constant_deg=1.777))
    (by_sheet,), (added,) = (bent(started, stiff, habit, 1) for habit in ("sheet", "add"))
    assert by_sheet.outcome.worst_miss_mm > 10.0
    assert added.outcome.worst_miss_mm < 0.05
    assert added.pulls == 8


def test_less_scatter_and_less_scrap_with_the_rescue(started):
    """Twelve hoops, the same shop: the root mean square of the worse end's miss falls to under half."""
    shop = Shop(line=replace(LINE, constant_deg=0.577))
    without, rescued = (bent(started, shop, habit, 12) for habit in ("sheet", "rescue"))

    def miss(bars):
        return np.sqrt(np.mean([bar.outcome.worst_miss_mm**2 for bar in bars if bar.outcome is not None]))

    assert miss(rescued) < 0.5 * miss(without)
    assert sum(bar.scrapped for bar in rescued) < sum(bar.scrapped for bar in without)
