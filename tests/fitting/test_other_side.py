"""A mirrored bar on a body whose right side is 5 mm nearer: what each choice must come to is known."""

import numpy as np
import pytest

from hoopwright.bars import Bar, bend_table, centreline, mirrored
from hoopwright.fitting.end_places import EndPlace
from hoopwright.fitting.other_side import measure_both_sides, offer_for_side
from hoopwright.fitting.side_pair import MirroredPair, SideChoice
from hoopwright.geometry.capsules import Capsule, distance_to_capsules_mm
from hoopwright.geometry.planes import fit_plane
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
RIGHT_IN_MM = 5.0


def leg_bar():
    """Up the wall and along the slope: 8 mm from both on the left, as in acceptance A4."""
    nodes = ((-900.0, 649.5, 60.0), (-900.0, 649.5, 616.0), (-900.0, 560.0, 949.5))
    return Bar(name="SB-L", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)


def pair_of(bar, headers=(None, None), gap_mm=8.0, keep_clear=()):
    return MirroredPair(
        source=bar,
        other=mirrored(bar, "SB-R"),
        places=tuple(EndPlace(header=one, on_shell=one is None) for one in headers),
        other_places=tuple(
            EndPlace(header=None if one is None else mirrored(one, "X"), on_shell=one is None)
            for one in headers
        ),
        landings_mm=(60.0, 60.0),
        gap_mm=gap_mm,
        clamp_mm=60.0,
        keep_clear=keep_clear,
    )


@pytest.fixture(scope="module")
def narrow(bodies):
    return bodies.shell_of(bodies.as_scan(bodies.section_soup(right_in_mm=RIGHT_IN_MM)))


def test_the_wall_that_is_5_mm_nearer_is_named_with_its_place(narrow):
    both = measure_both_sides(narrow, pair_of(leg_bar()))
    assert both.source.smallest.gap_mm == pytest.approx(8.0, abs=0.1)
    assert both.regions[0].region.startswith("right")
    assert both.regions[0].twin.startswith("left")
    # the wall is upright, so that its gap differs by the whole 5 mm
    upright = next(one for one in both.regions if one.region.startswith("right wall, up 0"))
    assert upright.gap_mm == pytest.approx(3.0, abs=0.01)
    assert upright.closer_mm == pytest.approx(RIGHT_IN_MM, abs=0.01)
    assert upright.axis_mm[1] == pytest.approx(-649.5)
    # the slope leans by atan(124 / 462): its gap differs by 5 times the cosine
    slope = next(one for one in both.regions if one.region.startswith("right") and "up 6" in one.region)
    assert slope.closer_mm == pytest.approx(RIGHT_IN_MM * 462.0 / np.hypot(462.0, 124.0), abs=0.1)


def test_equal_sides_differ_nowhere(section_shell):
    both = measure_both_sides(section_shell, pair_of(leg_bar()))
    assert len(both.regions) >= 2
    assert [one.closer_mm for one in both.regions] == pytest.approx([0.0] * len(both.regions), abs=0.01)
    shifted = offer_for_side(section_shell, pair_of(leg_bar()), SideChoice.SHIFT)
    assert shifted.moved_mm < 0.1


def test_a_shift_goes_as_far_as_the_wall_and_keeps_the_bends(narrow):
    pair = pair_of(leg_bar())
    offer = offer_for_side(narrow, pair, SideChoice.SHIFT)
    assert offer.other.nodes - pair.other.nodes == pytest.approx(
        np.tile([0.0, RIGHT_IN_MM, 0.0], (3, 1)), abs=0.3
    )
    assert offer.source == pair.source
    assert offer.holds
    assert offer.other_gaps.smallest.gap_mm == pytest.approx(8.0, abs=0.1)
    before, after = bend_table(pair.other), bend_table(offer.other)
    assert after.angles_deg == pytest.approx(before.angles_deg)
    assert after.straights_mm == pytest.approx(before.straights_mm)


def test_a_refit_holds_the_gap_on_its_own_side_and_leaves_the_source(narrow):
    pair = pair_of(leg_bar())
    offer = offer_for_side(narrow, pair, SideChoice.REFIT)
    assert offer.holds
    assert offer.source == pair.source
    assert offer.other_gaps.smallest.gap_mm == pytest.approx(8.0, abs=0.1)


def test_kept_as_mirror_the_nearer_side_holds_and_the_farther_has_5_more(narrow):
    offer = offer_for_side(narrow, pair_of(leg_bar()), SideChoice.KEEP)
    assert offer.holds
    assert offer.other.nodes == pytest.approx(offer.source.nodes * [1.0, -1.0, 1.0])
    assert offer.other_gaps.smallest.gap_mm == pytest.approx(8.0, abs=0.1)
    assert offer.source_gaps.smallest.gap_mm > 12.5


