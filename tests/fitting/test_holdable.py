"""The gap that can be held: scattered hoops against figures from outside, a linear model, and closed forms."""

import numpy as np
import pytest

from hoopwright.bars import Bar, bend_table, nodes_from_table
from hoopwright.bars.many import BentTables, bend_all, place_all, places_along
from hoopwright.findings import UserError
from hoopwright.fitting.holdable import holdable_gap, share_that_clears, wilson_interval
from hoopwright.fitting.measuring import measure_bar
from hoopwright.fitting.scattered import Scatter, scatter_tables, scattered_bars
from hoopwright.geometry import best_rigid_motion
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
TWISTED = Bar(
    name="SB",
    nodes_mm=((0.0, 600.0, 0.0), (0.0, 640.0, 600.0), (-400.0, 520.0, 1000.0), (-1100.0, 300.0, 1080.0)),
    clr_mm=137.5,
    tube=TUBE,
)
NONE = Scatter(angle_sd_deg=0.0, rotation_sd_deg=0.0, length_sd_mm=0.0)
USUAL = Scatter(angle_sd_deg=0.25, rotation_sd_deg=0.5, length_sd_mm=1.0)


def off_95_mm(bar, scatter, trials=10_000):
    places = places_along(bar, 20.0)
    bars = scattered_bars(places, scatter_tables(bend_table(bar), scatter, trials, seed=3))
    return np.quantile(np.linalg.norm(bars - places.points_mm, axis=2).max(axis=1), 0.95)


@pytest.mark.parametrize(("angle", "length", "within"), [(0.1, 0.5, 3.3), (0.25, 1.0, 8.0), (0.5, 2.0, 15.9)])
def test_hoops_lie_within_the_known_distance(bodies, angle, length, within):
    """Figures worked out apart from this project for this hoop; how the distance was taken is not known.

    Here: the greatest distance between matching places of the whole axis, bent flat, laid by least squares over
    the length. 40 000 hoops give 3.39, 8.38 and 16.76 mm: 3 to 5.4 % over the figures. The six nodes alone, laid
    with equal weight, give 1 to 4 % under them. 8 % holds the difference and the sampling of 10 000 hoops (0.9 %).
    """
    scatter = Scatter(angle_sd_deg=angle, rotation_sd_deg=0.0, length_sd_mm=length)
    assert off_95_mm(bodies.hoop(), scatter) == pytest.approx(within, rel=0.08)


def test_bends_as_the_bend_table_does(bodies):
    """Straights' ends of many bars at once against `nodes_from_table`, one by one."""
    for bar in (TWISTED, bodies.hoop()):
        tables = scatter_tables(
            bend_table(bar), Scatter(angle_sd_deg=2.0, rotation_sd_deg=5.0, length_sd_mm=9.0), 5, 1
        )
        tables.rotations_deg[:, 0] = 0.0
        ends = tuple(np.array([0.0, 1.0]) for _ in range(2 * bar.bend_count + 1))
        bars = bend_all(tables, ends)
        for k in range(5):
            row = type(bend_table(bar))(
                straights_mm=tuple(tables.straights_mm[k]),
                rotations_deg=tuple(tables.rotations_deg[k]),
                angles_deg=tuple(tables.angles_deg[k]),
                clr_mm=bar.clr_mm,
            )
            nodes = nodes_from_table(row)
            assert bars[k, -1] == pytest.approx(np.array(nodes[-1]), abs=1e-8)
            assert bars[k, 0] == pytest.approx(np.zeros(3))


def test_a_nearly_straight_bend_may_come_out_the_other_way():
    tables = BentTables(
        straights_mm=np.full((2, 2), 100.0),
        rotations_deg=np.zeros((2, 1)),
        angles_deg=np.array([[0.5], [-0.5]]),
        clr_mm=137.5,
    )
    one, other = bend_all(tables, (np.array([0.0, 1.0]), np.array([0.0, 0.5, 1.0]), np.array([0.0, 1.0])))
    assert other == pytest.approx(one * [1.0, -1.0, 1.0], abs=1e-12)
    assert one[-1, 0] > 200.0


def test_places_each_as_one_alone_is_placed():
    places = places_along(TWISTED, 30.0)
    bars = bend_all(scatter_tables(bend_table(TWISTED), USUAL, 6, 2), places.shares)
    for bar, placed in zip(bars, place_all(bars, places), strict=True):
        rotation, shift = best_rigid_motion(bar, places.points_mm, places.weights)
        assert placed == pytest.approx(bar @ rotation.T + shift, abs=1e-8)


@pytest.mark.parametrize("which", ["hoop", "twisted"])
def test_small_scatter_spreads_as_the_linear_model_says(bodies, which):
    """Central differences for each number of the bend table give the covariance of every place."""
    bar = bodies.hoop() if which == "hoop" else TWISTED
    places, table = places_along(bar, 60.0), bend_table(bar)
    small = Scatter(angle_sd_deg=0.02, rotation_sd_deg=0.05, length_sd_mm=0.05)
    variance = np.zeros((len(places.along_mm), 3))
    sds = {"straights_mm": 0.05, "rotations_deg": 0.05, "angles_deg": 0.02}
    for name, sd in sds.items():
        for index in range(len(getattr(table, name))):
            numbers = {key: np.tile(getattr(table, key), (2, 1)).astype(float) for key in sds}
            numbers[name][:, index] += [sd, -sd]
            high, low = scattered_bars(places, BentTables(**numbers, clr_mm=table.clr_mm))
            variance += ((high - low) / 2.0) ** 2
    bars = scattered_bars(places, scatter_tables(table, small, 8000, seed=5))
    # 8000 normal numbers give a standard deviation to 0.8 %; 4 % is five of these, at every place and axis
    assert bars.std(axis=0) == pytest.approx(np.sqrt(variance), rel=0.04, abs=1e-4)


