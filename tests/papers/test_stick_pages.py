"""The list to saw by and the labels: every part once, nothing off the paper, places that add up."""

import pytest

from hoopwright.papers import A4, LETTER
from hoopwright.papers.drawing import texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.stick_labels import StickLabel, label_pages
from hoopwright.papers.stick_pages import StickGroup, stick_pages
from hoopwright.stock import CutPart, CutStick, StickOffer


def stick(number, lengths_mm, name="part", **offer):
    parts = tuple(CutPart(name=f"{name} {k}", length_mm=mm) for k, mm in enumerate(lengths_mm, start=1))
    rest_mm = 6000.0 - 20.0 - sum(lengths_mm) - 3.0 * len(lengths_mm)
    return CutStick(number=number, offer=StickOffer(length_mm=6000.0, **offer), parts=parts, rest_mm=rest_mm)


def pages_of(sticks, paper=A4, unit="mm"):
    group = StickGroup(title="45 x 2.5 mm S355", sticks=tuple(sticks), kerf_mm=3.0, trim_mm=10.0)
    return stick_pages([group], project="A car with a name", date="2026-03-01", paper=paper, unit=unit)


def words(pages):
    return [text.text for page in pages for text in texts(page.items)]


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_nothing_is_off_the_paper(paper, unit):
    sticks = [
        stick(
            n,
            [2000.0, 1500.0, 80.0],
            source="rack",
            label=f"a stick with a long label {n}",
            heat_number="7781",
        )
        for n in range(1, 9)
    ]
    pages = pages_of(sticks, paper, unit)
    assert len(pages) > 1
    labels = label_pages(
        [StickLabel(name="bar " * 12, lines=("1990.0 mm " * 6,), heat_number="7" * 60) for _ in range(40)],
        project="A car",
        date="2026-03-01",
        paper=paper,
    )
    for page in (*pages, *labels):
        assert (page.width_mm, page.height_mm) == (paper.width_mm, paper.height_mm)
        for text in texts(page.items):
            box = text_box(text)
            assert 4.0 <= box.left_mm < box.right_mm <= paper.width_mm - 4.0, text.text
            assert 4.0 <= box.top_mm < box.bottom_mm <= paper.height_mm - 4.0, text.text


def test_a_stick_with_more_parts_than_rows_goes_on():
    pages = pages_of([stick(1, [90.0] * 60)])
    said = words(pages)
    assert len(pages) == 2
    assert all(f"part {k}" in said for k in range(1, 61))
    assert sum("1 goes on" in text for text in said) == 1


def test_places_along_the_stick_add_up():
    """After 10 mm of trim: 10 to 2010, a cut of 3, 2013 to 3513."""
    said = words(pages_of([stick(1, [2000.0, 1500.0])]))
    for place in ("10.0 mm", "2010.0 mm", "2013.0 mm", "3513.0 mm"):
        assert place in said
    assert "offcut 2474.0 mm" in said


def test_a_heat_number_stands_or_has_a_field():
    known = words(pages_of([stick(1, [500.0], source="rack", label="A", batch="B7", heat_number="471163")]))
    assert "batch B7, heat number 471163" in known
    assert "heat number" in words(pages_of([stick(1, [500.0])]))
