"""Files that come from browsers: limits of size and kind, no path, and nothing left of what is refused."""

import asyncio
from pathlib import Path

import numpy as np
import pytest

from hoopwright.cage import Limits
from hoopwright.findings import UserError
from hoopwright.jobs.projects import start_project
from hoopwright.store import ProjectFolder
from hoopwright.web.uploads import Uploads, cleaned_name


def stl_bytes(count=4):
    rows = np.zeros(count, dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    rows["corners"] = np.arange(9 * count).reshape(-1, 3, 3)
    return b"shell".ljust(80) + np.uint32(count).tobytes() + rows.tobytes()


@pytest.fixture
def folder(tmp_path):
    folder = ProjectFolder(path=tmp_path / "car")
    start_project(folder, "car", Limits())
    return folder


@pytest.fixture
def uploads(folder):
    return Uploads(folder, largest_bytes=100_000)


async def pieces(content, size=1000):
    for start in range(0, len(content), size):
        yield content[start : start + size]


def sent(uploads, name, content, *, said=None):
    said = len(content) if said is None else said
    return asyncio.run(uploads.receive(name, said, pieces(content)))


def refused(uploads, name, content, *, said=None):
    before = (uploads.folder.path / "cage.json").read_bytes()
    with pytest.raises(UserError) as stop:
        sent(uploads, name, content, said=said)
    assert (uploads.folder.path / "cage.json").read_bytes() == before
    assert not [path for path in uploads.place.rglob("*") if path.is_file()]
    return stop.value.findings[0]


def test_a_whole_scan_waits_until_it_is_taken_in(uploads):
    arrived = sent(uploads, "my shell.stl", stl_bytes())
    file = uploads.file_of(arrived.token)
    assert file.read_bytes() == stl_bytes()
    assert file.name == arrived.name == "my shell.stl"
    uploads.done(arrived.token)
    assert not file.exists()
    with pytest.raises(UserError) as stop:
        uploads.file_of(arrived.token)
    assert stop.value.findings[0].code == "WEB-044"


@pytest.mark.parametrize("name", ["shell.png", "shell.stl.exe", "shell", ".stl", "", "stl"])
def test_a_name_of_no_scan(uploads, name):
    assert refused(uploads, name, stl_bytes()).code == "WEB-040"


@pytest.mark.parametrize(
    "content", [b"\x89PNG\r\n\x1a\n" + bytes(200), b"PK\x03\x04" + bytes(500), b"%PDF-1.7\n"]
)
def test_what_is_in_it_counts_more_than_its_name(uploads, content):
    assert refused(uploads, "shell.ply", content).code == "SCAN-002"


def test_too_large_by_what_it_says_and_by_what_comes(uploads):
    said = refused(uploads, "shell.stl", b"", said=10**13)
    assert said.code == "WEB-041"
    assert said.measured == 10_000.0
    came = refused(uploads, "shell.stl", stl_bytes(3000), said=84)
    assert came.code == "WEB-041"


def test_cut_short(uploads):
    content = stl_bytes()
    finding = refused(uploads, "shell.stl", content[:100], said=len(content))
    assert finding.code == "WEB-042"
    assert (finding.measured, finding.limit) == (100.0, float(len(content)))


def test_empty(uploads):
    assert refused(uploads, "shell.stl", b"").code == "SCAN-004"


def test_a_disk_without_room(uploads, monkeypatch):
    usage = type("Usage", (), {"free": 1000})
    monkeypatch.setattr("hoopwright.web.uploads.shutil.disk_usage", lambda _: usage)
    assert refused(uploads, "shell.stl", stl_bytes()).code == "WEB-043"


def test_a_browser_that_goes_away_leaves_nothing(uploads):
    async def breaks_off():
        yield stl_bytes()[:100]
        raise asyncio.CancelledError

    with pytest.raises(asyncio.CancelledError):
        asyncio.run(uploads.receive("shell.stl", 10_000, breaks_off()))
    assert not [path for path in uploads.place.rglob("*") if path.is_file()]


@pytest.mark.parametrize(
    ("name", "clean"),
    [
        ("../../etc/shell.stl", "shell.stl"),
        ("..\\..\\shell.stl", "shell.stl"),
        ("/etc/passwd", "passwd"),
        ("...stl", "stl"),
        ("a\0b\n.stl", "a_b_.stl"),
        ("CON:<>|.stl", "CON____.stl"),
        ("Käfig 2.STL", "Käfig 2.STL"),
        ("x" * 300 + ".stl", "x" * 76 + ".stl"),
    ],
)
def test_names_are_words_and_no_paths(name, clean):
    assert cleaned_name(name) == clean


@pytest.mark.parametrize(
    "name", ["../../../shell.stl", "/etc/shell.stl", "..\\shell.stl", "%2e%2e%2fshell.stl"]
)
def test_no_name_leads_out_of_the_project(uploads, name):
    arrived = sent(uploads, name, stl_bytes())
    file = uploads.file_of(arrived.token)
    assert file.parent.parent == uploads.place
    assert Path(arrived.name).name == arrived.name


def test_what_a_killed_server_left_is_swept_after_a_day(uploads):
    import os
    import time

    old, new = uploads.place / "old", uploads.place / "new"
    for own in (old, new):
        own.mkdir(parents=True)
        (own / "shell.stl").write_bytes(b"half")
    day_ago = time.time() - 25 * 3600
    os.utime(old, (day_ago, day_ago))
    uploads.sweep()
    assert not old.exists()
    assert new.exists()


@pytest.mark.parametrize("ends", [None, UserError, KeyboardInterrupt])
def test_what_was_taken_in_is_thrown_away_however_it_ends(uploads, ends):
    token = sent(uploads, "shell.stl", stl_bytes()).token
    seen = []

    def take():
        with uploads.waiting(token) as file:
            seen.append(file.read_bytes())
            if ends is not None:
                raise ends

    if ends is None:
        take()
    else:
        with pytest.raises(ends):
            take()
    assert seen == [stl_bytes()]
    assert not uploads.place.exists()
    with pytest.raises(UserError):
        uploads.file_of(token)
