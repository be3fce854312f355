"""What cannot be bent is refused with its code, its place and its number."""

import math

import numpy as np
import pytest

from hoopwright.bars import (
    Bar,
    BendTable,
    bend_table,
    check_bendable,
    check_shape,
    end_miss_mm,
    lay_table,
    mirrored,
    nodes_from_table,
)
from hoopwright.findings import Severity, UserError
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
SIDE = ((-350.0, 640.0, 60.0), (-430.0, 655.0, 560.0), (-880.0, 525.0, 1125.0), (-1560.0, 505.0, 1150.0))


def bar(*nodes, clr=137.5):
    return Bar(name="SB-L", nodes_mm=nodes, clr_mm=clr, tube=TUBE)


def corner(angle_deg, leg=600.0):
    """One bend of an angle; its node is at forward 600."""
    angle_rad = math.radians(angle_deg)
    end = (600.0 + leg * math.cos(angle_rad), leg * math.sin(angle_rad), 0.0)
    return bar((0.0, 0.0, 0.0), (600.0, 0.0, 0.0), end)


def only(findings):
    (finding,) = findings
    assert "SB-L" in finding.sentence
    assert finding.objects == ("SB-L",)
    assert finding.todo
    return finding


@pytest.mark.parametrize(
    ("broken", "says"),
    [
        (bar((0.0, 0.0, 0.0)), "has 1 node(s)"),
        (bar(), "has 0 node(s)"),
        (bar((0.0, 0.0, 0.0), (math.nan, 0.0, 0.0)), "node 2"),
        (bar((0.0, 0.0, 0.0), (500.0, 0.0, 0.0), (0.0, math.inf, 0.0)), "node 3"),
        (bar((0.0, 2e6, 0.0), (500.0, 0.0, 0.0)), "node 1"),
        (bar(*SIDE, clr=0.0), "radius of 0 mm"),
        (bar(*SIDE, clr=-137.5), "radius of -137.5 mm"),
        (bar(*SIDE, clr=math.nan), "radius of nan mm"),
        (bar(*SIDE, clr=math.inf), "radius of inf mm"),
    ],
)
def test_bar_001_numbers_that_are_no_bar(broken, says):
    finding = only(check_shape(broken))
    assert (finding.code, finding.severity) == ("BAR-001", Severity.STOP)
    assert says in finding.sentence
    with pytest.raises(UserError, match="BAR-001"):
        bend_table(broken)


def test_bar_002_two_nodes_in_one_place():
    finding = only(check_shape(bar(SIDE[0], SIDE[1], SIDE[1], SIDE[2])))
    assert (finding.code, finding.severity) == ("BAR-002", Severity.STOP)
    assert "nodes 2 and 3" in finding.sentence
    assert (finding.point_mm, finding.measured, finding.limit, finding.unit) == (SIDE[1], 0.0, 1e-3, "mm")


def test_bar_003_bends_that_overlap():
    """Two 90s with 200 between nodes need 2 x 137.5: 75 too little, at the middle of straight 2."""
    nodes = ((0.0, 0.0, 0.0), (600.0, 0.0, 0.0), (600.0, 200.0, 0.0), (1200.0, 200.0, 0.0))
    finding = only(check_shape(bar(*nodes)))
    assert (finding.code, finding.severity) == ("BAR-003", Severity.STOP)
    assert "straight 2 overlap by 75.0 mm at radius 137.5 mm" in finding.sentence
    assert finding.measured == pytest.approx(-75.0)
    assert finding.point_mm == (600.0, 100.0, 0.0)
    with pytest.raises(UserError) as stopped:
        bend_table(bar(*nodes))
    assert stopped.value.findings == (finding,)


def test_bar_003_begins_where_the_straight_ends():
    for over_mm, codes in ((0.1, ["BAR-003"]), (-0.1, [])):
        width = 275.0 - over_mm
        nodes = ((0.0, 0.0, 0.0), (600.0, 0.0, 0.0), (600.0, width, 0.0), (1200.0, width, 0.0))
        assert [finding.code for finding in check_shape(bar(*nodes))] == codes


