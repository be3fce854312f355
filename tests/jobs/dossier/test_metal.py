"""Landings and gussets in the scrutineer's file: on the drawing, in their tables, and what is open at them."""

import shutil
from dataclasses import replace

import numpy as np
import pytest
from tests.jobs.dossier.making import DAY, made, pages_of

from hoopwright.democar.club_book import CLUB_BOOK, CLUB_BOOK_ID
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs import checks, landings, sheet_metal, shells
from hoopwright.jobs.dossier import source as gathering
from hoopwright.jobs.dossier.make import DossierWishes, make_dossier
from hoopwright.jobs.dossier.metal import landing_section
from hoopwright.jobs.dossier.source import gather
from hoopwright.jobs.rule_books import books_folder, pin_book
from hoopwright.papers.drawing import A4, Box, PlacedPhoto, texts
from hoopwright.store import ProjectFolder

HOOP_ON_FLOOR = ((560, 0), (560, 700), (380, 1000), (-380, 1000), (-560, 700), (-560, 0))
DIAGONAL = "forward,left,up\n-900,380,1000\n-900,-560,100\n"


def write_stl(path, corners):
    facets = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = np.asarray(corners).reshape(-1, 9)
    path.write_bytes(b"cabin".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes())


@pytest.fixture(scope="module")
def standing(hoopwright, bodies, tape_words, tmp_path_factory):
    """A hoop on the floor of a cabin, a plate under each foot, and a diagonal with a gusset and a tie."""
    folder = tmp_path_factory.mktemp("standing")
    car = folder / "car"
    write_stl(folder / "cabin.stl", bodies.cabin_soup(piece_mm=40.0))
    rows = "".join(f"-900,{left},{up}\n" for left, up in HOOP_ON_FLOOR)
    (folder / "hoop.csv").write_text("forward,left,up\n" + rows, encoding="utf-8")
    (folder / "diagonal.csv").write_text(DIAGONAL, encoding="utf-8")
    hoopwright.keys("new", car)
    hoopwright.keys("scan", car, folder / "cabin.stl", "--unit", "mm", "--as-given", *tape_words)
    hoopwright.keys(
        *("bar", "add", car, "MH", "--role", "main hoop", "--nodes", folder / "hoop.csv"),
        *("--end-a", "shell", "--end-b", "shell"),
    )
    hoopwright.keys(
        *("bar", "add", car, "HD", "--role", "hoop diagonal", "--nodes", folder / "diagonal.csv"),
        *("--end-a", "MH", "--end-b", "MH"),
    )
    hoopwright.keys("landing", "set", car, "MH", "A", "--kind", "plate", "--length", "120", "--width", "80")
    hoopwright.keys("landing", "set", car, "MH", "B", "--kind", "plate", "--length", "300", "--width", "200")
    hoopwright.keys("gusset", "add", car, "corner", "MH", "HD")
    hoopwright.keys("gusset", "add", car, "tie", "MH", "--at=-900,560,400")
    return car


@pytest.fixture
def landed(standing, tmp_path):
    return shutil.copytree(standing, tmp_path / "car")


def test_the_drawing_numbers_landings_and_gussets_as_their_tables_do(hoopwright, landed):
    _, file = made(hoopwright, landed)
    pages = pages_of(file)
    drawing = next(page for page in pages if "from above" in page)
    landings = next(page for page in pages if "Feet that stand on the shell" in page)
    for number, foot in enumerate(("MH foot A", "MH foot B"), start=1):
        assert f"L{number} {foot} plate" in drawing
        assert f"L{number} {foot} plate sole" in landings
    for number, words in enumerate(("corner flat gusset", "tie pillar tie"), start=1):
        assert f"G{number} {words}" in drawing
        assert sum(f"G{number} {words}" in page for page in pages) > 4
    assert "G1 corner flat gusset MH and HD" in " ".join(pages)


def drawn_words(section):
    """All words of a section, as they are set."""
    found = []
    for part in section.parts:
        box = Box(left_mm=0.0, top_mm=0.0, width_mm=180.0, height_mm=part.height_mm)
        found += [
            text.text for text in texts(item for item in part.draw(box) if not isinstance(item, PlacedPhoto))
        ]
    return " ".join(found)


