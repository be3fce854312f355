"""Cuts laid back on their bars in space: every place of the edge lies on the skin of a header."""

import math
from dataclasses import replace

import numpy as np
import pytest

from hoopwright.bars import centreline
from hoopwright.cage import Cage, End, Member, Role, bar_of, with_existing
from hoopwright.geometry import unit_vector
from hoopwright.joints.cope import OvalBend
from hoopwright.joints.meet import CutWishes, MarkedTube, drawn_tube, ends_of, wraps_of
from hoopwright.joints.meet.cut_one import by_travel
from hoopwright.tubes import TubeSize


def member(name, *nodes, od_mm=38.0, a=None, b=None, clr_mm=114.0, trim_mm=20.0):
    ends = [End(kind="bar", on=on, trim_mm=trim_mm) if on else End(trim_mm=30.0) for on in (a, b)]
    return Member(
        member_id=name, role=Role.DOOR_BAR, nodes_mm=tuple(tuple(map(float, node)) for node in nodes),
        tube=TubeSize(od_mm=od_mm, wall_mm=2.5), die="d", clr_mm=clr_mm, end_a=ends[0], end_b=ends[1],
    )  # fmt: skip


HOOP = member(
    "MH", (0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0),
    od_mm=45.0, clr_mm=137.5,
)  # fmt: skip
SIDE = member(
    "SB", (1210, 640, 60), (1130, 655, 560), (680, 525, 1060), (0, 400, 1085),
    od_mm=45.0, clr_mm=137.5, b="MH",
)  # fmt: skip
ON_BEND = member("BS", (0, 470, 1065), (-600, 400, 200), a="MH")
DIAGONAL = member("HD", (0, 470, 1065), (0, -618, 160), a="MH", b="MH")


def outside_of_bend_1(path):
    """The datum of a bent bar at each place of a path, carried step by step without twist (double reflection)."""
    along = path.even_distances(0.25)
    places, travels = path.at(along), path.directions_at(along)
    after = travels[int(np.argmax(travels @ travels[0] < math.cos(math.radians(5.0))))]
    side = -unit_vector(after - travels[0] * float(after @ travels[0]))
    sides = [side]
    for k in range(len(along) - 1):
        step = places[k + 1] - places[k]
        square = float(step @ step)
        left = sides[-1] - 2.0 / square * float(step @ sides[-1]) * step
        tilt = travels[k] - 2.0 / square * float(step @ travels[k]) * step
        second = travels[k + 1] - tilt
        if float(second @ second) > 1e-24:
            left = left - 2.0 / float(second @ second) * float(second @ left) * second
        sides.append(left)
    return along, np.array(sides)


def laid_back(cage, cut, bar_cut, tube):
    """Each place of a wrap on its bar in space: by the tape along the tube, and round it from the datum line."""
    path, wrap = centreline(bar_of(cage, cut.bar_id)), cut.wrap
    sign = -1.0 if cut.end == "A" else 1.0
    on_tube = wrap.reference_mm + sign * wrap.cut_mm
    if tube.starts_mm:
        (first, _), (_, last) = _bends(path)[0], _bends(path)[-1]
        along = (
            on_tube - tube.starts_mm[0] + first
            if cut.end == "A"
            else on_tube - tube.starts_mm[-1] - tube.used_mm[-1] + last
        )
        sides = outside_of_bend_1(path)[1]
        side = sides[0 if cut.end == "A" else -1]
    else:
        along, side = on_tube - tube.trim_a_mm, bar_cut.datum.side_a
    travel = path.directions_at([0.0 if cut.end == "A" else path.length_mm])[0]
    turn = np.radians(wrap.around_deg)[:, None]
    ring = np.cos(turn) * side + np.sin(turn) * np.cross(travel, side)
    return path.at(along) + wrap.od_mm / 2.0 * ring


def _bends(path):
    starts = path.starts_mm
    return [(starts[k], starts[k + 1]) for k, piece in enumerate(path.pieces) if hasattr(piece, "radius_mm")]


def gaps_to(cage, name, points):
    bar = bar_of(cage, name)
    path = centreline(bar)
    return np.array([path.distance_to_mm(point) for point in points]) - bar.tube.od_mm / 2.0


