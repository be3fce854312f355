"""Quotes and comparisons on paper: nothing off the page, nothing over something else, every line there."""

import io
import itertools
from dataclasses import replace
from decimal import Decimal

import pytest
from pypdf import PdfReader

from hoopwright.papers.compare_pages import ComparePaper, compare_pages
from hoopwright.papers.drawing import A4, LETTER, Box, texts
from hoopwright.papers.flow import Column, drawn_items, end_mm, flow, heading, table_parts, titled
from hoopwright.papers.lettering import text_box
from hoopwright.papers.overview import overlap
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.papers.quote_pages import quote_pages
from hoopwright.papers.quote_paper import MadeRow, QuotePaper
from hoopwright.stock.money import Needs, TubeNeed, priced
from hoopwright.stock.rates import Extra, Minutes, Rates, TubeRate
from hoopwright.tubes import TubeSize

PAPERS = pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
LONG = "a very long line of words that no column of a table on a sheet of paper could ever hold in its full length"


def quote(car=None, extras=3, **changes):
    tube = TubeSize(od_mm=45.0, wall_mm=2.5)
    needs = Needs(
        tubes=(TubeNeed(tube=tube, steel="E355 drawn", lengths_mm=(3212.0,), kg_per_m=2.62),), sheet_kg=3.47, bolts=8,
        bars=18, bends=8, copes=30, feet=6, weld_mm=9918.0, plates=6, gussets=4,
    )  # fmt: skip
    rates = Rates(
        currency="crowns", tubes=(TubeRate(per_metre=Decimal("12.40")),), per_hour=Decimal(48),
        extras=tuple(Extra(what=f"extra {n}, {LONG}", amount=Decimal(n + 1)) for n in range(extras)),
        discount_percent=Decimal(5), tax_percent=Decimal(21),
    )  # fmt: skip
    made = QuotePaper(
        title="Quote 26-118", project="blue coupe", date="2026-03-01", valid_until="2026-03-31",
        sender=("Lower Mill Fabrications", "Weir Lane"), to=("A. Rivers",), car=car,
        made=tuple(MadeRow(what=f"bar {n}", tube="45 x 2.5 mm", bars=2, bends=4, mass_kg=10.6) for n in range(10)),
        facts=(("mass", "54.4 kg"), ("weld", LONG)), priced=priced(needs, rates), discount_words="discount 5 %",
        tax_words="tax 21 %", assumptions=(LONG, LONG), open_points=(LONG,), terms=(LONG,), identity="3f9a1c07d2",
    )  # fmt: skip
    return replace(made, **changes)


def comparison(changes):
    return ComparePaper(
        first="blue coupe, step 3", second="blue coupe, step 9", identities=("3f9a1c07d2", "0e1232b1a8"),
        date="2026-03-01", figures=tuple((f"figure {n}", "1.0", "2.0", "+1.0") for n in range(24)),
        changes=tuple((f"B{n}", "changed", LONG, "2.20", "2.30") for n in range(changes)),
        same="No bars are as before.", open_points=(LONG,), notes=(LONG, LONG),
    )  # fmt: skip


def assert_clean(pages, paper):
    for page in pages:
        boxes = [(text.text, text_box(text)) for text in texts(page.items)]
        for words, box in boxes:
            assert box.left_mm > 3.0, words
            assert box.right_mm < paper.width_mm - 5.0, words
            assert box.bottom_mm < paper.height_mm - 5.0, words
        for (first, a), (second, b) in itertools.combinations(boxes, 2):
            assert not overlap(a.inset(0.05), b.inset(0.05)), (first, second)


def words_of(pages):
    reader = PdfReader(io.BytesIO(pdf_bytes(pages, title="t", date="2026-03-01")))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@PAPERS
@pytest.mark.parametrize("extras", [0, 3, 60])
def test_a_quote_stays_on_the_paper_without_overlaps(car, paper, extras):
    pages = quote_pages(quote(car, extras), paper)
    assert_clean(pages, paper)
    words = words_of(pages)
    for n in range(extras):
        assert f"extra {n}, a very" in words
    assert f"page {len(pages)} of {len(pages)}" in words


def test_what_is_not_priced_says_so_and_why():
    words = words_of(quote_pages(quote()))
    assert "no price of a bolt" in words
    assert words.count("not priced") == 10
    assert "TOTAL of what is priced (10 lines are not)" in words
    assert " 0.00" not in words


def test_without_any_price_the_total_is_not_priced():
    bare = quote(extras=0)
    none = priced(
        Needs(
            tubes=(),
            sheet_kg=0.0,
            bolts=8,
            bars=1,
            bends=0,
            copes=0,
            feet=0,
            weld_mm=0.0,
            plates=0,
            gussets=0,
        ),
        Rates(),
    )
    words = words_of(quote_pages(replace(bare, priced=none)))
    assert "total not priced" in words
    assert "TOTAL" not in words


def test_amounts_on_paper_are_those_of_the_lines():
    made = quote()
    words = words_of(quote_pages(made))
    for amount in (made.priced.subtotal, made.priced.net, made.priced.tax, made.priced.total):
        assert f"{amount:f}" in words
    assert f"-{made.priced.discount:f}" in words
    assert "price, crowns" in words


def test_the_largest_amounts_that_can_be_typed_are_not_cut():
    big = Needs(
        tubes=(), sheet_kg=0.0, bolts=0, bars=0, bends=100, copes=0, feet=0, weld_mm=0.0, plates=0, gussets=0
    )
    rates = Rates(
        per_hour=Decimal(100_000_000), minutes=Minutes(set_up=Decimal(1), per_bend=Decimal(100_000))
    )
    made = priced(big, rates)
    words = words_of(quote_pages(replace(quote(extras=0), priced=made)))
    assert made.total > 10**13
    assert words.count(f"{made.total:f}") == 1
    assert f"{made.lines[1].amount:f}" in words


def test_the_picture_goes_where_it_has_room(car):
    short = quote_pages(quote(car, 0, made=quote().made[:3]))
    assert "from above" in {text.text for text in texts(short[0].items)}
    full = quote_pages(quote(car, 0, made=quote().made * 3))
    assert "from above" not in {text.text for text in texts(full[0].items)}
    assert any("from above" in {text.text for text in texts(page.items)} for page in full[1:])


@PAPERS
@pytest.mark.parametrize("changes", [0, 3, 80])
def test_a_comparison_stays_on_the_paper_without_overlaps(paper, changes):
    pages = compare_pages(comparison(changes), paper)
    assert_clean(pages, paper)
    words = words_of(pages)
    assert all(f"B{n} changed" in words for n in range(changes))


def test_a_heading_never_stands_alone_at_the_foot():
    inside = Box(left_mm=10.0, top_mm=20.0, width_mm=180.0, height_mm=60.0)
    table = table_parts((Column(head="a", share=1.0),), (("x",), ("y",), ("z",)), inside.width_mm)
    for taken in range(0, 60, 3):
        laid = flow((heading("Title"), *table), inside, used_mm=float(taken))
        assert end_mm(laid[-1], inside) <= inside.height_mm + 1e-9
        pages = [{text.text for text in texts(drawn_items(page))} for page in laid]
        (page,) = [page for page in pages if "Title" in page]
        assert {"x", "y"} <= page


def test_a_table_without_rows_and_no_sentences_leave_no_trace():
    assert table_parts((Column(head="a", share=1.0),), (), 180.0) == ()
    assert titled("Terms", (), 180.0) == ()