def test_every_overlap_is_told_at_once():
    steps = [
        (0.0, 0.0, 0.0),
        (150.0, 0.0, 0.0),
        (150.0, 150.0, 0.0),
        (300.0, 150.0, 0.0),
        (300.0, 900.0, 0.0),
    ]
    findings = check_shape(bar(*steps))
    assert [finding.code for finding in findings] == ["BAR-003", "BAR-003"]
    assert [finding.measured for finding in findings] == pytest.approx([-125.0, -125.0])


@pytest.mark.parametrize("angle_deg", [175.5, 179.0, 180.0])
def test_bar_004_a_bend_that_node_form_cannot_hold(angle_deg):
    finding = only(check_shape(corner(angle_deg)))
    assert (finding.code, finding.severity) == ("BAR-004", Severity.STOP)
    assert finding.measured == pytest.approx(angle_deg)
    assert (finding.point_mm, finding.limit, finding.unit) == ((600.0, 0.0, 0.0), 175.0, "deg")
    with pytest.raises(UserError, match="BAR-004"):
        bend_table(corner(angle_deg))


@pytest.mark.parametrize("angle_deg", [0.0, 0.3, 0.99])
def test_bar_005_nearly_straight_is_told_and_still_bent(angle_deg):
    finding = only(check_shape(corner(angle_deg)))
    assert (finding.code, finding.severity) == ("BAR-005", Severity.WARNING)
    assert (finding.measured, finding.limit) == (pytest.approx(angle_deg), 1.0)
    assert finding.point_mm == (600.0, 0.0, 0.0)
    assert bend_table(corner(angle_deg)).angles_deg == pytest.approx((angle_deg,))


def test_from_1_degree_to_174_nothing_is_said():
    assert check_shape(corner(1.01)) == ()
    assert check_shape(corner(90.0)) == ()
    assert check_shape(bar((0.0, 0.0, 0.0), (1.0, 0.0, 0.0))) == ()
    assert check_shape(corner(174.0, leg=600.0))[0].code == "BAR-003"


@pytest.mark.parametrize(
    ("straights", "rotations", "angles", "clr", "says"),
    [
        ((100, 100), (0, 0), (90, 90), 100.0, "2 straights do not go with 2 bends"),
        ((), (), (), 100.0, "0 straights"),
        ((100, 100), (), (90,), 100.0, "do not go"),
        ((100, math.nan), (0,), (90,), 100.0, "not finite"),
        ((100, 100), (0,), (math.inf,), 100.0, "not finite"),
        ((100, 100), (0,), (90,), math.nan, "not finite"),
        ((100, 100), (0,), (90,), 0.0, "radius 0 mm"),
        ((100, 100), (0,), (90,), -5.0, "radius -5 mm"),
        ((100, 2e6), (0,), (90,), 100.0, "out of range"),
        ((100, -12.5, 100), (0, 0), (90, 90), 100.0, "straight 2 is -12.5 mm: the bends overlap"),
        ((100, 100), (0,), (-90,), 100.0, "negative"),
        ((100, 100), (30,), (90,), 100.0, "first rotation is 30"),
    ],
)
def test_bar_006_a_table_that_cannot_be(straights, rotations, angles, clr, says):
    table = BendTable(straights_mm=straights, rotations_deg=rotations, angles_deg=angles, clr_mm=clr)
    with pytest.raises(UserError) as stopped:
        nodes_from_table(table)
    (finding,) = stopped.value.findings
    assert (finding.code, finding.severity) == ("BAR-006", Severity.STOP)
    assert says in finding.sentence
    assert finding.todo


def test_bar_007_a_straight_shorter_than_the_clamp():
    """95 between two bends and a clamp of 120."""
    setback_45 = 137.5 * math.tan(math.radians(22.5))
    table = BendTable(straights_mm=(1100, 95, 700), rotations_deg=(0, 90), angles_deg=(90, 45), clr_mm=137.5)
    made = bar(*nodes_from_table(table))
    finding = only(check_bendable(made, clamp_mm=120.0))
    assert (finding.code, finding.severity) == ("BAR-007", Severity.STOP)
    assert (finding.measured, finding.limit) == (pytest.approx(95.0), 120.0)
    assert finding.point_mm == pytest.approx((1237.5, (137.5 + 95.0 + setback_45) / 2.0, 0.0))
    assert check_bendable(made, clamp_mm=95.0) == ()


