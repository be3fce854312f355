"""Records of a stick: nothing that was acknowledged is lost, nothing is doubled, whatever is killed when."""

import errno
import os
import signal
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from hoopwright.bender import BendNumbers, Springback, a_to_b
from hoopwright.bender.bend_job import plan_job
from hoopwright.bender.rescue.records import Bands, Reading, Started, Taped
from hoopwright.bender.rescue.session import standing
from hoopwright.findings import UserError
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import (
    add_record,
    bending_locked,
    last_stick,
    new_stick,
    read_stick,
)
from hoopwright.store.journal import append_record

EARLIER = Path(__file__).parent / "data"
CAL_1 = BendNumbers(clr_mm=137.5, used_per_deg_mm=2.3556, start_offset_mm=11.5)
LINE = Springback(
    constant_deg=0.777, per_command_deg=0.0301, covariance=((0.0, 0.0), (0.0, 0.0)), scatter_sd_deg=0.1
)


def reading(key, released_deg=18.0):
    return Reading(step=1, released_deg=released_deg, at="2026-03-14T10:00:00", key=key)


@pytest.fixture
def folder(tmp_path):
    return ProjectFolder(path=tmp_path)


@pytest.fixture
def begun(bodies, folder):
    """A stick with its first record."""
    job, plan = plan_job(bodies.hoop(), CAL_1, a_to_b(4), trim_a_mm=30.0, trim_b_mm=30.0)
    first = Started(
        bar_id="MH", revision=1, identity="abc", stick=1, job=job, plan=plan, line=LINE, die_reach_deg=180.0,
        swings="clockwise", bands=Bands(), calibration="Cal-1", die="45", batch="", at="", key="MH-r1-1",
    )  # fmt: skip
    with bending_locked(folder):
        file, _ = new_stick(folder, "MH", 1)
        return add_record(read_stick(file), first)


def with_readings(stick, count):
    for number in range(count):
        stick = add_record(stick, reading(f"k{number}", 18.0 + number / 7.0))
    return stick


def test_what_is_written_is_read(begun):
    stick = with_readings(begun, 3)
    again = read_stick(stick.file)
    assert again.records == stick.records
    assert again.journal == stick.journal
    assert again.journal.findings == ()


def test_a_last_line_broken_off_anywhere_is_dropped_and_said(begun):
    stick = with_readings(begun, 2)
    whole = stick.file.read_bytes()
    *_, last = whole.splitlines(keepends=True)
    for kept in (1, 2, 3, *range(4, len(last), 17), len(last) - 1):
        stick.file.write_bytes(whole[: len(whole) - kept])
        found = read_stick(stick.file)
        assert found.records == stick.records[:-1]
        assert [finding.code for finding in found.journal.findings] == ["STORE-008"]
        sent_again = add_record(found, stick.records[-1])
        assert stick.file.read_bytes() == whole
        assert sent_again.records == stick.records


def test_a_first_line_broken_off_was_never_begun(begun, folder):
    begun.file.write_bytes(begun.file.read_bytes()[:-1])
    assert last_stick(folder, "MH") is None
    assert new_stick(folder, "MH", 1) == (begun.file, 1)
    assert add_record(read_stick(begun.file), begun.records[0]).records == begun.records


@pytest.mark.parametrize(
    "spoil",
    [
        lambda lines: [lines[0], lines[1].replace(b"18.0", b"19.0"), *lines[2:]],
        lambda lines: [lines[0], *lines[2:]],
        lambda lines: [lines[0], lines[2], lines[1], *lines[3:]],
        lambda lines: [lines[0], lines[1], lines[1], *lines[2:]],
        lambda lines: [lines[0], b"\xff\xfe" * 40 + b"\n", *lines[2:]],
        lambda lines: [lines[0], b"[" * 100_000 + b"\n", *lines[2:]],
        lambda lines: [b'{"record": {"kind": "started"}, "check": "0"}\n', *lines[1:]],
        lambda lines: [b"null\n", *lines[1:]],
        lambda lines: lines[1:],
    ],
)
def test_a_line_changed_by_hand_stops(begun, spoil):
    stick = with_readings(begun, 3)
    spoilt = b"".join(spoil(stick.file.read_bytes().splitlines(keepends=True)))
    stick.file.write_bytes(spoilt)
    with pytest.raises(UserError) as stop:
        read_stick(stick.file)
    assert [finding.code for finding in stop.value.findings] == ["STORE-009"]
    assert stick.file.read_bytes() == spoilt


