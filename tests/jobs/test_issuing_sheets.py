"""When sheets are refused, and that papers and record change together or not at all."""

import errno
import os

import pytest
from pypdf import PdfReader

from hoopwright.jobs import sheets as sheet_jobs
from hoopwright.jobs.issuing_sheets import issue_sheets
from hoopwright.jobs.sheets import SheetWishes
from hoopwright.store import ProjectFolder


def text_of(path):
    return "\n".join(page.extract_text() for page in PdfReader(path).pages)


def revisions(made):
    return {sheet["bar_id"]: sheet["revision"] for sheet in made["sheets"]}


def test_refused_without_bars(hoopwright, empty):
    assert hoopwright.stops("sheets", empty) == ["SHEET-010"]


def test_refused_while_no_tape_proves_the_scan(hoopwright, empty, files):
    hoopwright.keys("scan", empty, files / "shell.stl", "--unit", "mm", "--as-given")
    hoopwright.keys("bar", "add", empty, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    hoopwright.keys("calibrate", files / "samples.toml", "--project", empty)
    assert hoopwright.stops("sheets", empty) == ["SHEET-011"]
    assert list((empty / "papers").iterdir()) == []


@pytest.mark.parametrize(
    "tape", ["from floor to floor: 1000: =0,0,0: =-1000,0,0", "beside the car: 1000: 0,3000,0: -1000,3000,0"]
)
def test_refused_while_no_tape_touches_the_scan(hoopwright, empty, files, tape):
    hoopwright.keys("scan", empty, files / "shell.stl", "--unit", "mm", "--as-given", "--tape", tape)
    hoopwright.keys("bar", "add", empty, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    hoopwright.keys("calibrate", files / "samples.toml", "--project", empty)
    assert "SHEET-011" in hoopwright.stops("sheets", empty)


def test_refused_without_a_calibration(hoopwright, empty, files):
    hoopwright.keys("bar", "add", empty, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    (finding,) = hoopwright.keys("sheets", empty, status=1)["findings"]
    assert finding["code"] == "CAL-010"
    assert "die '45'" in finding["sentence"]
    assert list((empty / "papers").iterdir()) == []


def test_refused_for_another_tube_on_that_die(hoopwright, project, files):
    wall = ("--tube", "45 x 3")
    hoopwright.keys("bar", "add", project, "X", "--role", "door bar", "--nodes", files / "hoop.csv", *wall)
    assert hoopwright.stops("sheets", project) == ["CAL-010"]
    assert not list((project / "papers").glob("*.pdf"))


def test_placeholder_is_stamped(hoopwright, empty, files):
    hoopwright.keys("bar", "add", empty, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    made = hoopwright.keys("sheets", empty, "--placeholder")
    assert made["sheets"][0]["calibrated"] is False
    assert "SHEET-005" in {finding["code"] for finding in made["findings"]}
    assert "not calibrated" in text_of(empty / "papers" / "MH.pdf").lower()
    assert "not calibrated" in (empty / "papers" / "MH.txt").read_text(encoding="utf-8").lower()
    hoopwright.keys("calibrate", files / "samples.toml", "--project", empty)
    again = hoopwright.keys("sheets", empty)
    assert revisions(again) == {"MH": 2}
    assert "not calibrated" not in text_of(empty / "papers" / "MH.pdf").lower()


def test_straight_bar_needs_no_calibration(hoopwright, empty, tmp_path):
    nodes = tmp_path / "hd.csv"
    nodes.write_text("forward,left,up\n-900,600,100\n-900,-500,1000\n", encoding="utf-8")
    hoopwright.keys("bar", "add", empty, "HD", "--role", "hoop diagonal", "--nodes", nodes)
    (sheet,) = hoopwright.keys("sheets", empty)["sheets"]
    assert sheet["blank_mm"] == pytest.approx((1100.0**2 + 900.0**2) ** 0.5 + 60.0)
    assert "not calibrated" not in text_of(empty / "papers" / "HD.pdf").lower()


def test_only_a_changed_bar_gets_a_new_revision(hoopwright, project):
    first = hoopwright.keys("sheets", project, "--date", "2026-03-01")
    assert set(revisions(first).values()) == {1}
    hoopwright.keys("bar", "move", project, "MH", "2", "--", "-900,638,620")
    second = hoopwright.keys("sheets", project, "--date", "2026-03-02")
    assert revisions(second) == {"MH": 2, "SB-L": 1, "SB-R": 1}
    assert second["old"] == ["papers/old/MH-revision-1.pdf"]
    assert "OLD: replaced by revision 2 on 2026-03-02" in text_of(project / second["old"][0])
    # back to the first drawing: a third revision, never the first one's number again
    hoopwright.keys("undo", project)
    third = hoopwright.keys("sheets", project, "--date", "2026-03-03")
    assert revisions(third)["MH"] == 3
    assert third["sheets"][0]["identity"] == first["sheets"][0]["identity"]
    assert sorted(p.name for p in (project / "papers" / "old").iterdir()) == [
        "MH-revision-1.pdf",
        "MH-revision-2.pdf",
    ]


def test_the_paper_of_a_removed_bar_is_old(hoopwright, project):
    hoopwright.keys("sheets", project)
    hoopwright.keys("bar", "remove", project, "SB-R")
    made = hoopwright.keys("sheets", project, "--date", "2026-03-02")
    assert made["old"] == ["papers/old/SB-R-revision-1.pdf"]
    assert "OLD: taken out of the cage by 2026-03-02" in text_of(project / made["old"][0])
    assert not list((project / "papers").glob("SB-R*"))
    hoopwright.keys("undo", project)
    assert revisions(hoopwright.keys("sheets", project))["SB-R"] == 1


def test_a_bar_that_cannot_be_bent_holds_back_every_sheet(hoopwright, project, state, tmp_path):
    short = tmp_path / "short.csv"
    short.write_text("forward,left,up\n0,0,0\n500,0,0\n500,310,0\n0,310,0\n", encoding="utf-8")
    hoopwright.keys("bar", "add", project, "X", "--role", "door bar", "--nodes", short)
    before = state(project)
    assert "BAR-007" in hoopwright.stops("sheets", project)
    assert state(project) == before


@pytest.mark.parametrize("nth", [0, 2, 11, 20])
def test_a_full_disk_leaves_papers_and_record_as_they_were(hoopwright, project, state, monkeypatch, nth):
    """One old paper is stamped, ten papers are written, then the project; each may be what does not fit."""
    hoopwright.keys("sheets", project)
    hoopwright.keys("bar", "move", project, "MH", "2", "--", "-900,638,620")
    before, left, fsync = state(project), [nth], os.fsync

    def full(handle):
        left[0] -= 1
        if left[0] < 0:
            raise OSError(errno.ENOSPC, "No space left on device")
        fsync(handle)

    monkeypatch.setattr(os, "fsync", full)
    (code,) = hoopwright.stops("sheets", project, "--date", "2026-03-02")
    assert code == "STORE-002"
    monkeypatch.undo()
    assert state(project) == before
    assert revisions(hoopwright.keys("sheets", project))["MH"] == 2


def test_another_window_changed_the_project_meanwhile(hoopwright, project, state, monkeypatch):
    real = sheet_jobs.make_bar_sheet
    seen = []

    def moved_meanwhile(*words, **more):
        if not seen:
            hoopwright.keys("bar", "move", project, "MH", "2", "--", "-900,638,620")
            seen.append(state(project))
        return real(*words, **more)

    monkeypatch.setattr(sheet_jobs, "make_bar_sheet", moved_meanwhile)
    assert hoopwright.stops("sheets", project) == ["STORE-006"]
    assert state(project) == seen[0]


@pytest.mark.parametrize("day", ["tomorrow", "2026-13-01", "01.03.2026", ""])
def test_a_day_that_is_none_stops(hoopwright, project, day):
    assert hoopwright.stops("sheets", project, "--date", day) == ["TYPED-001"]


def test_issued_without_the_command_too(project):
    made = issue_sheets(ProjectFolder(path=project), SheetWishes(date="2026-03-01", only=("MH",)))
    assert [sheet.bar_id for sheet in made.sheets] == ["MH"]
    assert (project / "papers" / "MH.pdf").is_file()


def test_code_of_a_sheet_opens_it(hoopwright, project):
    sheet = next(s for s in hoopwright.keys("sheets", project)["sheets"] if s["bar_id"] == "MH")
    code = f"hoopwright:car/MH/{sheet['identity']}"
    assert code in (project / "papers" / "MH.txt").read_text(encoding="utf-8")
    assert hoopwright.keys("bar", "show", project, code)["in_force"] is True
    hoopwright.keys("bar", "move", project, "MH", "2", "--", "-900,638,620")
    shown = hoopwright.keys("bar", "show", project, code)
    assert shown["in_force"] is False
    assert [finding["code"] for finding in shown["findings"]] == ["SHEET-013"]
    assert hoopwright.stops("bar", "show", project, code.replace(":car/", ":van/")) == ["SHEET-012"]
    assert hoopwright.stops("bar", "show", project, code.replace("/MH/", "/XX/")) == ["CAGE-001"]


SHOP_ADDRESS = "http://192.168.1.20:8642/"


def test_while_phones_are_let_in_the_code_of_a_sheet_opens_its_bar(hoopwright, project):
    sheets = hoopwright.keys("sheets", project, "--address", SHOP_ADDRESS)["sheets"]
    sheet = next(s for s in sheets if s["bar_id"] == "MH")
    opens = f"http://192.168.1.20:8642/bend/MH?code={sheet['identity']}"
    assert opens in (project / "papers" / "MH.txt").read_text(encoding="utf-8")
    page = PdfReader(project / "papers" / "MH.pdf").pages[0].extract_text()
    assert "at the bender: http://192.168.1.20:8642/bend/MH" in page
    assert f"identity {sheet['identity']}" in page
    # whoever has no phone at hand types the same, or a hand scanner does
    assert hoopwright.keys("bar", "show", project, opens)["in_force"] is True
    assert hoopwright.keys("bend", project, opens)["identity"] == sheet["identity"]
    assert hoopwright.stops("bend", project, opens.replace(sheet["identity"], "0123456789")) == ["BEND-011"]
    # where phones come in says nothing of the bar
    assert hoopwright.keys("sheets", project)["sheets"] == sheets
    assert "192.168" not in (project / "papers" / "MH.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "address",
    [
        "",
        "192.168.1.20",
        "ftp://shop/",
        "http://",
        "http://shop/?a=1",
        "http://sh op/",
        "http://" + "a" * 80,
        "http://café/",
    ],
)
def test_an_address_that_is_none_stops(hoopwright, project, state, address):
    before = state(project)
    assert hoopwright.stops("sheets", project, "--address", address) == ["TYPED-001"]
    assert state(project) == before
