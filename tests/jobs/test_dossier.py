"""The scrutineer's file of a project: what is in it, read back from the PDF, and what it refuses."""

import io
import itertools
import re
import shutil
from dataclasses import replace

import pypdfium2
import pytest
from PIL import Image
from pypdf import PdfReader

from hoopwright.bender import Stick, TubeBatch
from hoopwright.cage import Car, Member, Role, WeightBasis
from hoopwright.findings import UserError
from hoopwright.jobs.checks import check_project
from hoopwright.jobs.dossier import make as making
from hoopwright.jobs.dossier.make import DossierWishes, make_dossier
from hoopwright.jobs.photos import add_photo, places_for_photos, take_photo_out
from hoopwright.jobs.tube_choices import tube_choices
from hoopwright.jobs.tubes_used import SaidTube, is_said, say_cut_from, say_not_cut
from hoopwright.papers.dossier import RuleLine, rule_parts
from hoopwright.papers.drawing import Box, Polyline, texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.overview import overlap
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import BookPin, HandAnswer, LogLine, TubeUsed
from hoopwright.store.shop import Shop
from hoopwright.tubes import TubeSize

DAY = "2026-03-24"
HOOP = "forward,left,up\n" + "".join(
    f"-1560,{left},{up}\n"
    for left, up in ((610, 0), (640, 620), (505, 1085), (-505, 1085), (-640, 620), (-610, 0))
)
SIDE_BAR = "forward,left,up\n-350,640,60\n-430,655,560\n-880,525,1080\n-1560,300,1085\n"
TAPE = (
    "width: 1360: -900,680,620: -900,-680,620",
    "height: 1118: =-900,0,0: -900,0,1118",
    "length: 1800: 0,680,300: -1800,680,300",
)
CLAIMS = re.compile(r"\b(safe|unsafe|safely|legal|legally|approved|approves|certified)\b", re.IGNORECASE)


@pytest.fixture(scope="module")
def joined(hoopwright, files, tmp_path_factory):
    """Scan, tape, calibration; a hoop on its feet, and side bars from the shell to it."""
    folder = tmp_path_factory.mktemp("joined")
    project = folder / "car"
    (folder / "hoop.csv").write_text(HOOP, encoding="utf-8")
    (folder / "side.csv").write_text(SIDE_BAR, encoding="utf-8")
    hoopwright.keys("new", project)
    tape = [word for one in TAPE for word in ("--tape", one)]
    hoopwright.keys("scan", project, files / "shell.stl", "--unit", "mm", "--as-given", *tape)
    hoopwright.keys("calibrate", files / "samples.toml", "--project", project)
    feet = ("--end-a", "shell", "--end-b", "shell")
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", folder / "hoop.csv", *feet)
    ends = ("--end-a", "shell", "--end-b", "MH")
    hoopwright.keys(
        "bar", "add", project, "SB-L", "--role", "side bar", "--nodes", folder / "side.csv", *ends
    )
    hoopwright.keys("bar", "mirror", project, "SB-L", "SB-R")
    return project


@pytest.fixture
def project(joined, tmp_path):
    return shutil.copytree(joined, tmp_path / "car")


def photo(path, wide=800, high=600, **how):
    Image.linear_gradient("L").resize((wide, high)).save(path, **how)
    return path


def recorded(project, **fields):
    folder = ProjectFolder(path=project)
    opened = folder.open()
    folder.record(opened, replace(opened.project, **fields))


def used(bar, **fields):
    kept = {"batch": "", "stick": "", "steel": "", "heat_number": "", "certificate": ""} | fields
    return TubeUsed(bar_id=bar, date="2026-03-18", **kept)


def pages_of(file):
    return [" ".join(page.extract_text().split()) for page in PdfReader(file).pages]


def words_of(file):
    return " ".join(pages_of(file))


def made(hoopwright, project, *more):
    keys = hoopwright.keys("dossier", project, "--date", DAY, *more)
    return keys, project / "papers" / "dossier.pdf"


def codes(keys):
    return [finding["code"] for finding in keys["findings"]]


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


