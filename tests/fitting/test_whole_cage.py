"""A whole cage by choice: every end on the axis that it lands on, every bar bendable and clear of metal and bars."""

from itertools import product

import numpy as np
import pytest

from hoopwright.bars import check_bendable
from hoopwright.cage import HOLE_ROOM_MM, Role, bars_of, clashes, end_meetings
from hoopwright.democar import DemoCar, build_demo_scan
from hoopwright.findings import Severity
from hoopwright.fitting import LayoutWishes, lay_out_cage
from hoopwright.fitting.holes import cut_for_bars
from hoopwright.fitting.layout import wanted_landmarks
from hoopwright.fitting.measuring import as_tube
from hoopwright.geometry import Transform
from hoopwright.shell.clearance import measure_gaps

CABIN = {
    "hoop_foot": (-1000.0, 640.0, 5.0),
    "front_foot": (-150.0, 640.0, 60.0),
    "screen_corner": (-500.0, 560.0, 1080.0),
    "backstay_foot": (-1700.0, 450.0, 300.0),
}
FULL = {"hoop_diagonals": "cross", "roof": "cross", "door_bars": "cross", "dash_bar": True, "sill_bars": True}


def whole(layout, shell):
    """Every end meets within 2 mm, every bar bends, no two bars run through each other; gaps where not told."""
    cage, limits = layout.cage, layout.cage.limits
    assert [end for end in end_meetings(cage) if not end.meets] == []
    bars = bars_of(cage)
    told = {name for finding in layout.findings for name in finding.objects}
    tubes = []
    for name, bar in bars.items():
        stops = [f for f in check_bendable(bar, clamp_mm=limits.clamp_mm) if f.severity is Severity.STOP]
        assert stops == [], name
        member = cage.member(name)
        tubes.append(as_tube(bar, landing_a_mm=member.end_a.landing_mm, landing_b_mm=member.end_b.landing_mm))
    for name, gaps in zip(bars, measure_gaps(shell, tubes), strict=True):
        near = gaps.smallest is not None and gaps.smallest.gap_mm < limits.gap_mm - 0.1
        assert name in told or not (near or gaps.crossings or gaps.outside), name
    return cage


def count(cage, role):
    return sum(member.role is role for member in cage.members)


@pytest.fixture(scope="module")
def cabin(bodies):
    return bodies.shell_of(bodies.as_scan(bodies.cabin_soup(piece_mm=40.0)))


@pytest.fixture(scope="module")
def demo(bodies):
    car = build_demo_scan(DemoCar(spacing_mm=20.0))
    back = car.pose.inverse()
    shell = bodies.shell_of(
        bodies.as_scan(car.triangles),
        Transform(rotation=back.rotation, shift_mm=back.shift_mm, source="scan", target="vehicle"),
    )
    names = {
        "hoop_foot": "hoop_foot", "front_foot": "a_pillar_foot", "screen_corner": "a_pillar_top",
        "backstay_foot": "rear_strut_top", "front_strut": "front_strut_top",
    }  # fmt: skip
    return shell, {ours: car.landmarks[f"left_{theirs}"] for ours, theirs in names.items()}


def test_every_bar_that_was_chosen_is_there(cabin):
    layout = lay_out_cage(cabin, CABIN, LayoutWishes(**FULL))
    cage = layout.cage
    assert [end for end in end_meetings(cage) if not end.meets] == []
    for role, number in (
        (Role.MAIN_HOOP, 1), (Role.SIDE_BAR, 2), (Role.SCREEN_BAR, 1), (Role.BACKSTAY, 2), (Role.DASH_BAR, 1),
        (Role.SILL_BAR, 2), (Role.ROOF_BAR, 3), (Role.HOOP_DIAGONAL, 3), (Role.DOOR_BAR, 6), (Role.STRUT_LINK, 0),
    ):  # fmt: skip
        assert count(cage, role) == number, role
    # one runs through, the two halves of the other end on it
    for through, halves in (
        ("HD", ("HD2-L", "HD2-R")),
        ("RB", ("RB2-L", "RB2-R")),
        ("DB1-L", ("DB2F-L", "DB2B-L")),
    ):
        assert [cage.member(half).end_b.on for half in halves] == [through, through]


