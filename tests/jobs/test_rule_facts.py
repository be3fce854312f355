"""A cage gives its facts to a rule book: each place and distance is worked out by hand from the nodes."""

import itertools
import math
from dataclasses import replace

import pytest
from tests.rules.judging import book_of

from hoopwright.bars import BendTable, Node
from hoopwright.cage import (
    Cage,
    Car,
    Driver,
    End,
    Foot,
    Gusset,
    GussetKind,
    Landing,
    Member,
    Role,
)
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.rule_facts import facts_of
from hoopwright.jobs.rule_facts.bars import process_in
from hoopwright.jobs.rule_facts.feet import foot_facts
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.driver_facts import MIRRORED
from hoopwright.rules.engine import rows_of
from hoopwright.rules.facts import Process
from hoopwright.store import AsBentRecord, Project, ProjectFolder
from hoopwright.store.build_records import HandMeasure, TubeUsed
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
THIN = TubeSize(od_mm=38.0, wall_mm=2.5)
TOP, FOOT = 1100.0, 0.0
HOOP: tuple[Node, ...] = (
    (-1000.0, 600.0, FOOT),
    (-1000.0, 600.0, TOP),
    (-1000.0, -600.0, TOP),
    (-1000.0, -600.0, FOOT),
)
ON_MH = End(kind="bar", on="MH")
SHELL = End(kind="shell")


def bar(name, role, nodes, end_a=None, end_b=None, **more):
    return Member(
        member_id=name,
        role=role,
        nodes_mm=nodes,
        tube=more.pop("tube", THIN),
        die="x",
        clr_mm=more.pop("clr_mm", 137.5),
        end_a=end_a or End(),
        end_b=end_b or End(),
        **more,
    )


def hoop(**more):
    return bar("MH", Role.MAIN_HOOP, HOOP, SHELL, SHELL, tube=TUBE, **more)


@pytest.fixture
def facts(tmp_path):
    numbers = itertools.count()

    def facts(*members, project=None, samples="", told=False, **cage):
        folder = ProjectFolder(path=tmp_path / f"car{next(numbers)}")
        whole = replace(project or Project(name="car"), cage=Cage(members=members, **cage))
        folder.create(whole)
        if samples:
            (folder.calibrations / "001-samples.toml").write_text(samples, encoding="utf-8")
        return facts_of(folder, folder.open().project)[1 if told else 0]

    return facts


def measure(found, name, about):
    return [one for one in found.measures if (one.name, one.about) == (name, about)]


def one_measure(found, name, about):
    (one,) = measure(found, name, about)
    return one


def test_a_bend_has_the_radius_of_its_calibration_and_a_measured_bar_its_own(facts):
    samples = 'od_mm = 45.0\nwall_mm = 2.5\ndie = "x"\n[[plain]]\nclr_mm = 150.0\n'
    assert {one.clr_mm for one in facts(hoop(), samples=samples).bars[0].bends} == {150.0}
    bent = AsBentRecord(
        bar_id="MH",
        source="tape",
        date="2026-01-01",
        table=BendTable(
            straights_mm=(950.0, 900.0, 950.0),
            rotations_deg=(0.0, 0.0),
            angles_deg=(91.0, 88.5),
            clr_mm=152.0,
        ),
        drawn_nodes_mm=HOOP,
    )
    (mh,) = facts(hoop(), samples=samples, project=Project(name="car", as_bent=(bent,))).bars
    assert [(one.angle_deg, one.clr_mm) for one in mh.bends] == [
        (pytest.approx(91.0), 152.0),
        (pytest.approx(88.5), 152.0),
    ]


def test_a_tube_without_the_number_of_its_certificate_is_told(facts):
    used = TubeUsed(
        bar_id="MH", batch="", stick="", steel="E355", heat_number="", certificate="", date="2026-01-01"
    )
    found = facts(hoop(steel="E235"), project=Project(name="car", tubes_used=(used,)), told=True)
    assert [one.code for one in found] == ["HELD-006", "HELD-007"]
    (mh,) = facts(hoop(), project=Project(name="car", tubes_used=(used,))).bars
    assert mh.certificate is None


def test_nothing_is_known_of_an_empty_project(facts):
    empty = facts()
    assert (empty.bars, empty.feet, empty.joints, empty.drivers, empty.patterns) == (None,) * 5
    assert (empty.openings, empty.extent, empty.holes, empty.gussets) == (None,) * 4
    assert empty.measures == ()


