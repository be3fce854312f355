"""Node and bend tables as files, and files that mean harm or were saved by a spreadsheet."""

import contextlib
import math
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.bars import BendTable, read_bends_csv, read_nodes_csv, write_bends_csv, write_nodes_csv
from hoopwright.findings import UserError

NODES = ((-350.0, 640.0, 60.0), (-430.0, 655.0, 560.0))


def write(folder, content):
    path = folder / "bar.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


@pytest.mark.parametrize(
    "content",
    [
        "forward,left,up\n-350,640,60\n-430,655,560\n",
        "Forward , LEFT, up\r\n-350, 640, 60\r\n-430, 655, 560",
        "forward;left;up\n-350,0;640,0;60\n-430;655;560\n",
        "forward\tleft\tup\n-350\t640\t60\n-430\t655\t560\n",
        "up,note,left,forward\n60,foot,640,-350\n560,knee,655,-430\n",
        'forward,left,up\n"-350,0","640,0",60\n-430,655,560\n',
        "forward,left,up\n\n-350,640,60\n,,\n-430,655,560\n\n",
        "\ufeffforward,left,up\n-350 mm,64 cm,0.06 m\n-43cm,655,560\n",
        "forward,left,up\n-350,640,60,,\n-430,655,560,,\n",
    ],
    ids=[
        "plain",
        "spaced",
        "semicolon",
        "tab",
        "other order",
        "quoted",
        "blank rows",
        "units",
        "empty cells",
    ],
)
def test_the_same_nodes_however_they_were_saved(tmp_path, content):
    nodes = read_nodes_csv(write(tmp_path, content))
    assert [tuple(node) for node in nodes] == [pytest.approx(node) for node in NODES]


def test_inches_in_a_node_table(tmp_path):
    path = write(tmp_path, 'forward;left;up\n1 3/4;2\' 6 1/2";-1-3/4"\n')
    assert read_nodes_csv(path)[0] == pytest.approx((44.45, 774.7, -44.45))


def test_bend_rows_are_a_straight_and_the_bend_at_its_end(tmp_path):
    text = "straight_mm,rotation_deg,angle_deg\n467.6,0,31.63\n631.2,-26.96,49.76°\n617,,\n"
    table = read_bends_csv(write(tmp_path, text), 137.5)
    assert table.straights_mm == (467.6, 631.2, 617.0)
    assert table.rotations_deg == (0.0, -26.96)
    assert table.angles_deg == (31.63, 49.76)
    assert table.clr_mm == 137.5


def test_a_straight_bar_is_one_row(tmp_path):
    table = read_bends_csv(write(tmp_path, "straight_mm,rotation_deg,angle_deg\n500,,\n"), 100.0)
    assert (table.straights_mm, table.angles_deg) == ((500.0,), ())


@pytest.mark.parametrize(
    ("content", "code", "says"),
    [
        ("", "CSV-001", "empty"),
        (b"\xff\xfe\x00\x01\x80", "CSV-001", "not a text file"),
        ("forward,left,up\n", "CSV-001", "no row below the header"),
        ("forward,left,up\n,,\n", "CSV-001", "no row"),
        ("\n\n", "CSV-002", "forward, left, up is missing"),
        ("x,y,z\n1,2,3\n", "CSV-002", "the header reads 'x,y,z'"),
        ("forward,left\n1,2\n", "CSV-002", "column up"),
        ("forward,left,up,left\n1,2,3,4\n", "CSV-002", "column left is missing or twice there"),
        ("1,2,3\n4,5,6\n", "CSV-002", "missing"),
        ("forward,left,up\n1,2,3\n4,five,6\n", "CSV-003", "line 3, column left: 'five'"),
        ("forward,left,up\n1,2\n", "CSV-003", "line 2, column up: ''"),
        ("forward,left,up\n1,2,nan\n", "CSV-003", "column up: 'nan'"),
        ("forward,left,up\n1,2,1e999\n", "CSV-003", "'1e999'"),
        ("forward;left;up\n1;2;1.234,5\n", "CSV-003", "'1.234,5'"),
        ("forward,left,up\n1,2,\0\n", "CSV-003", "column up"),
        # a decimal comma in a comma-separated file must not push the cells along
        ("forward,left,up\n100,5,640,60\n", "CSV-003", "line 2 has more cells than the header has columns"),
        ("forward,left,up\n1,2," + "9" * 200_000 + "\n", "CSV-001", "not a CSV table"),
        ("forward,left,up\n" + "1,2,3\n" * 200_000, "CSV-001", "over 1 MB"),
    ],
)
def test_a_node_table_that_is_none(tmp_path, content, code, says):
    path = write(tmp_path, content)
    with pytest.raises(UserError) as stopped:
        read_nodes_csv(path)
    (finding,) = stopped.value.findings
    assert finding.code == code
    assert "bar.csv" in finding.sentence
    assert says in finding.sentence
    assert finding.objects == (str(path),)
    assert finding.todo


