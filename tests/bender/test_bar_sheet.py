"""Sheets of a hoop, a side bar and a two-plane bar against worked numbers and published sums."""

import math
from dataclasses import replace

import numpy as np
import pytest

from hoopwright.bars import (
    Bar,
    BendTable,
    bend_table,
    centreline,
    developed_mm,
    mirrored,
    nodes_from_table,
    reversed_bar,
)
from hoopwright.bender import (
    Feed,
    Machine,
    a_to_b,
    b_to_a,
    default_order,
    fit_calibration,
    listed_order,
    make_bar_sheet,
    middle_outward,
    placeholder_calibration,
)
from hoopwright.bender.checks import tape_checks
from hoopwright.bender.samples import AngleSample, LegSample, PlainNumbers, Samples, USample
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
CAL = fit_calibration(
    Samples(
        tube=TUBE,
        angles=tuple(
            AngleSample(command_deg=c, released_deg=r) for c, r in ((20.0, 18.6), (45.0, 42.9), (90.0, 86.5))
        ),
        legs=(LegSample(cut_mm=900.0, mark_mm=300.0, leg_a_mm=471.5, leg_b_mm=536.5),),
        us=(USample(outside_mm=320.0),),
        die="135",
    )
)
CLOCKWISE = Machine(name="bender", swings="clockwise", clamp_mm=120.0, axis_height_mm=900.0)
ANTICLOCKWISE = replace(CLOCKWISE, swings="anticlockwise")
HOOP = Bar(
    name="main hoop",
    nodes_mm=((0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0)),
    clr_mm=100.0,
    tube=TUBE,
)
SIDE_BAR = Bar(
    name="side bar",
    nodes_mm=((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150)),
    clr_mm=100.0,
    tube=TUBE,
)
TWO_PLANES = Bar(
    name="two planes",
    nodes_mm=nodes_from_table(
        BendTable(
            straights_mm=(1100.0, 520.0, 700.0),
            rotations_deg=(0.0, 90.0),
            angles_deg=(90.0, 45.0),
            clr_mm=137.5,
        )
    ),
    clr_mm=137.5,
    tube=TUBE,
)


def sheet_of(bar, calibration=CAL, machine=CLOCKWISE, **more):
    return make_bar_sheet(bar, calibration, **{"bar_id": "X", "title": "bar", "machine": machine, **more})


def hoop_sheet(**more):
    return sheet_of(HOOP, **{"trim_a_mm": 30.0, "trim_b_mm": 30.0, **more})


def by_bend(sheet, field):
    return [getattr(step, field) for step in sorted(sheet.steps, key=lambda step: step.bend)]


def check(sheet, words):
    return next(check.value_mm for check in sheet.checks if words in check.name)


def near(values, tolerance=0.06):
    return pytest.approx(values, abs=tolerance)


def test_hoop_numbers():
    sheet = hoop_sheet(order=a_to_b(4))
    assert sheet.table.angles_deg == near((18.96, 73.81, 73.81, 18.96), 0.005)
    assert sheet.table.straights_mm == near((597.8, 358.0, 803.5, 358.0, 597.8))
    assert sheet.blank_mm == near(3212.0)
    assert by_bend(sheet, "start_mm") == near([627.8, 1030.4, 2007.8, 2539.6])
    assert by_bend(sheet, "mark_mm") == near([616.3, 1018.9, 1996.3, 2528.1])
    assert [
        a + b for a, b in zip(by_bend(sheet, "mark_mm"), by_bend(sheet, "mark_from_b_mm"), strict=True)
    ] == near([sheet.blank_mm] * 4, 1e-9)
    assert check(sheet, "over the feet") == near(1265.0)
    assert check(sheet, "over the knees") == near(1323.1)
    assert check(sheet, "height over the metal") == near(1107.5)
    assert sheet.wrong_turn_miss_mm is None
    assert sheet.calibrated


