"""A project begun in the page: a scan dropped on it, its size proven, a cage laid out."""

import http.client
import re

import numpy as np
import pytest
from tests.web.beginning import drop, hold_tape, patient, stl_of, take_in, tilted_inches

from hoopwright.store import ProjectFolder

expect = pytest.importorskip("playwright.sync_api").expect
pytestmark = pytest.mark.slow


@pytest.fixture
def empty(serve_folder, tmp_path):
    """A workbench on a folder that is not there yet."""
    return serve_folder(tmp_path / "car")


@pytest.fixture
def started(serve_folder, tmp_path, hoopwright):
    """A workbench on a project without a scan."""
    hoopwright.keys("new", tmp_path / "car")
    return serve_folder(tmp_path / "car")


def choose(page, bar_id):
    page.get_by_role("button", name=re.compile(f"^{bar_id}")).click()
    page.locator(".hw-item.chosen", has_text=bar_id).wait_for()
    page.get_by_text(re.compile(f"^{bar_id}: ")).first.wait_for()


def project_of(served):
    return ProjectFolder(path=served.project).open().project


def test_from_an_empty_folder_to_a_laid_cage(empty, page_of, bodies, screenshot):
    page = patient(page_of(empty.url))
    page.get_by_label("Name", exact=True).fill("Shed special")
    page.get_by_label("Gap that bars keep to the shell").fill("1/2 in")
    page.get_by_text('= 12.7 mm, 1/2"').wait_for()
    screenshot(page, "start")
    page.get_by_role("button", name="Start the project").click()
    page.get_by_text("Start with the scan").wait_for()
    screenshot(page, "scan-empty")
    take_in(page, stl_of(bodies.section_soup()), unit="mm")
    page.wait_for_function("window.hoopwrightView && window.hoopwrightView.shell")
    # the place that is picked lies on the metal of the full scan
    page.get_by_role("button", name="Pick one end of the tape in the picture").click()
    page.get_by_text("Click in the picture: one end of the tape").wait_for()
    at = page.evaluate("hoopwrightView.onPage([-600, 100, 1118])")
    page.mouse.click(at["x"], at["y"])
    expect(page.get_by_label("One end", exact=True)).not_to_have_value("")
    forward, left, up = map(float, page.get_by_label("One end", exact=True).input_value().split(","))
    assert up == pytest.approx(1118.0, abs=0.1)
    assert (forward, left) == pytest.approx((-600.0, 100.0), abs=8.0)
    hold_tape(page, "width", "1360", "-900,680,620", "-900,-680,620")
    page.get_by_text("agrees", exact=True).wait_for()
    screenshot(page, "scan")
    page.get_by_role("tab", name="Cage").click()
    for name, place in (("hoop_foot", "-900, 600, 0"), ("backstay_foot", "-1650, 500, 300")):
        entry = page.get_by_label(f"{name}: forward, left, up")
        entry.fill(place)
        entry.press("Enter")
        page.get_by_role("button", name=f"Take out {name}").wait_for()
    page.get_by_label("Feet").click()
    page.get_by_role("option", name="4: hoop and backstays").click()
    page.get_by_role("button", name="Lay the cage out").click()
    page.get_by_text(re.compile(r"\d+ bars are laid out")).wait_for()
    choose(page, "MH")
    screenshot(page, "cage")
    project = project_of(empty)
    assert project.name == "Shed special"
    assert project.cage.limits.gap_mm == 12.7
    assert {"MH", "BS-L", "BS-R"} <= {member.member_id for member in project.cage.members}
    assert not (empty.project / "scans" / "incoming").exists()
    # a bar is taken out after a question, and undone
    choose(page, "HB-L")
    page.get_by_role("button", name="Take HB-L out of the cage").click()
    page.get_by_role("button", name="Take it out").click()
    page.get_by_role("button", name=re.compile("^HB-L")).wait_for(state="detached")
    page.get_by_text("What was changed").click()
    page.get_by_text("HB-L taken out").wait_for()
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name=re.compile("^HB-L")).wait_for()