def test_heat_numbers_are_those_of_the_records_or_a_line_to_write_on(
    hoopwright, project, tmp_path, monkeypatch
):
    keys, _ = made(hoopwright, project)
    assert keys["to_fill_in"] == ["MH", "SB-L", "SB-R"]
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    with Shop.open(tmp_path / "shop.sqlite") as shop:
        tube = TubeSize(od_mm=45.0, wall_mm=2.5)
        shop.add_batch(
            TubeBatch(name="B7", tube=tube, steel="cold drawn", heat_number="H48213", certificate="C-1207")
        )
        shop.add_batch(TubeBatch(name="B8", tube=tube, heat_number="H99999"))
    recorded(
        project,
        tubes_used=(
            used("MH", batch="B7", stick="S1"),
            used("SB-L", steel="typed steel", heat_number="H50077", certificate="C-9"),
        ),
    )
    keys, file = made(hoopwright, project)
    assert keys["to_fill_in"] == ["SB-R"]
    words = words_of(file)
    for known in ("H48213", "C-1207", "cold drawn", "H50077", "C-9", "typed steel"):
        assert known in words, known
    # a batch of the shop that no bar is said to be cut from is nobody's heat number
    assert "H99999" not in words


def test_a_bar_as_bent_is_listed_beside_the_drawing(hoopwright, project):
    """A7 of the acceptance: both shoulders 0.34° over by the tape."""
    drawn = words_of(made(hoopwright, project)[1])
    assert "every bar counts as drawn" in drawn
    tape = ("--tape", "feet 1252", "--tape", "knees 1317.4")
    bent = hoopwright.keys("asbent", project, "MH", *tape, "--keep", "--date", "2026-03-20")
    over = bent["kinds"][1]["over_deg"]
    assert over == pytest.approx(0.34, abs=0.05)
    _, file = made(hoopwright, project)
    words = words_of(file)
    assert f"73.81° {73.814 + over:.2f}°" in words or f"73.81° {73.81 + over:.2f}°" in words
    for known in (
        "with a tape, 2026-03-20",
        "1252.0 mm",
        "1317.4 mm",
        "bar MH measured with a tape: it counts as bent",
    ):
        assert known in words, known


def test_readings_of_the_bender_are_in_the_record_and_the_log(hoopwright, project):
    hoopwright.keys("sheets", project, "--date", "2026-03-15")
    hoopwright.keys("bend", project, "MH", "--reading", "73.81")
    _, file = made(hoopwright, project)
    words = words_of(file)
    assert "Read at the bender" in words
    assert "bar MH, stick 1 begun from sheet" in words
    record = next((project / "bending").glob("*.jsonl"))
    record.write_bytes(record.read_bytes().replace(b"73.81", b"72.81", 1))
    keys, file = made(hoopwright, project)
    assert "DOSS-005" in codes(keys)
    assert "Read at the bender" not in words_of(file)


BOOK = """\
[book]
id = "hill-club-2026"
body = "Hill Club"
edition = "2026 issue 1"
unit = "mm"
provenance = "read"

[[rule]]
id = "radius"
page = "41"
clause = "8.3.2"
kind = "bend radius"
least_times_od = 3

[[rule]]
id = "hoop"
page = "43"
kind = "tube size"
applies = "main hoop"
sizes = ["50 x 2"]

[[rule]]
id = "helmet"
page = "47"
kind = "helmet"
least = 50
"""


def test_lines_of_a_book_stand_with_clause_limit_and_verdict(hoopwright, project, tmp_path):
    before = words_of(made(hoopwright, project)[1])
    assert "No rule book is pinned." in before
    (tmp_path / "hill-club-2026.toml").write_text(BOOK, encoding="utf-8")
    hoopwright.keys("rules", "pin", project, tmp_path / "hill-club-2026.toml")
    _, file = made(hoopwright, project)
    page = next(
        text for text in pages_of(file)[1:] if "Held to hill-club-2026, edition 2026 issue 1." in text
    )
    assert "It was typed from: Hill Club, rules." in page
    inspection = next(text for text in pages_of(file)[1:] if "in the inspector's words" in text)
    assert "Hill Club" in inspection
    # 137.5 mm on a tube of 45 mm
    assert re.search(r"8\.3\.2 41 .*3\.06 x .*pass", page)
    assert re.search(r"hoop 43 .*45 x 2\.5.*fail", page)
    assert re.search(r"helmet 47 .*not checked", page)
    # rows of the book are not told again among the model's own checks
    own = next(text for text in pages_of(file)[1:] if "What the model can measure of itself" in text)
    assert "rule radius" not in own
    assert "Hill Club" not in own.replace("It was typed from: Hill Club, rules.", "")


def test_an_answer_is_shown_though_its_book_is_gone(hoopwright, project):
    answer = HandAnswer(
        book_id="club", edition="2026", rule_id="seat-1", answer="pass", words="two hands moved it 0 mm",
        by="M. Arrow", date="2026-03-19",
    )  # fmt: skip
    recorded(
        project,
        book=BookPin(book_id="club", edition="2026", sha256="0" * 64),
        answers=(answer, replace(answer, edition="2025", words="of another edition")),
    )
    words = words_of(made(hoopwright, project)[1])
    assert "two hands moved it 0 mm" in words
    assert "of another edition" not in words
    assert "No line of a book was checked here" in words