def check_all_laid_back(cage, wishes=None, tubes=None, within_mm=0.01, takes_part=True):
    cuts = ends_of(cage, wishes, tubes or {})
    assert cuts.uncut == ()
    for bar in cuts.bars:
        for cut in bar.ends:
            tube = bar.tube
            points = laid_back(cage, cut, bar, tube)[~np.isnan(by_travel(cut.profile.along_mm, cut.end))]
            gaps = np.array([gaps_to(cage, header.bar_id, points) for header in cut.headers])
            assert np.abs(gaps.min(axis=0) - cut.root_gap_mm).max() < within_mm, cut.name
            # every header of the end takes part
            assert not takes_part or (gaps.min(axis=1) < cut.root_gap_mm + within_mm).all(), cut.name
    return cuts


@pytest.mark.parametrize("other", [SIDE, ON_BEND, DIAGONAL], ids=["bent, end B", "on a bend", "both ends"])
def test_every_place_of_the_wrap_lies_on_the_header(other):
    check_all_laid_back(Cage(members=(HOOP, other)))


def test_a_third_tube_meets_both():
    """Acceptance A8: the wrap touches both headers, gap in the model under 0.2."""
    post = member("P", (0, 0, 0), (0, 0, 1000), od_mm=45.0)
    first = member("F", (0, 0, 400), (800, 0, 400 + 800 / math.tan(math.radians(55.0))), a="P")
    third = member("T", (0, 0, 400), (700, 420, 640), a="P")
    cuts = check_all_laid_back(Cage(members=(post, first, third)), within_mm=0.01)
    cut = cuts.bar("T").ends[0]
    assert [header.bar_id for header in cut.headers] == ["P", "F"]
    assert cut.wrap.headers == ("P", "F")
    assert set(cut.profile.header_index.tolist()) == {0, 1}
    assert cuts.bar("F").ends[0].later == ("T",)
    assert cuts.bar("F").ends[0].main.angle_deg == pytest.approx(55.0)
    # A8's branch of 38 on 45 at 55°
    assert cuts.bar("F").ends[0].depth_mm == pytest.approx(28.72, abs=0.01)


def test_a_header_that_ends_at_the_joint_does_not_go_on_behind_it():
    """The third bar comes from where the second one would come out of the post, if it went on."""
    post = member("P", (0, 0, 0), (0, 0, 1000), od_mm=45.0)
    second = member("S", (0, 0, 400), (0, 600, 400 + 600 / math.tan(math.radians(42.0))), a="P")
    third = member("T", (0, 0, 388), (700, 250, 380), a="P")
    cuts = check_all_laid_back(Cage(members=(post, second, third)), takes_part=False)
    alone = ends_of(Cage(members=(post, third))).bar("T").ends[0]
    cut = cuts.bar("T").ends[0]
    assert "COPE-011" not in {found.code for found in cut.findings}
    assert [header.bar_id for header in cut.headers] == ["P", "S"]
    away = np.abs(cut.branch.sides(cut.profile.around_deg)[:, 1] + 1.0) < 0.2
    assert cut.profile.along_mm[away] == pytest.approx(alone.profile.along_mm[away], abs=1e-6)


def test_a_small_angle_is_a_joint_and_no_clash():
    post = member("P", (0, 0, 0), (0, 0, 1000), od_mm=45.0)
    sharp = member("B", (0, 0, 300), (200, 0, 300 + 200 / math.tan(math.radians(14.0))), a="P")
    codes = {found.code for found in ends_of(Cage(members=(post, sharp))).all_findings}
    assert codes == {"COPE-004"}


def test_the_whole_demo_cage_lies_on_its_headers(demo_cage):
    cuts = check_all_laid_back(demo_cage)
    assert len(cuts.ends) == 30
    assert [cut.number for cut in cuts.ends] == list(range(1, 31))
    assert [cut.name for cut in cuts.ends[:3]] == ["MH/SB-L-B", "MH/SB-R-B", "SB-L/SC-A"]
    several = {
        cut.name: [header.bar_id for header in cut.headers[1:]] for cut in cuts.ends if len(cut.headers) > 1
    }
    assert several == {"MH/HD-A": ["BS-R"], "MH/SL-L-B": ["HD"], "SC/RB-R-B": ["RB-L"]}
    assert wraps_of(cuts)[0] is cuts.ends[0].wrap


def test_nothing_of_a_bar_stands_into_another_when_both_are_cut(demo_cage):
    """Each generator just inside its cut is outside every bar that it meets."""
    cuts = ends_of(demo_cage)
    for cut in cuts.ends:
        points = cut.branch.skin_mm(cut.profile.around_deg, cut.profile.bridged_mm + 0.5)
        for header in cut.headers:
            assert gaps_to(demo_cage, header.bar_id, points).min() > -1e-6, cut.name


