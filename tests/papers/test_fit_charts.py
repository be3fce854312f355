"""Charts of a fit: numbers where they belong, and nothing that breaks them."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from hoopwright.papers import png_bytes
from hoopwright.papers.chart import Chart, round_ticks
from hoopwright.papers.drawing import Box, Text
from hoopwright.papers.fit_charts import TradeRow, gap_chart, trade_chart

ROWS = [
    TradeRow(bends=0, mean_mm=200.0, p90_mm=330.0, largest_mm=360.0, length_mm=1500.0),
    TradeRow(bends=1, mean_mm=17.1, p90_mm=27.9, largest_mm=34.8, length_mm=1800.0),
    TradeRow(bends=2, mean_mm=9.7, p90_mm=18.2, largest_mm=21.0, length_mm=1810.0, chosen=True),
]


def words(page):
    return [item.text for item in page.items if isinstance(item, Text)]


def inside(page):
    points = [
        point
        for item in page.items
        for point in (getattr(item, "points_mm", None) or [getattr(item, "centre_mm", None) or item.at_mm])
    ]
    return all(0.0 <= x <= page.width_mm and 0.0 <= y <= page.height_mm for x, y in points)


def test_a_value_lies_at_its_share_of_the_axes():
    chart = Chart(
        box=Box(left_mm=10, top_mm=10, width_mm=100, height_mm=50), across=(0.0, 4.0), upward=(0.0, 20.0)
    )
    assert chart.at(1.0, 5.0) == pytest.approx((35.0, 47.5))
    assert chart.at(9.0, -5.0) == pytest.approx((110.0, 60.0))


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0, 60, [0, 10, 20, 30, 40, 50, 60]),
        (-30, 90, [-20, 0, 20, 40, 60, 80]),
        (0, 0.5, [0, 0.1, 0.2, 0.3, 0.4, 0.5]),
    ],
)
def test_ticks_are_round(low, high, expected):
    assert round_ticks(low, high) == pytest.approx(expected)


@pytest.mark.parametrize("rows", [ROWS, ROWS[1:2], ROWS[:1], [], [
    TradeRow(bends=1, mean_mm=math.inf, p90_mm=math.inf, largest_mm=math.inf, length_mm=900.0)
]])  # fmt: skip
def test_the_trade_off_is_drawn_whatever_was_found(rows):
    page = trade_chart(rows, title="SB-L", gap_mm=5.0)
    assert inside(page)
    assert "asked 5" in words(page)
    assert png_bytes(page).startswith(b"\x89PNG")


def test_the_mean_of_each_bent_bar_is_written_and_the_taken_one_is_bold():
    page = trade_chart(ROWS, title="SB-L", gap_mm=5.0)
    bold = {item.text: item.bold for item in page.items if isinstance(item, Text)}
    assert bold["9.7"]
    assert not bold["17.1"]


def gaps(values, judged=None):
    values = np.asarray(values, dtype=float)
    along = np.linspace(0.0, 1000.0, len(values))
    finite = np.isfinite(values)
    least = int(np.argmin(np.where(finite, values, np.inf)))
    place = SimpleNamespace(along_mm=along[least], gap_mm=values[least], region="roof")
    return SimpleNamespace(
        along_mm=along,
        gap_mm=values,
        judged=np.ones(len(values), dtype=bool) if judged is None else judged,
        smallest=place if finite.any() else None,
    )


def test_the_least_gap_is_named_with_its_region():
    page = gap_chart(gaps([20.0, 12.0, 8.0, 30.0, math.inf, 25.0]), title="SB-L", gap_mm=8.0)
    assert "least 8.0 mm, roof" in words(page)
    assert inside(page)


def test_a_bar_near_nothing_is_said_to_be_unknown():
    page = gap_chart(gaps([math.inf] * 5), title="SB-L", gap_mm=8.0)
    assert any("not known" in line for line in words(page))
    assert png_bytes(page).startswith(b"\x89PNG")
