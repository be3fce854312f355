"""Which papers are listed, how each sheet stands, and that no other file is ever given out."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from hoopwright.findings import UserError
from hoopwright.jobs.cage_bars import move_bar_node
from hoopwright.jobs.issuing_sheets import issue_sheets
from hoopwright.jobs.paper_lists import list_papers, read_paper, sheet_states
from hoopwright.jobs.paper_previews import sheet_preview
from hoopwright.jobs.sheets import SheetWishes
from hoopwright.store import ProjectFolder
from hoopwright.web.desk import Desk
from hoopwright.web.paper_routes import add_paper_routes

DAY = "2026-03-14"


@pytest.fixture
def plain(hoopwright, tmp_path):
    """A hoop and a harness bar without a scan, so that nothing has to be proven before sheets are issued."""
    project = tmp_path / "car"
    hoopwright.keys("new", project)
    for name, role, nodes in (
        ("MH", "main hoop", "-900,610,0 -900,640,620 -900,505,1085 -900,-505,1085 -900,-640,620 -900,-610,0"),
        ("HB", "harness bar", "-900,632,450 -900,-632,450"),
    ):
        file = tmp_path / "nodes.csv"
        file.write_text("\n".join(["forward,left,up", *nodes.split(), ""]))
        hoopwright.keys("bar", "add", project, name, "--role", role, "--nodes", file)
    return ProjectFolder(path=project)


@pytest.fixture
def issued(plain):
    issue_sheets(plain, SheetWishes(date=DAY, placeholder=True))
    return plain


def standing(folder):
    return {one.bar_id: (one.standing, one.revision) for one in sheet_states(folder)}


def test_a_sheet_stands_until_its_bar_is_moved(plain):
    # the hoop has bends and no calibration; the straight bar needs none
    assert standing(plain) == {"MH": ("cannot be made", None), "HB": ("never issued", None)}
    assert "calibration" in sheet_states(plain)[0].why
    issue_sheets(plain, SheetWishes(date=DAY, only=("HB",)))
    assert standing(plain)["HB"] == ("in force", 1)
    move_bar_node(plain, "HB", 2, (-900.0, -630.0, 450.0))
    assert standing(plain)["HB"] == ("OLD", 1)
    issue_sheets(plain, SheetWishes(date=DAY, only=("HB",)))
    assert standing(plain)["HB"] == ("in force", 2)
    assert "old/HB-revision-1.pdf" in {one.name for one in list_papers(plain)}


def test_made_papers_are_listed_in_their_groups(issued):
    groups = {one.name: one.group for one in list_papers(issued)}
    assert groups["MH.pdf"] == "Sheets of the bars"
    assert groups["overview.pdf"] == "The whole cage"
    assert "made-files.json" not in groups


def test_a_listed_paper_is_given_out_and_nothing_else(issued, tmp_path):
    (tmp_path / "secret.pdf").write_bytes(b"not for the page")
    (issued.papers / "link.pdf").symlink_to(tmp_path / "secret.pdf")
    (issued.papers / "away").symlink_to(tmp_path)
    (issued.papers / ".hidden.pdf").write_bytes(b"half written")
    assert read_paper(issued, "MH.pdf")[1] == (issued.papers / "MH.pdf").read_bytes()
    for name in (
        "link.pdf",
        "away/secret.pdf",
        ".hidden.pdf",
        "../cage.json",
        "./MH.pdf",
        "MH.pdf/../MH.pdf",
        str(tmp_path / "secret.pdf"),
        "made-files.json",
        "",
        "mh.pdf",
        "MH.pdf\0",
    ):
        with pytest.raises(UserError) as refused:
            read_paper(issued, name)
        assert refused.value.findings[0].code == "WEB-100"


def test_over_the_wire(issued):
    app = FastAPI()
    add_paper_routes(app, Desk(issued), "/seen/")
    asker = TestClient(app)
    answer = asker.get("/seen/paper/MH.pdf")
    assert answer.status_code == 200
    assert answer.content == (issued.papers / "MH.pdf").read_bytes()
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith("inline")
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    for name in ("..%2Fcage.json", "%2e%2e%2fcage.json", "made-files.json", "old", "%00", "a" * 5000):
        assert asker.get(f"/seen/paper/{name}").status_code == 404


def test_what_a_browser_could_run_is_never_listed(issued):
    for name in ("page.html", "drawing.svg", "code.js"):
        (issued.papers / name).write_text("<script>alert(1)</script>")
    assert not {"page.html", "drawing.svg", "code.js"} & {one.name for one in list_papers(issued)}


def test_a_preview_issues_nothing(plain):
    before = (plain.path / "cage.json").read_bytes()
    pages = sheet_preview(plain, "MH", placeholder=True)
    assert len(pages) >= 2
    assert all(page.startswith("<svg") for page in pages)
    assert ">MH<" in pages[0]
    assert (plain.path / "cage.json").read_bytes() == before
    assert not list(plain.papers.glob("*.pdf"))
    with pytest.raises(UserError) as refused:
        sheet_preview(plain, "MH")
    assert refused.value.findings[0].code == "CAL-010"
