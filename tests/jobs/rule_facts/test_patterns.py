"""Patterns of bars, their joints and gussets, and door openings, as a rule book asks for them."""

import pytest
from tests.jobs.rule_facts.typed import ON_MH, SHELL, TOP, bar, hoop, one_measure
from tests.rules.judging import book_of

from hoopwright.cage import End, Gusset, GussetKind, Role
from hoopwright.rules.driver_facts import MIRRORED
from hoopwright.rules.engine import rows_of


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
