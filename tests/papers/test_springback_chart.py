"""The springback chart: line, band and readings at their values, no letters over letters."""

import pytest

from hoopwright.papers import png_bytes, svg_text
from hoopwright.papers.drawing import Circle, Polygon, Polyline, texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.springback_chart import ReadingMark, SpringbackBand, springback_chart

# the upper plot: 200 mm wide from 24, 72 mm high down to 104
LEFT_MM, WIDE_MM, BOTTOM_MM, HIGH_MM = 24.0, 200.0, 104.0, 72.0


def curve(half=0.5):
    return [
        SpringbackBand(
            command_deg=command,
            mean_deg=0.8 + 0.03 * command,
            low_deg=0.8 + 0.03 * command - half,
            high_deg=0.8 + 0.03 * command + half,
        )
        for command in (1.0, 25.0, 50.0, 75.0, 100.0)
    ]


def reading(number, command=60.0, *, off=0.0, **changes):
    how = {"sample": False, "counted": True, "batch": "A", "same_batch": True} | changes
    return ReadingMark(
        number=number,
        command_deg=command,
        springback_deg=0.8 + 0.03 * command + off,
        error_deg=off,
        half_band_deg=0.6,
        **how,
    )


CASES = {
    "nothing": [],
    "one": [reading(1, sample=True)],
    "two batches": [reading(index, batch="AB"[index > 4], same_batch=index > 4) for index in range(1, 9)],
    "many batches": [reading(index, batch=f"heat {index}", same_batch=False) for index in range(1, 61)],
    "one far off": [reading(1), reading(2, off=60.0, counted=False), reading(3, off=-0.4)],
    "far down the list": [reading(index) for index in range(9_601, 10_001)],
}


def words(page):
    return [text.text for text in texts(page.items)]


@pytest.mark.parametrize("case", CASES)
def test_every_case_is_drawn_within_the_page_and_no_letters_meet(case, overlapping):
    page = springback_chart(curve(), CASES[case], title="45 die: springback of the next bend, batch A17")
    assert overlapping(page) == []
    for text in texts(page.items):
        box = text_box(text)
        assert box.left_mm >= 0.0
        assert box.right_mm <= page.width_mm
        assert box.bottom_mm <= page.height_mm
    assert png_bytes(page).startswith(b"\x89PNG")
    assert "nan" not in svg_text(page)


def test_line_band_and_mark_lie_at_their_values():
    page = springback_chart(curve(), [reading(1, 50.0)], title="")

    # greatest 4.3 on a scale from 0 to 5, commands from 0 to 100
    def at(command, springback):
        return (LEFT_MM + WIDE_MM * command / 100.0, BOTTOM_MM - HIGH_MM * springback / 5.0)

    (line,) = (
        item
        for item in page.items
        if isinstance(item, Polyline) and len(item.points_mm) == 5 and item.width_mm > 0.5
    )
    assert line.points_mm[2] == pytest.approx(at(50.0, 2.3))
    edges = [item.points_mm for item in page.items if isinstance(item, Polyline) and len(item.points_mm) == 5]
    assert pytest.approx(at(100.0, 4.3)) in [edge[-1] for edge in edges]
    assert pytest.approx(at(100.0, 3.3)) in [edge[-1] for edge in edges]
    discs = [item.centre_mm for item in page.items if isinstance(item, Circle) and item.fill == "black"]
    assert pytest.approx(at(50.0, 2.3)) in discs


def test_samples_others_and_those_set_aside_have_their_own_marks():
    page = springback_chart(
        curve(),
        [
            reading(1, sample=True),
            reading(2, same_batch=False, batch="B"),
            reading(3, counted=False, off=2.0),
        ],
        title="",
    )
    squares = [item for item in page.items if isinstance(item, Polygon)]
    rings = [item for item in page.items if isinstance(item, Circle) and item.fill == "white"]
    discs = [item for item in page.items if isinstance(item, Circle) and item.fill == "black"]
    # each once in either plot and once in the key; discs in the key alone
    assert (len(squares), len(rings), len(discs)) == (3, 3, 1)
    assert {"B", "not learnt from", "sample"} <= set(words(page))
