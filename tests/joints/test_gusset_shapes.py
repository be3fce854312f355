"""Gussets: every edge lies on the tube that it is welded to, and nothing is lost in the flat."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from hoopwright.bars import Bar
from hoopwright.cage import USUAL_K_RATIO, Gusset, GussetKind
from hoopwright.findings import UserError, Verdict
from hoopwright.geometry import rotation_about
from hoopwright.joints.folding import bend_allowance_mm
from hoopwright.joints.gusset import GussetLimits, check_limits, find_corner, flat_gusset, folded_gusset
from hoopwright.joints.gusset.plain import RELIEF_MM
from hoopwright.tubes import TubeSize

POST = Bar(
    name="POST", nodes_mm=((0, 0, -500), (0, 0, 500)), clr_mm=137.5, tube=TubeSize(od_mm=45.0, wall_mm=2.5)
)


def arm(angle_deg: float, *, apart_mm: float = 0.0, od_mm: float = 38.0) -> Bar:
    """From the post's axis, at an angle to its upper half."""
    turn = math.radians(angle_deg)
    end = (600 * math.sin(turn), apart_mm, 600 * math.cos(turn))
    return Bar(
        name="ARM", nodes_mm=((0, apart_mm, 0), end), clr_mm=137.5, tube=TubeSize(od_mm=od_mm, wall_mm=2.5)
    )


def gusset(kind: GussetKind = GussetKind.FLAT, **sizes: float) -> Gusset:
    usual = {"leg_mm": 100.0, "thickness_mm": 2.0, "hole_mm": 0.0}
    return Gusset(
        name="G1", kind=kind, bar_id="POST", other="ARM", place_mm=(60.0, 0.0, 60.0), **{**usual, **sizes}
    )


def off_axis_mm(bar: Bar, points: np.ndarray) -> np.ndarray:
    start = bar.nodes[0]
    way = (bar.nodes[1] - start) / np.linalg.norm(bar.nodes[1] - start)
    return np.linalg.norm(np.cross(points - start, way), axis=1)


def test_a_right_corner_is_as_on_paper():
    made = flat_gusset(gusset(), find_corner(POST, arm(90.0), (60.0, 0.0, 60.0)))
    # corner of the skins at 22.5 and 19; a right triangle of 100 with the relief and the square noses
    assert made.angle_deg == pytest.approx(90.0)
    x, y = made.part.outline_mm.T
    assert (x.max(), y.max()) == (pytest.approx(100.0, abs=0.05), pytest.approx(100.0, abs=0.05))
    # a triangle of 106 less its two tips of 6 and the relief of 12
    assert made.part.outline_area_mm2 == pytest.approx(106.0**2 / 2 - 6.0**2 - RELIEF_MM**2 / 2, abs=1e-6)
    assert made.mass_kg == pytest.approx(made.part.outline_area_mm2 * 2.0 * 7.85e-6)


