"""The letters of the papers, against two readers of PDFs, the tables of Unicode and the face that was there before."""

import io
import re
from pathlib import Path

import pypdfium2
import pytest
import reportlab
from PIL import ImageFont
from pypdf import PdfReader
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont

from hoopwright.findings import UserError
from hoopwright.papers import face
from hoopwright.papers.drawing import Page, Text
from hoopwright.papers.face import face_file, font, unwritable, writable
from hoopwright.papers.lettering import CAPITAL_SHARE, text_box, width_mm
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.papers.pdf_title import made_title

NAMES = (
    *("Łukasz Żółkiewski", "Karel Čapek, Ústí", "Özgür Şahin, Iğdır", "Ελένη Παπαδοπούλου", "Игорь Щукин"),
    *("Győző Ürményi", "Mărțișor Țăran", "Þórður Æsir", "Њушка Ђорђевић", "Ґалаґан Їжак", "Nguyễn Đức Thịnh"),
)


def page_of(words: str, *, bold: bool = False, height_mm: float = 4.0) -> Page:
    item = Text(at_mm=(20.0, 40.0), text=words, height_mm=height_mm, bold=bold)
    return Page(width_mm=210.0, height_mm=60.0, items=(item,))


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_a_name_prints_as_it_is_and_two_readers_find_it(name, bold):
    made = pdf_bytes([page_of(name, bold=bold)], title=name, date="2026-03-01")
    assert writable(name) == name
    assert unwritable(name) == ()
    assert PdfReader(io.BytesIO(made)).pages[0].extract_text().strip() == name
    assert pypdfium2.PdfDocument(made)[0].get_textpage().get_text_range().strip() == name


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_drawn_as_wide_as_was_reckoned_and_within_its_box(name):
    item = page_of(name).items[0]
    box = text_box(item)
    made = pypdfium2.PdfDocument(pdf_bytes([page_of(name)], title="t", date="2026-03-01"))[0]
    dark = made.render(scale=300 / 72).to_numpy()[..., 0] < 128
    down, across = dark.nonzero()
    to_mm = 25.4 / 300
    assert across.min() * to_mm > box.left_mm - 0.1
    assert (across.max() + 1) * to_mm < box.right_mm + 0.1
    assert (across.max() - across.min()) * to_mm > width_mm(name, 4.0) - 1.5
    assert down.min() * to_mm > box.top_mm - 4.0 * 0.06  # round letters and strokes stand a little proud
    assert (down.max() + 1) * to_mm < box.bottom_mm + 0.1


def test_all_letters_of_three_alphabets_are_there():
    """Letters of the blocks Latin-1, Latin Extended-A, Greek and Cyrillic. Source: Unicode 15, Blocks.txt."""
    blocks = ((0x00C0, 0x017F), (0x0386, 0x03CE), (0x0400, 0x045F), (0x1EA0, 0x1EF9))
    letters = "".join(
        chr(code) for low, high in blocks for code in range(low, high + 1) if chr(code).isalpha()
    )
    assert unwritable(letters) == ()
    assert len(letters) > 350


def test_letters_that_cannot_be_printed_are_named_not_dropped():
    assert writable("漢字 7") == "?? 7"
    assert unwritable("漢字漢 7") == ("漢", "字")
    assert writable("שלום") == "????"  # written from the right: would stand in the wrong order
    assert unwritable("a→b\n−3 1′ ＡＢ") == ()
    assert writable("a→b\n−3 1′ ＡＢ") == "a->b-3 1' AB"
    assert writable("Rue\u00a0de l'Île") == "Rue de l'Île"


def test_an_accent_typed_apart_is_joined_to_its_letter():
    assert writable("Z\u0307o\u0301łkiewski") == "Żółkiewski"


def test_letters_that_were_there_before_are_as_wide_as_before():
    """All layouts were drawn for Bitstream Vera, of which the face says to be an extension."""
    for bold, name in ((False, "Vera.ttf"), (True, "VeraBd.ttf")):
        before = TTFont(f"before-{bold}", str(Path(reportlab.__file__).parent / "fonts" / name))
        registerFont(before)
        for code in before.face.charToGlyph:
            if 0x20 <= code < 0x7F or 0xC0 <= code <= 0xFF:
                now = font(bold=bold).stringWidth(chr(code), 1000)
                assert now == pytest.approx(before.stringWidth(chr(code), 1000), abs=0.5), chr(code)


def test_the_share_of_a_capital_is_that_of_the_face():
    box = ImageFont.truetype(str(face_file(bold=False)), 2000).getbbox("H", anchor="ls")
    assert -box[1] / 2000 == pytest.approx(CAPITAL_SHARE, abs=0.001)


def test_only_letters_that_are_used_are_put_in():
    size = len(pdf_bytes([page_of(" ".join(NAMES))], title="t", date="2026-03-01"))
    assert size < 60_000 < face_file(bold=False).stat().st_size / 10
    made = pdf_bytes([page_of(NAMES[0])], title="t", date="2026-03-01")
    assert re.search(rb"/FontName /[A-Z]{6}\+DejaVuSans", made)  # a subset: ISO 32000-1, 9.6.4


def test_the_title_keeps_all_letters(tmp_path):
    title = "Игорь Żółw 漢字: File"
    (tmp_path / "a.pdf").write_bytes(pdf_bytes([page_of("x")], title=title, date="2026-03-01"))
    assert made_title(tmp_path / "a.pdf") == title


def test_a_face_that_is_not_installed_is_said(monkeypatch):
    monkeypatch.setattr(face, "_HOME", "no_such_package_here")
    with pytest.raises(UserError) as stopped:
        face_file(bold=True)
    assert stopped.value.findings[0].code == "PAPER-003"
    assert "no_such_package_here" in stopped.value.findings[0].todo