@pytest.mark.parametrize("severity", [Severity.WARNING, Severity.NOTE])
def test_what_is_open_at_the_landings_is_said_beside_them(landed, severity):
    """The table said how far a plate lies off the metal, and nothing said why; notes stay with the project."""
    source = gather(ProjectFolder(path=landed), date=DAY, unit="mm", paper=A4, room_mm=180.0)
    bead = Finding(
        code="LAND-019", severity=severity, sentence="A bead stands through it.", todo="Dress it flat."
    )
    papers = replace(source.papers, metal=replace(source.papers.metal, findings=(bead,)))
    words = drawn_words(landing_section(replace(source, papers=papers)))
    assert ("A bead stands through it. Dress it flat." in words) == (severity is Severity.WARNING)


def test_a_change_while_the_file_is_made_does_not_change_its_state(landed, monkeypatch):
    """The checksum was of the project as read again at the end, of which nothing else in the file was made."""
    folder = ProjectFolder(path=landed)
    plain = make_dossier(folder, DossierWishes(date=DAY))
    held = gathering.check_project

    def check_and_change(*args, **how):
        found = held(*args, **how)
        opened = folder.open()
        folder.record(opened, replace(opened.project, name="another name"))
        return found

    monkeypatch.setattr(gathering, "check_project", check_and_change)
    between = make_dossier(folder, DossierWishes(date=DAY))
    monkeypatch.undo()
    after = make_dossier(folder, DossierWishes(date=DAY))
    assert between.state == plain.state
    assert between.sha256 == plain.sha256
    assert after.state != plain.state


def test_records_that_change_while_the_file_is_made_stop_it(landed, monkeypatch):
    folder = ProjectFolder(path=landed)
    held = gathering.check_project

    def check_and_write(*args, **how):
        found = held(*args, **how)
        folder.bending.mkdir(exist_ok=True)
        (folder.bending / "MH.jsonl").touch()
        return found

    monkeypatch.setattr(gathering, "check_project", check_and_write)
    with pytest.raises(UserError) as stopped:
        make_dossier(folder, DossierWishes(date=DAY))
    assert [one.code for one in stopped.value.findings] == ["DOSS-011"]
    assert not (folder.papers / "dossier.pdf").exists()


def test_the_scan_is_opened_and_each_landing_fitted_once(landed, monkeypatch):
    """Papers, checks and the rule book each opened the scan and fitted all landings for themselves."""
    opened, fitted = [], []
    for module in (shells, gathering, checks, sheet_metal, landings):
        if hasattr(module, "open_whole_shell"):
            monkeypatch.setattr(module, "open_whole_shell", counted(module.open_whole_shell, opened))
    monkeypatch.setattr(landings, "fit_landing", counted(landings.fit_landing, fitted))
    folder = ProjectFolder(path=landed)
    pin_plates(folder)
    made = make_dossier(folder, DossierWishes(date=DAY))
    assert "HELD-010" not in {one.code for one in made.findings}
    assert len(opened) == 1
    assert len(fitted) == 2


def counted(does, calls):
    def counts(*args, **how):
        calls.append(args)
        return does(*args, **how)

    return counts


def pin_plates(folder):
    """The invented club's book, which asks for the areas of plates."""
    books = books_folder(folder)
    books.mkdir(parents=True, exist_ok=True)
    (books / f"{CLUB_BOOK_ID}.toml").write_text(CLUB_BOOK, encoding="utf-8")
    pin_book(folder, CLUB_BOOK_ID)


def test_a_tie_without_a_scan_is_told_and_stops_nothing(hoopwright, landed):
    folder = ProjectFolder(path=landed)
    opened = folder.open()
    folder.record(opened, replace(opened.project, scan=None))
    keys, file = made(hoopwright, landed)
    words = " ".join(pages_of(file))
    assert "pillar tie: cannot be made" in words
    assert "G1 corner flat gusset MH and HD" in words
    assert {one["severity"] for one in keys["findings"] if one["code"] == "SCAN-014"} == {"warning"}