def test_hoop_widths_and_diagonals_against_its_sampled_skin():
    """The closed forms against many points of the centreline."""
    sheet = hoop_sheet()
    along = np.linspace(0.0, developed_mm(sheet.bar), 200_001)
    line = centreline(sheet.bar).at(along)
    assert check(sheet, "over the knees") == near(2 * line[:, 1].max() + 45.0, 1e-4)
    travel = centreline(sheet.bar).directions_at(along)
    outward = np.cross(travel, [1.0, 0.0, 0.0])
    outward *= np.sign(np.sum(outward * (line - line.mean(axis=0)), axis=1))[:, None]
    skin = line + 22.5 * outward
    right_shoulder = skin[(skin[:, 1] < -300.0) & (skin[:, 2] > 900.0)]
    reach = np.linalg.norm(right_shoulder - [0.0, 632.5, 0.0], axis=1).max()
    assert check(sheet, "foot A") == near(reach, 0.01)
    assert check(sheet, "foot A") == near(check(sheet, "foot B"), 1e-6)


def test_another_radius_moves_marks_not_nodes():
    known = PlainNumbers(
        clr_mm=150.0,
        start_offset_mm=11.5,
        used_per_deg_mm=2.3556,
        constant_deg=0.777,
        per_command_deg=0.0301,
    )
    wider = fit_calibration(Samples(tube=TUBE, plains=(known,), die="135"))
    old, new = hoop_sheet(), hoop_sheet(calibration=wider)
    assert new.bar.nodes_mm == old.bar.nodes_mm
    assert check(new, "over the feet") == check(old, "over the feet")
    assert check(new, "height") == near(check(old, "height"), 1e-9)
    assert all(
        abs(a - b) > 1.0 for a, b in zip(by_bend(old, "mark_mm"), by_bend(new, "mark_mm"), strict=True)
    )
    assert new.identity != old.identity


def test_identity_hangs_on_what_the_sheet_is_made_from():
    plain = hoop_sheet()
    assert len(plain.identity) == 10
    assert hoop_sheet(revision=7, date="2026-02-03").identity == plain.identity
    others = [
        hoop_sheet(trim_a_mm=31.0),
        hoop_sheet(order=a_to_b(4)),
        hoop_sheet(machine=ANTICLOCKWISE),
        hoop_sheet(bar_id="MH"),
        hoop_sheet(calibration=replace(CAL, batch="other")),
        sheet_of(HOOP.with_nodes(HOOP.nodes * 1.0001), trim_a_mm=30.0, trim_b_mm=30.0),
    ]
    assert len({plain.identity, *(other.identity for other in others)}) == 7


def test_side_bar_and_mirror():
    left, right = sheet_of(SIDE_BAR), sheet_of(mirrored(SIDE_BAR, "right"))
    assert left.table.angles_deg == near((31.63, 49.76), 0.005)
    assert left.table.straights_mm == near((467.6, 631.2, 617.0))
    assert left.table.rotations_deg[1] == near(-26.96, 0.005)
    assert right.table.rotations_deg[1] == near(26.96, 0.005)
    assert left.blank_mm == near(1907.5)
    assert left.wrong_turn_miss_mm == near(471.0, 2.0)
    for field in ("mark_mm", "start_mm", "command_deg", "target_deg", "straight_after_mm"):
        assert by_bend(left, field) == near(by_bend(right, field), 1e-6)
    assert by_bend(left, "turn_tube_deg")[1] == near(-by_bend(right, "turn_tube_deg")[1], 1e-9)


def test_twist_check_tells_the_bar_from_its_mirror():
    left, right = sheet_of(SIDE_BAR), sheet_of(mirrored(SIDE_BAR, "right"))
    names = [next(c.name for c in sheet.checks if c.name.startswith("twist")) for sheet in (left, right)]
    assert ["turns to the right" in name for name in names] == [True, False]
    last = left.table.straights_mm[2] + 137.5 * math.tan(math.radians(left.table.angles_deg[1] / 2.0))
    rise = last * math.sin(math.radians(left.table.angles_deg[1])) * math.sin(math.radians(26.958869))
    assert check(left, "twist") == near(rise + 22.5, 1e-3)