def test_no_scatter_leaves_the_drawn_gap(section_shell, bodies):
    held = holdable_gap(section_shell, bodies.hoop(), NONE, trials=20)
    drawn = measure_bar(section_shell, bodies.hoop()).smallest.gap_mm
    assert held.drawn_gap_mm == pytest.approx(drawn, abs=0.02)
    assert held.gaps_mm == pytest.approx(np.full(20, held.drawn_gap_mm), abs=1e-9)
    assert held.at_drawn.share == 1.0
    assert held.holds_95_mm == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


def test_every_gap_is_that_of_the_bar_measured_whole(section_shell, bodies):
    """What was not looked at could not have been nearest: against all places of all bars."""
    bar, landings = bodies.hoop(), (100.0, 60.0)
    held = holdable_gap(section_shell, bar, USUAL, landings_mm=landings, trials=70, seed=9)
    places = places_along(bar, 2.0)
    judged = (places.along_mm >= 100.0) & (places.along_mm <= places.along_mm[-1] - 60.0)
    bars = scattered_bars(places, scatter_tables(bend_table(bar), USUAL, 70, 9))[:, judged]
    whole = section_shell.nearest(bars.reshape(-1, 3)).distance_mm.reshape(70, -1).min(axis=1) - 22.5
    assert held.gaps_mm == pytest.approx(whole, abs=1e-9)
    assert held.gaps_mm.std() > 0.5


def test_more_gap_and_a_steadier_hand_clear_more(section_shell, bodies):
    held = holdable_gap(section_shell, bodies.hoop(), USUAL, trials=200)
    shares = [one.share for one in held.at_targets]
    assert shares == sorted(shares)
    assert shares[0] < 0.5 < shares[-1]
    target, low, high = held.holds_95_mm
    assert low < target < high
    assert share_that_clears(held.lost_mm, target).share >= 0.95
    assert share_that_clears(held.lost_mm, target - 1e-9).share < 0.95
    steady = Scatter(angle_sd_deg=0.1, rotation_sd_deg=0.2, length_sd_mm=0.4)
    finer = holdable_gap(section_shell, bodies.hoop(), steady, trials=200)
    # the same random numbers at 0.4 of the size
    assert finer.holds_95_mm[0] == pytest.approx(0.4 * target, rel=0.1)


def test_a_seed_gives_one_result(section_shell, bodies):
    first, again = (holdable_gap(section_shell, bodies.hoop(), USUAL, trials=60, seed=4) for _ in range(2))
    other = holdable_gap(section_shell, bodies.hoop(), USUAL, trials=60, seed=5)
    assert np.array_equal(first.gaps_mm, again.gaps_mm)
    assert not np.array_equal(first.gaps_mm, other.gaps_mm)
    assert first.seed == 4


def test_a_bar_through_the_skin_is_not_counted_as_clear(section_shell, bodies):
    low_roof = tuple((left, up + 30.0 * (up > 1000.0)) for left, up in (
        (610.0, 0.0), (640.0, 620.0), (505.0, 1085.0), (-505.0, 1085.0), (-640.0, 620.0), (-610.0, 0.0),
    ))  # fmt: skip
    held = holdable_gap(section_shell, bodies.hoop(left_up=low_roof), USUAL, trials=40)
    assert held.axis_meets_metal > 0
    assert held.at_targets[-1].share <= 1.0 - held.axis_meets_metal / 40
    assert held.at_drawn.share == 0.0
    assert np.isinf(held.holds_95_mm[0])


def test_a_straight_bar_has_no_bend_to_miss(section_shell):
    bar = Bar(name="D", nodes_mm=((-900.0, -600.0, 300.0), (-900.0, 600.0, 320.0)), clr_mm=100.0, tube=TUBE)
    bends_only = Scatter(angle_sd_deg=1.0, rotation_sd_deg=1.0, length_sd_mm=0.0)
    held = holdable_gap(section_shell, bar, bends_only, trials=20)
    assert held.gaps_mm == pytest.approx(np.full(20, held.drawn_gap_mm), abs=1e-9)


def test_wilson_interval():
    """Wilson's formula by hand: n of n ends at n / (n + z^2); half of 100 reaches z / (2 sqrt(100 + z^2))."""
    assert wilson_interval(1.0, 10) == pytest.approx((10.0 / (10.0 + 1.959964**2), 1.0), abs=1e-9)
    reach = 1.959964 / (2.0 * np.sqrt(100.0 + 1.959964**2))
    assert wilson_interval(0.5, 100) == pytest.approx((0.5 - reach, 0.5 + reach), abs=1e-9)


@pytest.mark.parametrize("bad", [-0.1, float("nan"), float("inf"), 1e9])
@pytest.mark.parametrize("name", ["angle_sd_deg", "rotation_sd_deg", "length_sd_mm"])
def test_a_scatter_that_no_hand_has(section_shell, bodies, name, bad):
    with pytest.raises(UserError, match="FIT-020"):
        holdable_gap(section_shell, bodies.hoop(), Scatter(**{**vars(USUAL), name: bad}))


@pytest.mark.parametrize("bad", [{"trials": 0}, {"trials": -5}, {"trials": 10**9}, {"seed": -1}])
def test_trials_and_seeds_out_of_range(section_shell, bodies, bad):
    with pytest.raises(UserError, match="FIT-021"):
        holdable_gap(section_shell, bodies.hoop(), USUAL, **bad)


def test_cancelling_stops_it(section_shell, bodies):
    told = []

    def cancel(stage, share):
        told.append(share)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        holdable_gap(section_shell, bodies.hoop(), USUAL, trials=500, progress=cancel)
    assert told == [pytest.approx(0.1)]
