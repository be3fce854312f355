"""What stands against a joint is told with its number and the nearest thing that works."""

import math
from dataclasses import replace

import pytest

from hoopwright.cage import Cage, End, Member, Role
from hoopwright.findings import UserError
from hoopwright.joints.cope import OvalBend
from hoopwright.joints.meet import CutWishes, ends_of
from hoopwright.joints.meet.end_findings import NEAR_BEND_MM
from hoopwright.tubes import TubeSize


def member(name, *nodes, od_mm=38.0, a=None, b=None, trim_mm=20.0):
    ends = [End(kind="bar", on=on, trim_mm=trim_mm) if on else End(trim_mm=30.0) for on in (a, b)]
    return Member(
        member_id=name, role=Role.DOOR_BAR, nodes_mm=tuple(tuple(map(float, node)) for node in nodes),
        tube=TubeSize(od_mm=od_mm, wall_mm=2.5), die="d", clr_mm=114.0, end_a=ends[0], end_b=ends[1],
    )  # fmt: skip


POST = member("P", (0, 0, 0), (0, 0, 1000), od_mm=45.0)
BENT = member("H", (0, 0, 0), (0, 0, 600), (0, 600, 900), od_mm=45.0)


def told(*members, order=(), wishes=None):
    cuts = ends_of(Cage(members=members, order=order), wishes)
    return {found.code: found for found in cuts.all_findings}, cuts


def test_a_plain_joint_has_nothing_to_tell():
    assert told(POST, member("B", (0, 0, 500), (800, 0, 600), a="P"))[0] == {}


def test_a_joint_on_a_bend_tells_how_far_to_move_it():
    on_bend = member("B", (0, 5, 560), (700, 80, 560), a="H")
    found, cuts = told(BENT, on_bend)
    finding = found["JOINT-001"]
    assert finding.objects == ("H/B-A", "H")
    assert "COPE-010" in found
    main = cuts.ends[0].main
    assert main.bend == 1
    far = float(finding.todo.split("Moved ")[1].split(" mm")[0])
    # moved along the header as told, it is off the bend
    start = 600.0 - 114.0 * math.tan(math.atan2(600, 300) / 2.0)
    assert "toward its end A" in finding.todo
    assert main.to_mm - far == pytest.approx(start - NEAR_BEND_MM, abs=0.5)
    moved = member("B", (0, 0, 500.0), (700, 0, 500), a="H")
    assert "JOINT-001" not in told(BENT, moved)[0]


def test_a_joint_close_to_a_bend_is_told():
    start = 600.0 - 114.0 * math.tan(math.atan2(600, 300) / 2.0)
    close = member("B", (0, 0, start - 19.0 - 2.0), (700, 0, start - 21.0), a="H")
    found, cuts = told(BENT, close)
    assert found["JOINT-001"].measured == pytest.approx(2.0, abs=0.01)
    assert cuts.ends[0].main.bend is None


def test_axes_that_miss_are_told():
    found, _ = told(POST, member("B", (0, 3.0, 500), (800, 3.0, 500), a="P"))
    assert found["JOINT-002"].measured == pytest.approx(3.0)
    assert "JOINT-002" not in told(POST, member("B", (0, 1.5, 500), (800, 1.5, 500), a="P"))[0]


def test_a_branch_that_is_wider_than_its_header():
    found, _ = told(POST, member("B", (0, 0, 500), (800, 0, 500), a="P", od_mm=50.0))
    assert found["COPE-006"].measured == 50.0


def test_an_end_that_meets_nothing_is_no_joint_and_does_not_stop_the_others():
    away = member("B", (0, 90, 500), (800, 90, 500), a="P")
    found, cuts = told(POST, away, member("C", (0, 0, 300), (800, 0, 300), a="P"))
    assert cuts.uncut == ("P/B-A",)
    assert "P/B-A" in found["COPE-007"].objects
    assert [cut.name for cut in cuts.ends] == ["P/C-A"]


def test_a_cope_that_reaches_the_bar_s_own_bend():
    short = member("B", (0, 0, 500), (125, 0, 550), (125, 700, 550), a="P", od_mm=45.0)
    found, _ = told(POST, short)
    straight = math.hypot(125, 50) - 114.0
    assert found["JOINT-003"].measured == pytest.approx(straight)
    assert found["JOINT-003"].limit > straight


def test_a_tube_that_is_too_short_for_its_tip():
    ends = member("B", (40, 0, 500), (800, 0, 500), a="P", trim_mm=15.0)
    found, cuts = told(POST, ends)
    side = math.sqrt(22.5**2 - 19.0**2)
    assert cuts.ends[0].saw_off_mm == pytest.approx(15.0 - (40.0 - side), abs=1e-3)
    assert found["JOINT-004"].measured == pytest.approx(cuts.ends[0].saw_off_mm)
    assert f"Leave {40.0 - side:.0f} mm" in found["JOINT-004"].todo


def test_two_ends_each_cut_to_the_other():
    found, _ = told(
        member("B", (0, 0, 500), (800, 0, 500), b="C"), member("C", (800, 0, 0), (800, 0, 500), b="B")
    )
    assert found["JOINT-005"].objects in {("C/B-B", "C"), ("B/C-B", "B")}


def test_a_bar_that_lies_along_another():
    found, _ = told(
        POST,
        member("B", (0, 0, 500), (800, 0, 500), a="P"),
        member("D", (0, 0, 500), (150, 0, 500 + 150 * math.tan(math.radians(20.0))), a="P"),
    )
    assert "D lies along" in found["JOINT-006"].sentence


