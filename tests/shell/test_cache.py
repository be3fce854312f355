"""A prepared scan kept on disk: the same numbers, or nothing."""

import errno
import json
import os
import shutil
from dataclasses import fields, replace

import numpy as np
import pytest

from hoopwright.geometry import Transform
from hoopwright.shell import cache
from hoopwright.shell.cache import content_hash, load_prepared, save_prepared
from hoopwright.shell.clearance import measure_gaps
from hoopwright.shell.shell import make_shell


@pytest.fixture
def kept(section_shell, tmp_path):
    save_prepared(section_shell.prepared, tmp_path / "scan.cache", "key")
    return tmp_path / "scan.cache"


def test_a_reopened_scan_gives_identical_numbers(bodies, section_shell, kept):
    loaded = load_prepared(kept, "key")
    for part in ("tree", "surfels", "regions"):
        for field in fields(getattr(loaded, part)):
            ours, theirs = (
                getattr(getattr(one, part), field.name) for one in (loaded, section_shell.prepared)
            )
            assert np.array_equal(ours, theirs), field.name
    for field in fields(loaded):
        if field.name not in ("tree", "surfels", "regions"):
            assert np.array_equal(getattr(loaded, field.name), getattr(section_shell.prepared, field.name))
    again = make_shell(loaded, Transform.identity("scan", "vehicle"))
    assert again.region_names == section_shell.region_names
    tube = bodies.tube_along(bodies.hoop())
    ours, theirs = (measure_gaps(shell, [tube])[0] for shell in (again, section_shell))
    assert np.array_equal(ours.gap_mm, theirs.gap_mm)
    assert ours.regions == theirs.regions


def test_a_cloud_comes_back_as_a_cloud(bodies, tmp_path):
    points = np.random.default_rng(1).uniform(0.0, 1500.0, (20_000, 3))
    prepared = bodies.shell_of(bodies.as_cloud(points)).prepared
    prepared = replace(prepared, offset_mm=np.array([6.36e8, 8.5e8, 12.0]))
    save_prepared(prepared, tmp_path / "c", "k")
    loaded = load_prepared(tmp_path / "c", "k")
    assert loaded.is_cloud
    assert loaded.spacing_mm == prepared.spacing_mm
    assert np.array_equal(loaded.offset_mm, prepared.offset_mm)


def test_another_key_another_version_or_none_gives_nothing(kept, monkeypatch):
    assert load_prepared(kept, "other") is None
    assert load_prepared(kept.with_name("nowhere"), "key") is None
    monkeypatch.setattr(cache, "CACHE_VERSION", cache.CACHE_VERSION + 1)
    assert load_prepared(kept, "key") is None


ARRAYS = ["tree.boxes.npy", "tree.corners.npy", "surfels.normal.npy", "regions.of_node.npy"]


@pytest.mark.parametrize("name", [*ARRAYS, "numbers.json"])
@pytest.mark.parametrize("damage", ["gone", "empty", "cut", "header", "text"])
def test_damage_gives_nothing_never_a_crash(kept, name, damage):
    file = kept / name
    content = file.read_bytes()
    if damage == "gone":
        file.unlink()
    else:
        spoilt = {"empty": b"", "cut": content[: len(content) // 2], "header": b"\0" * 40, "text": b"[1, 2]"}
        file.write_bytes(spoilt[damage])
    assert load_prepared(kept, "key") is None


@pytest.mark.parametrize("name", ARRAYS)
def test_arrays_of_another_scan_or_kind_give_nothing(kept, name):
    np.save(kept / name, np.zeros((3, 2)))
    assert load_prepared(kept, "key") is None


def test_keys_of_the_wrong_kind_give_nothing(kept):
    numbers = json.loads((kept / "numbers.json").read_text())
    for key, wrong in (("offset_mm", "far"), ("cell_mm", None), ("spacing_mm", [1]), ("version", None)):
        (kept / "numbers.json").write_text(json.dumps({**numbers, key: wrong}))
        assert load_prepared(kept, "key") is None, key


def test_killed_while_writing_leaves_no_half_cache(section_shell, tmp_path, monkeypatch):
    """A kill is a break at any array: the folder of that name is not there, or is the whole one before."""

    class Killed(BaseException):
        pass

    real, left = np.save, []

    def dying(*args, **kwargs):
        if not left:
            raise Killed
        left.pop()
        real(*args, **kwargs)

    for before in (False, True):
        folder = tmp_path / f"scan-{before}"
        if before:
            monkeypatch.setattr(np, "save", real)
            save_prepared(section_shell.prepared, folder, "old")
        for count in (0, 3, 9):
            left[:] = [None] * count
            monkeypatch.setattr(np, "save", dying)
            with pytest.raises(Killed):
                save_prepared(section_shell.prepared, folder, "new")
            assert load_prepared(folder, "new") is None
            assert (load_prepared(folder, "old") is not None) is before
    for leftover in tmp_path.glob(".scan*"):
        os.utime(leftover, (0.0, 0.0))
    monkeypatch.setattr(np, "save", real)
    save_prepared(section_shell.prepared, tmp_path / "scan-True", "new")
    assert not list(tmp_path.glob(".scan-True*"))


@pytest.mark.parametrize("where", ["save", "mkdtemp", "mkdir"])
def test_a_full_disk_costs_the_cache_and_never_the_job(section_shell, tmp_path, monkeypatch, where):
    def full(*_args, **_kwargs):
        raise OSError(errno.ENOSPC, "No space left on device")

    owner = {"save": np, "mkdtemp": cache.tempfile, "mkdir": cache.Path}[where]
    monkeypatch.setattr(owner, where, full)
    save_prepared(section_shell.prepared, tmp_path / "deep" / "scan", "key")
    monkeypatch.undo()
    assert load_prepared(tmp_path / "deep" / "scan", "key") is None
    assert not list(tmp_path.glob("**/*.npy"))


def test_saving_again_takes_the_place_of_the_old_one(section_shell, kept):
    save_prepared(section_shell.prepared, kept, "newer")
    assert load_prepared(kept, "key") is None
    assert load_prepared(kept, "newer") is not None
    assert [path.name for path in kept.parent.iterdir()] == [kept.name]
    shutil.rmtree(kept)


def test_the_hash_is_that_of_the_content(tmp_path):
    (tmp_path / "a").write_bytes(b"abc")
    # SHA-256 of "abc": FIPS 180-4, example
    assert content_hash(tmp_path / "a") == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )


@pytest.mark.parametrize("name", ["tree.corners", "regions.of_triangle", "surfels.middle_mm"])
def test_one_flipped_bit_gives_nothing(kept, name):
    file = kept / f"{name}.npy"
    content = bytearray(file.read_bytes())
    content[len(content) // 2] ^= 1
    file.write_bytes(bytes(content))
    assert load_prepared(kept, "key") is None
