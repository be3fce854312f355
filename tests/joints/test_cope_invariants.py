"""What must hold of every cope, whatever the numbers: a wrong one would break it."""

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from hoopwright.geometry import FilletedPath, fillet_path, rotation_about
from hoopwright.joints.cope import (
    Branch,
    Header,
    OvalBend,
    cope_profile,
    counted_from_heel,
    straight_header,
    two_tubes,
)

sizes = st.sampled_from([25.0, 30.0, 38.0, 42.0, 45.0])
turns = st.floats(-180.0, 180.0)
ways = st.tuples(turns, turns, turns).map(
    lambda three: (
        rotation_about([0, 0, 1], three[0])
        @ rotation_about([0, 1, 0], three[1])
        @ rotation_about([1, 0, 0], three[2])
    )
)
places = st.tuples(*[st.floats(-2000.0, 2000.0)] * 3).map(np.array)
PATH = fillet_path([(0, 0, 0), (0, 0, 600), (520, 0, 900), (700, 500, 1000)], [137.5, 100.0])


def past_skin_mm(header, points_mm):
    """By hand, apart from the code under test: the distance to the centreline less the radius, round headers only."""
    path: FilletedPath = header.path
    return np.array([path.distance_to_mm(place) for place in points_mm]) - header.od_mm / 2.0


def cut_points(branch, profile):
    cut = ~np.isnan(profile.along_mm)
    return branch.skin_mm(profile.around_deg[cut], profile.along_mm[cut])


def on_the_path(share, tilt, turn, od_mm, offset_mm=0.0):
    """A branch whose axis passes a place on the path at a tilt from square, turned round the path."""
    along_mm = share * PATH.length_mm
    place, tangent = PATH.at(along_mm)[0], PATH.directions_at(along_mm)[0]
    square = np.cross(tangent, [0.31, -0.52, 0.79])
    square = rotation_about(tangent, turn) @ (square / np.linalg.norm(square))
    aside = np.cross(tangent, square)
    direction = rotation_about(aside, tilt) @ square
    datum = rotation_about(direction, 77.0) @ aside
    return Branch(origin_mm=place + offset_mm * aside, direction=direction, datum=datum, od_mm=od_mm)


@settings(max_examples=60)
@given(
    st.floats(0.2, 0.8),
    st.floats(-50, 50),
    turns,
    st.sampled_from([25.0, 38.0, 45.0, 50.0]),
    st.floats(-8, 8),
)
@example(0.5, 0.0, 0.0, 45.0, 0.0)
# wider than its header: heel and toe lie apart along the branch
@example(0.32357793178184435, 69.0420613659054, 5.826028355837963, 50.0, -0.8112418013322173)
@example(0.712021460476781, -72.43576100484307, 31.83674135123573, 50.0, -1.8918200566307366)
def test_every_cut_lies_on_the_skin_and_the_body_outside(share, tilt, turn, od_mm, offset_mm):
    branch = on_the_path(share, tilt, turn, od_mm, offset_mm)
    header = Header(name="H", path=PATH, od_mm=45.0)
    profile = cope_profile(branch, [header], points=48)
    points = cut_points(branch, profile)
    assert np.abs(past_skin_mm(header, points)).max() < 1e-6
    whole = np.arange(-80.0, 80.0, 0.5)
    for around_deg in profile.around_deg[np.isnan(profile.along_mm)]:
        assert past_skin_mm(header, branch.skin_mm([around_deg] * len(whole), whole)).min() > -1e-6
    for farther_mm in (0.01, 1.0, 10.0, 30.0):
        assert past_skin_mm(header, points + farther_mm * branch.direction).min() > -1e-6
    # just behind the cut lies the header, but for generators that only touch it
    touching = np.abs(past_skin_mm(header, points - 1e-4 * branch.direction)) < 1e-6
    behind = past_skin_mm(header, points - 1e-3 * branch.direction)
    assert np.all((behind < 1e-9) | touching | (np.abs(behind) < 1e-4))


@settings(max_examples=40)
@given(sizes, sizes, st.floats(15, 90), st.floats(-12, 12), ways, places, turns)
@example(45.0, 45.0, 60.0, 0.0, np.eye(3), np.zeros(3), 0.0)
def test_moving_everything_changes_nothing(header_mm, branch_mm, angle, offset, way, place, turn):
    assume(abs(abs(offset) + (branch_mm - header_mm) / 2.0) > 1e-3 or offset == 0.0)
    branch, header = two_tubes(
        header_od_mm=header_mm, branch_od_mm=branch_mm, angle_deg=angle, offset_mm=offset
    )
    here = cope_profile(branch, [header], points=36)
    moved = Branch(
        origin_mm=way @ branch.origin_mm + place,
        direction=way @ branch.direction,
        datum=way @ rotation_about(branch.direction, 10.0 * round(turn / 10.0)) @ branch.datum,
        od_mm=branch_mm,
    )
    line = header.path.pieces[0]
    axis = line.at(np.array([line.length_mm / 2.0]))[0]
    there = cope_profile(
        moved,
        [straight_header(through_mm=way @ axis + place, direction=way @ line.direction, od_mm=header_mm)],
        points=36,
    )
    rolled = np.roll(there.along_mm, round(turn / 10.0))
    touching = np.isclose(abs(offset), (header_mm - branch_mm) / 2.0)
    assert rolled == pytest.approx(here.along_mm, abs=1e-2 if touching else 1e-6, nan_ok=True)
    assert there.depth_mm == pytest.approx(here.depth_mm, abs=1e-3)
    assert there.overhang_mm == pytest.approx(here.overhang_mm, abs=1e-6)
    if angle < 89.9:
        off_deg = (there.heel_deg + 10.0 * round(turn / 10.0) + 180.0) % 360.0 - 180.0
        assert off_deg == pytest.approx(0.0, abs=1e-5)


