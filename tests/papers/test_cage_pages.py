import io
import itertools

import pytest
from pypdf import PdfReader

from hoopwright.papers.cut_list import CutPiece, cut_list_pages, cut_pieces, size_totals
from hoopwright.papers.drawing import A4, LETTER, texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.overview import overlap, overview_pages
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.tubes import TubeSize

BIG, SMALL = TubeSize(od_mm=45.0, wall_mm=2.5), TubeSize(od_mm=38.0, wall_mm=2.5)
NAMES = ("hoop", "side bar", "straight")
LENGTHS = (3385, 1990, 1990, 1460, 1460, 1290, 1180, 1180, 1120, 980, 980, 860, 860, 640, 640, 420, 420)


def issued(car, sheets, count=1, **options):
    return overview_pages(
        car, [sheets[n]() for n in NAMES] * count, project="blue coupe", date="2026-03-01", **options
    )


def pieces(count=1):
    return [
        CutPiece(bar_id=f"B{k}", title="bar", tube=SMALL, length_mm=length)
        for k, length in enumerate(LENGTHS * count)
    ]


def words_of(pages):
    reader = PdfReader(io.BytesIO(pdf_bytes(pages, title="t", date="2026-03-01")))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("count", [1, 20])
def test_cage_pages_stay_on_the_paper_without_overlaps(car, sheets, paper, unit, count):
    pages = issued(car, sheets, count, paper=paper, unit=unit)
    pages += cut_list_pages(pieces(count), project="p", date="2026-03-01", paper=paper, unit=unit)
    for page in pages:
        boxes = [(text.text, text_box(text)) for text in texts(page.items)]
        for words, box in boxes:
            assert box.left_mm > 3.0, words
            assert box.right_mm < paper.width_mm - 5.0, words
            assert box.bottom_mm < paper.height_mm - 5.0, words
        for (first, a), (second, b) in itertools.combinations(boxes, 2):
            assert not overlap(a.inset(0.05), b.inset(0.05)), (first, second)


def test_the_overview_names_every_bar_in_pictures_and_table(car, sheets):
    pages = issued(car, sheets)
    assert len(pages) == 1
    found = [text.text for text in texts(pages[0].items)]
    for bar in car.bars:
        assert bar.bar_id in found
    words = words_of(pages)
    for known in ("3212.0 mm", "1907.5 mm", "hoop diagonal", "45 x 2.5 mm"):
        assert known in words
    # 3212.0 mm of 45 x 2.5 at 2.620 kg/m (EN 10219-2 table value 2.62)
    assert "8.42" in words


def test_many_bars_all_come_out_on_further_pages(car, sheets):
    pages = issued(car, sheets, 20)
    assert len(pages) > 1
    assert sum(text.text == "hoop diagonal" for page in pages for text in texts(page.items)) == 20
    assert "60 bars" in words_of(pages[-1:])


def test_totals_by_size():
    totals = size_totals([*pieces(), CutPiece(bar_id="MH", title="hoop", tube=BIG, length_mm=3212.0)])
    assert [(t.tube, t.pieces) for t in totals] == [(SMALL, 17), (BIG, 1)]
    assert totals[0].length_mm == pytest.approx(20855.0)
    assert totals[0].mass_kg == pytest.approx(45.6, abs=0.1)
    words = words_of(cut_list_pages(pieces(), project="p", date="2026-03-01"))
    assert "20.855" in words
    assert "heat number" in words


@pytest.mark.parametrize("count", [1, 2, 3, 7])
def test_every_piece_is_listed_once_and_totals_stand_on_the_last_page(count):
    pages = cut_list_pages(pieces(count), project="p", date="2026-03-01")
    names = [
        text.text
        for page in pages
        for text in texts(page.items)
        if text.text[:1] == "B" and text.text[1:].isdigit()
    ]
    assert sorted(names) == sorted(f"B{k}" for k in range(17 * count))
    assert "totals by tube size" in words_of(pages[-1:])
    assert "totals by tube size" not in words_of(pages[:1]) or len(pages) == 1


def test_pieces_come_from_the_sheets_longest_first(sheets):
    listed = cut_pieces([sheets[name]() for name in NAMES])
    assert [piece.bar_id for piece in listed] == ["MH", "SB-R", "HD"]
    assert listed[0].length_mm == pytest.approx(3212.0, abs=0.05)


def test_no_page_promises_anything(car, sheets):
    words = words_of(
        [*issued(car, sheets), *cut_list_pages(pieces(), project="p", date="2026-03-01")]
    ).lower()
    assert not [word for word in ("safe", "legal", "approved") if word in words]
