"""The scrutineer's file of a project: what is in it, read back from the PDF, and what it refuses."""

import itertools
import re
import shutil
from dataclasses import replace

import pypdfium2
import pytest
from pypdf import PdfReader
from tests.jobs.dossier.making import DAY, codes, made, pages_of, photo, recorded, words_of

from hoopwright.cage import Car, Member, Role, WeightBasis
from hoopwright.jobs.dossier import make as making
from hoopwright.jobs.dossier.make import DossierWishes, make_dossier
from hoopwright.papers.drawing import texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.overview import overlap
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize

CLAIMS = re.compile(r"\b(safe|unsafe|safely|legal|legally|approved|approves|certified)\b", re.IGNORECASE)


def test_the_file_holds_what_authorities_ask_for(hoopwright, project):
    recorded(
        project,
        car=Car(
            words="blue coupe 1988",
            chassis_number="QT2-004417",
            cage_number="K-2026-03",
            builder="Marrow Lane",
            weights_kg={WeightBasis.WITHOUT_DRIVER: 1085.0},
        ),
    )
    keys, file = made(hoopwright, project)
    assert keys["members"] == 3
    assert keys["pages"] == len(PdfReader(file).pages)
    cover = pages_of(file)[0]
    for known in ("blue coupe 1988", "QT2-004417", "K-2026-03", "Marrow Lane", "1085", keys["state"]):
        assert known in cover
    words = words_of(file)
    for title in (
        *(
            "Members",
            "Rule book",
            "Gaps to the shell, by bar",
            "The model's own checks",
            "Landings",
            "Joints",
        ),
        *("As built", "Photos", "Declaration of the builder", "Inspection", "Build log"),
    ):
        assert title in cover, title
        assert title in " ".join(pages_of(file)[1:]), title
    # lengths and angles of the project's bars, as a bar of known nodes has them: A3 of the acceptance without trim
    for known in ("45 mm", "2.5 mm", "137.5 mm", "19.0°, 73.8°, 73.8°, 19.0°", "MH/SB-L-B", "no photo yet"):
        assert known in words, known
    assert "DOSS-001" not in codes(keys)


def test_no_page_claims_what_nobody_can_know(hoopwright, project):
    _, file = made(hoopwright, project)
    assert CLAIMS.findall(words_of(file)) == []
    document = pypdfium2.PdfDocument(file)
    assert CLAIMS.findall(" ".join(page.get_textpage().get_text_range() for page in document)) == []


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_words_stay_on_the_paper_and_off_each_other(hoopwright, project, monkeypatch, paper, units):
    kept = []
    monkeypatch.setattr(making, "pdf_bytes", lambda pages, **_: kept.extend(pages) or b"%PDF")
    hoopwright.keys("asbent", project, "MH", "--tape", "feet 1252", "--tape", "knees 1317.4", "--keep")
    make_dossier(ProjectFolder(path=project), DossierWishes(date=DAY, paper=paper, unit=units))
    assert len(kept) > 8
    for page in kept:
        boxes = [(text.text, text_box(text)) for text in texts(page.items)]
        for words, box in boxes:
            assert box.left_mm >= 19.9, words
            assert box.right_mm <= page.width_mm - 9.9, words
        for (first, a), (second, b) in itertools.combinations(boxes, 2):
            assert not overlap(a.inset(0.05), b.inset(0.05)), (first, second)


@pytest.mark.parametrize(("paper", "size"), [("A4", (595.276, 841.890)), ("letter", (612.0, 792.0))])
def test_pages_have_the_size_of_the_paper(hoopwright, project, paper, size):
    """Source: ISO 216 and ANSI/ASME Y14.1, in points of 1/72 in."""
    _, file = made(hoopwright, project, "--paper", paper)
    for page in PdfReader(file).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.01)


