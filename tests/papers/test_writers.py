import hashlib
import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from pypdf import PdfReader

from hoopwright.findings import UserError
from hoopwright.papers.bar_page import bar_pages
from hoopwright.papers.drawing import A4, LETTER, Page, Text
from hoopwright.papers.lettering import width_mm, wrapped
from hoopwright.papers.old import stamp_old
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.papers.png import png_bytes
from hoopwright.papers.svg import svg_text
from hoopwright.papers.symbols import check_bar

DPI = 600


def rendered(pdf, page=0):
    """Dark pixels of a page as an independent reader (PDFium) draws it."""
    document = pypdfium2.PdfDocument(pdf)
    return np.asarray(document[page].render(scale=DPI / 72.0, grayscale=True).to_numpy()).squeeze() < 128


@pytest.mark.parametrize("way", ["across", "down"])
def test_the_100_mm_bar_measures_100_mm_as_rendered(way):
    bar = check_bar((20.0, 30.0), way=way)[:-1]  # without its words
    page = Page(width_mm=A4.width_mm, height_mm=A4.height_mm, items=bar)
    dark = rendered(pdf_bytes([page], title="t", date="2026-03-01"))
    span = np.flatnonzero(dark.any(axis=0 if way == "across" else 1))
    assert (span[-1] - span[0] + 1) / DPI * 25.4 == pytest.approx(100.0, abs=25.4 / DPI * 1.5)
    assert span[0] / DPI * 25.4 == pytest.approx(20.0 if way == "across" else 30.0, abs=0.1)


def test_both_bars_are_on_every_sheet_at_true_scale(hoop, car):
    dark = rendered(pdf_bytes(bar_pages(hoop, car, project="p"), title="t", date="2026-03-01"))
    assert abs(_longest_run(dark[:, : round(11 / 25.4 * DPI)].any(axis=1)) / DPI * 25.4 - 100.0) < 0.1
    foot = dark[round((A4.height_mm - 29.0) / 25.4 * DPI) : round((A4.height_mm - 25.5) / 25.4 * DPI)]
    left = foot[:, : round(116 / 25.4 * DPI)]
    assert abs(_longest_run(left.any(axis=0)) / DPI * 25.4 - 100.0) < 0.1


def _longest_run(line):
    edges = np.flatnonzero(np.diff(np.concatenate([[0], line.astype(int), [0]])))
    return int((edges[1::2] - edges[::2]).max())


def test_paper_size_and_print_scaling(hoop, car):
    for paper, size in ((A4, (595.276, 841.890)), (LETTER, (612.0, 792.0))):
        pages = bar_pages(hoop, car, project="p", paper=paper)
        reader = PdfReader(io.BytesIO(pdf_bytes(pages, title="MH", date="2026-03-01")))
        box = reader.pages[0].mediabox
        assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.01)
        assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
        assert reader.metadata.title == "MH"
        assert reader.metadata.creation_date.isoformat().startswith("2026-03-01")


def test_fonts_are_in_the_file(hoop, car):
    reader = PdfReader(io.BytesIO(pdf_bytes(bar_pages(hoop, car, project="p"), title="t", date="2026-03-01")))
    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]
    used = [font for font in fonts if font["/Subtype"] == "/TrueType"]
    assert len(used) == 2
    assert all("/FontFile2" in font["/FontDescriptor"].get_object() for font in used)


def test_same_input_same_bytes_in_another_process_too(hoop, car):
    def digest():
        pdf = pdf_bytes(bar_pages(hoop, car, project="p"), title="t", date="2026-03-01")
        return hashlib.sha256(pdf).hexdigest()

    script = (
        "import hashlib, importlib.util as u\n"
        f"s = u.spec_from_file_location('c', {str(Path(__file__).with_name('conftest.py'))!r})\n"
        "c = u.module_from_spec(s); s.loader.exec_module(c)\n"
        "from hoopwright.papers import bar_pages, pdf_bytes\n"
        "p = bar_pages(c.hoop_sheet(), c.small_car(), project='p')\n"
        "print(hashlib.sha256(pdf_bytes(p, title='t', date='2026-03-01')).hexdigest())\n"
    )
    environment = {**os.environ, "PYTHONHASHSEED": "77", "TZ": "Asia/Tokyo"}
    other = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, env=environment
    )
    assert digest() == digest() == other.stdout.strip()