@settings(max_examples=30)
@given(sizes, sizes, st.floats(15, 90), st.floats(-10, 10))
def test_the_mirror_image_runs_the_other_way_round(header_mm, branch_mm, angle, offset):
    one, other = (
        two_tubes(header_od_mm=header_mm, branch_od_mm=branch_mm, angle_deg=angle, offset_mm=value)
        for value in (offset, -offset)
    )
    forth = cope_profile(one[0], [one[1]], points=36)
    back = cope_profile(other[0], [other[1]], points=36)
    mirrored = np.roll(back.along_mm[::-1], 1)
    assert mirrored == pytest.approx(forth.along_mm, abs=1e-6, nan_ok=True)


@settings(max_examples=20)
@given(st.floats(0.25, 0.75), st.floats(-40, 40), turns)
def test_a_bent_header_seen_from_its_other_end(share, tilt, turn):
    """The same tube drawn from end B to end A cuts the same."""
    branch = on_the_path(share, tilt, turn, 38.0)
    ovals = (OvalBend(in_plane_mm=43.0, across_mm=46.0), OvalBend(in_plane_mm=42.0, across_mm=47.0))
    nodes = [(0, 0, 0), (0, 0, 600), (520, 0, 900), (700, 500, 1000)]
    back = fillet_path(nodes[::-1], [100.0, 137.5])
    forth = cope_profile(branch, [Header(name="H", path=PATH, od_mm=45.0, oval_bends=ovals)], points=24)
    other = cope_profile(branch, [Header(name="H", path=back, od_mm=45.0, oval_bends=ovals[::-1])], points=24)
    assert other.along_mm == pytest.approx(forth.along_mm, abs=1e-6)


def test_several_headers_take_the_farther_of_each():
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=60.0)
    third = straight_header(name="third", through_mm=[0, 0, 5], direction=[0.2, 1.0, 0.7], od_mm=38.0)
    both = cope_profile(branch, [header, third])
    each = [cope_profile(branch, [one]).along_mm for one in (header, third)]
    assert both.along_mm == pytest.approx(np.fmax(*each))
    assert np.array_equal(both.header_index, np.where(np.nan_to_num(each[1], nan=-1e9) > each[0], 1, 0))


def test_a_bend_of_a_large_radius_is_nearly_straight():
    """A bend of 20 m radius leaves the straight header's cut to a tenth of the sagitta over the joint."""
    path = fillet_path([(-1000, 0, 0), (0, 0, 0), (1000, 0, 20)], [20000.0])
    arc = path.pieces[1]
    place = arc.at(np.array([arc.length_mm / 2.0]))[0]
    tangent = arc.direction_at(np.array([arc.length_mm / 2.0]))[0]
    direction = np.array([0.0, 1.0, 0.0])
    branch = Branch(origin_mm=place, direction=direction, datum=tangent, od_mm=38.0)
    bent = cope_profile(branch, [Header(name="H", path=path, od_mm=45.0)]).along_mm
    straight = cope_profile(
        branch, [straight_header(through_mm=place, direction=tangent, od_mm=45.0)]
    ).along_mm
    assert np.abs(bent - straight).max() == pytest.approx(0.0, abs=0.02)


def test_no_step_across_the_tangent_point():
    """Round or oval, a branch that straddles straight and bend has one line without a step."""
    header = Header(
        name="H", path=PATH, od_mm=45.0, oval_bends=(OvalBend(in_plane_mm=42.0, across_mm=47.0), None)
    )
    starts = PATH.starts_mm
    for along_mm in (starts[1], starts[2]):
        branch = on_the_path(along_mm / PATH.length_mm, 10.0, 40.0, 38.0)
        steps = np.abs(np.diff(cope_profile(branch, [header], points=7200).along_mm))
        assert steps.max() < 0.05


def test_a_far_leg_of_the_header_is_no_part_of_the_joint():
    """A hoop's other leg stands in the branch's line half a metre on, and is left alone."""
    hoop = fillet_path([(0, 0, 0), (0, 0, 1000), (0, 500, 1000), (0, 500, 0)], [100.0, 100.0])
    branch = Branch(
        origin_mm=np.array([0.0, 0.0, 400.0]),
        direction=np.array([0.0, 1.0, 0.0]),
        datum=np.array([0.0, 0.0, 1.0]),
        od_mm=38.0,
    )
    profile = cope_profile(branch, [Header(name="hoop", path=hoop, od_mm=45.0)])
    assert profile.throat_mm == pytest.approx(22.5)


def test_counted_from_the_heel():
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=55.0, offset_mm=3.0)
    turned = Branch(
        origin_mm=branch.origin_mm + 123.0 * branch.direction,
        direction=branch.direction,
        datum=rotation_about(branch.direction, 33.0) @ branch.datum,
        od_mm=38.0,
    )
    again = cope_profile(counted_from_heel(turned, header), [header])
    assert again.along_mm == pytest.approx(cope_profile(branch, [header]).along_mm, abs=1e-6)
    assert cope_profile(turned, [header]).heel_deg == pytest.approx(327.0)


def test_bridged_line_has_no_gaps_and_runs_on():
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=55.0, offset_mm=5.0)
    profile = cope_profile(branch, [header], points=3600)
    assert np.isnan(profile.along_mm).any()
    assert not np.isnan(profile.bridged_mm).any()
    steps = np.abs(np.diff(profile.bridged_mm))
    assert steps.max() < 1.0
    assert profile.overhang_mm == pytest.approx(1.5, abs=1e-6)
