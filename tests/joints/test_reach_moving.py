"""Moving a part: first contact where the closed form has it, legs that are cut, and places that are found."""

import math
from dataclasses import replace

import numpy as np
import pytest

from hoopwright.bars import Bar, centreline
from hoopwright.cage import Cage, End, Landing, LandingKind, Member, Role, bars_of
from hoopwright.joints.reach import Torch, When, Wish, plan_findings, plan_steps, plan_welding
from hoopwright.joints.reach.hanging import held_together
from hoopwright.joints.reach.legs import cut_leg, feet_of, leg_problem
from hoopwright.joints.reach.moving import MovedBar, Place, follow_move
from hoopwright.joints.reach.taking import with_pedestals
from hoopwright.tubes import TubeSize


def bar(name, *nodes, od_mm=45.0):
    return Bar(name=name, nodes_mm=nodes, clr_mm=137.5, tube=TubeSize(od_mm=od_mm, wall_mm=2.5))


def moved(one):
    return MovedBar(
        name=one.name, path=centreline(one), od_mm=one.tube.od_mm, not_judged_a_mm=0.0, not_judged_b_mm=0.0
    )


def member(name, role, *nodes, od_mm=45.0, a=None, b=None):
    return Member(
        member_id=name,
        role=role,
        nodes_mm=nodes,
        tube=TubeSize(od_mm=od_mm, wall_mm=2.5),
        die="45",
        clr_mm=137.5,
        end_a=a or End(),
        end_b=b or End(),
    )


ON_MH = End(kind="bar", on="MH")


@pytest.fixture(scope="module")
def cabin(bodies):
    return bodies.shell_of(bodies.as_scan(bodies.cabin_soup()))


@pytest.fixture
def cage(bodies):
    foot = End(kind="shell", landing_mm=100.0)
    return Cage(
        members=(
            member("MH", Role.MAIN_HOOP, *bodies.hoop().nodes_mm, a=foot, b=foot),
            member("RB", Role.ROOF_BAR, (-900, 200, 1085), (-300, 200, 1085), od_mm=38.0, a=ON_MH),
            member("HB", Role.HARNESS_BAR, (-900, -633, 700), (-900, 633, 700), od_mm=38.0, a=ON_MH, b=ON_MH),
        )
    )


def test_a_rail_let_down_meets_the_floor_where_it_should(cabin):
    rail = bar("R", (-1200.0, 0.0, 90.0), (-600.0, 0.0, 90.0))
    move = follow_move(cabin, [moved(rail)], [Place(), Place(drop_mm=100.0)])
    # its skin is 67.5 over the floor; a step is never longer than the gap, or half a millimetre
    assert move.contact is not None
    assert move.contact.at.drop_mm == pytest.approx(67.5, abs=0.5)
    assert move.went_mm == pytest.approx(67.5, abs=0.5)
    assert move.contact.place_mm[2] == pytest.approx(0.0, abs=0.01)
    assert move.contact.region.startswith("floor")
    free = follow_move(cabin, [moved(rail)], [Place(), Place(drop_mm=60.0)])
    assert free.is_free
    assert free.nearest.gap_mm == pytest.approx(7.5, abs=0.05)


def test_a_thin_wall_is_not_jumped_over(cabin):
    """The end of the cabin is a sheet without thickness; the way through it is long."""
    post = bar("P", (-300.0, 0.0, 200.0), (-300.0, 0.0, 900.0))
    move = follow_move(cabin, [moved(post)], [Place(), Place(shift_mm=900.0)])
    assert move.contact is not None
    assert move.went_mm == pytest.approx(300.0 - 22.5, abs=0.5)


