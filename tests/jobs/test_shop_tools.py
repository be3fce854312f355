"""What the shop bends with, and a bender's room as it goes to text and back."""

import tomllib

import pytest

from hoopwright.bender.room.files import EXAMPLE
from hoopwright.findings import UserError
from hoopwright.jobs.orders import room_named, typed_room
from hoopwright.jobs.room_texts import room_text
from hoopwright.jobs.shop_tools import ShopTools, keep_room, room_parts, tools_in_shop


@pytest.fixture
def shop(hoopwright, tmp_path, monkeypatch):
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    return hoopwright.keys


STANDS = [
    pytest.param(tomllib.loads(EXAMPLE), id="the example"),
    pytest.param({"axis_height_mm": "35 in", "clamp_mm": 90, "tilt_deg": [0, 90]}, id="units and a list"),
    pytest.param(
        {
            "axis_height_mm": 900.5,
            "clamp_mm": 1e-7,
            "post": [{"name": 'the "old" one\\\x7f', "ahead_mm": -1, "left_mm": 2}],
            "rail": [{"start_mm": [1, 2, 3], "end_mm": [4, 5.5, 6], "dia meter": {"a": True}}],
            "more": {"so": [["x"], []]},
        },
        id="odd letters and what is in each other",
    ),
    pytest.param({}, id="nothing"),
]


@pytest.mark.parametrize("stand", STANDS)
def test_a_room_goes_to_text_and_back(stand):
    """Read by Python's own reader, the text says what was kept."""
    parts = room_parts(stand)
    assert tomllib.loads(room_text(parts.things, parts.values)) == stand


def test_the_room_of_a_bender_is_kept_as_it_is_typed(shop):
    shop("bender", "add", "Red", "--swings", "clockwise", "--clamp", "60")
    kept = keep_room(None, "Red", EXAMPLE, shown=1)
    assert kept.record.version == 2
    assert room_named("shop:Red").axis_height_mm == typed_room(EXAMPLE).axis_height_mm == 900.0
    assert tools_in_shop().bender("Red").stand == tomllib.loads(EXAMPLE)


def test_a_room_that_is_none_changes_nothing(shop):
    shop("bender", "add", "Red", "--swings", "clockwise", "--clamp", "60")
    with pytest.raises(UserError) as stopped:
        keep_room(None, "Red", "axis_height_mm = -5\nclamp_mm = 60\n", shown=1)
    assert stopped.value.findings[0].code.startswith("ROOM-")
    assert tools_in_shop().bender("Red").version == 1


def test_tools_out_of_use_are_told_too_and_looking_makes_no_shop(shop, tmp_path):
    assert tools_in_shop() == ShopTools()
    assert not (tmp_path / "shop.sqlite").exists()
    shop("bender", "add", "Red", "--swings", "clockwise", "--clamp", "60")
    shop("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "180", "--bender", "Red")
    shop("die", "retire", "45")
    tools = tools_in_shop()
    assert [one.name for one in tools.benders] == ["Red"]
    assert tools.die("45").retired
