"""The picture of a bar as bent over the drawn one."""

import itertools

import numpy as np
import pytest

from hoopwright.bars import Bar, centreline
from hoopwright.bender.as_bent import BendErrors, bar_with
from hoopwright.papers import png_bytes
from hoopwright.papers.bent_chart import bent_chart
from hoopwright.papers.drawing import Polyline, texts
from hoopwright.papers.lettering import text_box
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
HOOP = ((0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0))
SIDE_BAR = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150))
FLAT_ON_THE_FLOOR = ((0, 0, 0), (600, 0, 0), (900, 500, 0))


def drawn_and_bent(nodes, over_deg):
    bar = Bar(name="X", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)
    n = len(over_deg)
    errors = BendErrors(angles_deg=over_deg, rotations_deg=(0.0,) * n, straights_mm=(0.0,) * (n + 1))
    return centreline(bar), centreline(bar_with(bar, errors))


CASES = {
    "hoop": (HOOP, (0.0, 0.4, 0.4, 0.0)),
    "side bar": (SIDE_BAR, (0.6, -0.4)),
    "on the floor": (FLAT_ON_THE_FLOOR, (9.0,)),
    "as drawn": (HOOP, (0.0, 0.0, 0.0, 0.0)),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_everything_lies_on_the_page_and_no_letters_over_letters(case):
    nodes, over = case
    page = bent_chart(*drawn_and_bent(nodes, over), over, title="X as bent")
    for item in page.items:
        if isinstance(item, Polyline):
            for x, y in item.points_mm:
                assert 0.0 <= x <= page.width_mm
                assert 0.0 <= y <= page.height_mm
    boxes = [text_box(text) for text in texts(page.items)]
    for box in boxes:
        assert box.left_mm >= 0.0
        assert box.right_mm <= page.width_mm
    for a, b in itertools.combinations(boxes, 2):
        apart = (
            a.right_mm < b.left_mm
            or b.right_mm < a.left_mm
            or a.bottom_mm < b.top_mm
            or b.bottom_mm < a.top_mm
        )
        assert apart
    assert [f"{k}: {one:+.2f}°" for k, one in enumerate(over, start=1)] == [
        text.text for text in texts(page.items) if text.text[:1].isdigit()
    ]
    assert png_bytes(page, dots_per_inch=40.0).startswith(b"\x89PNG")


def test_differences_are_drawn_as_often_as_it_says():
    drawn, bent = drawn_and_bent(HOOP, (0.0, 0.4, 0.4, 0.0))
    page = bent_chart(drawn, bent, (0.0, 0.4, 0.4, 0.0), title="X")
    there, here = (
        np.array(one.points_mm) for one in page.items if isinstance(one, Polyline) and len(one.points_mm) > 2
    )
    (words,) = [text.text for text in texts(page.items) if "times" in text.text]
    times = int(words.split("drawn ")[1].split(" times")[0])
    scale = np.ptp(there[:, 1]) / np.ptp(drawn.at(np.linspace(0.0, drawn.length_mm, 2000))[:, 2])
    narrower = drawn.at(0.0)[0, 1] - bent.at(0.0)[0, 1]
    assert abs(here[0, 0] - there[0, 0]) == pytest.approx(times * narrower * scale, rel=0.02)