@pytest.mark.parametrize(("apart", "left"), [(52.0, 7.0), (40.0, -5.0)])
def test_two_copes_that_eat_each_other(apart, left):
    other = member("Q", (apart, 0, 0), (apart, 0, 1000), od_mm=45.0)
    found, _ = told(POST, other, member("B", (0, 0, 500), (apart, 0, 500), a="P", b="Q"))
    assert found["JOINT-007"].measured == pytest.approx(left, abs=0.01)
    assert f"{10.0 - left:.0f} mm or more farther apart" in found["JOINT-007"].todo
    assert ("eat each other" in found["JOINT-007"].sentence) == (left < 0.0)


def test_an_order_that_puts_a_branch_before_its_header():
    branch = member("B", (0, 0, 500), (800, 0, 500), a="P")
    assert told(POST, branch, order=("B", "P"))[0]["JOINT-008"].objects == ("B", "P")
    assert told(POST, branch, order=("P", "B"))[0] == {}


def test_welds_that_come_close():
    first = member("B", (0, 0, 500), (800, 0, 500), a="P")
    found, _ = told(POST, first, member("C", (0, 0, 540), (800, 0, 540), a="P"))
    assert found["JOINT-009"].measured == pytest.approx(2.0, abs=0.05)
    assert "JOINT-009" not in told(POST, first, member("C", (0, 0, 550), (800, 0, 550), a="P"))[0]
    across = member("C", (0, 0, 500), (-800, 0, 500), a="P")
    assert "JOINT-009" not in told(POST, first, across)[0]


def test_bars_that_run_through_each_other():
    first = member("B", (0, 0, 500), (800, 0, 500), a="P")
    found, _ = told(POST, first, member("X", (400, -400, 510), (400, 400, 510)))
    assert found["JOINT-010"].measured == pytest.approx(28.0, abs=0.5)


def test_sharp_angles_are_the_cope_s_own_finding():
    sharp = member("B", (0, 0, 300), (400, 0, 300 + 400 / math.tan(math.radians(25.0))), a="P")
    assert told(POST, sharp)[0]["COPE-004"].measured == pytest.approx(25.0)


def test_a_bar_that_cannot_be_does_not_stop_the_others():
    broken = replace(BENT, member_id="X", nodes_mm=((0.0, 0.0, 0.0), (0.0, 0.0, 10.0), (0.0, 60.0, 20.0)))
    found, cuts = told(POST, broken, member("B", (0, 0, 500), (800, 0, 500), a="P"))
    assert "BAR-003" in found
    assert [cut.name for cut in cuts.ends] == ["P/B-A"]


@pytest.mark.parametrize(
    ("wishes", "code"),
    [
        (CutWishes(root_gap_mm=math.nan), "JOINT-012"),
        (CutWishes(root_gap_mm=-1.0), "JOINT-012"),
        (CutWishes(root_gap_mm=25.4), "JOINT-012"),
        (CutWishes(root_gaps_mm={"P/B-A": 9.0}), "JOINT-012"),
        (CutWishes(root_gaps_mm={"P/B-B": 1.0}), "JOINT-014"),
        (CutWishes(oval_bends={("P", 1): OvalBend(in_plane_mm=44.0, across_mm=46.0)}), "JOINT-014"),
        (CutWishes(order=("ZZ",)), "JOINT-014"),
        (CutWishes(oval_bends={("H", 1): OvalBend(in_plane_mm=1.7, across_mm=46.0)}), "JOINT-017"),
        (CutWishes(oval_bends={("H", 1): OvalBend(in_plane_mm=44.0, across_mm=math.nan)}), "JOINT-017"),
        (CutWishes(oval_bends={("ZZ", 1): OvalBend(in_plane_mm=44.0, across_mm=46.0)}), "JOINT-014"),
    ],
)
def test_wishes_that_cannot_be(wishes, code):
    with pytest.raises(UserError) as stopped:
        ends_of(Cage(members=(POST, BENT, member("B", (0, 0, 500), (800, 0, 500), a="P"))), wishes)
    assert [finding.code for finding in stopped.value.findings] == [code]


def test_a_wide_root_gap_is_told():
    found, _ = told(POST, member("B", (0, 0, 500), (800, 0, 500), a="P"), wishes=CutWishes(root_gap_mm=2.0))
    assert found["JOINT-013"].limit == 1.6


def test_no_bar_that_is_not_there():
    with pytest.raises(UserError) as stopped:
        ends_of(Cage(members=(POST,)), only=("ZZ",))
    assert stopped.value.findings[0].code == "CAGE-001"


def test_of_one_bar_only_what_concerns_it_is_told():
    first = member("B", (0, 0, 500), (800, 0, 500), a="P")
    cage = Cage(
        members=(
            POST,
            first,
            member("X", (400, -400, 510), (400, 400, 510)),
            member("Y", (400, 0, 0), (400, 0, 900)),
        )
    )
    told_all, told_b = ends_of(cage), ends_of(cage, only=("B",))
    assert len(told_all.all_findings) == 3
    assert [cut.name for cut in told_b.ends] == ["P/B-A"]
    assert [found.objects for found in told_b.all_findings] == [
        found.objects for found in told_all.all_findings if "B" in found.objects
    ]
