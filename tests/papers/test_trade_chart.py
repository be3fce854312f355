"""The trade-off chart: marks at their values, numbers under them, no letters over letters."""

import math

import pytest

from hoopwright.papers import png_bytes, svg_text
from hoopwright.papers.drawing import Circle, Polygon, Text, texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.trade_chart import TradeRow, trade_chart

# the plot: 168 mm wide from 42 for six columns, and 62 mm high down to 89
COLUMN_MM, LEFT_MM, HIGH_MM, BOTTOM_MM = 168.0 / 6, 42.0, 62.0, 89.0


def row(bends, mean, p90, largest, *, chosen=False):
    return TradeRow(
        bends=bends, mean_mm=mean, p90_mm=p90, largest_mm=largest, length_mm=1800.0 + bends, chosen=chosen
    )


FOUR = [
    row(1, 17.1, 27.9, 34.8),
    row(2, 9.7, 18.2, 21.0, chosen=True),
    row(3, 8.8, 15.0, 20.5),
    row(4, 7.7, 13.0, 19.0),
]
SIX = [row(0, 200.0, 330.0, 360.0), *FOUR, row(5, 7.6, 12.8, 18.8)]
UNKNOWN = row(3, math.inf, math.nan, math.inf)
CASES = {
    "none": [],
    "one": FOUR[1:2],
    "straight alone": SIX[:1],
    "six": SIX,
    "unknown": [UNKNOWN],
    "unknown among known": [*FOUR[:2], UNKNOWN],
    "one far off": [row(0, 9.0, 14.0, 400.0), *FOUR],
    "on the metal": [row(1, 0.0, 0.0, 0.0)],
}


def words(page):
    return [text.text for text in texts(page.items)]


@pytest.mark.parametrize("case", CASES)
def test_every_case_is_drawn_within_the_page_and_no_letters_meet(case, overlapping):
    page = trade_chart(CASES[case], title="SB-L: what one more bend buys", gap_mm=5.0)
    assert overlapping(page) == []
    for text in texts(page.items):
        box = text_box(text)
        assert box.left_mm >= 0.0
        assert box.right_mm <= page.width_mm
        assert box.bottom_mm <= page.height_mm
    assert png_bytes(page).startswith(b"\x89PNG")
    assert "nan" not in svg_text(page)
    assert "inf" not in svg_text(page)


def test_a_mark_lies_over_its_column_at_its_share_of_the_scale():
    page = trade_chart(FOUR, title="SB-L", gap_mm=5.0)
    # greatest 34.8: the scale ends at the next round tick, 40
    across, down = LEFT_MM + 2.5 * COLUMN_MM, BOTTOM_MM - HIGH_MM * 9.7 / 40.0
    discs = [item.centre_mm for item in page.items if isinstance(item, Circle) and item.fill == "black"]
    assert (pytest.approx(across), pytest.approx(down)) in discs
    ticks = {"0", "10", "20", "30", "40"}
    assert ticks <= set(words(page))


def test_the_numbers_stand_under_their_column_and_the_taken_ones_are_bold():
    page = trade_chart(SIX, title="SB-L", gap_mm=5.0)
    found = {text.text: text for text in texts(page.items)}
    assert found["8.8"].at_mm[0] == pytest.approx(LEFT_MM + 3.5 * COLUMN_MM)
    assert {one for one, text in found.items() if text.bold} == {
        "SB-L",
        "taken",
        "9.7",
        "18.2",
        "21.0",
        "1802",
    }
    assert "target 5 mm" in found


def test_a_bar_far_off_is_an_arrow_and_keeps_its_number():
    page = trade_chart(SIX, title="SB-L", gap_mm=5.0)
    assert {"40", "360.0", "off the scale: its number is in the table"} <= set(words(page))
    triangles = [item for item in page.items if isinstance(item, Polygon) and len(item.points_mm) == 3]
    assert triangles[0].points_mm[0] == pytest.approx((LEFT_MM + 0.5 * COLUMN_MM, BOTTOM_MM - HIGH_MM))
    assert "off the scale: its number is in the table" not in words(trade_chart(FOUR, title="", gap_mm=5.0))


def test_what_is_not_known_is_said_and_not_drawn():
    page = trade_chart([UNKNOWN], title="SB-L", gap_mm=5.0)
    assert words(page).count("unknown") == 3
    assert words(page).count("no bar") == 5
    # the two marks are those of the names, beside the table
    assert all(item.centre_mm[0] < LEFT_MM for item in page.items if isinstance(item, Circle))


def test_the_order_of_rows_does_not_matter():
    assert trade_chart(SIX[::-1], title="", gap_mm=5.0) == trade_chart(SIX, title="", gap_mm=5.0)
    assert any(isinstance(item, Text) for item in trade_chart([], title="", gap_mm=5.0).items)