def test_a_tilt_swings_about_its_pivot(cabin):
    post = bar("P", (-900.0, 0.0, 100.0), (-900.0, 0.0, 800.0))
    about = (-900.0, 0.0, 100.0)
    rotation, shift = Place(tilt_deg=10.0, about_mm=about).motion()
    top = rotation @ np.array([-900.0, 0.0, 800.0]) + shift
    # the front goes down, so what stands up leans forward
    assert top == pytest.approx(
        [-900.0 + 700.0 * math.sin(math.radians(10.0)), 0.0, 100.0 + 700.0 * math.cos(math.radians(10.0))]
    )
    assert rotation @ np.array(about) + shift == pytest.approx(about)
    assert follow_move(
        cabin, [moved(post)], [Place(about_mm=about), Place(tilt_deg=10.0, about_mm=about)]
    ).is_free


def test_a_leg_is_cut_along_its_own_straight(bodies):
    hoop = bodies.hoop()
    cut, leg = cut_leg(hoop, "A", 50.0)
    assert leg.new_foot_mm == pytest.approx((-900.0, 610.0 + 50.0 * 30.0 / 620.0, 50.0))
    assert leg.straight_mm - leg.new_straight_mm == pytest.approx(50.0 * math.hypot(30.0, 620.0) / 620.0)
    assert cut.nodes_mm[1:] == hoop.nodes_mm[1:]


def test_a_leg_that_has_too_little_or_lies_too_flat_is_told(bodies):
    hoop = bodies.hoop()
    assert leg_problem(hoop, "A", 50.0) is None
    too_much = leg_problem(hoop, "A", 580.0)
    assert too_much.code == "REACH-007"
    assert too_much.limit == pytest.approx(597.8 - 45.0, abs=0.1)
    flat = leg_problem(bar("BS", (-900.0, 300.0, 1000.0), (-1700.0, 300.0, 700.0)), "B", 50.0)
    assert flat.code == "REACH-006"
    # 50 mm up on a leg that falls 300 over 800
    assert flat.measured == pytest.approx(50.0 * 800.0 / 300.0, abs=0.1)


def test_feet_are_ends_on_the_shell_and_legs_that_go_down_to_nothing(cage):
    assert feet_of(cage, ["MH", "RB", "HB"]) == (("MH", "A"), ("MH", "B"))
    free = replace(cage, members=(replace(cage.members[0], end_a=End(), end_b=End()), *cage.members[1:]))
    assert feet_of(free, ["MH", "RB", "HB"]) == (("MH", "A"), ("MH", "B"))


def test_what_is_tacked_together_has_its_headers_with_it(cage):
    assert held_together(cage, ["RB"]) == {"RB", "MH"}
    assert held_together(cage, ["MH"]) == {"MH"}


def test_a_place_is_found_by_trying(cabin, cage):
    plan = plan_welding(cage, bars_of(cage), cabin, torch=Torch(), wish=Wish())
    by_name = {joint.seam.name: joint for joint in plan.joints}
    roof = by_name["MH/RB-A"]
    assert not roof.in_place.is_whole
    assert roof.low.is_whole
    assert roof.when is When.LOW
    assert plan.low.place.drop_mm == plan.low.pedestal_mm
    assert plan.low.place.drop_mm % 10.0 == 0.0
    assert plan.low.move.is_free
    # one step less is not enough, or it would have been taken
    less = Wish(drop_mm=plan.low.place.drop_mm - 10.0, shift_mm=0.0, tilt_deg=0.0)
    short = plan_welding(cage, bars_of(cage), cabin, torch=Torch(), wish=less)
    (roof_less,) = (joint for joint in short.joints if joint.seam.name == "MH/RB-A")
    assert not roof_less.low.is_whole
    assert {code.code for code in plan_findings(short)} >= {"REACH-003"}


