"""Lists of pieces as people send them: what cannot be read is told with its line, and nothing is planned then."""

import pytest

from hoopwright.findings import UserError
from hoopwright.stock.reading import read_pieces
from hoopwright.tubes import TubeSize


def written(tmp_path, text, encoding="utf-8"):
    file = tmp_path / "list.csv"
    file.write_bytes(text.encode(encoding))
    return file


@pytest.mark.parametrize(
    "text",
    [
        "name,length_mm,count\nMH,3385,1\nSB,1990.5,2\n",
        "\ufeffName;Length_mm;Count\r\nMH;3385;1\r\n\r\nSB;1990,5;2\r\n",
        "count\tname\tlength_mm\n1\tMH\t3.385 m\n2\tSB\t199.05 cm\n",
    ],
)
def test_ways_of_writing(tmp_path, text):
    listed, findings = read_pieces(written(tmp_path, text))
    assert [(p.piece.name, p.piece.length_mm, p.piece.count) for p in listed] == [
        ("MH", pytest.approx(3385.0), 1),
        ("SB", pytest.approx(1990.5), 2),
    ]
    assert findings == ()


def test_more_columns(tmp_path):
    text = "name,length_mm,count,tube,steel,together,spare\nMH,57 1/2 in,1,1.75 in x .095 in,S355,pair,2\n"
    (one,), _ = read_pieces(written(tmp_path, text))
    assert one.piece.length_mm == pytest.approx(57.5 * 25.4)
    assert one.tube == TubeSize(od_mm=1.75 * 25.4, wall_mm=0.095 * 25.4)
    assert (one.steel, one.piece.together, one.spares) == ("S355", "pair", 2)


@pytest.mark.parametrize(
    ("text", "code", "said"),
    [
        ("", "CUTS-011", "empty"),
        ("\n\n", "CUTS-011", "empty"),
        ("name,length_mm,count\n", "CUTS-011", "no row"),
        ("name,length,count\nMH,1,1\n", "CUTS-012", "line 1"),
        ("name,length_mm,count,colour\nMH,1,1,red\n", "CUTS-012", "colour"),
        ("name,length_mm,count,count\nMH,1,1,1\n", "CUTS-012", "twice"),
        ("name,length_mm,count\nMH,x,1\n", "CUTS-013", "line 2, column length_mm"),
        ("name,length_mm,count\nA,1,1\nMH,nan,1\n", "CUTS-013", "line 3, column length_mm"),
        ("name,length_mm,count\nMH,1,1.5\n", "CUTS-013", "line 2, column count"),
        ("name,length_mm,count\nMH,1,inf\n", "CUTS-013", "line 2, column count"),
        ("name,length_mm,count\nMH,1,\n", "CUTS-013", "line 2, column count"),
        ("name,length_mm,count\n,1,1\n", "CUTS-013", "line 2, column name"),
        ("name,length_mm,count\nMH,1,5,1\n", "CUTS-013", "decimal comma"),
        ("name,length_mm,count\nMH,-3,1\n", "CUTS-001", "line 2: piece 'MH'"),
        ("name,length_mm,count\nMH,0,1\n", "CUTS-001", "line 2: piece 'MH'"),
        ("name,length_mm,count\nMH,10,0\n", "CUTS-001", "count of 0"),
        ("name,length_mm,count\nMH,10,-2\n", "CUTS-001", "count of -2"),
        ("name,length_mm,count\nMH,10,1e9\n", "CUTS-001", "count of 1000000000"),
        ("name,length_mm,count\nMH,10,4000\nSB,10,4000\n", "CUTS-001", "8000 pieces"),
        ("name,length_mm,count,tube\nMH,10,1,45\n", "CUTS-013", "column tube"),
        ("name,length_mm,count,spare\nMH,10,1,-1\n", "CUTS-013", "column spare"),
    ],
)
def test_what_cannot_be_read(tmp_path, text, code, said):
    with pytest.raises(UserError) as stopped:
        read_pieces(written(tmp_path, text))
    found = stopped.value.findings[0]
    assert found.code == code
    assert said in found.sentence + found.todo


def test_every_bad_row_is_told_at_once(tmp_path):
    text = "name,length_mm,count\nA,x,1\nB,10,1\nC,-1,1\nD,10,y\n"
    with pytest.raises(UserError) as stopped:
        read_pieces(written(tmp_path, text))
    lines = [
        line for f in stopped.value.findings for line in ("line 2", "line 4", "line 5") if line in f.sentence
    ]
    assert lines == ["line 2", "line 4", "line 5"]


def test_two_rows_of_one_name_are_both_cut_and_told(tmp_path):
    listed, findings = read_pieces(written(tmp_path, "name,length_mm,count\nA,10,1\nB,9,1\nA,8,2\n"))
    assert [one.piece.length_mm for one in listed] == [10.0, 9.0, 8.0]
    assert [(f.code, "lines 2, 4" in f.sentence) for f in findings] == [("CUTS-014", True)]


def test_no_table(tmp_path):
    file = tmp_path / "list.csv"
    file.write_bytes(b"\xff\xfe\x00\x01" * 10)
    for path in (file, tmp_path / "not there.csv", tmp_path):
        with pytest.raises(UserError) as stopped:
            read_pieces(path)
        assert stopped.value.findings[0].code == "CUTS-011"