def test_the_same_project_gives_the_same_bytes_and_a_change_another_state(hoopwright, project, tmp_path):
    one, file = made(hoopwright, project)
    first = file.read_bytes()
    two, _ = made(hoopwright, project)
    assert (two["state"], two["sha256"]) == (one["state"], one["sha256"])
    assert file.read_bytes() == first
    hoopwright.keys("dossier", "note", project, "door gaps written down")
    three, _ = made(hoopwright, project)
    assert three["state"] != one["state"]
    hoopwright.keys("dossier", "photo", project, "MH", photo(tmp_path / "a.jpg"))
    four, _ = made(hoopwright, project)
    assert four["state"] != three["state"]
    samples = next((project / "calibrations").glob("*.toml"))
    samples.write_text(samples.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    assert made(hoopwright, project)[0]["state"] != four["state"]


def test_files_of_others_are_not_overwritten(hoopwright, project, tmp_path):
    ours, theirs = tmp_path / "ours.pdf", tmp_path / "theirs.pdf"
    theirs.write_bytes(b"%PDF-1.4 of somebody else")
    assert hoopwright.stops("dossier", project, "--out", theirs) == ["DOSS-003"]
    assert theirs.read_bytes() == b"%PDF-1.4 of somebody else"
    assert hoopwright.stops("dossier", project, "--out", tmp_path) == ["DOSS-003"]
    for _ in range(2):
        assert hoopwright.keys("dossier", project, "--out", ours)["file"] == str(ours)
    (project / "papers").mkdir(exist_ok=True)
    (project / "papers" / "dossier.pdf").write_bytes(b"mine")
    assert hoopwright.stops("dossier", project) == ["FILE-103"]
    assert (project / "papers" / "dossier.pdf").read_bytes() == b"mine"


def test_a_cage_without_bars_has_no_file(hoopwright, empty):
    assert hoopwright.stops("dossier", empty) == ["FILE-105"]


def test_a_project_without_a_scan_has_a_file_that_says_so(hoopwright, empty, files):
    hoopwright.keys("bar", "add", empty, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    _, file = made(hoopwright, empty)
    assert "no gap was measured" in words_of(file)


def test_a_bar_that_cannot_be_is_left_out_and_told(hoopwright, project):
    """Two bends of 140 mm, for which no die of its own is calibrated, with 60 mm between them."""
    cage = ProjectFolder(path=project).open().project.cage
    nodes = ((-900.0, 0.0, 0.0), (-900.0, 0.0, 300.0), (-900.0, 60.0, 300.0), (-900.0, 60.0, 0.0))
    tube = TubeSize(od_mm=38.0, wall_mm=2.5)
    broken = Member(member_id="XX", role=Role.DOOR_BAR, nodes_mm=nodes, tube=tube, die="38", clr_mm=140.0)
    recorded(project, cage=replace(cage, members=(*cage.members, broken)))
    keys, file = made(hoopwright, project)
    assert "FILE-106" in codes(keys)
    assert keys["members"] == 3
    assert "can be bent" in words_of(file)


def test_letters_that_the_face_lacks_and_long_words_do_no_harm(hoopwright, project):
    name = "Zażółć 工房 & Söhne <b>" + "x" * 120
    recorded(project, car=Car(words=name, builder=name, cage_number=name))
    hoopwright.keys("dossier", "note", project, "wörter " * 250, "--by", name)
    keys, file = made(hoopwright, project)
    assert keys["pages"] == len(PdfReader(file).pages)
    assert words_of(file).count("wörter") == 250


def test_an_option_may_stand_before_the_project(hoopwright, project):
    keys = hoopwright.keys("dossier", "--paper", "letter", project)
    assert PdfReader(keys["file"]).pages[0].mediabox.width == pytest.approx(612.0, abs=0.1)


def test_papers_of_another_kind_or_project_are_not_overwritten(hoopwright, project, tmp_path):
    """Any PDF that was made here was overwritten before, whatever it was."""
    other = shutil.copytree(project, tmp_path / "other")
    recorded(other, name="another car")
    kept = tmp_path / "kept.pdf"
    hoopwright.keys("quote", project, "--pdf", kept)
    for _ in range(2):
        before = kept.read_bytes()
        assert hoopwright.stops("dossier", project, "--out", kept) == ["DOSS-003"]
        assert kept.read_bytes() == before
        kept.unlink()
        hoopwright.keys("dossier", other, "--out", kept)
    kept.unlink()
    hoopwright.keys("dossier", project, "--out", kept)
    kept.write_bytes(kept.read_bytes() + b"% written into by hand")
    assert hoopwright.stops("dossier", project, "--out", kept) == ["FILE-103"]
    assert kept.read_bytes().endswith(b"by hand")