def test_the_order_of_welding_names_every_joint_once(cabin, cage):
    plan = plan_welding(cage, bars_of(cage), cabin, torch=Torch(), wish=Wish(needs_mm=60.0))
    steps = plan_steps(plan)
    welded = [name for step in steps for name in step.joints]
    assert sorted(welded) == sorted(
        [*(joint.seam.name for joint in plan.joints), *(foot.seam.name for foot in plan.feet)]
    )
    low = next(k for k, step in enumerate(steps) if "MH/RB-A" in step.joints)
    back = next(k for k, step in enumerate(steps) if "back to its place" in step.what)
    last = next(k for k, step in enumerate(steps) if "foot MH-A" in step.joints)
    assert low < back < last


def test_a_move_that_touches_is_told_with_how_far_it_goes(cabin, cage):
    """A bar under the floor's reach: let down as typed, the sill bar meets the floor."""
    sill = member("SL", Role.SILL_BAR, (-900, -612, 60), (-900, 612, 60), od_mm=38.0, a=ON_MH, b=ON_MH)
    with_sill = replace(cage, members=(*cage.members, sill))
    plan = plan_welding(with_sill, bars_of(with_sill), cabin, torch=Torch(), wish=Wish(drop_mm=60.0))
    assert plan.low is None
    (told,) = (finding for finding in plan_findings(plan) if finding.code == "REACH-004")
    assert told.measured == pytest.approx(41.0, abs=0.6)
    assert "SL meets 'floor" in told.sentence


def test_pedestals_are_boxes_and_mirrored_bars_follow(cage):
    leg = cut_leg(bars_of(cage)["MH"], "A", 50.0)[1]
    taken = with_pedestals(cage, [leg])
    (box,) = taken.landings
    assert (box.bar_id, box.end, box.kind, box.height_mm) == ("MH", "A", LandingKind.BOX, 50.0)
    assert taken.member("MH").nodes_mm[0] == pytest.approx((-900.0, 612.419, 50.0), abs=1e-3)
    assert taken.member("MH").end_a.kind == "shell"
    bolted = replace(cage, landings=(Landing(bar_id="MH", end="A", bolts=3, bolt_mm=8.0, thickness_mm=4.0),))
    (box,) = with_pedestals(bolted, [leg]).landings
    assert (box.kind, box.bolts, box.thickness_mm) == (LandingKind.BOX, 0, 4.0)


def test_a_later_bar_that_closes_a_joint_is_told(cabin):
    hoop_top = member("MH", Role.MAIN_HOOP, (-900, -400, 600), (-900, 400, 600))
    branch = member("B", Role.ROOF_BAR, (-900, 0, 600), (-500, 0, 600), od_mm=38.0, a=ON_MH)
    near = member("N", Role.DOOR_BAR, (-860, -400, 640), (-860, 400, 640), od_mm=38.0)
    whole = Cage(members=(hoop_top, branch, near))
    plan = plan_welding(whole, bars_of(whole), cabin, torch=Torch(), wish=Wish())
    (joint,) = plan.joints
    assert joint.when is When.BEFORE
    assert joint.early_before == ("N",)
    assert [finding.code for finding in plan_findings(plan)] == ["REACH-005"]
    typed = replace(whole, order=("MH", "N", "B"))
    late = plan_welding(typed, bars_of(typed), cabin, torch=Torch(), wish=Wish(drop_mm=0.0))
    assert late.joints[0].when is When.IN_PLACE
    assert "REACH-003" in [finding.code for finding in plan_findings(late)]


def test_a_bar_whose_leg_lies_too_flat_is_left_out_and_told(cabin, cage):
    stay = member(
        "BS", Role.BACKSTAY, (-900, 300, 1085), (-1600, 300, 500), od_mm=38.0, a=ON_MH, b=End(kind="shell")
    )
    with_stay = replace(cage, members=(*cage.members, stay))
    plan = plan_welding(with_stay, bars_of(with_stay), cabin, torch=Torch(), wish=Wish(needs_mm=60.0))
    assert set(plan.low.part.bars) == {"MH", "RB"}
    (told,) = (finding for finding in plan_findings(plan) if finding.code == "REACH-006")
    assert told.objects == ("BS",)