def test_a_day_that_is_none_is_refused(hoop, car):
    with pytest.raises(ValueError, match="ISO 8601"):
        pdf_bytes(bar_pages(hoop, car, project="p"), title="t", date="yesterday")


def test_old_is_stamped_over_and_the_content_stays(tmp_path, hoop, car):
    sheet = pdf_bytes(bar_pages(hoop, car, project="p"), title="t", date="2026-03-01")
    old = stamp_old(sheet, "replaced by revision 2")
    assert old == stamp_old(sheet, "replaced by revision 2")
    before, after = PdfReader(io.BytesIO(sheet)), PdfReader(io.BytesIO(old))
    kept = after.pages[0].extract_text()
    assert all(words in kept for words in before.pages[0].extract_text().split())
    assert "OLD: replaced by revision 2" in kept
    assert after.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    (tmp_path / "MH.pdf").write_bytes(sheet)
    (tmp_path / "old.pdf").write_bytes(old)
    assert rendered(tmp_path / "old.pdf").sum() > 1.05 * rendered(tmp_path / "MH.pdf").sum()


def test_what_is_no_pdf_is_refused():
    with pytest.raises(UserError) as stopped:
        stamp_old(b"not a pdf", "")
    assert stopped.value.findings[0].code == "PAPER-002"


def test_words_break_within_their_room():
    text = "a straight that is shorter than the clamp " + "x" * 200
    lines = wrapped(text, 50.0, 2.5)
    assert all(width_mm(words, 2.5) <= 50.0 for words in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_text_is_as_wide_on_paper_as_was_reckoned():
    words = Text(at_mm=(20.0, 50.0), text="HHH 1018.9 HHH", height_mm=7.5, bold=True)
    page = Page(width_mm=200.0, height_mm=100.0, items=(words,))
    dark = rendered(pdf_bytes([page], title="t", date="2026-03-01"))
    across, down = np.flatnonzero(dark.any(axis=0)), np.flatnonzero(dark.any(axis=1))
    assert np.ptp(across) / DPI * 25.4 == pytest.approx(width_mm(words.text, 7.5, bold=True), abs=2.2)
    assert np.ptp(down) / DPI * 25.4 == pytest.approx(7.5, abs=0.25)  # round digits stand a little proud


def test_svg_and_png_show_the_same_page(sheet, car):
    page = bar_pages(sheet, car, project="p & <q>")[0]
    root = ET.fromstring(svg_text(page))  # noqa: S314
    assert root.attrib["width"] == "210mm"
    assert any("p & <q>" in (element.text or "") for element in root.iter())
    image = np.asarray(Image.open(io.BytesIO(png_bytes(page, dots_per_inch=100))))
    pdf = pdf_bytes([page], title="t", date="2026-03-01")
    other = pypdfium2.PdfDocument(pdf)[0].render(scale=100 / 72.0, grayscale=True).to_numpy().squeeze()
    ours, theirs = (255.0 - _coarse(drawn) for drawn in (image, other))
    assert np.abs(ours - theirs).mean() < 0.2 * theirs.mean()


def _coarse(image):
    """Mean grey of squares of about 2.5 mm: where the ink lies, whatever the hinting."""
    high, wide = (side // 10 * 10 for side in (min(image.shape[0], 1080), min(image.shape[1], 820)))
    return image[:high, :wide].astype(float).reshape(high // 10, 10, wide // 10, 10).mean(axis=(1, 3))
