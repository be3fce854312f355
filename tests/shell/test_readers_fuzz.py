"""Damaged files of every kind: a scan or words, never anything else and never much memory."""

import io
import struct
import tracemalloc
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hoopwright.findings import UserError
from hoopwright.shell.readers import read_scan

MOST_BYTES = 150_000_000
FUZZ = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])

POINTS = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 1]], dtype=np.float32)
FACES = np.array([[0, 1, 2], [0, 1, 3], [1, 2, 4]], dtype=np.int32)


def _stl() -> bytes:
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *POINTS[face].ravel(), 0) for face in FACES)
    return b"solid of no text".ljust(80) + struct.pack("<I", len(FACES)) + body


def _stl_text() -> bytes:
    loops = "".join(
        "facet normal 0 0 0\nouter loop\n"
        + "".join("vertex {} {} {}\n".format(*POINTS[corner]) for corner in face)
        + "endloop\nendfacet\n"
        for face in FACES
    )
    return f"solid a\n{loops}endsolid a\n".encode()


def _ply(order: str, count: str = "uchar") -> bytes:
    name = {"": "ascii", "<": "binary_little_endian", ">": "binary_big_endian"}[order]
    head = (
        f"ply\nformat {name} 1.0\nelement vertex 5\nproperty float x\nproperty float y\nproperty float z\n"
        f"property list uchar short extra\nelement face 3\nproperty list {count} int vertex_indices\n"
        "end_header\n"
    ).encode()
    if order == "":
        rows = ["{} {} {} 2 7 8".format(*point) for point in POINTS]
        rows += ["3 {} {} {}".format(*face) for face in FACES]
        return head + "\n".join(rows).encode() + b"\n"
    body = b"".join(struct.pack(order + "3fB2h", *point, 2, 7, 8) for point in POINTS)
    width = {"uchar": "B", "int": "i"}[count]
    body += b"".join(struct.pack(order + width + "3i", 3, *face) for face in FACES)
    return head + body


def _obj() -> bytes:
    lines = ["v {} {} {}".format(*point) for point in POINTS]
    lines += ["f {}/1/1 {}//2 {}".format(*(face + 1)) for face in FACES]
    return "\n".join(lines).encode()


def _ptx() -> bytes:
    head = "2\n3\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n1 0 0 0\n0 1 0 0\n0 0 1 0\n5 6 7 1\n"
    rows = "".join("{} {} {} 0.5\n".format(*point) for point in [*POINTS, (0, 0, 0)])
    return (2 * (head + rows)).encode()


def _pts() -> bytes:
    return ("5\n" + "".join("{};{};{};0.5\n".format(*point) for point in POINTS)).encode()


def _glb() -> bytes:
    trimesh = pytest.importorskip("trimesh")
    mesh = trimesh.Trimesh(vertices=POINTS, faces=FACES, process=False)
    return bytes(mesh.export(file_type="glb"))


@cache
def _las(packed: bool, point_format: int = 3) -> bytes:
    laspy = pytest.importorskip("laspy")
    las = laspy.create(point_format=point_format, file_version="1.2" if point_format < 6 else "1.4")
    las.header.scales = [0.001] * 3
    las.x, las.y, las.z = np.tile(POINTS, (50, 1)).astype(np.float64).T
    out = io.BytesIO()
    las.write(out, do_compress=packed)
    return out.getvalue()


@cache
def _e57() -> bytes:
    pye57 = pytest.importorskip("pye57")
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.e57"
        with pye57.E57(str(path), mode="w") as file:
            x, y, z = POINTS.astype(np.float64).T
            file.write_scan_raw({"cartesianX": x.copy(), "cartesianY": y.copy(), "cartesianZ": z.copy()})
        return path.read_bytes()


def _crc32c(data: bytes) -> int:
    crc = 0xFFFFFFFF
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = (crc >> 1) ^ (0x82F63B78 if crc & 1 else 0)
    return crc ^ 0xFFFFFFFF


def _with_true_checksums(data: bytes, pages: set[int]) -> bytes:
    """The same E57 file with the checksums of the given pages made good again."""
    out = bytearray(data)
    for page in pages:
        start = page * 1024
        if start + 1024 <= len(out):
            out[start + 1020 : start + 1024] = struct.pack(">I", _crc32c(bytes(out[start : start + 1020])))
    return bytes(out)