def test_ends_that_meet_a_bar_stay_on_its_axis_and_loose_ones_stay(narrow):
    header = Bar(name="H", nodes_mm=((-900.0, 400.0, 60.0), (-900.0, 670.0, 60.0)), clr_mm=137.5, tube=TUBE)
    pair = pair_of(leg_bar(), headers=(header, header))
    offer = offer_for_side(narrow, pair, SideChoice.REFIT)
    moved = offer.other.nodes - pair.other.nodes
    # end A may slide across the car along the header; end B lies far off it
    assert abs(moved[0, 1]) > 1.0
    assert moved[0, [0, 2]] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert moved[2] == pytest.approx([0.0, 0.0, 0.0], abs=1e-9)


def test_a_gap_that_cannot_be_held_says_so(narrow):
    # the shift goes at most 40 mm along each axis
    offer = offer_for_side(narrow, pair_of(leg_bar(), gap_mm=120.0), SideChoice.SHIFT)
    assert not offer.holds
    assert not offer.impossible
    assert {finding.code for finding in offer.findings} == {"FIT-001"}
    assert all(finding.measured < 120.0 for finding in offer.findings)


def test_a_bar_left_in_metal_is_impossible(narrow):
    # 60 mm outward the leg stands outside of the wall, and the top end leans back in through the slope
    nodes = np.add(leg_bar().nodes, (0.0, 60.0, 0.0))
    nodes[2, 1] -= 100.0
    offer = offer_for_side(narrow, pair_of(leg_bar().with_nodes(nodes), gap_mm=0.0), SideChoice.SHIFT)
    assert {finding.code for finding in offer.impossible} == {"FIT-042"}


def sloped_bar():
    """A bar of two bends in the plane forward -900."""
    nodes = ((-900.0, 640.0, 60.0), (-900.0, 640.0, 610.0), (-900.0, 520.0, 1060.0), (-900.0, 200.0, 1070.0))
    return Bar(name="SB-L", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)


@pytest.mark.parametrize("choice", list(SideChoice))
def test_a_bar_that_lay_in_one_plane_still_does(narrow, choice):
    offer = offer_for_side(narrow, pair_of(sloped_bar()), choice)
    for bar in (offer.source, offer.other):
        assert fit_plane(bar.nodes)[1] < 0.01
    assert choice is SideChoice.KEEP or offer.moved_mm > 1.0


@pytest.mark.parametrize("choice", list(SideChoice))
def test_what_held_is_not_lowered(narrow, choice):
    # 9 mm farther in than it need be: the shift that makes it like its twin would bring it nearer to the slope
    bar = leg_bar().with_nodes(leg_bar().nodes - [0.0, 14.0, 0.0])
    pair = pair_of(bar)
    now = measure_both_sides(narrow, pair)
    offer = offer_for_side(narrow, pair, choice)
    assert offer.other_gaps.smallest.gap_mm >= now.other.smallest.gap_mm - 0.06
    assert offer.source_gaps.smallest.gap_mm >= now.source.smallest.gap_mm - 0.06


def test_a_shifted_end_stays_on_the_bar_that_it_meets(narrow):
    # a header along the car: a shift across the car alone would leave it by 5 mm
    header = Bar(
        name="H", nodes_mm=((-700.0, 560.0, 949.5), (-1100.0, 560.0, 949.5)), clr_mm=137.5, tube=TUBE
    )
    pair = pair_of(leg_bar(), headers=(None, header))
    offer = offer_for_side(narrow, pair, SideChoice.SHIFT)
    axis = centreline(mirrored(header, "X"))
    assert offer.moved_mm > 1.0
    assert axis.distance_to_mm(offer.other.nodes_mm[-1]) <= 2.0
    before, after = bend_table(pair.other), bend_table(offer.other)
    assert after.angles_deg == pytest.approx(before.angles_deg)


def test_a_foot_that_stood_on_the_floor_stands_on_it_again(bodies):
    floor = bodies.shell_of(bodies.as_scan(bodies.cabin_soup(right_in_mm=RIGHT_IN_MM)))
    # the leg leans in, so that a shift outward and up takes its foot off the floor
    nodes = ((-900.0, 600.0, 0.0), (-900.0, 645.0, 600.0), (-900.0, 560.0, 949.5))
    pair = pair_of(leg_bar().with_nodes(nodes))
    assert floor.nearest(pair.other.nodes[[0]]).distance_mm[0] < 0.1
    for choice in SideChoice:
        offer = offer_for_side(floor, pair, choice)
        assert floor.nearest(offer.other.nodes[[0]]).distance_mm[0] < 1.0


@pytest.mark.parametrize("choice", [SideChoice.SHIFT, SideChoice.REFIT])
def test_no_choice_goes_into_the_drivers_room(narrow, choice):
    # 2 mm inside of the leg's skin on the right, where the nearer wall pushes it
    body = Capsule(
        name="arm", start_mm=(-900.0, -545.0, 300.0), end_mm=(-900.0, -545.0, 500.0), radius_mm=80.0
    )
    pair = pair_of(leg_bar(), keep_clear=(body,))
    offer = offer_for_side(narrow, pair, choice)
    points = offer.other_gaps.points_mm
    assert distance_to_capsules_mm(points, [body]).min() - 22.5 >= -0.06
    free = offer_for_side(narrow, pair_of(leg_bar()), choice)
    assert distance_to_capsules_mm(free.other_gaps.points_mm, [body]).min() - 22.5 < -0.5