@settings(max_examples=60, deadline=None)
@example(angle=35.0, apart=7.5, od=25.4, turn=0.0, kind=GussetKind.FOLDED)
@example(angle=35.0, apart=8.0, od=25.4, turn=0.0, kind=GussetKind.FOLDED)
@given(
    angle=st.floats(35.0, 145.0),
    apart=st.floats(-12.0, 12.0),
    od=st.sampled_from([25.4, 38.0, 45.0, 50.0]),
    turn=st.floats(-180.0, 180.0),
    kind=st.sampled_from([GussetKind.FLAT, GussetKind.FOLDED]),
)
def test_edges_lie_on_the_tubes_wherever_the_corner_is(angle, apart, od, turn, kind):
    rotation, shift = rotation_about(np.array([0.36, 0.48, 0.8]), turn), np.array([-900.0, 400.0, 700.0])
    post, branch = (
        one.with_nodes(one.nodes @ rotation.T + shift) for one in (POST, arm(angle, apart_mm=apart, od_mm=od))
    )
    half = math.radians(angle / 2.0)
    place = tuple(rotation @ np.array([90 * math.sin(half), 0.0, 90 * math.cos(half)]) + shift)
    corner = find_corner(post, branch, place)
    if (
        kind is GussetKind.FOLDED and 0.7 * od / 2.0 - abs(apart) / 2.0 < 5.0
    ):  # a side of the U would be too narrow
        with pytest.raises(UserError, match="GUSSET-006"):
            folded_gusset(replace(gusset(kind), leg_mm=150.0), corner)
        return
    make = flat_gusset if kind is GussetKind.FLAT else folded_gusset
    made = make(replace(gusset(kind), leg_mm=150.0), corner)
    on_post, on_arm = (
        off_axis_mm(post, made.outline_mm) - 22.5,
        off_axis_mm(branch, made.outline_mm) - od / 2.0,
    )
    # no edge is inside a tube, and those that should touch do, within the thickness of the sheet
    assert min(on_post.min(), on_arm.min()) > -1e-6
    assert np.count_nonzero(on_post < made.gap_mm + 0.05) >= 2
    assert np.count_nonzero(on_arm < made.gap_mm + 0.05) >= 2
    assert made.part.outline_area_mm2 > 0.0


def test_the_flat_of_a_folded_gusset_keeps_every_length():
    made = folded_gusset(
        replace(gusset(GussetKind.FOLDED), leg_mm=120.0), find_corner(POST, arm(70.0), (60, 0, 60))
    )
    flat, placed = made.part.outline_mm, made.outline_mm
    straight = (
        np.linalg.norm(np.diff(placed, axis=0), axis=1)
        <= np.linalg.norm(np.diff(flat, axis=0), axis=1) + 1e-3
    )
    assert straight.all()  # a chord through a fold is shorter than the sheet, nothing is longer
    first, second = made.part.folds
    apart = abs(first.start_mm[1] - second.start_mm[1])
    width = 2 * (0.7 * 19.0)
    # a channel 26.6 wide outside of 2 mm sheet, inside radius 2: its web between fold middles, by hand
    assert apart == pytest.approx(width - 2 * 4.0 + math.pi / 2 * (2.0 + USUAL_K_RATIO * 2.0), abs=1e-9)
    assert first.allowance_mm == pytest.approx(math.pi / 2 * (2.0 + USUAL_K_RATIO * 2.0))


def test_fold_allowance_against_the_handbook():
    """Machinery's Handbook, bending sheet metal: 0.71 T + 1.57 R for a 90 degree bend in soft steel (from memory)."""
    for thickness, radius in ((1.0, 1.0), (2.0, 3.0), (3.0, 3.0)):
        book = 0.71 * thickness + 1.57 * radius
        ours = bend_allowance_mm(90.0, inside_radius_mm=radius, thickness_mm=thickness, k_ratio=USUAL_K_RATIO)
        assert ours == pytest.approx(book, rel=0.01)


def test_legs_against_a_rule_of_two_to_four_diameters():
    """A published rule, from memory: end point to corner 2 to 4 times the larger tube; for 45 mm 90 to 180 mm."""
    limits = GussetLimits(least_leg_ratio=2.0, most_leg_ratio=4.0, least_thickness_mm=1.0)

    def fails(leg: float, thickness: float = 1.0) -> list[str]:
        judged = check_limits(gusset(leg_mm=leg, thickness_mm=thickness), 45.0, limits)
        return [one.what for one in judged if one.verdict is Verdict.FAIL]

    assert fails(90.0) == fails(180.0) == []
    assert (fails(89.0), fails(181.0)) == (["least leg"], ["most leg"])
    assert fails(90.0, 0.9) == ["least thickness"]
    unknown = check_limits(gusset(), 45.0, GussetLimits())
    assert {one.verdict for one in unknown} == {Verdict.NOT_CHECKED}


