"""The sheets that the bender package makes, on paper."""

import io
import itertools

import numpy as np
import pytest
from pypdf import PdfReader

from hoopwright.bars import Bar, mirrored
from hoopwright.bender import Machine, a_to_b, b_to_a, make_bar_sheet, middle_outward
from hoopwright.bender.calibration import Calibration, Springback
from hoopwright.papers.bar_page import bar_pages
from hoopwright.papers.bar_text import bar_text
from hoopwright.papers.drawing import A4, LETTER, texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.overview import overlap
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
HOOP = ((0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0))
SIDE = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150))
MACHINE = Machine(name="floor bender", swings="clockwise", clamp_mm=120.0)
CAL_1 = Calibration(
    name="Cal-1",
    die="45 / R137",
    batch="H-20417",
    date="2026-02-20",
    tube=TUBE,
    clr_mm=137.5,
    clr_sd_mm=0.5,
    used_per_deg_mm=2.3556,
    used_per_deg_sd_mm=0.01,
    start_offset_mm=11.5,
    start_offset_sd_mm=0.4,
    springback=Springback(
        constant_deg=0.777,
        per_command_deg=0.0301,
        covariance=((0.01, 0.0), (0.0, 1e-6)),
        scatter_sd_deg=0.2,
        smallest_deg=20.0,
        largest_deg=90.0,
    ),
)


def bar(name, nodes):
    return Bar(name=name, nodes_mm=tuple(tuple(map(float, n)) for n in nodes), clr_mm=137.5, tube=TUBE)


def hoop(**options):
    made = {"title": "main hoop", "trim_a_mm": 30.0, "trim_b_mm": 30.0, "date": "2026-03-01"} | options
    return make_bar_sheet(bar("MH", HOOP), CAL_1, bar_id="MH", machine=MACHINE, **made)


def right_side(**options):
    made = {"title": "side bar", "side": "R", "date": "2026-03-01"} | options
    return make_bar_sheet(mirrored(bar("SB-L", SIDE), "SB-R"), CAL_1, bar_id="SB-R", machine=MACHINE, **made)


def words_of(pages):
    reader = PdfReader(io.BytesIO(pdf_bytes(pages, title="t", date="2026-03-01")))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize(
    "made",
    [
        hoop(),
        hoop(order=middle_outward(4)),
        right_side(),
        right_side(order=b_to_a(2)),
        make_bar_sheet(
            bar("HD", (HOOP[0], HOOP[3])),
            CAL_1,
            bar_id="HD",
            title="hoop diagonal",
            machine=MACHINE,
            date="2026-03-01",
        ),
    ],
    ids=["hoop", "hoop from the middle", "side bar", "side bar from B", "diagonal"],
)
@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
def test_made_sheets_fit_the_paper(made, unit, paper, car):
    pages = bar_pages(made, car, project="p", unit=unit, paper=paper)
    assert len(pages) == 1
    boxes = [(text.text, text_box(text)) for text in texts(pages[0].items)]
    for (first, a), (second, b) in itertools.combinations(boxes, 2):
        assert not overlap(a.inset(0.05), b.inset(0.05)), (first, second)
    assert max(box.right_mm for _, box in boxes) < paper.width_mm - 5.0
    words = words_of(pages)
    for check in made.checks:
        # A long name may stand on several lines.
        assert all(word in words for word in check.name.split())


def test_the_hoop_as_worked_out_by_hand(car):
    words = words_of(bar_pages(hoop(order=a_to_b(4)), car, project="p"))
    for number in (
        "3212.0 mm",
        "616.3",
        "1018.9",
        "1996.3",
        "2528.1",
        "18.96°",
        "73.81°",
        "1265.0",
        "1107.5",
    ):
        assert number in words
    assert "machine floor bender, swings clockwise from above" in words


def test_the_mirrored_side_bar_turns_clockwise_and_says_what_a_wrong_turn_costs(car):
    sheet = right_side()
    words = words_of(bar_pages(sheet, car, project="p"))
    assert "Turned the wrong way, end B lands 471 mm" in words
    assert "+26.96°" in words
    assert "27.0°" in words
    assert ("anticlockwise" in words.replace("swings anticlockwise", "")) == (
        sheet.steps[1].turn_tube_deg < 0
    )
    assert ", from where bend 1 was made" in bar_text(sheet, project="p")


def test_the_turn_names_the_bend_that_it_counts_from(car):
    sheet = right_side(order=b_to_a(2))
    found = [text.text for text in texts(bar_pages(sheet, car, project="p")[0].items)]
    way = found.index("clockwise from" if np.sign(sheet.steps[1].turn_tube_deg) > 0 else "anticlockwise from")
    assert found[way + 1] == str(sheet.steps[1].turn_from_bend) == "2"
