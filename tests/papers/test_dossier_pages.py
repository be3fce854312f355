"""Pages of the scrutineer's file: what goes on over pages, stays on the paper, and is read back by two readers."""

import io
import itertools
import re

import pypdfium2
import pytest
from benchmarks.papers import twenty_bars
from PIL import Image
from pypdf import PdfReader

from hoopwright.bars import centreline
from hoopwright.cage import bars_of
from hoopwright.papers.dossier import (
    RULED,
    Column,
    Cover,
    CoverField,
    DossierFile,
    DrawnMember,
    PhotoSlot,
    RuleLine,
    Section,
    dossier_pages,
    fill_in,
    heading,
    page_room,
    paragraph,
    rule_parts,
    ruled_lines,
    signature_lines,
    slot_parts,
    table_parts,
    tick_lines,
)
from hoopwright.papers.drawing import A4, LETTER, Polyline, texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.numbered_view import NumberedTube
from hoopwright.papers.outline import SolidTube
from hoopwright.papers.overview import overlap
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.papers.svg import svg_text

LONG = (
    "a requirement in very many words, as a book has them where it wants to be clear, and then some more " * 2
)
STATE = "0123456789abcdef" * 4


def jpeg(wide=160, high=120):
    out = io.BytesIO()
    Image.linear_gradient("L").resize((wide, high)).save(out, "JPEG")
    return out.getvalue()


def rules(count):
    return [
        RuleLine(
            clause=f"{number}.{number % 7}",
            page=str(number),
            requirement=LONG if number % 5 == 0 else "radius of bends",
            limit=">= 3 x outside diameter",
            value="3.06 x outside diameter",
            verdict=("pass", "fail", "not checked", "not applicable")[number % 4],
            how=LONG if number % 7 == 0 else "",
        )
        for number in range(1, count + 1)
    ]


def members():
    cage = twenty_bars()
    return tuple(
        DrawnMember(
            tube=NumberedTube(
                number=number, tube=SolidTube(path=centreline(bar), od_mm=bar.tube.od_mm, cut_a=True)
            ),
            name=name,
            words=cage.member(name).role.value,
        )
        for number, (name, bar) in enumerate(bars_of(cage).items(), start=1)
    )


def file(paper=A4, *, rule_count=60, slots=None, drawn=True, name="blue coupe", **cover):
    room = page_room(paper).width_mm
    slots = slots or [
        PhotoSlot(place="MH/SB-L-B", words="after welding, 2026-03-01", jpeg=jpeg(), size_px=(160, 120))
    ]
    table = table_parts(
        (Column(head="bar", share=1, bold=True), Column(head="heat number", share=2)),
        [("MH", RULED), ("SB-L", "H4711")],
        room,
    )
    tubes = members() if drawn else ()
    fields = tuple(CoverField(name=key, value=value) for key, value in cover.items()) or (
        CoverField(name="car"),
    )
    return DossierFile(
        name=name,
        kind="File for the scrutineer",
        cover=Cover(
            title=name,
            second="File for the scrutineer",
            fields=fields,
            state=STATE,
            made_of="all that it was made from, in a sentence that needs more than one line of the page to be said",
            cautions=("One caution that is not short at all and needs two lines to be said.", "Another."),
            tubes=tuple(one.tube for one in tubes),
        ),
        members=tubes,
        sections=(
            Section(title="Members", parts=table),
            Section(title="Rule book", parts=tuple(rule_parts(rules(rule_count), room)), new_page=False),
            Section(title="Photos", parts=slot_parts(slots)),
            Section(
                title="To fill in",
                parts=(
                    *fill_in((("name", ""), ("book", "club 2026"), ("edition", LONG)), across=2),
                    paragraph(LONG * 3, room),
                    *tick_lines((LONG, "short"), room),
                    heading("Remarks"),
                    *ruled_lines(3),
                    signature_lines(("place", "name", "signature")),
                ),
            ),
        ),
        date="2026-03-01",
        paper=paper,
    )


def read(pages):
    """The words of each page as two readers find them."""
    content = pdf_bytes(pages, title="t", date="2026-03-01")
    first = [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages]
    document = pypdfium2.PdfDocument(content)
    second = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    return first, second


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
@pytest.mark.parametrize("rule_count", [3, 60])
def test_words_stay_on_the_paper_and_off_each_other(paper, rule_count):
    for page in dossier_pages(file(paper, rule_count=rule_count, name="W" * 60, car="x" * 90, builder="")):
        boxes = [(text.text, text_box(text)) for text in texts(page.items)]
        for words, box in boxes:
            assert box.left_mm >= 19.9, words
            assert box.right_mm <= paper.width_mm - 9.9, words
            assert 5.0 < box.top_mm < box.bottom_mm < paper.height_mm - 4.0, words
        for (first, a), (second, b) in itertools.combinations(boxes, 2):
            assert not overlap(a.inset(0.05), b.inset(0.05)), (first, second)


