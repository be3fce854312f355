"""The project folder: save, undo, redo, records, two windows, a full disk, a killed process."""

import errno
import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import fields, replace
from pathlib import Path

import pytest

from hoopwright.cage import Cage, Limits
from hoopwright.findings import UserError
from hoopwright.shell.records import TapeDistance, TapePlace
from hoopwright.store import PROJECT_FILE, IssuedSheet, Project, ProjectFolder
from hoopwright.store.build_records import LogLine
from hoopwright.store.project import NEVER_UNDONE
from hoopwright.store.schema import from_json
from hoopwright.store.together import all_or_nothing

ENDS = (TapePlace(place_mm=(0.0, 680.0, 0.0)), TapePlace(place_mm=(0.0, -680.0, 0.0)))


def gap(project, mm):
    return replace(project, cage=replace(project.cage, limits=Limits(gap_mm=mm)))


def gap_of(opened):
    return opened.project.cage.limits.gap_mm


@pytest.fixture
def folder(tmp_path):
    made = ProjectFolder(path=tmp_path / "my car")
    made.create(Project(name="car", cage=Cage()))
    return made


def refused(code, act, *arguments):
    with pytest.raises(UserError) as stopped:
        act(*arguments)
    (finding,) = stopped.value.findings
    assert finding.code == code
    return finding


def test_created_once(folder, tmp_path):
    assert folder.open().project.name == "car"
    assert folder.open().step == 1
    for part in (folder.scans, folder.papers, folder.calibrations):
        assert part.is_dir()
    refused("STORE-001", folder.create, Project(name="again"))
    (tmp_path / "file").write_text("x")
    refused("STORE-001", ProjectFolder(path=tmp_path / "file").create, Project(name="x"))
    assert folder.open().project.name == "car"
    refused("STORE-005", ProjectFolder(path=tmp_path / "none").open)


def test_undo_and_redo_walk_the_saves(folder):
    opened = folder.open()
    for mm in (11.0, 12.0, 13.0):
        opened = folder.save(opened, gap(opened.project, mm))
    back = folder.undo(folder.undo(opened))
    assert gap_of(back) == 11.0
    assert gap_of(folder.open()) == 11.0
    assert gap_of(folder.redo(back)) == 12.0
    opened = folder.redo(folder.open())
    assert gap_of(opened) == 13.0
    refused("STORE-007", folder.redo, opened)
    for _ in range(3):
        opened = folder.undo(opened)
    assert gap_of(opened) == 10.0
    refused("STORE-007", folder.undo, opened)
    assert folder.open().content == opened.content


def test_undo_takes_no_record_back(folder):
    opened = folder.save(folder.open(), gap(folder.open().project, 12.0))
    line = LogLine(date="2026-03-15", words="feet tacked")
    opened = folder.record(opened, replace(opened.project, log_lines=(line,)))
    assert folder.undo(opened).project.log_lines == (line,)
    kept = {field.name for field in fields(Project)}
    assert set(NEVER_UNDONE) <= kept


def test_an_edit_after_undo_sets_the_undone_aside_and_deletes_nothing(folder):
    opened = folder.open()
    for mm in (11.0, 12.0):
        opened = folder.save(opened, gap(opened.project, mm))
    back = folder.undo(folder.undo(opened))
    other = folder.save(back, gap(back.project, 20.0))
    refused("STORE-007", folder.redo, other)
    assert gap_of(folder.undo(other)) == 10.0
    kept = [
        from_json(p.read_bytes(), p.name)[0].cage.limits.gap_mm for p in folder.path.glob("history/**/*.json")
    ]
    assert {11.0, 12.0, 20.0} <= set(kept)


def test_a_deleted_set_of_undone_states_does_not_stop_edits(folder):
    for mm in (11.0, 12.0, 13.0):
        back = folder.undo(folder.save(folder.open(), gap(folder.open().project, mm)))
    opened = folder.save(back, gap(back.project, 14.0))
    shutil.rmtree(folder.path / "history" / "undone-001")
    back = folder.undo(opened)
    assert gap_of(folder.save(back, gap(back.project, 15.0))) == 15.0
    assert len(list(folder.path.glob("history/undone-*/*.json"))) == 3