def test_a_bar_with_its_bends_and_its_side(facts):
    backstay = bar("BS-L", Role.BACKSTAY, ((-1000.0, 400.0, TOP), (-1440.0, 370.0, 200.0)), ON_MH, SHELL)
    found = facts(hoop(), backstay, bar("BS-R", Role.BACKSTAY, (), ON_MH, SHELL, mirror_of="BS-L"))
    mh, left, right = found.bars
    assert [one.angle_deg for one in mh.bends] == pytest.approx([90.0, 90.0])
    assert [one.clr_mm for one in mh.bends] == [137.5, 137.5]
    assert (mh.side, left.side, right.side) == ("", "L", "R")
    assert left.down_mm == pytest.approx((-440.0, -30.0, -900.0))
    assert right.down_mm == pytest.approx((-440.0, 30.0, -900.0))
    assert left.length_mm == pytest.approx(math.hypot(440, 30, 900))
    assert left.bends == ()
    # two right angles of 137.5: each cuts 2 x 137.5 off the corner and adds a quarter of the circle
    assert mh.length_mm == pytest.approx(2 * 1100 + 1200 - 4 * 137.5 + math.pi * 137.5)


def test_an_end_typed_the_other_way_round_gives_the_same_vector(facts):
    found = facts(bar("BS-L", Role.BACKSTAY, ((-1440.0, 370.0, 200.0), (-1000.0, 400.0, TOP))))
    assert found.bars[0].down_mm == pytest.approx((-440.0, -30.0, -900.0))


def test_bends_in_the_leg_by_the_middle_of_their_arcs(facts):
    nodes = ((0.0, 500.0, 0.0), (0.0, 500.0, 600.0), (-600.0, 500.0, 600.0), (-600.0, 100.0, 600.0))
    # the first arc runs from 462.5 to 678.5 along the bar, the second begins after 325 more
    for leg_mm, expected in (
        (None, [None, None]),
        (560.0, [False, False]),
        (580.0, [True, False]),
        (1300.0, [True] * 2),
    ):
        found = facts(bar("SB", Role.SIDE_BAR, nodes, leg_mm=leg_mm))
        assert [one.in_leg for one in found.bars[0].bends] == expected
    first, second = found.bars[0].bends
    assert first.side_view_deg == pytest.approx(90.0)
    assert second.side_view_deg is None  # its last straight is seen end on
    assert first.place_mm[1] == 500.0


def test_a_reverse_bend_is_told(facts):
    zig = ((0.0, 0.0, 0.0), (500.0, 0.0, 0.0), (900.0, 0.0, 400.0), (1500.0, 0.0, 400.0))
    assert [one.is_reverse for one in facts(bar("Z", Role.DOOR_BAR, zig)).bars[0].bends] == [False, True]


def test_distances_run_along_the_tube_with_the_straight_one_beside(facts):
    diagonal = bar("HD", Role.HOOP_DIAGONAL, ((-1000.0, 300.0, TOP), (-1000.0, -600.0, 80.0)), ON_MH, ON_MH)
    backstay = bar("BS-L", Role.BACKSTAY, ((-1000.0, 380.0, TOP), (-1800.0, 380.0, 300.0)), ON_MH)
    found = facts(hoop(), diagonal, backstay, project=Project(name="car", car=Car(driver_side="L")))
    foot = one_measure(found, "end to foot", "HD")
    assert (foot.measured, foot.other) == pytest.approx((80.0, 80.0))
    joint = one_measure(found, "end to backstay joint", "HD")
    assert (joint.measured, joint.other) == pytest.approx((80.0, 80.0))
    # from left 300 to where the straight ends at 600 - 137.5, and half the arc; straight to the middle of the arc
    corner = one_measure(found, "end to hoop corner", "HD")
    middle = 137.5 * (1 - math.sqrt(0.5))
    assert corner.measured == pytest.approx(162.5 + 137.5 * math.pi / 4)
    assert corner.other == pytest.approx(math.hypot(300.0 - middle, middle))
    assert sorted(one.measured for one in measure(found, "below hoop top", "HD")) == pytest.approx(
        [0.0, 1020.0]
    )
    assert one_measure(found, "below hoop top", "BS-L").measured == pytest.approx(0.0)