def test_a_scan_in_inches_that_lies_askew(started, page_of, bodies):
    page = patient(page_of(started.url))
    words = take_in(page, stl_of(tilted_inches(bodies.section_soup())), unit="in")
    assert "Best guess: in." in words
    assert "in: 1.80 x 1.36 x 1.12 m (best guess)" in words
    assert "mm: 0.07 x 0.05 x 0.04 m" in words
    hold_tape(page, "inside width", "1360", "-900,680,620", "-900,-680,620")
    hold_tape(page, "length", "1.8 m", "0,680,300", "-1800,680,300")
    page.wait_for_function(
        "[...document.querySelectorAll('.hw-hold')].filter(e => e.innerText === 'agrees').length === 2"
    )
    hold_tape(page, "inside width", "1372", "-900,680,620", "-900,-680,620")
    page.get_by_text("inside width: blocks sheets").wait_for()
    finding = page.locator(".hw-finding", has_text="SCAN-030")
    expect(finding).to_contain_text("'inside width'")
    project = project_of(started)
    assert project.scan.unit == "in"
    assert [one.tape_mm for one in project.tape_in_force] == [1372.0, 1800.0]
    # the nose at the other end: the same scan, turned round
    front = project.scan.to_vehicle.rotation[0]
    page.get_by_role("button", name="The nose is at the other end").click()
    page.get_by_text("SCAN-039").wait_for()
    turned = project_of(started).scan.to_vehicle.rotation[0]
    assert np.dot(front, turned) == pytest.approx(-1.0, abs=1e-3)


def test_a_question_left_unanswered_takes_nothing_in(started, page_of, bodies):
    page = patient(page_of(started.url))
    drop(page, "shell.stl", stl_of(bodies.section_soup()))
    page.get_by_role("button", name="Leave it unanswered").click()
    page.locator(".hw-finding", has_text="SCAN-012").wait_for()
    assert project_of(started).scan is None
    assert not (started.project / "scans" / "incoming").exists()


def test_hostile_files_are_told_and_lose_nothing(started, page_of, bodies, screenshot):
    whole = stl_of(bodies.section_soup())
    before = (started.project / "cage.json").read_bytes()
    page = patient(page_of(started.url))
    for name, content, code in (
        ("shell.png", b"\x89PNG\r\n\x1a\n" + bytes(300), "WEB-040"),
        ("shell.ply", b"\x89PNG\r\n\x1a\n" + bytes(300), "SCAN-002"),
        ("shell.stl", whole[:5000], "SCAN-003"),
        ("shell.stl", b"", "SCAN-004"),
        ("shell.xyz", b"1 2 nan\n" * 40, "SCAN-005"),
    ):
        drop(page, name, content)
        page.locator(".hw-finding", has_text=code).wait_for()
    screenshot(page, "scan-refused")
    assert (started.project / "cage.json").read_bytes() == before
    assert list((started.project / "scans").iterdir()) == []
    # names and sizes that no browser would send
    for path, headers, body, code in (
        ("/seen/scan?name=..%2F..%2F..%2Fevil.stl", {}, b"", "SCAN-004"),
        ("/seen/scan?name=%00.stl", {}, b"", "SCAN-004"),
        ("/seen/scan?name=huge.stl", {"content-length": str(10**13)}, b"", "WEB-041"),
    ):
        told = post(started, page, path, headers, body)
        assert code in told, told
    assert not list(started.project.parent.rglob("evil*"))
    # and the page still works
    take_in(page, whole, unit="mm")
    assert project_of(started).scan is not None


def post(served, page, path, headers, body):
    host = served.url.removeprefix("http://").rstrip("/")
    asked = http.client.HTTPConnection(host, timeout=20)
    asked.putrequest("POST", path)
    cookies = "; ".join(f"{one['name']}={one['value']}" for one in page.context.cookies())
    usual = {"content-length": str(len(body)), "content-type": "application/octet-stream", "cookie": cookies}
    for name, value in {**usual, **headers}.items():
        asked.putheader(name, value)
    asked.endheaders(body or None)
    return asked.getresponse().read().decode()
