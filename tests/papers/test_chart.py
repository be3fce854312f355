"""The axes that charts share."""

import pytest

from hoopwright.papers.chart import Chart, round_ticks
from hoopwright.papers.drawing import Box


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