def test_every_bend_is_measured_to_under_its_own_number():
    """A steep bend's middle lies nearer to the next node than to its own: numbers go by order, not by nearness."""
    table = BendTable(
        straights_mm=(300.0, 60.0, 300.0), rotations_deg=(0.0, 40.0), angles_deg=(150.0, 30.0), clr_mm=137.5
    )
    steep = Bar(name="steep", nodes_mm=nodes_from_table(table), clr_mm=137.5, tube=TUBE)
    backs = {
        check.name: check.value_mm for check in tape_checks(steep, table) if "back of bend" in check.name
    }
    assert list(backs) == [f"centre of end A to the back of bend {n}, at its middle" for n in (1, 2)]
    # bend 1 starts 300 along and turns in one plane: its middle is worked out in that plane
    half = math.radians(75.0)
    along, aside = 300.0 + 137.5 * math.sin(half), 137.5 * (1.0 - math.cos(half))
    back = (along + 22.5 * math.sin(half), aside - 22.5 * math.cos(half))
    assert next(iter(backs.values())) == pytest.approx(math.hypot(*back), abs=1e-6)


@pytest.mark.parametrize(
    ("machine", "bar", "order", "hour"),
    [
        (CLOCKWISE, TWO_PLANES, a_to_b(2), 6.0),
        (CLOCKWISE, TWO_PLANES, b_to_a(2), 6.0),
        (ANTICLOCKWISE, TWO_PLANES, a_to_b(2), 12.0),
        (CLOCKWISE, mirrored(TWO_PLANES, "mirror"), a_to_b(2), 12.0),
        (ANTICLOCKWISE, mirrored(TWO_PLANES, "mirror"), a_to_b(2), 6.0),
        (ANTICLOCKWISE, TWO_PLANES, b_to_a(2), 12.0),
    ],
)
def test_where_the_finished_leg_points(machine, bar, order, hour):
    """Clockwise, A leading: the 1100 leg points down at bend 2; B leading: the 700 leg down at bend 1."""
    first, second = sheet_of(bar, machine=machine, order=order).steps
    assert first.leg_clock is None
    assert first.turn_tube_deg is None
    assert second.leg_clock == pytest.approx(hour)
    assert abs(second.turn_tube_deg) == pytest.approx(90.0)


def test_short_straight_is_refused_with_ways_out():
    table = BendTable(
        straights_mm=(1100.0, 95.0, 700.0), rotations_deg=(0.0, 90.0), angles_deg=(90.0, 45.0), clr_mm=137.5
    )
    with pytest.raises(UserError) as caught:
        sheet_of(TWO_PLANES.with_nodes(nodes_from_table(table)))
    assert caught.value.findings[0].code == "BAR-007"
    assert caught.value.findings[0].todo


def test_default_orders():
    assert default_order(HOOP) == tuple(
        Feed(bend=bend, fed_from=end) for bend, end in ((2, "A"), (3, "A"), (4, "A"), (1, "B"))
    )
    assert default_order(SIDE_BAR) == a_to_b(2)
    assert middle_outward(5)[0] == Feed(bend=3, fed_from="A")
    assert middle_outward(1) == a_to_b(1)
    assert middle_outward(0) == ()
    assert [step.turn_end_for_end for step in hoop_sheet().steps] == [False, False, False, True]


def test_marks_fed_from_either_end_lie_around_the_bend():
    from_a, from_b = hoop_sheet(order=a_to_b(4)), hoop_sheet(order=b_to_a(4))
    for a, b, used in zip(
        by_bend(from_a, "mark_mm"), by_bend(from_b, "mark_mm"), from_a.tube_used_mm, strict=True
    ):
        assert b - a == pytest.approx(used + 2 * 11.5)