@pytest.mark.parametrize(
    ("rows", "code", "says"),
    [
        ("100,0,90\n200,0,90\n", "CSV-004", "line 3 is the last row but has a bend at its end"),
        ("100,15,90\n200,,\n", "CSV-004", "first bend has a rotation"),
        ("100,0,\n200,,\n", "CSV-003", "line 2, column angle_deg: ''"),
        ("100,0,ninety\n200,,\n", "CSV-003", "'ninety'"),
        ("1 kg,0,90\n200,,\n", "CSV-003", "column straight_mm: '1 kg'"),
    ],
)
def test_a_bend_table_that_is_none(tmp_path, rows, code, says):
    path = write(tmp_path, "straight_mm,rotation_deg,angle_deg\n" + rows)
    with pytest.raises(UserError) as stopped:
        read_bends_csv(path, 137.5)
    (finding,) = stopped.value.findings
    assert finding.code == code
    assert says in finding.sentence


def test_a_name_that_is_no_file(tmp_path):
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(UserError, match="CSV-001"):
            read_nodes_csv(path)


coordinates = st.floats(-1e6, 1e6)


@given(st.lists(st.tuples(coordinates, coordinates, coordinates), min_size=1, max_size=12))
def test_nodes_out_and_in_keep_every_digit(nodes):
    with tempfile.TemporaryDirectory() as folder:
        assert read_nodes_csv(write(Path(folder), write_nodes_csv(nodes))) == tuple(nodes)


@given(
    st.lists(st.tuples(st.floats(0, 1e5), st.floats(-180, 180), st.floats(0, 175)), max_size=8),
    st.floats(0, 1e5),
)
def test_bends_out_and_in_keep_every_digit(bends, last):
    table = BendTable(
        straights_mm=(*(straight for straight, _, _ in bends), last),
        rotations_deg=tuple(0.0 if row == 0 else bend[1] for row, bend in enumerate(bends)),
        angles_deg=tuple(angle for _, _, angle in bends),
        clr_mm=137.5,
    )
    with tempfile.TemporaryDirectory() as folder:
        assert read_bends_csv(write(Path(folder), write_bends_csv(table)), 137.5) == table


HEADERS = st.sampled_from([b"forward,left,up\n", b"straight_mm;rotation_deg;angle_deg\n", b""])
MARKS = [b",", b";", b"\t", b"\n", b"\r", b'"', b"'", b"\0", b"1/2", b"1e9", b"-5", b"\xff", b"\xe2\x80\xa8"]
PIECES = st.lists(st.sampled_from(MARKS) | st.binary(max_size=6), max_size=30).map(b"".join)


@given(HEADERS, PIECES)
def test_any_bytes_are_a_table_or_refused(header, rest):
    with tempfile.TemporaryDirectory() as folder:
        path = write(Path(folder), header + rest)
        with contextlib.suppress(UserError):
            assert all(math.isfinite(value) for node in read_nodes_csv(path) for value in node)
        with contextlib.suppress(UserError):
            assert len(read_bends_csv(path, 100.0).straights_mm) >= 1
        assert path.read_bytes() == header + rest
