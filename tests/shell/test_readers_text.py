"""OBJ, XYZ and PTX: text files of every habit."""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.findings import UserError
from hoopwright.shell.readers import read_scan
from hoopwright.shell.readers.numbers import number_at

THREE = [[1.5, -2.0, 3.25], [4.0, 5.0, -6.0], [7.0, 8.0, 9.5]]


def put(path: Path, text: str) -> Path:
    path.write_bytes(text.encode())
    return path


def refused(path: Path) -> str:
    with pytest.raises(UserError) as caught:
        read_scan(path)
    return str(caught.value)


def parsed(text: str) -> float:
    data = np.frombuffer(text.encode(), dtype=np.uint8)
    value, behind = number_at(data, 0)
    assert behind == len(data)
    return float(value)


@given(st.floats(-1e290, 1e290))
def test_numbers_are_those_of_python(value: float) -> None:
    for text in (repr(value), f"{value:.9e}", f"{value:+.17G}"):
        assert math.isclose(parsed(text), float(text), rel_tol=1e-14, abs_tol=1e-300)


@given(st.decimals(min_value=-99999, max_value=99999, places=6))
def test_numbers_as_scanners_write_them_are_exact(value: object) -> None:
    assert parsed(str(value)) == float(str(value))


@pytest.mark.parametrize("text", ["nan", "-NaN", "inf", "-Infinity", "1.#IND", "-1.#QNAN", "nan(ind)"])
def test_words_for_no_number(text: str) -> None:
    assert math.isnan(parsed(text))


@pytest.mark.parametrize("text", ["", "-", ".", "e5", "1e", "1e+", "12x", "x", "--1", "1.2.3", "0x10"])
def test_what_is_no_number(text: str) -> None:
    assert number_at(np.frombuffer(text.encode(), dtype=np.uint8), 0)[1] == -1


@pytest.mark.parametrize(
    "text",
    [
        "1.5 -2 3.25\n4 5 -6\n7 8 9.5\n",
        "1.5,-2,3.25,255,0,0\n4,5,-6,1,2,3\n7,8,9.5,0,0,0",
        "1.5, -2, 3.25\n4, 5, -6\n7, 8, 9.5\n",
        "1.5;-2;3.25\r\n4;5;-6\r\n7;8;9.5\r\n",
        "1,5;-2,0;3,25\n4;5;-6\n7;8;9,5\n",
        "1,5 -2,0 3,25\n4,0 5,0 -6,0\n7,0 8,0 9,5\n",
        "1.5\t-2\t3.25\t0.1\n4\t5\t-6\t0.2\n7\t8\t9.5\t0.3\n",
        "3\n1.5 -2 3.25 10 0 0 0\n4 5 -6 10 0 0 0\n7 8 9.5 10 0 0 0\n",
        "//X Y Z R G B\n3\n1.5 -2 3.25 1 1 1\n4 5 -6 1 1 1\n7 8 9.5 1 1 1\n",
        "# a comment\n\n1.5 -2 3.25\n# another\n4 5 -6\n\n7 8 9.5\n\n",
        '"id","x","y","z"\n1,1.5,-2,3.25\n2,4,5,-6\n3,7,8,9.5\n',
        "Z Y X\n3.25 -2 1.5\n-6 5 4\n9.5 8 7\n",
        "name;z;note;x;y\na;3.25;;1.5;-2\nb;-6;c d;4;5\nc;9.5;;7;8\n",
        "note\tx\ty\tz\n\t1.5\t-2\t3.25\nto do\t4\t5\t-6\n\t7\t8\t9.5\n",
        "\ufeff1.5 -2 3.25\n4 5 -6\n7 8 9.5\n",
        "  1.5   -2   3.25  \r4 5 -6\r7 8 9.5\r",
        "1.5D0 -2.0d+00 3.25E0\n+4 5. -6\n7 8 95e-1\n",
    ],
)
@pytest.mark.parametrize("suffix", ["xyz", "csv"])
def test_habits_of_point_text(tmp_path: Path, text: str, suffix: str) -> None:
    scan = read_scan(put(tmp_path / f"a.{suffix}", text))
    assert scan.points.tolist() == THREE
    assert scan.is_cloud
    assert scan.declared_unit is None