def test_the_contents_name_the_page_on_which_each_section_begins():
    for words in read(dossier_pages(file(rule_count=100))):
        listed = dict(
            re.findall(
                r"(Line drawing, every member numbered|Members|Rule book|Photos|To fill in) (\d+)", words[0]
            )
        )
        assert len(listed) == 5
        for title, page in listed.items():
            assert title in words[int(page) - 1], title
        assert [f"page {n} of {len(words)}" in text for n, text in enumerate(words, start=1)] == [True] * len(
            words
        )
        assert all(STATE[:10] in text for text in words)
        assert STATE in words[0]


def test_a_table_has_its_head_on_every_page_and_every_row_once():
    for words in read(dossier_pages(file(rule_count=100))):
        with_rows = [text for text in words if "outside diameter" in text]
        assert len(with_rows) > 3
        assert all("what the book asks" in text for text in with_rows)
        every = " ".join(with_rows)
        for one in rules(100):
            assert len(re.findall(rf"(?<![\d.]){re.escape(one.clause)}(?![\d.])", every)) == 1, one.clause


def test_a_field_that_is_not_known_is_a_line_to_write_on():
    pages = dossier_pages(file(drawn=False))
    members = next(page for page in pages if any(text.text == "H4711" for text in texts(page.items)))
    dotted = [item for item in members.items if isinstance(item, Polyline) and item.dash_mm == (0.3, 0.7)]
    assert len(dotted) == 1
    assert RULED not in [text.text for text in texts(members.items)]


def test_photos_are_in_the_file_as_they_are_and_keep_their_shape():
    slots = [
        PhotoSlot(place=f"joint {n}", jpeg=jpeg(*size), size_px=size)
        for n, size in enumerate([(160, 120), (120, 160), (400, 40), (30, 300)])
    ] + [PhotoSlot(place="empty")]
    pages = dossier_pages(file(slots=slots, drawn=False))
    placed = [photo for page in pages for photo in page.photos]
    assert len(placed) == 4
    for photo, slot in zip(placed, slots[:4], strict=True):
        wide, high = slot.size_px
        assert photo.box.width_mm / photo.box.height_mm == pytest.approx(wide / high)
    content = pdf_bytes(pages, title="t", date="2026-03-01")
    found = {image.data for page in PdfReader(io.BytesIO(content)).pages for image in page.images}
    assert found == {slot.jpeg for slot in slots[:4]}
    assert all(slot.jpeg in content for slot in slots[:4])
    with_photos = next(page for page in pages if page.photos)
    assert svg_text(with_photos).count("<image ") == 4


def test_a_photo_is_rendered_where_it_is_placed():
    """PDFium's picture of the page, in the middle of the photo and beside it."""
    out = io.BytesIO()
    Image.new("RGB", (160, 120), (200, 30, 30)).save(out, "JPEG")
    slots = [PhotoSlot(place="a", jpeg=out.getvalue(), size_px=(160, 120))] * 2
    page = next(one for one in dossier_pages(file(slots=slots, drawn=False)) if one.photos)
    content = pdf_bytes([page], title="t", date="2026-03-01")
    assert content.count(b"/DCTDecode") == 1
    shown = pypdfium2.PdfDocument(content)[0].render(scale=2.0).to_pil().convert("RGB")
    scale = shown.width / page.width_mm
    for placed in page.photos:
        right, down = placed.box.middle_mm
        red, green, _ = shown.getpixel((round(right * scale), round(down * scale)))
        assert red > 180
        assert green < 60
        edge = shown.getpixel((round((placed.box.left_mm - 1.0) * scale), round(down * scale)))
        assert edge == (255, 255, 255)


def test_the_same_file_gives_the_same_bytes():
    one, other = (pdf_bytes(dossier_pages(file()), title="t", date="2026-03-01") for _ in range(2))
    assert one == other


def test_a_part_that_is_taller_than_a_page_ends_on_the_page():
    giant = RuleLine(
        clause="1", page="", requirement="word " * 1500, limit="", value="", verdict="pass", how=""
    )
    room = page_room(A4)
    made = file(drawn=False)
    section = Section(title="Giant", parts=rule_parts([giant, giant], room.width_mm))
    pages = dossier_pages(
        DossierFile(
            name=made.name, kind=made.kind, cover=made.cover, members=(), sections=(section,), date=made.date
        )
    )
    for page in pages:
        for text in texts(page.items):
            assert text_box(text).bottom_mm <= A4.height_mm - 4.0, text.text
    assert " ".join(read(pages)[0]).count("word") == 3000