def test_below_the_top_round_the_bend_is_longer_along_the_tube(facts):
    harness = bar("HB", Role.HARNESS_BAR, ((-1000.0, 600.0, 700.0), (-1000.0, -600.0, 700.0)), ON_MH, ON_MH)
    for one in measure(facts(hoop(), harness), "below hoop top", "HB"):
        assert one.measured == pytest.approx(400.0)
        # down the leg to where the arc ends, and the quarter circle up to the flat top
        assert one.other == pytest.approx(400.0 - 137.5 + 137.5 * math.pi / 2, abs=1.0)


def test_what_cannot_be_taken_says_what_to_give(facts):
    diagonal = bar("HD", Role.HOOP_DIAGONAL, ((-1000.0, 300.0, TOP), (-1000.0, -600.0, 80.0)), ON_MH, ON_MH)
    found = facts(hoop(), diagonal)
    corner, joint = (one_measure(found, f"end to {what}", "HD") for what in ("hoop corner", "backstay joint"))
    assert (corner.measured, joint.measured) == (None, None)
    assert "driver's side" in corner.missing
    assert "backstay" in joint.missing


def test_hoops_lean_and_stand_apart(facts):
    lean = math.tan(math.radians(10.0)) * TOP
    nodes = tuple((f - lean * u / TOP, left, u) for f, left, u in HOOP)
    found = facts(bar("MH", Role.MAIN_HOOP, nodes, SHELL, SHELL, tube=TUBE))
    assert one_measure(found, "hoop lean", "MH").measured == pytest.approx(10.0)
    assert one_measure(found, "between legs", "MH").measured == pytest.approx(1200.0 - 45.0)


def test_what_the_model_does_not_hold_says_how_to_give_it(facts):
    landing = Landing(bar_id="MH", end="A", bolts=3, bolt_mm=8.0)
    found = facts(hoop(), landings=(landing,))
    side, bolts = (
        one_measure(found, "leg to cabin side", "MH"),
        one_measure(found, "bolt spacing", "MH foot A"),
    )
    assert (side.measured, bolts.measured) == (None, None)
    assert "hoopwright measured PROJECT 'MH foot A' --value 'bolt spacing=...'" in bolts.missing
    hand = HandMeasure(
        about="MH foot A", name="bolt spacing", bend=0, measured=70.0, other=None, date="2026-01-01"
    )
    given = facts(hoop(), landings=(landing,), project=Project(name="car", measures=(hand,)))
    bolts = one_measure(given, "bolt spacing", "MH foot A")
    assert (bolts.measured, bolts.role) == (70.0, Role.MAIN_HOOP)


def test_a_straight_bar_is_parted_by_what_lands_on_it(facts):
    rail = bar("RL", Role.SILL_BAR, ((0.0, 500.0, 100.0), (-1000.0, 500.0, 100.0)), tube=TUBE)
    post = bar(
        "P", Role.DOOR_BAR, ((-300.0, 500.0, 500.0), (-300.0, 500.0, 100.0)), None, End(kind="bar", on="RL")
    )
    assert one_measure(facts(rail, post), "longest straight", "RL").measured == pytest.approx(700.0)


def test_door_bars_by_their_spacing_and_height(facts):
    corners = {
        f"door_opening_{n}": place
        for n, place in enumerate(
            (
                (-200.0, 650.0, 100.0),
                (-900.0, 650.0, 100.0),
                (-900.0, 650.0, 1000.0),
                (-200.0, 650.0, 1000.0),
            ),
            1,
        )
    }
    front = bar("F", Role.FRONT_HOOP, ((0.0, 600.0, 0.0), (0.0, 600.0, 900.0)), SHELL)
    doors = [
        bar(f"D{n}", Role.DOOR_BAR, ((0.0, 600.0, up), (-1000.0, 600.0, up)), End(kind="bar", on="F"), ON_MH)
        for n, up in ((1, 300.0), (2, 550.0))
    ]
    found = facts(hoop(), front, *doors, landmarks=corners)
    spaces = [one.measured for one in found.measures if one.name == "bar spacing"]
    assert spaces == pytest.approx([250.0, 250.0])
    assert one_measure(found, "height in door opening", "D2").measured == pytest.approx(0.5)
    opening, other = found.openings
    assert (opening.side, opening.crossed_by) == ("L", (Role.DOOR_BAR, Role.DOOR_BAR))
    assert (other.side, other.crossed_by, other.is_mirrored) == ("R", (), True)
    # nothing stands in the mirrored one but the corners themselves: 700 wide, 900 high
    assert other.circle_mm == pytest.approx(700.0, abs=10.0)
    # between the upper bar's skin at 569 and the top edge at 1000
    assert opening.circle_mm == pytest.approx(431.0, abs=10.0)