def test_the_root_gap_is_left_all_round():
    wishes = CutWishes(root_gap_mm=1.0, root_gaps_mm={"MH/HD-B": 0.4})
    cuts = check_all_laid_back(Cage(members=(HOOP, ON_BEND, DIAGONAL)), wishes)
    assert {cut.name: cut.root_gap_mm for cut in cuts.ends} == {
        "MH/BS-A": 1.0,
        "MH/HD-A": 1.0,
        "MH/HD-B": 0.4,
    }
    tight = ends_of(Cage(members=(HOOP, ON_BEND, DIAGONAL)))
    assert cuts.bar("HD").cut_mm < tight.bar("HD").cut_mm - 1.4
    # the weld is that of the tubes as if tight
    assert cuts.ends[0].weld.length_mm == tight.ends[0].weld.length_mm


def test_a_tube_marked_from_its_sheet():
    """A bend uses less tube than its arc: what is measured from the bend's start stays, what lies beyond moves."""
    cage = Cage(members=(HOOP, SIDE))
    path = centreline(bar_of(cage, "SB"))
    drawn = drawn_tube(path, trim_a_mm=30.0, trim_b_mm=20.0)
    used = tuple(0.982 * one for one in drawn.used_mm)
    starts = (drawn.starts_mm[0], drawn.starts_mm[1] - (drawn.used_mm[0] - used[0]))
    shorter = sum(drawn.used_mm) - sum(used)
    tube = MarkedTube(
        blank_mm=drawn.blank_mm - shorter, trim_a_mm=30.0, trim_b_mm=20.0, starts_mm=starts, used_mm=used
    )
    cuts = check_all_laid_back(cage, tubes={"SB": tube})
    cut = cuts.bar("SB").ends[0]
    plain = ends_of(cage, tubes={"SB": drawn}).bar("SB").ends[0]
    assert plain.tip_on_tube_mm - cut.tip_on_tube_mm == pytest.approx(shorter)
    assert cut.saw_off_mm == pytest.approx(plain.saw_off_mm)


def test_the_mirrored_bar_has_the_mirrored_wrap(demo_cage):
    cuts = ends_of(demo_cage)
    for left, right in (
        ("MH/SB-L-B", "MH/SB-R-B"),
        ("SB-L/DB1-L-A", "SB-R/DB1-R-A"),
        ("MH/BS-L-A", "MH/BS-R-A"),
    ):
        one, other = (next(cut for cut in cuts.ends if cut.name == name) for name in (left, right))
        assert other.wrap.cut_mm == pytest.approx(np.roll(one.wrap.cut_mm[::-1], 1), abs=1e-6)
        assert (one.clocking.heel_deg + other.clocking.heel_deg) % 360.0 == pytest.approx(0.0, abs=1e-6)


def test_the_heel_is_the_sharp_side_and_the_deepest(demo_cage):
    """Crossing axes: the heel generator is cut deepest, and it leans the way of the header."""
    for cut in ends_of(demo_cage).ends:
        if len(cut.headers) > 1 or cut.clocking.is_square or cut.main.bend is not None:
            continue
        k = int(np.nanargmin(np.abs((cut.wrap.around_deg - cut.wrap.heel_deg + 180.0) % 360.0 - 180.0)))
        assert cut.wrap.cut_mm[k] == pytest.approx(np.nanmin(cut.wrap.cut_mm), abs=0.05), cut.name
        assert cut.clocking.heel_mm == pytest.approx(math.pi * cut.wrap.od_mm * cut.wrap.heel_deg / 360.0)


def test_both_ends_are_clocked_from_one_line():
    """A straight bar between two posts that are turned against each other by 40° about it."""
    turn = math.radians(40.0)
    low = member("P", (0, 0, -400), (0, 0, 400), od_mm=45.0)
    lean = (800.0, 400.0 * math.sin(turn), -400.0 * math.cos(turn))
    high = member("Q", lean, (800.0, -lean[1], -lean[2]), od_mm=45.0)
    across = member("X", (0, 0, 0), (800, 0, 0), a="P", b="Q")
    bar = ends_of(Cage(members=(low, high, across))).bar("X")
    first, last = bar.ends
    assert first.clocking.is_square
    assert last.clocking.is_square
    assert (last.clocking.heel_deg - first.clocking.heel_deg) % 360.0 == pytest.approx(40.0, abs=1e-6)
    assert first.clocking.heel_deg == 0.0
    assert "end A" in bar.datum.words