def test_four_feet_need_two_landmarks_and_tell_what_they_cannot_carry(cabin):
    places = {name: CABIN[name] for name in ("hoop_foot", "backstay_foot")}
    layout = lay_out_cage(cabin, places, LayoutWishes(feet=4, roof="v", sill_bars=True))
    assert {member.role for member in layout.cage.members} == {
        Role.MAIN_HOOP, Role.BACKSTAY, Role.HOOP_DIAGONAL, Role.HARNESS_BAR
    }  # fmt: skip
    (finding,) = layout.findings
    assert finding.code == "FIT-050"
    assert finding.objects == ("roof bars", "sill bars")
    assert wanted_landmarks(LayoutWishes(feet=4)) == ("hoop_foot", "backstay_foot")


def test_strut_links_without_a_strut_are_left_out_and_told(cabin):
    layout = lay_out_cage(cabin, CABIN, LayoutWishes(feet=8))
    assert count(layout.cage, Role.STRUT_LINK) == 0
    assert "FIT-052" in [finding.code for finding in layout.findings]


@pytest.mark.parametrize("share", [0.3, 0.45, 0.5, 0.7])
def test_a_harness_bar_meets_both_diagonals_of_a_cross(cabin, share):
    """In two pieces near the crossing, in three elsewhere, each end on the axis that it names."""
    layout = lay_out_cage(cabin, CABIN, LayoutWishes(feet=4, hoop_diagonals="cross", harness_share=share))
    assert [end for end in end_meetings(layout.cage) if not end.meets] == []
    assert count(layout.cage, Role.HARNESS_BAR) in (2, 3)
    harness = [bar.nodes for name, bar in bars_of(layout.cage).items() if name.startswith("HB")]
    assert len({round(float(up), 3) for nodes in harness for up in nodes[:, 2]}) == 1


@pytest.mark.slow
@pytest.mark.parametrize(
    ("roof", "door_bars", "diagonals"),
    list(product(("none", "one", "cross", "v"), ("one", "two", "cross"), ("one", "cross"))),
)
def test_every_choice_stands_in_the_demo_car(demo, roof, door_bars, diagonals):
    shell, places = demo
    wishes = LayoutWishes(
        lean_deg=4.0, roof=roof, door_bars=door_bars, hoop_diagonals=diagonals, dash_bar=True, sill_bars=True
    )
    layout = lay_out_cage(shell, places, wishes)
    assert layout.findings == ()
    assert clashes(whole(layout, shell)) == ()


def outward(bar):
    """How far the first bend lies outside the line between the ends, as seen from above."""
    nodes = bar.nodes
    return float(nodes[1, 1] - np.interp(-nodes[1, 0], -nodes[[0, -1], 0], nodes[[0, -1], 1]))


@pytest.mark.slow
@pytest.mark.parametrize("door_bars", ["one", "two", "cross"])
def test_door_bars_go_outward_as_far_as_the_shell_lets_them(demo, door_bars):
    shell, places = demo
    straight = lay_out_cage(shell, places, LayoutWishes(door_bars=door_bars))
    for out in (25.0, 80.0):
        layout = lay_out_cage(shell, places, LayoutWishes(door_bars=door_bars, door_out_mm=out))
        cage = whole(layout, shell)
        nodes, was = bars_of(cage)["DB1-L"].nodes, bars_of(straight.cage)["DB1-L"].nodes
        assert len(nodes) == 4
        assert nodes[1:3, 1].max() > was[:, 1].max() + 5.0
        told = {f.objects[0]: f for f in layout.findings if f.code == "FIT-051"}
        for name, bar in bars_of(cage).items():
            if name in ("DB1-L", "DB2-L"):
                assert (outward(bar) < out - 1.0) == (name in told)
                assert name not in told or told[name].measured == pytest.approx(outward(bar))


@pytest.mark.slow
def test_strut_links_reach_the_struts_and_tell_of_the_bulkhead(demo):
    shell, places = demo
    layout = lay_out_cage(shell, places, LayoutWishes(feet=8))
    cage = whole(layout, shell)
    assert cage.member("SK-L").nodes_mm[-1] == pytest.approx(places["front_strut"])
    assert {finding.code for finding in layout.findings} == {"FIT-053"}
    assert {hole.bar_id for hole in cage.holes} == {"SK-L"}
    cut = cut_for_bars(shell, cage)
    assert all(cut.skins)
    for name in ("SK-L", "SK-R"):
        (gaps,) = measure_gaps(
            cut.shell, [as_tube(bars_of(cage)[name], landing_a_mm=60.0, landing_b_mm=100.0)]
        )
        assert gaps.crossings == ()
        assert gaps.smallest.gap_mm >= 10.0 - 0.05
        assert gaps.edges[0].gap_mm >= HOLE_ROOM_MM - 0.05