def cross(role, up, name="X", header="MH"):
    """One whole bar, and another in two halves that end on it, in the plane of the hoop."""
    on = End(kind="bar", on=header)
    whole = bar(f"{name}1", role, ((-1000.0, 500.0, up), (-1000.0, -500.0, 100.0)), on, on)
    middle = (-1000.0, 0.0, (up + 100.0) / 2)
    at = End(kind="bar", on=f"{name}1")
    halves = [
        bar(f"{name}2", role, ((-1000.0, -500.0, up), middle), on, at),
        bar(f"{name}3", role, (middle, (-1000.0, 500.0, 100.0)), at, on),
    ]
    return [whole, *halves]


def pattern(found, place, side=""):
    (one,) = (one for one in found.patterns if (one.place, one.side) == (place, side))
    return one


def test_a_cross_in_three_pieces_is_a_cross_and_its_halves_are_not_one_piece(facts):
    found = facts(hoop(), *cross(Role.HOOP_DIAGONAL, TOP))
    assert pattern(found, "main hoop").name == "X"
    assert {one.bar_id: one.is_one_piece for one in found.bars} == {
        "MH": True, "X1": True, "X2": False, "X3": False,
    }  # fmt: skip
    (crossing,) = (one for one in found.joints if one.is_crossing)
    assert crossing.joint_id == "X1/X2-B and X1/X3-A"
    assert crossing.roles == {Role.HOOP_DIAGONAL}
    assert crossing.gussets == 0


def test_patterns_of_hoop_roof_and_layout(facts):
    one = bar("D1", Role.HOOP_DIAGONAL, ((-1000.0, 400.0, TOP), (-1000.0, 0.0, 100.0)), ON_MH, ON_MH)
    other = bar("D2", Role.HOOP_DIAGONAL, ((-1000.0, -400.0, TOP), (-1000.0, 0.0, 100.0)), ON_MH, ON_MH)
    assert pattern(facts(hoop(), one), "main hoop").name == "one diagonal"
    assert pattern(facts(hoop(), one, other), "main hoop").name == "V"
    assert pattern(facts(hoop()), "main hoop").name == "none"
    sides = [
        bar(name, Role.SIDE_BAR, ((0.0, left, 0.0), (-900.0, left, 900.0)))
        for name, left in (("A", 500.0), ("B", -500.0))
    ]
    assert pattern(facts(hoop(), *sides), "layout").name == "hoop and half hoops"
    assert pattern(facts(hoop()), "layout").name == "other"


def test_a_roof_v_has_its_point_to_the_rear_and_a_gap(facts):
    screen = bar("SC", Role.SCREEN_BAR, ((-300.0, 600.0, TOP), (-300.0, -600.0, TOP)))

    def roof(front, rear):
        nodes = [((-300.0, sign * front, TOP), (-1000.0, sign * rear, TOP)) for sign in (1.0, -1.0)]
        on_sc = End(kind="bar", on="SC")
        return [bar(f"R{n}", Role.ROOF_BAR, both, on_sc, ON_MH) for n, both in enumerate(nodes)]

    found = facts(hoop(), screen, *roof(450.0, 30.0))
    assert pattern(found, "roof").name == "V"
    (gap,) = (one for one in found.measures if one.name == "apex gap")
    assert gap.measured == pytest.approx(60.0)
    assert pattern(facts(hoop(), screen, *roof(30.0, 450.0)), "roof").name == "inverted V"


def test_gussets_stand_at_the_joint_that_they_are_near(facts):
    diagonal = bar("HD", Role.HOOP_DIAGONAL, ((-1000.0, 300.0, TOP), (-1000.0, -600.0, 80.0)), ON_MH, ON_MH)
    gusset = Gusset(
        name="G1", kind=GussetKind.FOLDED, bar_id="MH", other="HD", place_mm=(-1000.0, 280.0, 1060.0),
        leg_mm=100.0, thickness_mm=1.5, hole_mm=30.0,
    )  # fmt: skip
    found = facts(hoop(), diagonal, gussets=(gusset,))
    assert {one.joint_id: one.gussets for one in found.joints} == {"MH/HD-A": 1, "MH/HD-B": 0}
    (one,) = found.gussets
    assert (one.largest_od_mm, one.legs_mm, one.thickness_mm, one.hole_mm) == (
        45.0,
        (100.0, 100.0),
        1.5,
        30.0,
    )
    assert one.is_folded


