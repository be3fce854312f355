"""The fit of one bar: against closed forms, brute force and its own promises."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from hoopwright.bars import centreline, check_bendable
from hoopwright.findings import Severity, UserError
from hoopwright.fitting.bar_task import BarTask, FitEnd
from hoopwright.fitting.ends import end_at, is_symmetric, lean_of_deg, plane_through
from hoopwright.fitting.held import least_gap
from hoopwright.fitting.reasons import why_off
from hoopwright.fitting.tradeoff import fit_bar
from hoopwright.fitting.warm import refit_bar
from hoopwright.geometry.capsules import Capsule
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
FORWARD = -900.0


def hoop_task(**changes):
    foot = (FORWARD, 610.0, 0.0)
    task = BarTask(
        name="MH",
        tube=TUBE,
        clr_mm=137.5,
        end_a=FitEnd(place_mm=foot, slide=(0.0, 1.0, 0.0), low_mm=-60.0, high_mm=60.0),
        end_b=FitEnd(place_mm=(FORWARD, -610.0, 0.0)),
        gap_mm=8.0,
        rough_mm=((FORWARD, 640, 620), (FORWARD, 505, 1085), (FORWARD, -505, 1085), (FORWARD, -640, 620)),
        plane=(foot, (1.0, 0.0, 0.0)),
        symmetric=True,
    )
    return replace(task, **changes)


@pytest.fixture(scope="module")
def hoops(section_shell):
    return fit_bar(section_shell, hoop_task(), (2, 4))


def test_a_hoop_of_four_bends_lies_on_the_offset_of_walls_and_roof(hoops):
    # closed form: 8 + 22.5 mm inside the walls at 680 and through (680, 620)-(556, 1082), and under the roof at 1118
    four = hoops.offers[-1]
    nodes = four.bar.nodes
    expected = [(649.5, 0.0), (649.5, 615.98), (522.94, 1087.5)]
    assert nodes[:3, 1:] == pytest.approx(np.array(expected), abs=0.3)
    assert four.smallest_gap_mm == pytest.approx(8.0, abs=0.06)
    assert four.angles_deg == pytest.approx([15.02, 74.98, 74.98, 15.02], abs=0.05)
    assert four.holds


def test_a_planar_symmetric_bar_is_so_exactly(hoops):
    for offer in hoops.offers:
        nodes = offer.bar.nodes
        assert np.abs(nodes[:, 0] - FORWARD).max() < 1e-9
        assert nodes == pytest.approx(nodes[::-1] * [1, -1, 1], abs=1e-9)
        assert is_symmetric(offer.bar)


def test_two_bends_of_a_hoop_against_brute_force(section_shell, hoops):
    # 2 free numbers of the shoulder and one of the foot, stepped through; the fit must not be worse than the best step
    task = hoop_task()
    best = np.inf
    for foot, left, up in itertools.product(
        np.arange(560, 670, 20), np.arange(440, 640, 12), np.arange(1000, 1100, 6)
    ):
        nodes = np.array([
            (FORWARD, foot, 0.0), (FORWARD, left, up), (FORWARD, -left, up), (FORWARD, -foot, 0.0)
        ])  # fmt: skip
        bar = task.bar(nodes)
        path = centreline(bar)
        points = path.at(np.linspace(100.0, path.length_mm - 100.0, 60))
        gaps = section_shell.nearest(points).distance_mm - 22.5
        inside = points[:, 2] < 1118 - 22.5
        if gaps.min() >= 8.0 and inside.all():
            best = min(best, float(gaps.mean()))
    assert np.isfinite(best)
    assert hoops.offers[0].mean_gap_mm <= best + 0.1


def test_a_reason_names_the_radius_in_the_corner(section_shell, hoops):
    reasons = why_off(section_shell, hoops.task, hoops.offers[-1])
    assert reasons
    assert "radius of bend" in reasons[0].sentence
    assert reasons[0].gap_mm == pytest.approx(28.2, abs=0.4)


def test_the_same_seed_gives_the_same_bar(section_shell, hoops):
    again = fit_bar(section_shell, hoop_task(), (2, 4))
    assert [o.bar.nodes_mm for o in again.offers] == [o.bar.nodes_mm for o in hoops.offers]
    assert again.seed == hoops.seed


SIDE = BarTask(
    name="SB",
    tube=TUBE,
    clr_mm=137.5,
    end_a=FitEnd(place_mm=(-150.0, 630.0, 60.0)),
    end_b=FitEnd(place_mm=(-1500.0, 480.0, 1080.0)),
    gap_mm=6.0,
)


@pytest.fixture(scope="module")
def side_bars(section_shell):
    return fit_bar(section_shell, SIDE, (0, 1, 2, 3))


def test_a_side_bar_without_picks_keeps_gap_clamp_and_way_of_bending(section_shell, side_bars):
    assert [offer.bends for offer in side_bars.offers] == [0, 1, 2, 3]
    for offer in side_bars.offers[1:]:
        assert offer.holds
        path = centreline(offer.bar)
        every = path.at(np.arange(100.0, path.length_mm - 100.0, 0.5))
        gaps = section_shell.nearest(every).distance_mm - 22.5
        assert gaps.min() >= 6.0 - 0.06
        assert not [f for f in check_bendable(offer.bar, clamp_mm=59.9) if f.severity is Severity.STOP]
        assert np.abs(every[:, 1]).max() < 680.0
        assert every[:, 2].max() < 1118.0


def test_more_bends_follow_the_shell_no_worse(side_bars):
    means = [offer.mean_gap_mm for offer in side_bars.offers]
    assert all(more <= fewer + 0.3 for fewer, more in itertools.pairwise(means))
    assert means[2] < 0.6 * means[0]


def test_a_bar_fitted_to_the_mirrored_task_is_as_good(section_shell, side_bars):
    twin = replace(
        SIDE,
        end_a=FitEnd(place_mm=(-150.0, -630.0, 60.0)),
        end_b=FitEnd(place_mm=(-1500.0, -480.0, 1080.0)),
    )
    right = fit_bar(section_shell, twin, (2,)).offers[0]
    assert right.mean_gap_mm == pytest.approx(side_bars.offers[2].mean_gap_mm, rel=0.1)


def test_a_refit_after_an_end_moved_holds_again(section_shell, side_bars):
    moved = replace(SIDE, end_b=FitEnd(place_mm=(-1480.0, 460.0, 1070.0)))
    found = refit_bar(section_shell, moved, side_bars.offers[2].bar)
    assert found.offers[0].holds
    assert found.offers[0].bar.nodes_mm[-1] == (-1480.0, 460.0, 1070.0)
    assert found.offers[0].bends == 2


def test_a_bar_keeps_out_of_the_drivers_room(section_shell, side_bars):
    bar = side_bars.offers[2].bar
    path = centreline(bar)
    forward, left, up = path.at(np.array([path.length_mm / 2.0]))[0]
    head = Capsule(
        name="head",
        start_mm=(forward, left - 90, up - 60),
        end_mm=(forward, left - 90, up - 60),
        radius_mm=100.0,
    )
    found = fit_bar(section_shell, replace(SIDE, gap_mm=2.0, keep_clear=(head,)), (2,)).offers[0]
    every = centreline(found.bar)
    points = every.at(np.arange(0.0, every.length_mm, 1.0))
    away = np.linalg.norm(points - np.array(head.start_mm), axis=1) - 100.0
    assert away.min() >= 22.5 - 0.2


def test_a_bar_does_not_leave_through_a_door_opening(bodies):
    shell = bodies.shell_of(bodies.as_scan(bodies.section_soup(openings=[(-1300, -400, True, 200, 1000)])))
    found = fit_bar(shell, SIDE, (2,)).offers[0]
    points = centreline(found.bar).at(np.linspace(0.0, 1500.0, 400))
    walls = np.interp(points[:, 2], [620.0, 1082.0, 1118.0], [680.0, 556.0, 500.0])
    assert (points[:, 1] < walls - 22.5).all()


def test_least_gap_is_that_of_a_dense_walk(section_shell, bodies):
    bar = bodies.hoop()
    least = least_gap(section_shell, bar, np.array([100.0, 100.0]))
    path = centreline(bar)
    dense = path.at(np.arange(100.0, path.length_mm - 100.0, 0.05))
    truth = (section_shell.nearest(dense).distance_mm - 22.5).min()
    assert least.gap_mm == pytest.approx(truth, abs=0.03)
    # roof at 1118 against a top node at 1085: 33 less half of 45
    assert least.gap_mm == pytest.approx(10.5, abs=0.03)


def codes(error):
    return [finding.code for finding in error.value.findings]


@pytest.mark.parametrize(
    "change",
    [
        {"gap_mm": float("nan")},
        {"gap_mm": -1.0},
        {"clr_mm": 1e9},
        {"end_b": SIDE.end_a},
        {"end_b": FitEnd(place_mm=(float("inf"), 0.0, 0.0))},
        {"greatest_bend_deg": 1.0},
    ],
)
def test_a_task_that_cannot_be_is_refused(section_shell, change):
    with pytest.raises(UserError) as error:
        fit_bar(section_shell, replace(SIDE, **change), (1,))
    assert codes(error) == ["FIT-030"]


def test_a_gap_wider_than_the_car_finds_no_way(section_shell):
    with pytest.raises(UserError) as error:
        fit_bar(section_shell, replace(SIDE, gap_mm=900.0), (1,))
    assert codes(error) == ["FIT-038"]


def test_limits_that_cannot_all_hold_say_by_how_much(section_shell):
    offer = fit_bar(section_shell, replace(SIDE, clamp_mm=1600.0), (1,)).offers[0]
    assert not offer.holds
    assert {finding.code for finding in offer.findings} <= {"FIT-032", "BAR-007"}
    assert all(finding.measured < finding.limit for finding in offer.findings)


def test_stopping_half_way_goes_through(section_shell):
    def stop(_stage, share):
        if share > 0.2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fit_bar(section_shell, SIDE, (1, 2), progress=stop)


def test_an_end_on_a_bar_slides_on_its_straight(bodies):
    end = end_at((-900.0, 480.0, 1090.0), 60.0, 5000.0, bodies.hoop())
    assert end.place_mm == pytest.approx((-900.0, end.place_mm[1], 1085.0), abs=1e-6)
    assert abs(end.slide[1]) == pytest.approx(1.0)
    assert end.high_mm - end.low_mm == pytest.approx(803.5, abs=0.1)
    with pytest.raises(UserError) as error:
        end_at((0.0, 0.0, 0.0), 60.0, 0.0, bodies.hoop())
    assert codes(error) == ["FIT-033"]


def test_a_plane_needs_three_places_off_one_line():
    assert plane_through((0, 0, 0), (1000, 0, 0), (0, 0, 500))[1] == pytest.approx((0, -1, 0))
    with pytest.raises(UserError) as error:
        plane_through((0, 0, 0), (1000, 0, 0), (500, 0, 0))
    assert codes(error) == ["FIT-034"]


def test_the_lean_of_a_hoop_is_read_from_its_nodes(bodies):
    assert lean_of_deg(bodies.hoop()) == pytest.approx(0.0)
    leaning = bodies.hoop().nodes
    leaning[:, 0] -= np.tan(np.radians(5.0)) * leaning[:, 2]
    assert lean_of_deg(bodies.hoop().with_nodes(leaning)) == pytest.approx(5.0)
