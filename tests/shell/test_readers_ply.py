"""PLY files, text and binary; trimesh is the outside writer."""

import struct
from pathlib import Path

import numpy as np
import pytest

from hoopwright.findings import UserError
from hoopwright.shell.readers import read_scan

NAMES = {"": "ascii", "<": "binary_little_endian", ">": "binary_big_endian"}
PENTAGON = [(0, 0, 0), (2, 0, 0), (3, 2, 0), (1, 3, 0), (-1, 2, 0)]
FAN = [[0, 1, 2], [0, 2, 3], [0, 3, 4]]


def put(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def write(path: Path, order: str, head: str, rows: list[tuple[str, list[float]]], end: str = "\n") -> Path:
    """A PLY file; each row is a struct format and its values."""
    lines = f"ply\nformat {NAMES[order]} 1.0\ncomment made by a test\n{head}end_header\n".replace("\n", end)
    if order == "":
        body = "".join(" ".join(f"{value:g}" for value in values) + end for _, values in rows).encode()
    else:
        body = b"".join(struct.pack(order + form, *values) for form, values in rows)
    return put(path, lines.encode() + body)


def refused(path: Path) -> str:
    with pytest.raises(UserError) as caught:
        read_scan(path)
    return str(caught.value)


MESH = (
    "element vertex 5\nproperty uchar red\nproperty double y\nproperty float x\nproperty int z\n"
    "property list uchar float weights\n"
    "element edge 2\nproperty list uchar short ends\nproperty float length\n"
    "element face 4\nproperty uchar flags\nproperty list uint8 uint vertex_index\n"
    "property list int double uv\n"
    "element tail 1\nproperty float end\n"
)


def mesh_rows() -> list[tuple[str, list[float]]]:
    rows: list[tuple[str, list[float]]] = []
    for at, (x, y, z) in enumerate(PENTAGON):
        rows.append((f"Bdfi B{at}f", [9, y, x, z, at, *range(at)]))
    rows += [("B2hf", [2, 0, 1, 0.5]), ("B1hf", [1, 0, 0.5])]
    rows.append(("BB5I i2d", [1, 5, 0, 1, 2, 3, 4, 2, 0.5, 0.5]))
    rows.append(("BB2I i0d", [1, 2, 0, 1, 0]))
    rows.append(("BB3I i1d", [1, 3, 4, 3, 1, 1, 0.5]))
    rows.append(("BB4I i0d", [1, 4, 0, 1, 2, 4, 0]))
    rows.append(("f", [7.0]))
    return rows


@pytest.mark.parametrize("order", NAMES)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_polygons_lists_and_strange_properties(tmp_path: Path, order: str, end: str) -> None:
    rows = [(form.replace(" ", ""), values) for form, values in mesh_rows()]
    scan = read_scan(write(tmp_path / "a.ply", order, MESH, rows, end))
    np.testing.assert_array_equal(scan.points, np.float32(PENTAGON))
    assert scan.triangles.tolist() == [*FAN, [4, 3, 1], [0, 1, 2], [0, 2, 4]]
    assert scan.findings == ()


@pytest.mark.parametrize("order", NAMES)
def test_faces_before_points(tmp_path: Path, order: str) -> None:
    head = (
        "element face 2\nproperty list uchar int vertex_indices\n"
        "element vertex 5\nproperty float x\nproperty float y\nproperty float z\n"
    )
    rows: list[tuple[str, list[float]]] = [("B3i", [3, 0, 1, 2]), ("B4i", [4, 0, 2, 3, 4])]
    rows += [("3f", list(point)) for point in PENTAGON]
    scan = read_scan(write(tmp_path / "a.ply", order, head, rows))
    assert scan.triangles.tolist() == FAN
    np.testing.assert_array_equal(scan.points, np.float32(PENTAGON))


@pytest.mark.parametrize("order", NAMES)
def test_cloud_with_map_coordinates_keeps_millimetres(tmp_path: Path, order: str) -> None:
    head = "element vertex 5\nproperty double x\nproperty double y\nproperty double z\nelement face 0\n"
    head += "property list uchar int vertex_indices\n"
    places = np.array(PENTAGON) * 0.001 + [636000.0, 850000.0, 430.0]
    rows = [("3d", list(place)) for place in places]
    path = write(tmp_path / "a.ply", order, head, rows)
    if order == "":
        text = "".join(f"{x:.3f} {y:.3f} {z:.3f}\n" for x, y, z in places)
        put(path, path.read_bytes().split(b"end_header\n")[0] + b"end_header\n" + text.encode())
    scan = read_scan(path)
    assert scan.is_cloud
    assert scan.offset.tolist() == [636000.0, 850000.0, 430.0]
    np.testing.assert_allclose(scan.points, np.array(PENTAGON) * 0.001, atol=1e-9)
    assert [one.code for one in scan.findings] == ["SCAN-010"]


@pytest.mark.parametrize("encoding", ["ascii", "binary_little_endian", "binary_big_endian"])
def test_what_trimesh_writes(tmp_path: Path, encoding: str) -> None:
    trimesh = pytest.importorskip("trimesh")
    ball = trimesh.creation.icosphere(subdivisions=3)
    kind = "binary" if encoding == "binary_big_endian" else encoding.removesuffix("_little_endian")
    data = ball.export(file_type="ply", encoding=kind, vertex_normal=True)
    scan = read_scan(put(tmp_path / "a.ply", data))
    np.testing.assert_array_equal(scan.triangles, ball.faces)
    np.testing.assert_allclose(scan.points, ball.vertices, atol=1e-7)


def test_indices_that_are_not_there(tmp_path: Path) -> None:
    head = "element vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
    head += "element face 4\nproperty list uchar uint vertex_indices\n"
    faces = [[0, 1, 2], [0, 1, 3], [0, 0, 1], [0, 1, 2**32 - 1]]
    rows: list[tuple[str, list[float]]] = [("3f", list(point)) for point in PENTAGON[:3]]
    rows += [("B3I", [3, *face]) for face in faces]
    scan = read_scan(write(tmp_path / "a.ply", "<", head, rows))
    assert scan.triangles.tolist() == [[0, 1, 2]]
    assert [(one.code, one.measured) for one in scan.findings] == [("SCAN-007", 3)]


def test_points_that_are_no_numbers_take_their_triangles(tmp_path: Path) -> None:
    head = "element vertex 5\nproperty float x\nproperty float y\nproperty float z\n"
    head += "element face 3\nproperty list uchar uint vertex_indices\n"
    points = [list(point) for point in PENTAGON]
    points[1][2] = np.nan
    rows = [("3f", point) for point in points] + [("B3I", [3, *face]) for face in FAN]
    scan = read_scan(write(tmp_path / "a.ply", "<", head, rows))
    np.testing.assert_array_equal(scan.points, np.float32(PENTAGON)[[0, 2, 3, 4]])
    assert scan.triangles.tolist() == [[0, 1, 2], [0, 2, 3]]
    assert [(one.code, one.measured) for one in scan.findings] == [("SCAN-005", 1)]


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        (b"element vertex 5", b"element vertex 6", "SCAN-003"),
        (b"element vertex 5", b"element vertex -5", "SCAN-003"),
        (b"element vertex 5", b"element vertex 4000000000", "SCAN-009"),
        (b"element vertex 5", b"element vertex 0", "SCAN-004"),
        (b"float z", b"float height", "SCAN-004"),
        (b"float z", b"quad z", "SCAN-003"),
        (b"format", b"formed", "SCAN-003"),
        (b"end_header", b"end_headed", "SCAN-003"),
        (b"ply\n", b"plx\n", "SCAN-002"),
    ],
)
def test_heads_that_lie(tmp_path: Path, old: bytes, new: bytes, code: str) -> None:
    head = "element vertex 5\nproperty float x\nproperty float y\nproperty float z\n"
    path = write(tmp_path / "a.ply", "<", head, [("3f", list(point)) for point in PENTAGON])
    data = path.read_bytes()
    assert len(read_scan(path).points) == 5
    assert refused(put(path, data.replace(old, new))).startswith(code)


def test_text_names_the_line(tmp_path: Path) -> None:
    head = "element vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
    text = f"ply\nformat ascii 1.0\n{head}end_header\n1 2 3\n4 five 6\n7 8 9\n"
    assert "line 9" in refused(put(tmp_path / "a.ply", text.encode()))


def test_strips_are_refused_in_words(tmp_path: Path) -> None:
    head = "element vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
    head += "element tristrips 1\nproperty list int int vertex_indices\n"
    rows: list[tuple[str, list[float]]] = [("3f", list(point)) for point in PENTAGON[:3]]
    message = refused(write(tmp_path / "a.ply", "<", head, [*rows, ("4i", [3, 0, 1, 2])]))
    assert message.startswith("SCAN-002")
    assert "strips" in message
