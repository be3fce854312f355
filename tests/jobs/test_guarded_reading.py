"""A file from outside ends its own reader and nothing else."""

import io
import sys
import zipfile

import numpy as np
import pytest

from hoopwright.findings import UserError
from hoopwright.jobs import guarded_reading
from hoopwright.jobs.guarded_reading import ReadingLimits, read_guarded
from hoopwright.shell.readers import read_scan


@pytest.fixture
def points(tmp_path):
    file = tmp_path / "points.xyz"
    np.savetxt(file, np.random.default_rng(3).uniform(-2000.0, 2000.0, (400, 3)), fmt="%.3f")
    return file


def code_of(path, **limits):
    with pytest.raises(UserError) as stopped:
        read_guarded(path, limits=ReadingLimits(**limits))
    assert not list(path.parent.glob("*.npz"))
    return stopped.value.findings[0].code


def test_it_reads_what_the_reader_reads(points):
    told = []
    guarded = read_guarded(points, progress=lambda stage, share: told.append((stage, share)))
    plain = read_scan(points)
    assert np.array_equal(guarded.points, plain.points)
    assert np.array_equal(guarded.triangles, plain.triangles)
    assert (guarded.source_name, guarded.declared_unit, guarded.findings) == (
        plain.source_name,
        plain.declared_unit,
        plain.findings,
    )
    assert told


def test_what_the_reader_says_comes_through(tmp_path):
    file = tmp_path / "cut.stl"
    file.write_bytes(b"x" * 80 + np.uint32(1000).tobytes() + b"\0" * 100)
    with pytest.raises(UserError) as plain:
        read_scan(file)
    with pytest.raises(UserError) as guarded:
        read_guarded(file)
    assert guarded.value.findings == plain.value.findings


def test_a_packed_bomb_is_no_scan(tmp_path):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("scan.stl", b"\0" * 50_000_000)
    file = tmp_path / "scan.stl"
    file.write_bytes(packed.getvalue())
    assert code_of(file).startswith("SCAN-")


def test_too_long(points):
    assert code_of(points, time_s=0.05) == "WEB-090"


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux holds a process to its memory")
def test_too_much_memory(tmp_path):
    file = tmp_path / "many.stl"
    rows = 400_000
    file.write_bytes(b"many".ljust(80) + np.uint32(rows).tobytes() + b"\0" * (50 * rows))
    # what the libraries take by themselves differs from machine to machine; none reads anything in so little
    assert code_of(file, memory_mib=120) in {"WEB-091", "WEB-092"}


def test_a_reader_that_breaks_down_takes_nothing_with_it(points, monkeypatch):
    monkeypatch.setattr(guarded_reading, "_run", lambda *_: -11)
    assert code_of(points) == "WEB-092"


def test_stopping_ends_the_reader(points):
    class StoppedError(Exception):
        pass

    def stop(stage, share):
        raise StoppedError

    with pytest.raises(StoppedError):
        read_guarded(points, progress=stop)