def test_bar_007_tube_left_beyond_the_ends_helps_the_clamp():
    table = BendTable(straights_mm=(100, 110), rotations_deg=(0,), angles_deg=(90,), clr_mm=137.5)
    made = bar(*nodes_from_table(table))
    assert [found.code for found in check_bendable(made, clamp_mm=120.0)] == ["BAR-007", "BAR-007"]
    assert [found.measured for found in check_bendable(made, clamp_mm=120.0, trim_a_mm=30.0)] == [
        pytest.approx(110.0)
    ]
    assert check_bendable(made, clamp_mm=120.0, trim_a_mm=30.0, trim_b_mm=10.0) == ()


def test_a_bar_without_bends_needs_no_clamp():
    assert check_bendable(bar((0.0, 0.0, 0.0), (50.0, 0.0, 0.0)), clamp_mm=120.0) == ()


def test_bar_008_a_bend_beyond_the_dies_reach():
    finding = only(check_bendable(corner(95.0), clamp_mm=120.0, largest_bend_deg=90.0))
    assert (finding.code, finding.severity) == ("BAR-008", Severity.STOP)
    assert (finding.measured, finding.limit) == (pytest.approx(95.0), 90.0)
    assert finding.point_mm == (600.0, 0.0, 0.0)
    assert check_bendable(corner(89.0), clamp_mm=120.0, largest_bend_deg=90.0) == ()


def test_what_cannot_be_at_all_hides_what_cannot_be_clamped():
    assert [found.code for found in check_bendable(corner(180.0), clamp_mm=1e5)] == ["BAR-004"]


def test_bar_009_a_straight_bar_has_no_plane_to_lay_a_table_on():
    straight = bar((0.0, 0.0, 0.0), (600.0, 0.0, 0.0))
    with pytest.raises(UserError, match="BAR-009"):
        lay_table(straight, bend_table(corner(90.0)))


# A typed table laid on the bar it should make ----------------------------------------------------------


def test_the_bars_own_table_lies_on_the_bar():
    made = bar(*SIDE)
    assert lay_table(made, bend_table(made)) == pytest.approx(made.nodes, abs=1e-8)
    assert end_miss_mm(made, bend_table(made)) == pytest.approx(0.0, abs=1e-8)


def test_end_a_and_bend_1_are_held_and_the_wrong_turn_shows():
    """The mirrored side bar bent with the sign of the other side: its far end is out by 471 mm."""
    right = mirrored(bar(*SIDE), "SB-R")
    laid = lay_table(right, bend_table(bar(*SIDE)))
    assert laid[:3] == pytest.approx(right.nodes[:3], abs=1e-8)
    assert end_miss_mm(right, bend_table(bar(*SIDE))) == pytest.approx(471.0, abs=2.0)


def test_the_miss_of_a_longer_last_straight_is_that_length():
    made = bar(*SIDE)
    table = bend_table(made)
    longer = BendTable(
        straights_mm=(*table.straights_mm[:-1], table.straights_mm[-1] + 25.0),
        rotations_deg=table.rotations_deg,
        angles_deg=table.angles_deg,
        clr_mm=table.clr_mm,
    )
    assert end_miss_mm(made, longer) == pytest.approx(25.0)


def test_a_tiny_first_bend_still_holds_the_frame():
    """A bend far below 1 degree on short legs beside a long one is still the plane that is held."""
    near = [(0.0, 0.0, 0.0), (20.0, 0.0, 0.0), (40.0, 1e-5, 0.0)]
    made = bar(*near, (1500.0, 0.1, 300.0), (1800.0, 400.0, 900.0), clr=60.0)
    assert lay_table(made, bend_table(made)) == pytest.approx(made.nodes, abs=1e-5)


def test_the_other_side_is_across_the_centre_plane():
    right = mirrored(bar(*SIDE), "SB-R")
    assert right.nodes == pytest.approx(np.array(SIDE) * [1.0, -1.0, 1.0])
    assert (right.name, right.clr_mm, right.tube) == ("SB-R", 137.5, TUBE)


def test_nodes_of_any_array_make_the_same_bar():
    made = bar(*SIDE)
    assert made.with_nodes(np.array(SIDE, dtype=np.float32).astype(float)) == made
    assert hash(made) == hash(made.with_nodes(list(SIDE)))