MAKERS = {
    "binary.stl": _stl,
    "text.stl": _stl_text,
    "text.ply": lambda: _ply(""),
    "little.ply": lambda: _ply("<"),
    "big.ply": lambda: _ply(">", "int"),
    "plain.obj": _obj,
    "two.ptx": _ptx,
    "counted.pts": _pts,
    "made.glb": _glb,
    "plain.las": lambda: _las(False),
    "packed.laz": lambda: _las(True),
    "layered.laz": lambda: _las(True, 6),
    "made.e57": _e57,
}


def _survives(path: Path, data: bytes, capfd: pytest.CaptureFixture[str]) -> None:
    path.write_bytes(data)
    tracemalloc.start()
    refused: UserError | None = None
    try:
        scan = read_scan(path)
    except UserError as error:
        refused = error
    else:
        assert np.isfinite(scan.points).all()
        assert len(scan.points) > 0
        assert scan.points.dtype == np.float32
        assert scan.triangles.dtype == np.int32
        if len(scan.triangles):
            assert 0 <= scan.triangles.min() <= scan.triangles.max() < len(scan.points)
    finally:
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert peak < MOST_BYTES
    if refused is not None:
        assert all(one.code.startswith("SCAN-0") and one.sentence and one.todo for one in refused.findings)
    assert path.read_bytes() == data
    printed = capfd.readouterr()
    assert printed.out == printed.err == ""


@pytest.mark.parametrize("name", MAKERS)
def test_whole_file_reads(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(MAKERS[name]())
    scan = read_scan(path)
    points = scan.points if name != "two.ptx" else scan.points - np.float32([5, 6, 7])
    at_origin = 0 if name == "two.ptx" else 1  # in PTX a point at the scanner is no return
    assert {tuple(point) for point in points.tolist()} == {tuple(p) for p in POINTS.tolist()[1 - at_origin :]}
    is_mesh = name.endswith(("stl", "ply", "obj", "glb"))
    assert len(scan.triangles) == (len(FACES) if is_mesh else 0)
    if is_mesh:
        corners = scan.points[scan.triangles]
        np.testing.assert_array_equal(corners, POINTS[FACES])


@pytest.mark.parametrize("name", MAKERS)
@FUZZ
@given(share=st.floats(0, 1))
def test_cut_short(name: str, tmp_path: Path, capfd: pytest.CaptureFixture[str], share: float) -> None:
    data = MAKERS[name]()
    _survives(tmp_path / name, data[: int(share * (len(data) - 1))], capfd)


CHANGES = st.lists(
    st.tuples(
        st.floats(0, 1, exclude_max=True),
        st.sampled_from([0, 1, 9, 32, 45, 127, 128, 255]) | st.integers(0, 255),
    ),
    min_size=1,
    max_size=6,
)


@pytest.mark.parametrize("name", MAKERS)
@FUZZ
@given(changes=CHANGES)
def test_bytes_changed(
    name: str, tmp_path: Path, capfd: pytest.CaptureFixture[str], changes: list[tuple[float, int]]
) -> None:
    data = bytearray(MAKERS[name]())
    for share, value in changes:
        data[int(share * len(data))] = value
    _survives(tmp_path / name, bytes(data), capfd)


@FUZZ
@given(changes=CHANGES)
def test_e57_changed_under_true_checksums(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], changes: list[tuple[float, int]]
) -> None:
    data = bytearray(_e57())
    places = [int(share * len(data)) for share, _ in changes]
    for place, (_, value) in zip(places, changes, strict=True):
        data[place] = value
    whole = _with_true_checksums(bytes(data), {place // 1024 for place in places})
    _survives(tmp_path / "made.e57", whole, capfd)


def test_checksums_of_the_fuzz_are_those_of_the_library() -> None:
    data = _e57()
    assert _with_true_checksums(data, set(range(len(data) // 1024))) == data


@FUZZ
@given(
    data=st.binary(max_size=300), suffix=st.sampled_from(["stl", "ply", "obj", "ptx", "xyz", "bin", "e57"])
)
def test_noise(tmp_path: Path, capfd: pytest.CaptureFixture[str], data: bytes, suffix: str) -> None:
    _survives(tmp_path / f"noise.{suffix}", data, capfd)


@FUZZ
@given(
    text=st.text(alphabet="0123456789.,;-+eE \t\n\rvf/#naifx", max_size=200),
    suffix=st.sampled_from(["obj", "ptx", "xyz", "pts"]),
)
def test_noise_of_numbers(tmp_path: Path, capfd: pytest.CaptureFixture[str], text: str, suffix: str) -> None:
    _survives(tmp_path / f"noise.{suffix}", text.encode(), capfd)
