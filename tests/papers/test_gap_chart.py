"""The gap along a bar: values where they belong, landings and bends told apart, unknown said."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from hoopwright.papers import png_bytes, svg_text
from hoopwright.papers.drawing import Circle, Polyline, texts
from hoopwright.papers.gap_chart import gap_chart
from hoopwright.papers.lettering import text_box

# the plot: 182 mm wide from 24, 74 mm high down to 106
LEFT_MM, WIDE_MM, HIGH_MM, BOTTOM_MM = 24.0, 182.0, 72.0, 106.0
ALONG = np.linspace(0.0, 1820.0, 911)
JUDGED = (ALONG >= 100.0) & (ALONG <= 1720.0)


def measured(gap, along=ALONG, judged=JUDGED, region="right roof rail"):
    """What `shell.clearance` hands over, as far as the chart reads it."""
    gap = np.broadcast_to(np.asarray(gap, dtype=float), along.shape)
    shown = np.where(judged & np.isfinite(gap), gap, np.inf)
    at = int(np.argmin(shown))
    place = SimpleNamespace(along_mm=float(along[at]), gap_mm=float(gap[at]), region=region)
    return SimpleNamespace(
        tube=SimpleNamespace(name="SB-L"),
        along_mm=along,
        gap_mm=gap,
        judged=judged,
        smallest=place if np.isfinite(shown[at]) else None,
    )


WAVE = 12.0 + 6.0 * np.sin(ALONG / 150.0)
BROKEN = np.where((ALONG > 600.0) & (ALONG < 800.0), np.inf, WAVE)
CASES = {
    "wave": measured(WAVE),
    "broken": measured(BROKEN),
    "broken at both ends": measured(np.where(JUDGED, WAVE, np.inf)),
    "many breaks": measured(np.where(np.arange(len(ALONG)) % 20 < 2, np.nan, WAVE)),
    "all infinite": measured(math.inf),
    "all not a number": measured(math.nan),
    "beyond reach": measured(300.0),
    "cuts in": measured(WAVE - 20.0),
    "one sample": measured(9.0, along=np.zeros(1), judged=np.ones(1, dtype=bool)),
    "long name": measured(WAVE, region="left B-pillar inner skin, " * 6),
}


def words(page):
    return [text.text for text in texts(page.items)]


def bold_lines(page):
    return [item for item in page.items if isinstance(item, Polyline) and item.width_mm == 0.7]


@pytest.mark.parametrize("case", CASES)
def test_every_case_is_drawn_within_the_page_and_no_letters_meet(case, overlapping):
    bends = ((250.0, 420.0), (1200.0, 1330.0), (1350.0, 1400.0)) if case != "one sample" else ()
    page = gap_chart(CASES[case], target_mm=8.0, bends=bends)
    assert overlapping(page) == []
    for text in texts(page.items):
        box = text_box(text)
        assert box.left_mm >= 0.0
        assert box.right_mm <= page.width_mm
    for item in page.items:
        for right, down in getattr(item, "points_mm", ()):
            assert 0.0 <= right <= page.width_mm
            assert 0.0 <= down <= page.height_mm
    assert png_bytes(page).startswith(b"\x89PNG")
    assert "nan" not in svg_text(page)


def test_the_curve_runs_at_its_values():
    page = gap_chart(measured(10.0), target_mm=8.0)
    (curve,) = bold_lines(page)
    # the scale ends at 1.5 x 8 = 12, with 14 % of headroom; the judged part runs from 100 to 1720 of 1820 mm
    down = BOTTOM_MM - HIGH_MM * 10.0 / 12.0 * 0.86
    assert curve.points_mm[0] == pytest.approx((LEFT_MM + WIDE_MM * 100.0 / 1820.0, down))
    assert curve.points_mm[-1] == pytest.approx((LEFT_MM + WIDE_MM * 1720.0 / 1820.0, down))
    assert {"target 8 mm", "0", "5", "10", "end A", "end B, 1820"} <= set(words(page))


def test_the_smallest_place_is_marked_and_named():
    page = gap_chart(measured(6.0 + np.abs(ALONG - 706.0) / 50.0), target_mm=5.0)
    assert "smallest judged gap 6.0 mm, 706 mm from end A: right roof rail" in words(page)
    rings = [item.centre_mm[0] for item in page.items if isinstance(item, Circle)]
    assert pytest.approx(LEFT_MM + WIDE_MM * 706.0 / 1820.0) in rings


def test_a_stretch_near_nothing_is_a_break_with_the_word():
    page = gap_chart(measured(BROKEN), target_mm=8.0)
    assert "unknown" in words(page)
    first, second = bold_lines(page)
    scale = WIDE_MM / 1820.0
    assert first.points_mm[-1][0] == pytest.approx(LEFT_MM + 600.0 * scale)
    assert second.points_mm[0][0] == pytest.approx(LEFT_MM + 800.0 * scale)
    assert "unknown" not in words(gap_chart(measured(WAVE), target_mm=8.0))


@pytest.mark.parametrize("case", ["all infinite", "all not a number", "beyond reach"])
def test_a_bar_near_nothing_has_no_curve_but_the_word(case):
    page = gap_chart(CASES[case], target_mm=8.0)
    assert bold_lines(page) == []
    assert "unknown: no metal within 150 mm" in words(page)


def test_landings_are_hatched_and_bends_are_dotted_where_they_are():
    page = gap_chart(measured(WAVE), target_mm=8.0, bends=((910.0, 1092.0),))
    lines = [item for item in page.items if isinstance(item, Polyline) and len(item.points_mm) == 2]
    dots = [
        item.points_mm[0][0] for item in lines if item.dash_mm == (0.3, 1.1) and item.points_mm[0][1] < 40.0
    ]
    assert min(dots) == pytest.approx(LEFT_MM + 91.0, abs=1.5)
    assert max(dots) == pytest.approx(LEFT_MM + 109.2, abs=1.5)
    slanted = [
        sorted(right for right, _ in item.points_mm)
        for item in lines
        if item.width_mm == 0.25
        and item.points_mm[0][0] != item.points_mm[1][0]
        and item.points_mm[0][1] < 107.0
    ]
    assert slanted
    assert all(high <= LEFT_MM + 10.01 or low >= LEFT_MM + 171.99 for low, high in slanted)


def test_a_title_may_be_given():
    assert "SB-L: gap along the bar" in words(gap_chart(measured(WAVE), target_mm=8.0))
    assert "SB-L with 2 bends" in words(gap_chart(measured(WAVE), target_mm=8.0, title="SB-L with 2 bends"))