def test_numbers_measured_by_hand_are_in_the_record(hoopwright, project):
    hoopwright.keys("measured", project, "MH", "--bend", "1", "--ovality", "40.9/46.2")
    _, file = made(hoopwright, project)
    assert re.search(r"Measured by hand .*MH 1 ovality 40\.9 mm / 46\.2 mm ?20", words_of(file))
    assert "measured at MH: ovality" in words_of(file)
    inspection = next(text for text in pages_of(file)[1:] if "in the inspector's words" in text)
    assert "greatest and least diameter" in inspection
    assert "46.2 mm and 40.9 mm (MH bend 1)" in inspection
    hoopwright.keys("measured", project, "MH", "--bend", "2", "--ovality", "40.8/46.2")
    hoopwright.keys(
        "measured", project, "MH foot A", "--value", "plate length=110", "--value", "plate width=100"
    )
    _, file = made(hoopwright, project)
    assert "46.2 mm and 40.8 mm (MH bend 2)" in words_of(file)
    landings = next(text for text in pages_of(file)[1:] if "Feet that stand on the shell" in text)
    assert "MH foot A measured by hand: see As built" in landings
    assert "MH foot B none chosen" in landings


def test_the_tube_of_a_bar_is_said_from_the_shop(hoopwright, project, tmp_path, monkeypatch, state):
    assert hoopwright.stops("bar", "cut-from", project, "MH", "--stick", "S1") == ["DOSS-010"]
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    with Shop.open(tmp_path / "shop.sqlite") as shop:
        for name, od in (("B7", 45.0), ("B8", 38.0)):
            tube = TubeSize(od_mm=od, wall_mm=2.5)
            shop.add_batch(TubeBatch(name=name, tube=tube, heat_number=f"H-{name}", certificate="C-1207"))
            shop.add_sticks([Stick(label=f"S-{name}", batch=name, length_mm=6000.0)])
    before = state(project)
    for wrong, code in (
        (("--stick", "S-B8"), "DOSS-010"),
        (("--stick", "S-B7", "--batch", "B8"), "DOSS-010"),
        (("--batch", "B7", "--heat", "H-B9"), "DOSS-010"),
        (("--stick", "S-B9"), "SHOP-025"),
        ((), "DOSS-010"),
    ):
        assert hoopwright.stops("bar", "cut-from", project, "MH", *wrong) == [code], wrong
    assert hoopwright.stops("bar", "cut-from", project, "MH", "XX", "--heat", "H1") == ["CAGE-001"]
    assert state(project) == before
    (kept,) = hoopwright.keys("bar", "cut-from", project, "MH", "--stick", "S-B7", "--steel", "cold drawn")[
        "tubes_used"
    ]
    assert (kept["heat_number"], kept["certificate"], kept["batch"]) == ("H-B7", "C-1207", "B7")
    keys, file = made(hoopwright, project)
    assert keys["to_fill_in"] == ["SB-L", "SB-R"]
    assert "H-B7" in words_of(file)
    assert "bar MH cut: heat H-B7, batch B7, stick S-B7" in words_of(file)
    # said otherwise since it was shown: nothing is kept; taken back, the file has its dotted field again
    folder, shown = ProjectFolder(path=project), tube_choices(ProjectFolder(path=project), "MH")
    assert set(shown.alike) >= {"MH"}
    assert [one.label for one in shown.tube.sticks] == ["S-B7"]
    hoopwright.keys("bar", "cut-from", project, "MH", "--heat", "H-2")
    said = state(project)
    for late in (
        lambda: say_cut_from(folder, ("MH",), SaidTube(batch="B7"), date="2026-03-14", shown=shown.said),
        lambda: say_not_cut(folder, ("MH",), date="2026-03-14", shown=shown.said),
    ):
        with pytest.raises(UserError) as stopped:
            late()
        assert [one.code for one in stopped.value.findings] == ["DOSS-012"]
    assert state(project) == said
    hoopwright.keys("bar", "cut-from", project, "MH", "--take-back")
    assert not is_said(folder.open().project.tube_of["MH"])
    assert hoopwright.stops("bar", "cut-from", project, "MH", "--take-back") == ["DOSS-010"]
    keys, file = made(hoopwright, project)
    assert "MH" in keys["to_fill_in"]
    assert "bar MH: what was said of its tube was taken back" in words_of(file)