def test_bar_turned_end_for_end_has_the_same_marks_from_its_other_end():
    there, back = sheet_of(SIDE_BAR, order=a_to_b(2)), sheet_of(reversed_bar(SIDE_BAR), order=b_to_a(2))
    assert by_bend(there, "mark_mm") == near(by_bend(back, "mark_from_b_mm")[::-1], 1e-6)
    assert by_bend(there, "rotation_total_deg")[1] == near(by_bend(back, "rotation_total_deg")[1], 1e-6)


def test_listed_order_must_make_each_bend_once():
    assert listed_order([(2, "A"), (1, "B")], 2) == (Feed(bend=2, fed_from="A"), Feed(bend=1, fed_from="B"))
    for pairs in ([(1, "A")], [(1, "A"), (1, "A")], [(1, "A"), (3, "A")], [(1, "A"), (2, "C")]):
        with pytest.raises(UserError) as caught:
            listed_order(pairs, 2)
        assert caught.value.findings[0].code == "SHEET-003"


def test_bent_tail_is_said():
    order = listed_order([(2, "A"), (1, "A")], 2)
    sheet = sheet_of(SIDE_BAR, order=order)
    assert [finding.code for finding in sheet.findings] == ["SHEET-006"]
    assert sheet.steps[1].leg_clock is None


def test_placeholder_sheet_is_stamped():
    sheet = hoop_sheet(calibration=placeholder_calibration(TUBE, 135.0))
    assert not sheet.calibrated
    assert {"SHEET-005", "CAL-011"} <= {finding.code for finding in sheet.findings}
    assert all(step.command_deg is None for step in sheet.steps)


def test_refusals():
    thick = replace(HOOP, tube=TubeSize(od_mm=45.0, wall_mm=3.0))
    with pytest.raises(UserError) as caught:
        sheet_of(thick)
    assert caught.value.findings[0].code == "SHEET-001"
    no_u_no_leg = fit_calibration(Samples(tube=TUBE, us=(USample(outside_mm=320.0),)))
    with pytest.raises(UserError) as caught:
        hoop_sheet(calibration=no_u_no_leg)
    assert caught.value.findings[0].code == "CAL-010"
    with pytest.raises(UserError) as caught:
        hoop_sheet(trim_a_mm=-1.0)
    assert caught.value.findings[0].code == "SHEET-004"
    with pytest.raises(UserError) as caught:
        hoop_sheet(machine=replace(CLOCKWISE, die_reach_deg=75.0))
    assert caught.value.findings[0].code == "CAL-011"
    with pytest.raises(UserError) as caught:
        replace(CLOCKWISE, clamp_mm=math.nan)
    assert caught.value.findings[0].code == "MACH-001"


def test_mark_off_the_tube_is_refused():
    known = PlainNumbers(clr_mm=137.5, start_offset_mm=50.0, used_per_deg_mm=2.36)
    far = fit_calibration(Samples(tube=TUBE, plains=(known,)))
    table = BendTable(straights_mm=(40.0, 400.0), rotations_deg=(0.0,), angles_deg=(60.0,), clr_mm=137.5)
    bar = TWO_PLANES.with_nodes(nodes_from_table(table))
    with pytest.raises(UserError) as caught:
        sheet_of(bar, far, clamp_mm=0.0, order=a_to_b(1))
    assert caught.value.findings[0].code == "SHEET-002"
    assert caught.value.findings[0].measured == pytest.approx(-10.0)
    assert sheet_of(bar, far, clamp_mm=0.0, order=b_to_a(1)).steps[0].mark_mm == near(40 + 60 * 2.36 + 50)


def test_straight_bar_has_a_sheet_without_steps():
    sheet = sheet_of(HOOP.with_nodes([[0, 500, 0], [0, -500, 0]]), trim_a_mm=10.0)
    assert sheet.steps == ()
    assert sheet.blank_mm == pytest.approx(1010.0)
    assert [c.value_mm for c in sheet.checks] == [pytest.approx(1000.0)]


# Published sums, in inches; the sources are named in each test.


def table_of(straights, angles, radius):
    return BendTable(
        straights_mm=straights, rotations_deg=(0.0,) * len(angles), angles_deg=angles, clr_mm=radius
    )