def test_a_damaged_kept_scan_is_mended_by_taking_it_in_again(folder, tmp_path):
    source = tmp_path / "car.stl"
    source.write_bytes(b"the scan")
    digest = hashlib.sha256(b"the scan").hexdigest()
    kept = folder.scans / folder.keep_scan(source, digest)
    kept.write_bytes(b"the scam")
    folder.keep_scan(source, digest)
    assert kept.read_bytes() == b"the scan"
    assert [path.name for path in folder.scans.iterdir()] == [kept.name]


def test_a_file_in_the_place_of_the_scans_stops(folder, tmp_path):
    source = tmp_path / "car.stl"
    source.write_bytes(b"the scan")
    folder.scans.rmdir()
    folder.scans.write_text("in the way")
    refused("STORE-002", folder.keep_scan, source, "0" * 64)


@pytest.mark.parametrize("in_the_way", ["file", "folder"])
def test_several_files_that_cannot_take_their_places_change_nothing(folder, in_the_way):
    if in_the_way == "file":
        folder.papers.rmdir()
        folder.papers.write_text("x")
    else:
        (folder.papers / "MH.pdf").mkdir()
    reached = []

    def issue():
        with all_or_nothing({folder.papers / "BS.pdf": b"1", folder.papers / "MH.pdf": b"2"}) as put:
            reached.append("recorded")
            put()

    refused("STORE-002", issue)
    assert not reached
    assert not (folder.papers / "BS.pdf").exists()


def test_a_second_window_that_gives_up_takes_no_part_of_the_first_away(folder):
    paper = folder.papers / "MH.pdf"
    with all_or_nothing({paper: b"first"}) as put:
        with all_or_nothing({paper: b"second"}):
            pass
        put()
    assert paper.read_bytes() == b"first"
    assert list(folder.papers.iterdir()) == [paper]


def test_records_stay_when_edits_are_undone(folder):
    opened = folder.save(folder.open(), gap(folder.open().project, 11.0))
    tape = TapeDistance(name="width", tape_mm=1360.0, from_place=ENDS[0], to_place=ENDS[1])
    sheet = IssuedSheet(bar_id="MH", revision=1, identity="ab", date="2026-01-31")
    opened = folder.record(opened, replace(opened.project, tape=(tape,), issued=(sheet,)))
    assert opened.step == 2
    back = folder.undo(opened)
    assert gap_of(back) == 10.0
    assert back.project.tape == (tape,)
    assert back.project.issued == (sheet,)
    second = replace(sheet, revision=2)
    back = folder.record(back, replace(back.project, issued=(sheet, second)))
    again = folder.redo(back)
    assert gap_of(again) == 11.0
    assert again.project.issued == (sheet, second)


@pytest.mark.parametrize("act", ["save", "record", "undo"])
def test_the_second_of_two_windows_is_told_and_overwrites_nothing(folder, act):
    start = folder.save(folder.open(), gap(folder.open().project, 11.0))
    mine, theirs = folder.open(), folder.open()
    assert mine.content == start.content
    saved = folder.save(theirs, gap(theirs.project, 15.0))
    arguments = (mine,) if act == "undo" else (mine, gap(mine.project, 16.0))
    refused("STORE-006", getattr(folder, act), *arguments)
    assert folder.open().content == saved.content
    folder.save(folder.open(), gap(folder.open().project, 16.0))
    assert gap_of(folder.open()) == 16.0


def test_a_damaged_file_stops_and_stays(folder):
    file = folder.path / PROJECT_FILE
    opened = folder.save(folder.open(), gap(folder.open().project, 11.0))
    file.write_bytes(opened.content[:-40])
    refused("STORE-003", folder.open)
    refused("STORE-006", folder.save, opened, gap(opened.project, 12.0))
    assert file.read_bytes() == opened.content[:-40]
    # the state before it is whole in the history
    assert from_json((folder.path / "history" / "000001.json").read_bytes(), "x")[1] == 1


