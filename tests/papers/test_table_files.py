"""Tables read back: XLSX by openpyxl, CSV by Python's own reader."""

import csv
import io
import zipfile
from datetime import datetime

import openpyxl
import pytest

from hoopwright.papers.table_files import FileColumn, FileTable, csv_bytes, xlsx_bytes

TABLE = FileTable(
    name="members",
    columns=(
        FileColumn(head="bar"),
        FileColumn(head="bends", kind="count"),
        FileColumn(head="length", kind="length"),
        FileColumn(head="turn", kind="angle"),
        FileColumn(head="steel", kind="mass"),
    ),
    rows=(
        ("MH", 4, 4127.3049, -90.0, 10.81349),
        ('=HYPERLINK("http://x","y")', 0, 25.4, -0.0001, 1.0),
        ("-1", 1, None, 0.0, None),
        ("Bügel, links", 2, 3048.0, 1234.5, 0.5),
    ),
)
ABOUT = (("project", "car"), ("caution", "=1+1"))


def read_csv(unit):
    return list(csv.reader(io.StringIO(csv_bytes(TABLE, unit).decode("utf-8"), newline="")))


def read_book(unit):
    content = xlsx_bytes([TABLE], about=ABOUT, title="car", date="2026-03-01", unit=unit)
    return openpyxl.load_workbook(io.BytesIO(content))


def test_csv_in_mm():
    assert read_csv("mm") == [
        ["bar", "bends", "length [mm]", "turn [deg]", "steel [kg]"],
        ["MH", "4", "4127.30", "-90.00", "10.813"],
        ['\'=HYPERLINK("http://x","y")', "0", "25.40", "0.00", "1.000"],
        ["'-1", "1", "", "0.00", ""],
        ["Bügel, links", "2", "3048.00", "1234.50", "0.500"],
    ]


def test_csv_in_inches():
    rows = read_csv("in")
    assert rows[0][2] == "length [in]"
    assert [row[2] for row in rows[1:]] == ["162.4923", "1.0000", "", "120.0000"]


@pytest.mark.parametrize(
    ("unit", "lengths"), [("mm", [4127.3, 25.4, None, 3048.0]), ("in", [162.4923, 1, None, 120])]
)
def test_workbook_holds_numbers_as_numbers_and_text_as_text(unit, lengths):
    book = read_book(unit)
    assert book.sheetnames == ["about", "members"]
    sheet = book["members"]
    assert [cell.value for cell in sheet[1]][2] == f"length [{unit}]"
    assert [sheet.cell(line, 3).value for line in range(2, 6)] == lengths
    texts = [sheet.cell(line, 1) for line in range(2, 6)]
    assert [cell.value for cell in texts] == [row[0] for row in TABLE.rows]
    assert {cell.data_type for cell in texts} == {"s"}
    assert sheet.cell(2, 2).value == 4
    assert sheet.cell(2, 3).number_format == ("0.00" if unit == "mm" else "0.0000")


def test_no_sheet_holds_a_formula():
    for sheet in read_book("mm"):
        assert not [cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]


def test_the_workbook_is_dated_by_what_is_given_and_the_same_twice():
    first = xlsx_bytes([TABLE], about=ABOUT, title="car", date="2026-03-01")
    assert xlsx_bytes([TABLE], about=ABOUT, title="car", date="2026-03-01") == first
    dates = {entry.date_time for entry in zipfile.ZipFile(io.BytesIO(first)).infolist()}
    assert dates == {(1980, 1, 1, 0, 0, 0)}
    book = openpyxl.load_workbook(io.BytesIO(first))
    assert book.properties.created == datetime(2026, 3, 1)
    assert book.properties.title == "car"


def test_a_row_that_does_not_fit_its_columns_is_an_error():
    short = FileTable(name="x", columns=TABLE.columns, rows=(("MH", 1),))
    with pytest.raises(ValueError, match="zip"):
        csv_bytes(short)
