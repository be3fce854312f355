"""A disk that is full while a project is changed: the job stops with words, and the project is as it was."""

import errno
import os
import shutil

import pytest


def full(*_words, **_more):
    raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize(
    "words",
    [
        ("bar", "move", "{project}", "MH", "2", "--", "-900,638,620"),
        ("bar", "remove", "{project}", "SB-R"),
        ("scan", "{project}", "--tape", "roof: 1118: =-300,0,0: -300,0,1118"),
        ("undo", "{project}"),
        ("calibrate", "{other}", "--project", "{project}"),
        ("sheets", "{project}"),
    ],
    ids=lambda words: words[0] + " " + words[1].replace("{project}", "").replace("{other}", ""),
)
def test_nothing_is_half_written(hoopwright, project, files, tmp_path, state, monkeypatch, words):
    other = tmp_path / "other.toml"
    other.write_text((files / "samples.toml").read_text(encoding="utf-8") + "# again\n", encoding="utf-8")
    before = state(project)
    monkeypatch.setattr(os, "fsync", full)
    (finding,) = hoopwright.keys(*(word.format(project=project, other=other) for word in words), status=1)[
        "findings"
    ]
    monkeypatch.undo()
    assert finding["code"] == "STORE-002"
    assert "No space left" in finding["sentence"]
    assert state(project) == before


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("papers", ("picture", "{project}")),
        ("papers", ("sheets", "{project}")),
        ("calibrations", ("calibrate", "{samples}", "--project", "{project}")),
    ],
)
def test_a_file_in_the_place_of_a_folder_stops(hoopwright, project, files, place, words):
    shutil.rmtree(project / place, ignore_errors=True)
    if words[0] == "sheets":
        hoopwright.keys("bar", "move", project, "MH", "2", "--", "-900,639,620")
    (project / place).write_text("in the way", encoding="utf-8")
    named = (word.format(project=project, samples=files / "samples.toml") for word in words)
    assert hoopwright.stops(*named) == ["STORE-002"]
    assert (project / place).read_text(encoding="utf-8") == "in the way"


def test_a_scan_that_does_not_fit_is_not_taken_in(hoopwright, empty, files, state, monkeypatch):
    before = state(empty)
    monkeypatch.setattr(shutil, "copyfile", full)
    scan = ("scan", empty, files / "shell.stl", "--unit", "mm", "--as-given")
    assert hoopwright.stops(*scan) == ["STORE-002"]
    monkeypatch.undo()
    assert state(empty) == before


def test_a_cache_that_does_not_fit_costs_time_alone(hoopwright, project, monkeypatch):
    import numpy as np

    before = hoopwright.keys("check", project)
    for cache in (project / "scans").glob("*.cache"):
        shutil.rmtree(cache)
    monkeypatch.setattr(np, "save", full)
    assert hoopwright.keys("check", project) == before
    assert not list((project / "scans").glob("*.cache*"))
