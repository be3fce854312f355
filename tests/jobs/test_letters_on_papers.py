"""Letters of other alphabets on whole papers, read back from the PDFs; those that cannot be printed are said."""

from dataclasses import replace

import pytest
from pypdf import PdfReader

from hoopwright.cage import Cage, Car, Member, Role
from hoopwright.jobs.cut_papers import CutPaperWishes, label_sheet, saw_list
from hoopwright.jobs.cuts import SawWishes, cuts_of_pieces
from hoopwright.jobs.dossier.make import DossierWishes, make_dossier
from hoopwright.jobs.quote_papers import write_quote
from hoopwright.jobs.quotes import quote_of
from hoopwright.papers.drawing import Page, Text
from hoopwright.papers.letters import unprinted
from hoopwright.stock import Piece, StickOffer
from hoopwright.stock.reading import ListedPiece
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.build_records import LogLine
from hoopwright.tubes import TubeSize

DAY = "2026-03-01"
BUILDER, CAR = "Łukasz Żółkiewski i Čapek", "Özgür, Ελένη, Игорь"


@pytest.fixture
def folder(tmp_path):
    hoop = Member(
        member_id="MH",
        role=Role.MAIN_HOOP,
        nodes_mm=((0.0, 600.0, 0.0), (0.0, 600.0, 1000.0), (0.0, -600.0, 1000.0), (0.0, -600.0, 0.0)),
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
        die="",
        clr_mm=137.0,
    )
    made = ProjectFolder(path=tmp_path / "car")
    car = Car(words=CAR, builder=BUILDER)
    log = (LogLine(date=DAY, words="Щукин spawał Żerań"),)
    made.create(Project(name="Ústí", cage=Cage(members=(hoop,)), car=car, log_lines=log))
    return made


def words_of(file):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(file).pages).split())


def letters(findings):
    return [finding for finding in findings if finding.code == "PAPER-004"]


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_names_stand_in_the_scrutineers_file_as_typed(folder, paper):
    made = make_dossier(folder, DossierWishes(date=DAY, paper=paper))
    words = words_of(made.file)
    assert all(name in words for name in (BUILDER, CAR, "Ústí", "Щукин spawał Żerań"))
    assert letters(made.findings) == []


def test_names_stand_on_a_quote_as_typed(folder, tmp_path):
    (folder.path / "rates.toml").write_text(
        '[quote]\nfrom = ["Győző Műhely"]\nto = ["Δημήτρης, Αθήνα"]\n', encoding="utf-8"
    )
    put = write_quote(folder, quote_of(folder, date=DAY), tmp_path / "quote.pdf")
    words = words_of(put.file)
    assert "Győző Műhely" in words
    assert "Δημήτρης, Αθήνα" in words
    assert put.findings == ()


def test_names_stand_on_saw_list_and_labels_as_typed(tmp_path):
    piece = Piece(name="ЖЯ-Ł", length_mm=900.0, count=2)
    found = cuts_of_pieces(
        "lengths", (ListedPiece(piece=piece),), SawWishes(offers=(StickOffer(length_mm=3000.0),), kerf_mm=2.0)
    )
    wishes = CutPaperWishes(title="Łódź 字", date=DAY)
    for made in (saw_list(found.groups, wishes), label_sheet(found.groups, wishes)):
        (tmp_path / "paper.pdf").write_bytes(made.content)
        words = words_of(tmp_path / "paper.pdf")
        assert "ЖЯ-Ł" in words
        assert "Łódź ?" in words
        (said,) = letters(made.findings)
        assert "字" in said.sentence


def test_letters_that_cannot_be_printed_are_said_where_the_file_is_made(folder):
    opened = folder.open()
    car = replace(opened.project.car, builder="漢字 Racing")
    folder.record(opened, replace(opened.project, car=car))
    (said,) = letters(make_dossier(folder, DossierWishes(date=DAY)).findings)
    assert "漢 字" in said.sentence
    assert "'漢字 Racing'" in said.sentence


def test_many_places_are_counted():
    items = tuple(Text(at_mm=(10.0, 10.0 * row), text=f"字 {row}") for row in range(5))
    (said,) = unprinted([Page(width_mm=210.0, height_mm=297.0, items=items)])
    assert said.objects == ("字 0", "字 1", "字 2", "字 3", "字 4")
    assert said.sentence.endswith("'字 0', '字 1', '字 2' and 2 more lines.")
    assert (
        unprinted([Page(width_mm=210.0, height_mm=297.0, items=(Text(at_mm=(1.0, 1.0), text="Żółw"),))]) == ()
    )