def test_an_end_that_does_not_meet_its_bar_has_no_seam_and_is_told(cabin, cage):
    beside = member("X", Role.ROOF_BAR, (-800, 0, 900), (-300, 0, 900), od_mm=38.0, a=ON_MH)
    # its axis goes under the hoop's top, far from it
    plan = plan_welding(
        replace(cage, members=(cage.members[0], beside)),
        bars_of(replace(cage, members=(cage.members[0], beside))),
        cabin,
        torch=Torch(),
        wish=Wish(),
    )
    assert plan.joints == ()
    assert plan.without_seam == (("X", "A", "MH"),)
    assert "REACH-015" in [finding.code for finding in plan_findings(plan)]


def test_the_steps_tell_what_is_left_of_a_joint_and_where(cabin, cage):
    less = Wish(drop_mm=20.0, shift_mm=0.0, tilt_deg=0.0)
    plan = plan_welding(cage, bars_of(cage), cabin, torch=Torch(), wish=less)
    (roof,) = (joint for joint in plan.joints if joint.seam.name == "MH/RB-A")
    left = sum(high - low for low, high in roof.planned.unreached_deg)
    assert left > 5.0
    (step,) = (step for step in plan_steps(plan) if "MH/RB-A" in step.joints)
    assert step.left_deg[step.joints.index("MH/RB-A")] == pytest.approx(left)
    ((low, high),) = roof.planned.unreached_deg
    assert f"MH/RB-A ({left:.0f}° left: {low:.0f} to {high:.0f})" in step.what
    assert "all round MH/RB-A" not in step.what


def test_feet_that_have_no_pedestals_are_not_welded_on_them(cabin, cage):
    stay = member(
        "BS", Role.BACKSTAY, (-900, 300, 1085), (-1600, 300, 500), od_mm=38.0, a=ON_MH, b=End(kind="shell")
    )
    with_stay = replace(cage, members=(*cage.members, stay))
    plan = plan_welding(with_stay, bars_of(with_stay), cabin, torch=Torch(), wish=Wish(needs_mm=60.0))
    last = plan_steps(plan)[-1]
    on, other = last.what.split("; to their plates or boxes: ")
    assert on == "Last, weld the feet on their pedestals: foot MH-A and foot MH-B"
    assert "foot BS-B" in other
    assert set(last.joints) == {"foot MH-A", "foot MH-B", "foot BS-B"}


def test_boxes_that_are_there_already_are_not_put_again(cabin, cage):
    first = plan_welding(cage, bars_of(cage), cabin, torch=Torch(), wish=Wish(needs_mm=60.0))
    taken = with_pedestals(cage, first.legs)
    plan = plan_welding(taken, bars_of(taken), cabin, torch=Torch(), wish=Wish(needs_mm=60.0))
    (back,) = (step.what for step in plan_steps(plan) if "back to its place" in step.what)
    assert "set it on the boxes that are under MH A and MH B already" in back
    assert "pedestals of" not in back


def test_high_pedestals_and_short_legs_are_told(cabin, cage):
    hoop = replace(cage, members=cage.members[:1])
    plan = plan_welding(hoop, bars_of(hoop), cabin, torch=Torch(), wish=Wish(needs_mm=500.0))
    told = {
        code: [one for one in plan_findings(plan) if one.code == code] for code in ("REACH-017", "REACH-018")
    }
    ((high,), short) = told.values()
    assert (high.measured, high.limit) == (490.0, 100.0)
    assert [one.measured for one in short] == pytest.approx([107.2, 107.2], abs=0.1)
    assert [one.limit for one in short] == [135.0, 135.0]
    usual = plan_welding(hoop, bars_of(hoop), cabin, torch=Torch(), wish=Wish(needs_mm=60.0))
    assert not {"REACH-017", "REACH-018"} & {one.code for one in plan_findings(usual)}