def test_unit_in_the_names_of_columns(tmp_path: Path) -> None:
    scan = read_scan(put(tmp_path / "a.csv", "x [mm],y [mm],z [mm]\n1,2,3\n"))
    assert (scan.declared_unit, scan.declared_by) == ("mm", "the names of the columns")


def test_point_text_without_a_known_suffix(tmp_path: Path) -> None:
    assert read_scan(put(tmp_path / "a.dat", "1.5 -2 3.25\n4 5 -6\n7 8 9.5\n")).points.tolist() == THREE


def test_two_counted_clouds(tmp_path: Path) -> None:
    scan = read_scan(put(tmp_path / "a.pts", "2\n1 2 3\n4 5 6\n1\n7 8 9\n"))
    assert len(scan.points) == 3
    assert [(one.code, one.measured) for one in scan.findings] == [("SCAN-008", 2)]


def test_fewer_points_than_counted(tmp_path: Path) -> None:
    message = refused(put(tmp_path / "a.pts", "4\n1 2 3\n4 5 6\n7 8 9\n"))
    assert message.startswith("SCAN-003")
    assert "expected 4 points, found 3" in message


@pytest.mark.parametrize(("line", "words"), [("4 5", "line 2"), ("4 five 6", "line 2"), ("wall", "line 2")])
def test_bad_line_of_point_text(tmp_path: Path, line: str, words: str) -> None:
    message = refused(put(tmp_path / "a.xyz", f"1 2 3\n{line}\n7 8 9\n"))
    assert message.startswith("SCAN-003")
    assert words in message


def test_empty_cells_and_nan_are_left_out(tmp_path: Path) -> None:
    scan = read_scan(put(tmp_path / "a.csv", "1,2,3\n4,,6\n7,8,nan\n1,1,1\n"))
    assert scan.points.tolist() == [[1, 2, 3], [1, 1, 1]]
    assert [(one.code, one.measured) for one in scan.findings] == [("SCAN-005", 2)]


@pytest.mark.parametrize(
    ("name", "text", "code"),
    [
        ("a.xyz", "", "SCAN-004"),
        ("a.xyz", "# nothing\n\n", "SCAN-004"),
        ("a.obj", "o thing\n", "SCAN-004"),
        ("a.xyz", "nan nan nan\n", "SCAN-005"),
        ("a.bin", "hello there\n", "SCAN-002"),
        ("a.3mf", "PK\x03\x04 and more", "SCAN-002"),
        ("a.gltf", '{"asset": {}}', "SCAN-002"),
        ("a.step", "ISO-10303-21;\n", "SCAN-002"),
    ],
)
def test_files_with_nothing_to_read(tmp_path: Path, name: str, text: str, code: str) -> None:
    assert refused(put(tmp_path / name, text)).startswith(code)