def test_notes_stand_in_the_log_by_day_and_no_undo_takes_them(hoopwright, project):
    hoopwright.keys("dossier", "note", project, "second", "--date", "2026-03-12", "--by", "M. Arrow")
    hoopwright.keys("dossier", "note", project, "first", "--date", "2026-03-02")
    hoopwright.keys("bar", "remove", project, "SB-R")
    hoopwright.keys("undo", project)
    words = words_of(made(hoopwright, project)[1])
    assert re.search(r"2026-03-02 first written in .*2026-03-12 second M\. Arrow", words)
    assert hoopwright.stops("dossier", "note", project, "  ") == ["DOSS-009"]
    assert hoopwright.stops("dossier", "note", project, "x" * 2001) == ["DOSS-009"]


def test_a_photo_is_kept_small_and_stands_in_its_slot(hoopwright, project, tmp_path):
    keys = hoopwright.keys(
        "dossier", "photo", project, "MH/SB-L-B", photo(tmp_path / "big.png", 4000, 3000), "--words", "tacked"
    )
    (kept,) = keys["added"]
    content = (project / "photos" / kept["file"]).read_bytes()
    assert Image.open(io.BytesIO(content)).size == (1600, 1200)
    again = hoopwright.keys("dossier", "photo", project, "SB-L-B to MH", tmp_path / "big.png")
    assert (again["added"], again["known"]) == ([], ["big.png"])
    done, file = made(hoopwright, project)
    assert done["photos"] == 1
    assert [image.data for page in PdfReader(file).pages for image in page.images] == [content]
    assert "tacked" in words_of(file)


def test_a_photo_that_was_a_mistake_is_taken_out_and_may_come_back(hoopwright, project, tmp_path):
    for name, place in (("a.jpg", "MH"), ("b.jpg", "MH/SB-L-B")):
        hoopwright.keys("dossier", "photo", project, place, photo(tmp_path / name, 300 + len(place), 200))
    folder = ProjectFolder(path=project)
    wrong, right = folder.open().project.photos
    assert take_photo_out(folder, wrong.file) == (right,)
    assert made(hoopwright, project)[0]["photos"] == 1
    again = hoopwright.keys("dossier", "photo", project, "MH", tmp_path / "a.jpg")
    assert (len(again["added"]), again["known"]) == (1, [])
    assert folder.open().project.photos == (right, wrong)


def test_a_folder_of_photos_is_sorted_by_file_names(hoopwright, project, tmp_path):
    there = tmp_path / "in"
    there.mkdir()
    for n, name in enumerate(
        (
            "MH_SB-L-B after welding.jpg",
            "sb-l foot a.JPG",
            "cage from the left.png",
            "SB-R 2.jpeg",
            "holiday.jpg",
        )
    ):
        photo(there / name, 300 + n, 200, format="JPEG" if n != 2 else "PNG")
    (there / "MH.jpg").write_bytes(b"a letter")
    (there / "SB-L.jpg").write_bytes(b"")
    (there / "SB-R.jpg").write_bytes((there / "SB-R 2.jpeg").read_bytes()[:500])
    (there / "notes.txt").write_text("x", encoding="utf-8")
    keys, file = made(hoopwright, project, "--photos", there)
    assert {(one["place"], one["words"]) for one in keys["added"]} == {
        ("MH/SB-L-B", "after welding"),
        ("SB-L foot A", ""),
        ("cage from the left", ""),
        ("SB-R", "2"),
    }
    assert sorted(code for code in codes(keys) if code[:5] in ("PHOTO", "DOSS-") and code > "DOSS-002") == [
        "DOSS-008", "PHOTO-001", "PHOTO-002", "PHOTO-004",
    ]  # fmt: skip
    assert keys["photos"] == 4
    assert file.is_file()


def test_a_bad_photo_changes_nothing(hoopwright, project, tmp_path, state):
    before = state(project)
    (tmp_path / "a.jpg").write_bytes(b"a letter")
    assert hoopwright.stops("dossier", "photo", project, "MH", tmp_path / "a.jpg") == ["PHOTO-001"]
    assert hoopwright.stops("dossier", "photo", project, "MH", tmp_path / "gone.jpg") == ["PHOTO-005"]
    good = photo(tmp_path / "b.jpg")
    assert hoopwright.stops("dossier", "photo", project, "XX", good) == ["DOSS-006"]
    assert hoopwright.stops("dossier", "photo", project, "MH and more", good) == ["DOSS-006"]
    assert hoopwright.stops("dossier", project, "--photos", tmp_path / "nowhere") == ["DOSS-007"]
    assert state(project) == before