def test_a_damaged_history_stops_the_undo_and_the_project_stays(folder):
    opened = folder.save(folder.open(), gap(folder.open().project, 11.0))
    (folder.path / "history" / "000001.json").write_bytes(b"{")
    refused("STORE-003", folder.undo, opened)
    assert folder.open().content == opened.content


FULL = OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("where", ["fdopen", "fsync", "mkstemp", "replace", "lock"])
@pytest.mark.parametrize("act", ["save", "record", "undo"])
def test_a_full_disk_leaves_everything_as_it_was(folder, monkeypatch, where, act):
    from hoopwright.store import writing

    opened = folder.save(folder.open(), gap(folder.open().project, 11.0))

    def full(*_args, **_kwargs):
        raise FULL

    owner, name = {
        "fdopen": (writing.os, "fdopen"),
        "fsync": (writing.os, "fsync"),
        "mkstemp": (writing.tempfile, "mkstemp"),
        "replace": (Path, "replace"),
        "lock": (writing, "_lock"),
    }[where]
    with monkeypatch.context() as patch:
        patch.setattr(owner, name, full)
        arguments = (opened,) if act == "undo" else (opened, gap(opened.project, 12.0))
        finding = refused("STORE-002", getattr(folder, act), *arguments)
    assert "No space left" in finding.sentence
    assert folder.open().content == opened.content
    assert not list(folder.path.glob("**/.cage.json.*"))
    again = folder.save(folder.open(), gap(opened.project, 13.0))
    assert gap_of(again) == 13.0
    assert gap_of(folder.undo(again)) == 11.0


def test_a_scan_is_kept_as_given_or_not_at_all(folder, tmp_path, monkeypatch):
    source = tmp_path / "Scan of car.STL"
    source.write_bytes(b"solid" * 1000)
    name = folder.keep_scan(source, "ab" * 32)
    assert name == "abababababab.stl"
    assert (folder.scans / name).read_bytes() == source.read_bytes()
    assert folder.keep_scan(source, "ab" * 32) == name

    def full(_source, target):
        Path(target).write_bytes(b"half")
        raise FULL

    with monkeypatch.context() as patch:
        patch.setattr("hoopwright.store.kept_scans.shutil.copyfile", full)
        refused("STORE-002", folder.keep_scan, source, "cd" * 32)
    assert [p.name for p in folder.scans.iterdir()] == [name]


SAVING = """
import sys
from dataclasses import fields, replace
from pathlib import Path
from hoopwright.cage import Limits
from hoopwright.store import ProjectFolder
folder = ProjectFolder(path=Path(sys.argv[1]))
opened = folder.open()
print("go", flush=True)
while True:
    mm = float(opened.step)
    project = replace(opened.project, cage=replace(opened.project.cage, limits=Limits(gap_mm=mm)))
    opened = folder.save(opened, project)
    if opened.step % 3 == 0:
        opened = folder.undo(opened)
"""


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="needs SIGKILL")
def test_a_process_killed_while_saving_leaves_a_whole_project(folder):
    """Twenty times, at random moments of a loop of saves and undos: the file is whole, and saving goes on."""
    chance = random.Random(4)  # noqa: S311
    steps = []
    for _ in range(20):
        with subprocess.Popen(
            [sys.executable, "-c", SAVING, str(folder.path)], stdout=subprocess.PIPE, text=True
        ) as child:
            assert child.stdout.readline() == "go\n"
            time.sleep(chance.uniform(0.0, 0.03))
            child.send_signal(signal.SIGKILL)
        opened = folder.open()
        for kept in folder.path.glob("history/*.json"):
            assert from_json(kept.read_bytes(), kept.name)[1] == int(kept.stem)
        saved = folder.save(opened, gap(opened.project, 77.0))
        assert gap_of(folder.undo(saved)) == gap_of(opened)
        steps.append(opened.step)
    assert max(steps) > 3
