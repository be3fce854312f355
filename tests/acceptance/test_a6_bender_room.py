"""A bar that must be fed from the right end, or bent on a bender of the other hand, to miss the floor."""

import math

import pytest

CLR_MM, OD_MM = 137.5, 45.0
BENDS = "straight_mm,rotation_deg,angle_deg\n1100,0,90\n{middle},{rotation},45\n700,,\n"
ROOM = 'axis_height_mm = 900\nclamp_mm = 120\nswings = "{swings}"\nceiling_mm = 2400\n'


@pytest.fixture
def ordered(hoopwright, tmp_path):
    def order(*, swings="clockwise", middle=520, rotation=90):
        bends, room = tmp_path / "bar.csv", tmp_path / "room.toml"
        bends.write_text(BENDS.format(middle=middle, rotation=rotation), encoding="utf-8")
        room.write_text(ROOM.format(swings=swings), encoding="utf-8")
        return hoopwright.keys("order", "--bends", bends, "--clr", "137.5", "--od", "45", "--room", room)

    return order


def order_named(keys, name):
    return next(order for order in keys["orders"] if order["name"] == name)


def clearance_mm(step, to):
    return next(one["clearance_mm"] for one in step["clearances"] if one["to"] == to)


def test_end_a_leading_is_refused_with_the_tip_below_the_floor(ordered):
    """By hand: 900 - 137.5 - 1100, the tip of a leg that hangs straight down."""
    keys = ordered()
    refused = order_named(keys, "A to B")
    second = refused["steps"][1]
    assert not refused["works"]
    assert (second["bend"], second["fed_from"], second["leg_clock"]) == (2, "A", 6.0)
    assert clearance_mm(second, "floor") == pytest.approx(-337.5, abs=0.3)


def test_end_b_leading_is_allowed(ordered):
    """By hand: drop R (1 - cos 45) + 700 sin 45, and the skin of the flat end 22.5 cos 45 under its axis."""
    keys = ordered()
    chosen = keys["chosen"]
    drop_mm = CLR_MM * (1.0 - math.cos(math.pi / 4)) + 700.0 * math.sin(math.pi / 4)
    lowest_mm = 900.0 - drop_mm - OD_MM / 2.0 * math.cos(math.pi / 4)
    assert chosen["name"] == "B to A"
    assert [step["fed_from"] for step in chosen["steps"]] == ["B", "B"]
    assert chosen["steps"][1]["leg_clock"] == 6.0
    assert clearance_mm(chosen["steps"][1], "floor") == pytest.approx(349.0, abs=0.3)
    assert clearance_mm(chosen["steps"][1], "floor") == pytest.approx(lowest_mm, abs=0.01)


@pytest.mark.parametrize(("swings", "rotation"), [("anticlockwise", 90), ("clockwise", -90)])
def test_the_other_hand_or_the_mirrored_bar_puts_the_leg_up(ordered, swings, rotation):
    """By hand: the tip at 900 + 137.5 + 1100 = 2137.5."""
    allowed = order_named(ordered(swings=swings, rotation=rotation), "A to B")
    second = allowed["steps"][1]
    assert allowed["works"]
    assert second["leg_clock"] == 12.0
    assert 2400.0 - clearance_mm(second, "ceiling") == pytest.approx(2137.5, abs=0.3)
    assert clearance_mm(second, "ceiling") == pytest.approx(262.5, abs=0.3)


def test_a_straight_shorter_than_the_clamp_has_ways_out(ordered):
    keys = ordered(middle=95)
    assert not keys["works"]
    finding = next(one for one in keys["findings"] if one["code"] == "ROOM-007")
    assert (finding["measured"], finding["limit"]) == (pytest.approx(95.0), 120.0)
    ways = [way["what"] for way in keys["ways_out"]]
    assert any("lengthen straight 2 by 25.0 mm" in way for way in ways)
    assert any("95.0 mm or less, instead of 120 mm" in way for way in ways)


def test_the_smaller_die_leaves_the_straight_that_the_clamp_needs(ordered):
    """By hand: with nodes held, a straight grows by tan 45 + tan 22.5 for each mm of radius."""
    ways = [way["what"] for way in ordered(middle=95)["ways_out"]]
    radius = CLR_MM - 25.0 / (1.0 + math.tan(math.pi / 8))
    assert any(f"die of radius {math.floor(radius * 10.0) / 10.0} mm" in way for way in ways)


def test_the_sweep_of_the_long_leg(ordered):
    """By hand: hypotenuse of 1100 and 137.5, and of 1100 and 160."""
    first = order_named(ordered(), "A to B")["steps"][0]
    assert first["reach_mm"] == pytest.approx(1108.6, abs=0.05)
    assert first["reach_skin_mm"] == pytest.approx(1111.6, abs=0.05)