def test_feet_as_drawn_and_as_measured(facts):
    landing = Landing(
        bar_id="MH", end="A", length_mm=110.0, width_mm=100.0, thickness_mm=3.0, bolts=3, bolt_mm=8.0
    )
    found = facts(hoop(), landings=(landing,))
    first, second = found.feet
    assert (first.bar_id, first.side, first.planes_mm) == ("MH foot A", "L", ((110.0, 100.0),))
    assert (first.thickness_mm, first.bolts, first.bolt_mm, first.is_bolted) == (3.0, 3, 8.0, True)
    assert (second.bar_id, second.side, second.planes_mm, second.thickness_mm) == (
        "MH foot B",
        "R",
        None,
        None,
    )
    hands = tuple(
        HandMeasure(about="MH foot A", name=name, bend=0, measured=value, other=None, date="2026-01-01")
        for name, value in (("plate length", 120.0), ("plate width", 105.0), ("bolts", 4.0))
    )
    measured = facts(hoop(), landings=(landing,), project=Project(name="car", measures=hands)).feet[0]
    assert (measured.planes_mm, measured.bolts) == (((120.0, 105.0),), 4)


def test_a_plate_that_cannot_be_fitted_where_a_scan_is_is_no_plate(facts):
    foot = Foot(
        bar_id="MH", end="A", landing=Landing(bar_id="MH", end="A", length_mm=110.0, width_mm=100.0, bolts=3)
    )
    cage = Cage(members=(hoop(),), landings=(foot.landing,))
    scene = Scene(project=Project(name="car"), cage=cage, bars={}, paths={}, meetings=(), by_hand={})
    drawn, _ = foot_facts(scene, None)
    assert drawn.planes_mm == ((110.0, 100.0),)
    none, _ = foot_facts(scene, (LandedFoot(foot=foot, fitted=None, findings=()),))
    assert (none.planes_mm, none.area_mm2, none.thickness_mm, none.bolts) == (None, None, None, None)


def test_measured_by_hand(facts):
    def hand(about, name, measured, other=None, bend=0):
        return HandMeasure(
            about=about, name=name, bend=bend, measured=measured, other=other, date="2026-01-01"
        )

    hands = (
        hand("MH", "ovality", 40.9, 46.2, bend=1), hand("MH", "wall", 2.41), hand("MH", "wall", 2.44),
        hand("MH", "padding", 25.0), hand("MH", "padding", None), hand("cage", "pillar gap", 180.0),
        hand("MH", "carbon", 0.18), hand("MH", "required", 1.0),
    )  # fmt: skip
    found = facts(hoop(steel="E235 CDS"), project=Project(name="car", measures=hands))
    (mh,) = found.bars
    assert [(one.narrow_mm, one.wide_mm) for one in mh.bends] == [(40.9, 46.2), (None, None)]
    assert (mh.wall_measured_mm, mh.padding_mm, mh.is_required) == (2.44, None, True)
    assert (mh.certificate.carbon_percent, mh.certificate.process) == (0.18, Process.CDS)
    assert one_measure(found, "pillar gap", "cage").measured == 180.0
    gone = (hand("DB1-L", "below hoop top", 5.0),)
    assert measure(facts(hoop(), project=Project(name="car", measures=gone)), "below hoop top", "DB1-L") == []


def test_the_tube_that_a_bar_was_cut_from_goes_before_what_was_meant(facts):
    used = TubeUsed(
        bar_id="MH",
        batch="",
        stick="",
        steel="E355 seamless",
        heat_number="H1",
        certificate="C-77",
        date="2026-01-01",
    )
    (mh,) = facts(hoop(steel="E235 ERW"), project=Project(name="car", tubes_used=(used,))).bars
    assert (mh.steel, mh.certificate.number, mh.certificate.process) == (
        "E355 seamless",
        "C-77",
        Process.SEAMLESS,
    )