@pytest.mark.parametrize(
    ("radius", "angle", "arc", "tolerance"),
    [
        (40.0, 90.0, 62.82, 0.02),  # rakennusopas.com, concentric bends (constant 0.01745)
        (0.625, 90.0, 0.98, 0.005),  # a page on bending a loop
    ],
)
def test_published_arc_lengths(radius, angle, arc, tolerance):
    assert table_of((1.0, 1.0), (angle,), radius).arcs_mm[0] == near(arc, tolerance)


def test_published_tangent_length():
    """HVAC&R weekly 9-23-2024: R 7.5 in, 25.732 degrees: tangent length 1.713 in."""
    nodes = nodes_from_table(table_of((10.0, 10.0), (25.732,), 7.5))
    assert nodes[1][0] - 10.0 == near(1.713, 0.001)


def test_published_loop():
    """A page on bending a loop: R 0.625, straights 6, 4, 6, 4, centreline 7.25 x 5.25; total derived."""
    table = table_of((3.0, 4.0, 6.0, 4.0, 3.0), (90.0,) * 4, 0.625)
    nodes = nodes_from_table(table)
    assert nodes[2][1] - nodes[1][1] == near(5.25, 1e-9)
    assert nodes[2][0] - nodes[3][0] == near(7.25, 1e-9)
    assert table.developed_mm == near(23.9270, 1e-4)


def test_published_cage_bend_start():
    """fourwheeler.com, Build a rollcage at home (1998): back 25 in from centre, die 6, tube 2: 18 in."""
    inch = 25.4
    tube = TubeSize(od_mm=2.0 * inch, wall_mm=0.12 * inch)
    axis = (25.0 - 1.0) * inch
    nodes = ((0.0, axis, 0.0), (0.0, axis, 900.0), (0.0, -axis, 900.0), (0.0, -axis, 0.0))
    bar = Bar(name="hoop", nodes_mm=nodes, clr_mm=6.0 * inch, tube=tube)
    sheet = sheet_of(bar, placeholder_calibration(tube, 6.0 * inch))
    assert sheet.table.straights_mm[1] / 2.0 / inch == pytest.approx(18.0)


def test_u_developed_length():
    """Derived: straights 200, 300, 200, R 100, two 90s."""
    assert table_of((200.0, 300.0, 200.0), (90.0, 90.0), 100.0).developed_mm == near(1014.1593, 1e-4)


def test_published_mark_with_a_bend_offset():
    """A bender maker's page: start 10 in from the end, offset 5-1/4: alignment line at 4.75 in."""
    inch = 25.4
    tube = TubeSize(od_mm=1.75 * inch, wall_mm=0.095 * inch)
    known = PlainNumbers(
        clr_mm=4.5 * inch, start_offset_mm=5.25 * inch, used_per_deg_mm=math.radians(4.5 * inch)
    )
    calibration = fit_calibration(Samples(tube=tube, plains=(known,)))
    table = table_of((10.0 * inch, 30.0 * inch), (90.0,), 4.5 * inch)
    bar = Bar(name="X", nodes_mm=nodes_from_table(table), clr_mm=4.5 * inch, tube=tube)
    assert bend_table(bar).straights_mm[0] == near(10.0 * inch, 1e-9)
    assert sheet_of(bar, calibration).steps[0].mark_mm / inch == pytest.approx(4.75)


def test_bend_starts_about_an_inch_beyond_the_die_face():
    """Trade fact (common practice, no source): the mark then stands an inch before the start."""
    known = PlainNumbers(clr_mm=137.5, start_offset_mm=25.4, used_per_deg_mm=2.36)
    sheet = hoop_sheet(calibration=fit_calibration(Samples(tube=TUBE, plains=(known,))), order=a_to_b(4))
    for start, mark in zip(by_bend(sheet, "start_mm"), by_bend(sheet, "mark_mm"), strict=True):
        assert start - mark == pytest.approx(25.4)
