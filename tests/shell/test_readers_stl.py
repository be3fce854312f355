"""STL files, binary and text; trimesh is the outside writer and reader."""

import struct
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.findings import Severity, UserError
from hoopwright.shell.readers import read_scan

TETRAHEDRON = np.array([[0, 0, 0], [2, 0, 0], [0, 3, 0], [0, 0, 4]], dtype=np.float32)
SIDES = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
SOUP = TETRAHEDRON[SIDES]


def binary(soup: NDArray[np.float32], *, head: bytes = b"", count: int | None = None) -> bytes:
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *corners.ravel(), 7) for corners in soup)
    return head.ljust(80) + struct.pack("<I", len(soup) if count is None else count) + body


def put(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def refused(path: Path) -> str:
    with pytest.raises(UserError) as caught:
        read_scan(path)
    assert all(one.severity is Severity.STOP for one in caught.value.findings)
    return str(caught.value)


def test_corners_at_one_place_become_one_point(tmp_path: Path) -> None:
    scan = read_scan(put(tmp_path / "a.stl", binary(SOUP)))
    assert len(scan.points) == 4
    np.testing.assert_array_equal(scan.points[scan.triangles], SOUP)
    assert scan.declared_unit is None
    assert scan.findings == ()
    assert not scan.offset.any()


def test_binary_that_begins_with_solid(tmp_path: Path) -> None:
    scan = read_scan(put(tmp_path / "a.stl", binary(SOUP, head=b"solid facet normal endsolid")))
    assert len(scan.triangles) == 4


def test_binary_under_another_suffix(tmp_path: Path) -> None:
    assert len(read_scan(put(tmp_path / "a.txt", binary(SOUP))).triangles) == 4


@pytest.mark.parametrize("file_type", ["stl", "stl_ascii"])
def test_what_trimesh_writes(tmp_path: Path, file_type: str) -> None:
    trimesh = pytest.importorskip("trimesh")
    ball = trimesh.creation.icosphere(subdivisions=3, radius=123.456)
    data = ball.export(file_type=file_type)
    scan = read_scan(put(tmp_path / "a.stl", data if isinstance(data, bytes) else data.encode()))
    assert len(scan.triangles) == len(ball.faces) == 1280
    assert len(scan.points) == len(ball.vertices) == 642
    np.testing.assert_allclose(scan.points[scan.triangles], ball.triangles, atol=1e-4)


def test_text_with_capitals_tabs_and_two_solids(tmp_path: Path) -> None:
    solid = (
        "SOLID part one\r\n\tFACET NORMAL 0 0 1\r\n\t\tOUTER LOOP\r\n\t\t\tVERTEX 1.5e0 -2.5E+1 .5\r\n"
        "\t\t\tVERTEX 1 0 0\r\n\t\t\tVERTEX 0 1 0\r\n\t\tENDLOOP\r\n\tENDFACET\r\nENDSOLID part one\r\n"
    )
    scan = read_scan(put(tmp_path / "a.stl", 2 * solid.encode()))
    assert len(scan.triangles) == 2
    assert [1.5, -25.0, 0.5] in scan.points.tolist()


def test_cut_short_says_expected_and_found(tmp_path: Path) -> None:
    message = refused(put(tmp_path / "a.stl", binary(SOUP)[:-60]))
    assert message.startswith("SCAN-003")
    assert "expected 4 triangles" in message
    assert "can hold 2" in message


def test_more_than_the_header_says(tmp_path: Path) -> None:
    message = refused(put(tmp_path / "a.stl", binary(SOUP, count=2)))
    assert message.startswith("SCAN-003")
    assert "2 triangles" in message


def test_few_spare_bytes_are_a_warning(tmp_path: Path) -> None:
    scan = read_scan(put(tmp_path / "a.stl", binary(SOUP) + b"\0" * 7))
    assert len(scan.triangles) == 4
    assert [(one.code, one.severity, one.measured) for one in scan.findings] == [
        ("SCAN-003", Severity.WARNING, 7)
    ]


def test_count_that_no_file_holds(tmp_path: Path) -> None:
    assert refused(put(tmp_path / "a.stl", binary(SOUP, count=2**32 - 1))).startswith("SCAN-009")


def test_no_triangles(tmp_path: Path) -> None:
    assert refused(put(tmp_path / "a.stl", binary(SOUP[:0]))).startswith("SCAN-004")
    assert refused(put(tmp_path / "b.stl", b"solid a\nendsolid a\n")).startswith("SCAN-004")


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf, 3e9, -2e30])
def test_corners_that_are_no_numbers(tmp_path: Path, value: float) -> None:
    soup = SOUP.copy()
    soup[1, 2, 1] = value
    scan = read_scan(put(tmp_path / "a.stl", binary(soup)))
    np.testing.assert_array_equal(scan.points[scan.triangles], SOUP[[0, 2, 3]])
    assert [(one.code, one.measured) for one in scan.findings] == [("SCAN-005", 1)]


def test_nothing_but_corners_that_are_no_numbers(tmp_path: Path) -> None:
    assert refused(put(tmp_path / "a.stl", binary(SOUP * np.float32(np.nan)))).startswith("SCAN-005")


def test_triangle_with_a_corner_twice(tmp_path: Path) -> None:
    soup = np.concatenate([SOUP, SOUP[:1, [0, 0, 1]]])
    scan = read_scan(put(tmp_path / "a.stl", binary(soup)))
    np.testing.assert_array_equal(scan.points[scan.triangles], SOUP)
    assert [(one.code, one.measured) for one in scan.findings] == [("SCAN-007", 1)]


def test_far_from_the_origin(tmp_path: Path) -> None:
    moved = (SOUP + np.float32([1_000_000, 0, -524_288])).astype(np.float32)
    scan = read_scan(put(tmp_path / "a.stl", binary(moved)))
    np.testing.assert_array_equal(scan.points[scan.triangles] + scan.offset, moved)
    assert scan.offset[0] == pytest.approx(1_000_000, abs=10)
    assert np.abs(scan.points).max() < 20
    assert [(one.code, one.severity) for one in scan.findings] == [("SCAN-010", Severity.NOTE)]


def test_one_stray_corner_does_not_move_the_rest(tmp_path: Path) -> None:
    soup = np.concatenate([SOUP, SOUP[:1] + np.float32(9e8)])
    scan = read_scan(put(tmp_path / "a.stl", binary(soup)))
    assert not scan.offset.any()
    np.testing.assert_array_equal(scan.points[scan.triangles[:4]], SOUP)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("endsolid", "", "endsolid"),
        ("vertex 1 0 0\n", "", "line 6"),
        ("vertex 1 0 0", "vertex 1 0", "line 4"),
        ("vertex 1 0 0", "vertex 1 0 zero", "line 4"),
    ],
)
def test_damaged_text_names_the_line(tmp_path: Path, old: str, new: str, words: str) -> None:
    text = "solid\nfacet normal 0 0 1\nouter loop\nvertex 1 0 0\nvertex 0 1 0\nvertex 0 0 1\n"
    text += "endloop\nendfacet\nendsolid"
    message = refused(put(tmp_path / "a.stl", text.replace(old, new).encode()))
    assert message.startswith("SCAN-003")
    assert words in message


def test_progress_reaches_the_end(tmp_path: Path) -> None:
    told: list[float] = []
    read_scan(put(tmp_path / "a.stl", binary(SOUP)), progress=lambda _stage, share: told.append(share))
    assert told[-1] == 1.0
    assert all(0.0 <= share <= 1.0 for share in told)