@pytest.mark.parametrize(
    ("words", "process"),
    [
        ("E235 CDS", Process.CDS), ("cold drawn seamless 350", Process.CDS), ("1020 DOM", Process.DOM),
        ("S235 ERW", Process.ERW), ("4130 seamless", Process.SEAMLESS), ("E235", None), ("freedom steel", None),
        ("DOM or ERW", None),
    ],
)  # fmt: skip
def test_how_a_tube_was_made_is_read_and_not_guessed(words, process):
    assert process_in(words) is process


def test_a_driver_under_hoop_and_braces(facts):
    backstay = bar("BS-L", Role.BACKSTAY, ((-1000.0, 300.0, TOP), (-2000.0, 300.0, 100.0)), ON_MH)
    driver = Driver(name="anna", helmet_mm=(-800.0, 0.0, 950.0), helmet_radius_mm=140.0, padding_mm=25.0)
    found = facts(hoop(), backstay, drivers=(driver,))
    (anna,) = found.drivers
    top = TOP + 22.5
    assert anna.level_mm == pytest.approx(top - 950.0 - 140.0)
    # from the hoop's top at (-1000, 1122.5) to (-2000, 100): the helmet's middle lies ahead of that line and below
    length = math.hypot(1000.0, 1022.5)
    off = (1000.0 * (top - 950.0) + 1022.5 * 200.0) / length
    assert anna.brace_line_mm == pytest.approx(off - 140.0)
    hoop_room = next(one for one in anna.rooms if one.bar_id == "MH")
    assert hoop_room.room_mm == pytest.approx(
        math.hypot(200.0, 150.0) - 140.0 - 22.5, abs=0.1
    )  # without padding
    assert one_measure(found, "helmet to hoop", "MH").measured == pytest.approx(87.5)
    assert anna.helmet_line_mm is None
    assert anna.belt_deg is None


def test_how_far_the_cage_reaches(facts):
    marks = {"front_mount": (-300.0, 500.0, 600.0)}
    found = facts(hoop(), landmarks=marks)
    assert (found.extent.front_mm, found.extent.rear_mm) == pytest.approx((-977.5, -1022.5))
    assert (found.extent.front_mount_mm, found.extent.rear_mount_mm) == (-300.0, None)


def test_a_bar_that_cannot_be_bent_has_its_tube_and_no_shape(facts):
    broken = bar("B", Role.DOOR_BAR, ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 100.0, 0.0)), clr_mm=137.5)
    (one,) = facts(broken).bars
    assert (one.tube, one.bends, one.down_mm, one.length_mm) == (THIN, None, None, None)


def test_the_opening_of_the_other_side_is_the_mirrored_one_and_says_so(facts):
    corners = {
        f"door_opening_{n}": (forward, 650.0, up)
        for n, (forward, up) in enumerate(((-200, 100), (-900, 100), (-900, 1000), (-200, 1000)), 1)
    }
    doors = [
        bar(f"DB-{side}{n}", Role.DOOR_BAR, ((0.0, left, up), (-1000.0, left, up)))
        for side, left, ups in (("L", 600.0, (300.0, 550.0)), ("R", -600.0, (400.0,)))
        for n, up in enumerate(ups, 1)
    ]
    found = facts(hoop(), *doors, landmarks=corners)
    assert [(one.side, len(one.crossed_by), one.is_mirrored) for one in found.openings] == [
        ("L", 2, False),
        ("R", 1, True),
    ]
    shares = {one.about: (one.measured, one.note) for one in measure_all(found, "height in door opening")}
    assert shares["DB-L2"] == (pytest.approx(0.5), "")
    assert shares["DB-R1"] == (pytest.approx(1.0 / 3.0), MIRRORED)
    rule = 'kind = "members"\napplies = "door bar"\nleast = 2\non = "each side"\nin_opening = true'
    book = book_of(rule)
    rows = {row.about: (row.verdict, row.note) for row in rows_of(book, book.rules[0], found)}
    assert rows == {"door bar L": ("pass", ""), "door bar R": ("fail", MIRRORED)}
    book = book_of('kind = "door opening"\ncircle_least = 400')
    notes = {row.about: row.note for row in rows_of(book, book.rules[0], found)}
    assert notes == {"door opening L": "", "door opening R": MIRRORED}


def measure_all(found, name):
    return [one for one in found.measures if one.name == name]