def test_a_hole_sits_where_it_has_most_room():
    corner = find_corner(POST, arm(90.0), (60.0, 0.0, 60.0))
    made = flat_gusset(gusset(hole_mm=30.0), corner)
    (hole,) = made.part.holes
    outline = made.part.outline_mm
    edges = np.roll(outline, -1, axis=0) - outline
    far = (
        edges[:, 0] * (hole.centre_mm[1] - outline[:, 1]) - edges[:, 1] * (hole.centre_mm[0] - outline[:, 0])
    ) / (np.linalg.norm(edges, axis=1))
    # inscribed circle of the outline: three edges at the same distance
    assert np.count_nonzero(far < far.min() + 1e-6) >= 3
    assert far.min() > 15.0 + 2 * 2.0
    tight = flat_gusset(gusset(hole_mm=60.0), corner)
    assert [one.code for one in tight.findings] == ["GUSSET-005"]
    assert tight.part.holes == ()
    most = tight.findings[0].limit
    assert most is not None
    assert flat_gusset(gusset(hole_mm=math.floor(most)), corner).findings == ()
    # a dimple's flare needs more room than a plain hole
    dimpled = flat_gusset(gusset(GussetKind.DIMPLED, hole_mm=60.0), corner).findings[0].limit
    assert dimpled == pytest.approx(most - 12.0)


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"leg_mm": math.nan}, "GUSSET-001"),
        ({"leg_mm": 0.0}, "GUSSET-001"),
        ({"leg_mm": 1e9}, "GUSSET-001"),
        ({"thickness_mm": -2.0}, "GUSSET-001"),
        ({"hole_mm": math.inf}, "GUSSET-001"),
        ({"leg_mm": 590.0}, "GUSSET-004"),
    ],
)
@pytest.mark.parametrize("make", [flat_gusset, folded_gusset])
def test_sizes_that_cannot_be_stop(make, wrong, code):
    corner = find_corner(POST, arm(90.0), (60.0, 0.0, 60.0))
    with pytest.raises(UserError) as refused:
        make(gusset(**wrong), corner)
    assert [one.code for one in refused.value.findings] == [code]


def test_the_longest_leg_that_is_told_fits():
    corner = find_corner(POST, arm(90.0), (60.0, 0.0, 60.0))
    with pytest.raises(UserError) as refused:
        flat_gusset(gusset(leg_mm=590.0), corner)
    limit = refused.value.findings[0].limit
    # the post is straight for 500 mm above the crossing, less the arm's radius
    assert limit == pytest.approx(500.0 - 19.0)
    flat_gusset(gusset(leg_mm=limit), corner)


@pytest.mark.parametrize(
    ("branch", "place", "code"),
    [
        (arm(90.0, apart_mm=25.0), (60.0, 0.0, 60.0), "GUSSET-002"),  # axes miss by more than half a tube
        (arm(8.0), (20.0, 0.0, 60.0), "GUSSET-002"),
        (arm(15.0), (20.0, 0.0, 60.0), "GUSSET-002"),
        (arm(90.0), (400.0, 0.0, 300.0), "GUSSET-002"),  # nowhere near
        (arm(90.0), (60.0, 0.0, 0.2), "GUSSET-003"),  # on the arm's axis: above or below it?
    ],
)
def test_what_is_no_corner_stops(branch, place, code):
    with pytest.raises(UserError) as refused:
        find_corner(POST, branch, place)
    assert [one.code for one in refused.value.findings] == [code]


def test_the_place_says_which_corner_is_meant():
    above = find_corner(POST, arm(60.0), (60.0, 0.0, 60.0))
    below = find_corner(POST, arm(60.0), (60.0, 0.0, -60.0))
    assert above.angle_deg == pytest.approx(60.0)
    assert below.angle_deg == pytest.approx(120.0)


def test_a_u_that_is_wider_than_its_tubes_is_refused():
    with pytest.raises(UserError) as refused:
        folded_gusset(gusset(thickness_mm=7.0), find_corner(POST, arm(90.0, od_mm=25.4), (60, 0, 60)))
    assert refused.value.findings[0].code == "GUSSET-006"