def test_records_of_a_newer_version_are_not_read(begun):
    newer = begun.file.with_name("MH-r9.jsonl")
    stick = add_record(read_stick(newer), replace(begun.records[0], version=2))
    with pytest.raises(UserError) as stop:
        read_stick(stick.file)
    assert [finding.code for finding in stop.value.findings] == ["STORE-004"]


def test_a_record_of_a_kind_that_came_later_asks_for_the_newer_version(begun):
    stick = with_readings(begun, 1)
    append_record(stick.file, stick.journal, {"kind": "weighed", "mass_kg": 4.0, "key": "w"})
    before = stick.file.read_bytes()
    with pytest.raises(UserError) as stop:
        read_stick(stick.file)
    assert [finding.code for finding in stop.value.findings] == ["STORE-004"]
    assert "line 3" in stop.value.findings[0].sentence
    assert stick.file.read_bytes() == before


def test_a_file_from_before_distances_were_kept_is_read_and_goes_on(tmp_path):
    """Lines as they were written before `taped` was a kind of record."""
    old = tmp_path / "bending" / "MH-r1.jsonl"
    old.parent.mkdir()
    old.write_bytes((EARLIER / "bending-before-distances.jsonl").read_bytes())
    stick = read_stick(old)
    assert [one.kind for one in stick.records] == ["started", "reading", "reading", "reading", "reading"]
    # nor did they say on which device a bend was read
    assert {one.device for one in stick.records if isinstance(one, Reading)} == {""}
    now = standing(stick.records)
    assert (now.phase, now.taped) == ("done", ())
    more = add_record(stick, Taped(name="feet", measured_mm=1266.0, at="", key="t"))
    assert read_stick(old).records == more.records
    assert old.read_bytes().startswith((EARLIER / "bending-before-distances.jsonl").read_bytes())


def test_a_full_disk_leaves_what_was_there(begun, monkeypatch):
    before = begun.file.read_bytes()

    def full(_handle):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(UserError) as stop:
        add_record(begun, reading("k"))
    assert [finding.code for finding in stop.value.findings] == ["STORE-002"]
    assert begun.file.read_bytes() == before


def test_sticks_and_bars_are_told_apart(begun, folder):
    for name in ("MH-r1-2", "MH-r2", "MH-X-r7", "XMH-r9", "MH-r3.old"):
        (folder.bending / f"{name}.jsonl").write_bytes(begun.file.read_bytes())
    assert last_stick(folder, "MH").file.name == "MH-r2.jsonl"
    assert new_stick(folder, "MH", 1)[0].name == "MH-r1-3.jsonl"
    assert new_stick(folder, "MH", 3)[0].name == "MH-r3.jsonl"
    assert last_stick(folder, "M") is None


def add_until_killed(folder, acknowledge):
    """A device that sends reading after reading, each with its key, and says which were taken."""
    while True:
        with bending_locked(folder):
            stick = last_stick(folder, "MH")
            key = f"k{len(stick.records)}"
            add_record(stick, reading(key))
        os.write(acknowledge, f"{key}\n".encode())


def killed_many_times(folder, kills, seed):
    chance = np.random.default_rng(seed)
    acknowledged, torn = [], 0
    for _ in range(kills):
        read_end, write_end = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(read_end)
            try:
                add_until_killed(folder, write_end)
            finally:
                os._exit(1)
        os.close(write_end)
        time.sleep(chance.uniform(0.0, 0.15))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        with os.fdopen(read_end) as said:
            acknowledged += said.read().split()
        stick = last_stick(folder, "MH")
        torn += bool(stick.journal.torn)
        keys = [record.key for record in stick.records[1:]]
        assert keys == [f"k{number}" for number in range(1, len(keys) + 1)], "each once, in order"
        assert set(acknowledged) <= set(keys), "nothing acknowledged is lost"
        assert len(keys) - len(acknowledged) <= kills, "at most one for each kill was written and not said"
    return acknowledged, torn


@pytest.mark.skipif(sys.platform == "win32", reason="forks")
@pytest.mark.parametrize("kills", [20, pytest.param(1000, marks=pytest.mark.slow)])
def test_killed_at_any_moment(begun, folder, kills):
    acknowledged, _ = killed_many_times(folder, kills, seed=kills)
    assert len(acknowledged) == len(set(acknowledged))
    assert acknowledged