def test_lengths_that_a_tape_measures():
    """Between two upright posts 800 apart the tips of a level 38 stand in by what the circle leaves, 12.05 each."""
    posts = [member(name, (x, 0, -400), (x, 0, 400), od_mm=45.0) for name, x in (("P", 0), ("Q", 800))]
    bar = ends_of(Cage(members=(*posts, member("X", (0, 0, 0), (800, 0, 0), a="P", b="Q")))).bar("X")
    side = math.sqrt(22.5**2 - 19.0**2)
    lengths = {length.key: length.value_mm for length in bar.lengths}
    assert lengths["tip to tip along the tube"] == pytest.approx(800.0 - 2.0 * side, abs=1e-3)
    assert lengths["heel to heel"] == pytest.approx(800.0 - 45.0, abs=1e-6)
    assert lengths["along the datum line"] == pytest.approx(800.0 - 45.0, abs=1e-6)
    assert bar.cut_mm == lengths["tip to tip along the tube"]
    assert [cut.saw_off_mm for cut in bar.ends] == pytest.approx([20.0 + side] * 2, abs=1e-3)
    assert bar.ends[0].depth_mm == pytest.approx(22.5 - side, abs=1e-3)
    assert len(bar.ends[0].tips) == 2


def test_the_weld_goes_once_round_on_both_skins():
    cut = ends_of(Cage(members=(HOOP, DIAGONAL))).ends[-1]
    weld = cut.weld
    assert len(weld.points_mm) == 360
    assert np.abs(gaps_to(Cage(members=(HOOP,)), "MH", weld.points_mm)).max() < 1e-6
    assert np.linalg.norm(weld.branch_out, axis=1) == pytest.approx(1.0)
    assert np.linalg.norm(weld.header_out, axis=1) == pytest.approx(1.0)
    # both normals lean out of the corner: away from the other tube's axis
    off_header = gaps_to(Cage(members=(HOOP,)), "MH", weld.points_mm + weld.header_out)
    assert off_header == pytest.approx(1.0, abs=1e-6)
    assert weld.length_mm > math.pi * 38.0


def test_copes_follow_a_bar_that_came_out_otherwise():
    cage = Cage(members=(HOOP, DIAGONAL, SIDE))
    drawn = ends_of(cage)
    nodes = bar_of(cage, "MH").nodes.copy()
    nodes[2] += (4.0, 3.0, -2.0)
    bent = replace(bar_of(cage, "MH"), clr_mm=139.0).with_nodes(nodes)
    there = with_existing(cage, {"MH": bent})
    exists = check_all_laid_back(there)
    assert [cut.name for cut in drawn.ends] == [cut.name for cut in exists.ends]
    changed = {
        was.name: float(np.nanmax(np.abs(was.profile.along_mm - now.profile.along_mm)))
        for was, now in zip(drawn.ends, exists.ends, strict=True)
    }
    # the far foot of the hoop stayed
    assert {name for name, mm in changed.items() if mm > 0.5} == {"MH/HD-A", "MH/SB-B"}
    assert changed["MH/HD-B"] < 0.1


def test_a_measured_bend_is_cut_to_its_section():
    wishes = CutWishes(oval_bends={("MH", 2): OvalBend(in_plane_mm=43.0, across_mm=46.4)})
    cage = Cage(members=(HOOP, ON_BEND))
    round_, oval = ends_of(cage).ends[0], ends_of(cage, wishes).ends[0]
    assert round_.main.bend == oval.main.bend == 2
    assert {"COPE-010"} <= {found.code for found in round_.findings}
    assert {"COPE-009"} <= {found.code for found in oval.findings}
    assert 0.3 < np.nanmax(np.abs(round_.profile.along_mm - oval.profile.along_mm)) < 3.0


def test_published_factors_of_an_equal_lateral():
    """45 on 45 at 45°: heel 1.2071 OD and toe 0.2071 OD from the node. Source: fabricatorguide.com, 2019."""
    post = member("P", (0, 0, 0), (0, 0, 1000), od_mm=45.0)
    cut = ends_of(Cage(members=(post, member("B", (0, 0, 200), (500, 0, 700), od_mm=45.0, a="P")))).ends[0]
    by_angle = dict(zip(cut.profile.around_deg, cut.profile.bridged_mm, strict=True))
    assert cut.clocking.heel_deg == 0.0
    assert by_angle[0.0] == pytest.approx(1.2071 * 45.0, abs=0.003)
    assert by_angle[180.0] == pytest.approx(0.2071 * 45.0, abs=0.003)
