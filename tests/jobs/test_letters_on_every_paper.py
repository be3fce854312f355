"""Letters that cannot be printed are said by whatever makes a paper or a picture, through the one way there is."""

import ast
from pathlib import Path

import pytest

from hoopwright.jobs.cope_papers import CopePaperWishes, write_cope_papers
from hoopwright.jobs.copes import cope
from hoopwright.jobs.made_pdf import (
    MadePicture,
    PdfWish,
    chart_of,
    findings_of,
    pdf_of,
    pdfs_of,
    picture_beside,
    storyboard_of,
)
from hoopwright.papers.drawing import Page, Text
from hoopwright.papers.png import png_bytes

SOURCE = Path(__file__).parents[2] / "src" / "hoopwright"
WAY = "jobs/made_pdf.py"
WRITERS = {"pdf_bytes", "png_bytes", "storyboard_pdf", "side_by_side_png", "unprinted", "unprinted_words"}
DAY = "2026-03-01"


def page(words):
    return Page(width_mm=100.0, height_mm=50.0, items=(Text(at_mm=(10.0, 10.0), text=words),))


def said(findings):
    return [(finding.code, finding.objects) for finding in findings]


def writers_taken(source):
    """Names of writers that a module takes from the papers."""
    return {
        alias.name
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("hoopwright.papers")
        for alias in node.names
    } & WRITERS


def test_nothing_outside_the_papers_writes_one_but_the_way_that_tells():
    takes = {
        path.relative_to(SOURCE).as_posix()
        for path in SOURCE.rglob("*.py")
        if path.parent.name != "papers" and writers_taken(path.read_text(encoding="utf-8"))
    }
    assert takes == {WAY}


def test_a_second_way_would_be_seen():
    late = "def draw():\n    from hoopwright.papers import A4, pdf_bytes\n"
    assert writers_taken(late) == {"pdf_bytes"}
    assert writers_taken("from hoopwright.papers import A4, svg_text\n") == set()


@pytest.mark.parametrize(
    "made",
    [
        pdf_of([page("字 1")], title="a", date=DAY),
        pdfs_of({Path("a.pdf"): PdfWish(title="a", pages=[page("字 1")], date=DAY)}),
        chart_of(page("字 1")),
        picture_beside([("plain", png_bytes(page("plain")))], ["字 1"]),
        picture_beside([("字 1", png_bytes(page("plain")))], ["plain"]),
        storyboard_of(
            [picture_beside([("plain", png_bytes(page("plain")))], ["字 1"])], (), title="a", date=DAY
        ),
        storyboard_of([chart_of(page("plain"))], (), title="字 1", date=DAY),
        storyboard_of([chart_of(page("plain"))], ("字 1",), title="a", date=DAY),
    ],
)
def test_each_kind_tells(made):
    assert said(made.findings) == [("PAPER-004", ("字 1",))]


def test_what_prints_as_typed_is_not_told():
    plain = chart_of(page("Łódź → Игорь"))
    assert isinstance(plain, MadePicture)
    assert findings_of([plain, storyboard_of([plain], ("Żółw",), title="Ελένη", date=DAY)]) == ()


def test_a_letter_in_many_papers_of_one_job_is_told_once():
    made = pdfs_of(
        {Path(f"{word}.pdf"): PdfWish(title=word, pages=[page("字"), page(word)], date=DAY) for word in "ab"}
    )
    assert said(made.findings) == [("PAPER-004", ("字",))]
    assert set(made.contents) == {Path("a.pdf"), Path("b.pdf")}


def test_the_sheet_of_sample_bends_tells(hoopwright, tmp_path):
    out = tmp_path / "s.pdf"
    asked = ("--tube", "45 x 2.5", "--clr", "137.5", "--date", DAY)
    told = hoopwright.keys("calibrate", "--sheet", out, *asked, "--die", "字45")["findings"]
    assert [(one["code"], "字" in one["sentence"]) for one in told] == [("PAPER-004", True)]
    assert out.exists()
    assert hoopwright.keys("calibrate", "--sheet", out, *asked, "--die", "Ł 45")["findings"] == []


def test_the_paper_of_a_cope_tells(tmp_path, monkeypatch):
    """Nothing on it is typed by a person, so a letter is put where a size stands."""
    made = cope(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=60.0, offset_mm=0.0, points=72)
    wishes = CopePaperWishes(date=DAY, paper_file=tmp_path / "c.pdf")
    drawn = write_cope_papers(made, wishes)
    assert (drawn.files, drawn.findings) == ((str(tmp_path / "c.pdf"),), ())
    monkeypatch.setattr("hoopwright.jobs.cope_papers._size", lambda _od, _unit: "字")
    assert [one.code for one in write_cope_papers(made, wishes).findings] == ["PAPER-004"]
