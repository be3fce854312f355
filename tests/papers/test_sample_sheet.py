import io
import itertools
import math

import pytest
from pypdf import PdfReader

from hoopwright.bender import best_next_sample, samples_from_text
from hoopwright.bender.sample_plan import LEG_MM, first_samples, next_samples
from hoopwright.findings import UserError
from hoopwright.papers.drawing import A4, LETTER, texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.overview import overlap
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.papers.sample_page import SampleHeader, sample_pages

ANGLES = (
    "od_mm = 45\nwall_mm = 2.5\n[[angle]]\ncommand_deg = 20\nreleased_deg = 18.6\n[[angle]]\ncommand_deg = 90\n\
released_deg = 86.5\n[[angle]]\ncommand_deg = 45\nreleased_deg = 42.9\n"
)


def words_of(pages):
    reader = PdfReader(io.BytesIO(pdf_bytes(pages, title="t", date="2026-03-01")))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("plan", [
    first_samples(45.0, 137.5, 80.0), first_samples(25.4), first_samples(60.0, 400.0, 500.0),
    next_samples(45.0, 137.5, best_next_sample(samples_from_text(ANGLES, "a.toml"))),
])  # fmt: skip
def test_one_page_words_apart_and_within_it(plan, paper, unit):
    header = SampleHeader(die="the long name of a die", batch="H-2231 second delivery", wall_mm=2.5)
    (page,) = sample_pages(plan, header, unit=unit, paper=paper)
    boxes = [(text.text, text_box(text)) for text in texts(page.items)]
    for words, box in boxes:
        assert box.left_mm > 3.0, words
        assert box.right_mm < paper.width_mm - 5.0, words
        assert box.bottom_mm < paper.height_mm - 4.0, words
    for (first, a), (second, b) in itertools.combinations(boxes, 2):
        assert not overlap(a.inset(0.05), b.inset(0.05)), (first, second)


def test_boxes_have_the_names_of_the_sample_file():
    words = words_of(sample_pages(first_samples(45.0, 137.5), SampleHeader()))
    for key in ("[[leg]]", "[[u]]", "[[angle]]", "cut_mm", "mark_mm", "leg_a_mm", "leg_b_mm", "outside_mm",
                "command_deg", "released_deg", "od_mm", "wall_mm", "batch", "die", "name", "date"):  # fmt: skip
        assert key in words
    for forbidden in ("safe", "legal", "approved"):
        assert forbidden not in words.lower()


@pytest.mark.parametrize("od_mm", [25.4, 45.0, 60.0])
@pytest.mark.parametrize("clamp_mm", [0.0, 120.0, 600.0])
@pytest.mark.parametrize("offset_mm", [0.0, 50.0])
def test_cut_leaves_straight_for_the_clamp_and_the_square_on_both_sides(od_mm, clamp_mm, offset_mm):
    """Closed form: straight = what is cut less the mark, the offset and the arc on the centreline."""
    for clr_mm in (2.0 * od_mm, 4.0 * od_mm):
        for one in first_samples(od_mm, clr_mm, clamp_mm).samples:
            turn = {"leg": math.pi / 2.0, "u": math.pi}.get(one.kind) or math.radians(one.command_deg)
            need = max(LEG_MM, clamp_mm)
            assert one.mark_mm >= need
            assert one.cut_mm - one.mark_mm - offset_mm - turn * clr_mm >= need - 1e-6
            assert one.cut_mm < one.mark_mm + 50.0 + turn * clr_mm + need + 50.0


def test_the_next_sample_is_the_one_that_calibrate_names():
    suggestion = best_next_sample(samples_from_text(ANGLES, "a.toml"))
    plan = next_samples(45.0, None, suggestion)
    assert plan.is_radius_taken
    assert [one.kind for one in plan.samples] == [suggestion.kind]
    assert {"leg": "90 with both legs", "u": "a U", "angle": "an angle"}[suggestion.kind] in suggestion.sample
    words = words_of(sample_pages(plan, SampleHeader()))
    assert "Next sample bend" in words
    assert "".join(suggestion.sentence.split()) in "".join(words.split())


@pytest.mark.parametrize("numbers", [
    (math.nan, 137.5, 0.0), (45.0, math.nan, 0.0), (45.0, 20.0, 0.0), (0.0, 137.5, 0.0), (45.0, 1e9, 0.0),
    (45.0, 137.5, -1.0), (45.0, 137.5, math.inf),
])  # fmt: skip
def test_numbers_that_cannot_be_are_refused(numbers):
    with pytest.raises(UserError) as caught:
        first_samples(*numbers)
    assert [finding.code for finding in caught.value.findings] == ["CAL-040"]