def test_text_in_16_bit_characters(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_bytes("1 2 3\n".encode("utf-16"))
    assert refused(path).startswith("SCAN-002")


def test_no_file_and_a_folder(tmp_path: Path) -> None:
    assert refused(tmp_path / "none.stl").startswith("SCAN-001")
    assert refused(tmp_path).startswith("SCAN-001")


SQUARE = "v 0 0 0\nv 1 0 0 0.5 0.5 0.5\nv 1 1 0 1.0\nv 0 1 0\n"


@pytest.mark.parametrize(
    ("faces", "triangles"),
    [
        ("f 1 2 3\nf 1 3 4", [[0, 1, 2], [0, 2, 3]]),
        ("f 1 2 3 4", [[0, 1, 2], [0, 2, 3]]),
        ("f 1/1 2/2 3/3 4/4 # comment", [[0, 1, 2], [0, 2, 3]]),
        ("f 1//1 2//1 3//1", [[0, 1, 2]]),
        ("f 1/1/1\t2/2/2   3/3/3\r", [[0, 1, 2]]),
        ("f -4 -3 -2", [[0, 1, 2]]),
        ("f 1 2 \\\n3 4", [[0, 1, 2], [0, 2, 3]]),
        ("vn 0 0 1\nvt 0 0\ng roof\nusemtl red\ns off\nl 1 2\nf 3 2 1", [[2, 1, 0]]),
        ("f -1 -2 -3\nv 9 9 9\nf -1 -2 -3", [[3, 2, 1], [4, 3, 2]]),
    ],
)
def test_faces_of_obj(tmp_path: Path, faces: str, triangles: list[list[int]]) -> None:
    scan = read_scan(put(tmp_path / "a.obj", "# made\n" + SQUARE + faces))
    assert scan.triangles.tolist() == triangles
    assert scan.points[:4].tolist() == [[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]
    assert scan.findings == ()


def test_faces_of_obj_that_cannot_be_used(tmp_path: Path) -> None:
    scan = read_scan(
        put(tmp_path / "a.obj", SQUARE + "f 1 2 3\nf 1 2 9\nf 0 1 2\nf 1 2\nf 2 2 3\nf -9 1 2\n")
    )
    assert scan.triangles.tolist() == [[0, 1, 2]]
    assert [(one.code, one.measured) for one in scan.findings] == [("SCAN-007", 5)]


@pytest.mark.parametrize(
    ("line", "number"), [("v 1 2", 5), ("v 1 2 x", 5), ("f 1 two 3", 5), ("f 1 2.5 3", 5)]
)
def test_bad_line_of_obj(tmp_path: Path, line: str, number: int) -> None:
    message = refused(put(tmp_path / "a.obj", f"{SQUARE}{line}\nf 1 2 3\n"))
    assert message.startswith("SCAN-003")
    assert f"line {number}" in message


def test_obj_of_points_alone_is_a_cloud(tmp_path: Path) -> None:
    assert read_scan(put(tmp_path / "a.obj", SQUARE)).is_cloud


def test_obj_that_trimesh_writes(tmp_path: Path) -> None:
    trimesh = pytest.importorskip("trimesh")
    ball = trimesh.creation.icosphere(subdivisions=2)
    scan = read_scan(put(tmp_path / "a.obj", ball.export(file_type="obj", include_normals=True, digits=9)))
    np.testing.assert_array_equal(scan.triangles, ball.faces)
    np.testing.assert_allclose(scan.points, ball.vertices, atol=1e-7)


PTX = "2\n2\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n0 1 0 0\n-1 0 0 0\n0 0 1 0\n10 20 30 1\n"
ROWS = "1 0 0 0.5\n0 0 0 0.5\n0 1 0 0.5 1 2 3\n0 0 2 0.5\n"


def test_ptx_scans_by_their_matrices(tmp_path: Path) -> None:
    plain = "1\n1\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n1 0 0 0\n0 1 0 0\n0 0 1 0\n0 0 0 1\n7 8 9 1\n"
    scan = read_scan(put(tmp_path / "a.ptx", PTX + ROWS + plain))
    # the first matrix turns x to y and y to -x (row vectors), then shifts
    assert scan.points.tolist() == [[10, 21, 30], [9, 20, 30], [10, 20, 32], [7, 8, 9]]
    assert [(one.code, one.measured) for one in scan.findings] == [("SCAN-008", 2)]


def test_ptx_under_another_suffix(tmp_path: Path) -> None:
    assert read_scan(put(tmp_path / "a.txt", PTX + ROWS)).points.tolist()[0] == [10, 21, 30]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (PTX + ROWS[:-10], "SCAN-003"),
        (PTX + ROWS.replace("0 1 0", "0 one 0"), "SCAN-003"),
        (PTX.replace("10 20 30 1", "10 20 30"), "SCAN-003"),
        (PTX.replace("2\n2\n", "2\n2000\n") + ROWS, "SCAN-003"),
        (PTX.replace("2\n2\n", "900000\n900000\n") + ROWS, "SCAN-009"),
        (PTX + 4 * "0 0 0 0.5\n", "SCAN-004"),
    ],
)
def test_damaged_ptx(tmp_path: Path, text: str, code: str) -> None:
    assert refused(put(tmp_path / "a.ptx", text)).startswith(code)