@pytest.mark.parametrize("how", ["gone", "another"])
def test_a_photo_that_is_not_there_any_more_leaves_its_slot_empty(hoopwright, project, tmp_path, how):
    keys = hoopwright.keys("dossier", "photo", project, "MH", photo(tmp_path / "a.jpg"))
    kept = project / "photos" / keys["added"][0]["file"]
    kept.unlink() if how == "gone" else photo(kept, 30, 20)
    done, _ = made(hoopwright, project)
    assert "DOSS-004" in codes(done)
    assert done["photos"] == 0


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


def test_nothing_is_written_where_the_shop_cannot_be_read(hoopwright, project, tmp_path, monkeypatch, state):
    recorded(project, tubes_used=(used("MH", batch="B7"),))
    (tmp_path / "shop.sqlite").write_bytes(b"no database" * 100)
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    before = state(project)
    with pytest.raises(UserError) as stopped:
        make_dossier(ProjectFolder(path=project), DossierWishes(date=DAY))
    assert stopped.value.findings[0].code.startswith("SHOP-")
    assert state(project) == before


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


def test_the_log_goes_by_the_moment_and_not_by_the_letters(hoopwright, project):
    lines = ("2026-03-14T09:00:00+02:00", "2026-03-14T08:00:00+00:00", "2026-03-14", "some day")
    recorded(project, log_lines=tuple(LogLine(date=date, words=f"entry {date}") for date in lines))
    _, file = made(hoopwright, project)
    said = words_of(file)
    places = [said.index(f"entry {lines[k]}") for k in (3, 2, 0, 1)]
    assert places == sorted(places)
    assert "2026-03-14 07:00 UTC" in said


def test_a_photo_of_every_place_is_added(project, tmp_path):
    folder = ProjectFolder(path=project)
    places = places_for_photos(folder)
    assert {"cage from the left", "number stamped", "MH/SB-L-B", "MH foot A", "SB-R"} <= set(places)
    assert len(set(places)) == len(places)
    file, letter = photo(tmp_path / "a.jpg"), tmp_path / "b.jpg"
    letter.write_bytes(b"a letter")
    for number, place in enumerate(places):
        added = add_photo(folder, place, file, date=DAY)
        assert [one.place for one in added.added] == [place]
        assert len(folder.open().project.photos) == number + 1
    assert len({one.file for one in folder.open().project.photos}) == len(places)
    with pytest.raises(UserError) as stopped:
        add_photo(folder, "MH", letter, date=DAY)
    assert "b.jpg" in stopped.value.findings[0].sentence


def test_an_option_may_stand_before_the_project(hoopwright, project):
    keys = hoopwright.keys("dossier", "--paper", "letter", project)
    assert PdfReader(keys["file"]).pages[0].mediabox.width == pytest.approx(612.0, abs=0.1)


def test_what_passed_the_same_check_stands_in_one_line_with_the_value_nearest_to_the_limit(
    hoopwright, project
):
    """Three bars: six ends, of which two land on the hoop; checks of the ends were a line each before."""
    report = check_project(ProjectFolder(path=project))
    meets = [row for row in report.rows if row.alike == "ends meet the bars that they land on"]
    assert len(meets) == 2
    _, file = made(hoopwright, project)
    words = words_of(file)
    assert words.count("ends meet the bars that they land on") == 1
    assert "2 together" in words
    worst = max(meets, key=lambda row: row.measured)
    assert f"nearest to the limit: {worst.about} {worst.check}. Of SB-L, SB-R" in words


def test_a_line_that_nobody_looked_at_has_room_to_write_on():
    asked = RuleLine(
        clause="5.2", page="15", requirement="Padding", limit="", value="", verdict="not checked", how="look"
    )
    for verdict, lines in (("not checked", 1), ("not applicable", 0)):
        drawn = [
            item
            for part in rule_parts([replace(asked, verdict=verdict)], 180.0)[1:]
            for item in part.draw(Box(left_mm=0.0, top_mm=0.0, width_mm=180.0, height_mm=part.height_mm))
        ]
        dotted = [item for item in drawn if isinstance(item, Polyline) and item.dash_mm]
        assert len(dotted) == lines


def test_an_empty_slot_says_which_bars_meet_there(hoopwright, project):
    _, file = made(hoopwright, project)
    assert "1 main hoop, 2 side bar" in words_of(file)


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
