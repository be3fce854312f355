"""Tables as CSV and XLSX files: units in the headings, text always as text, the same tables to the same bytes."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal

from hoopwright.units import MM_PER_INCH, LengthUnit

Cell = str | float | None
Kind = Literal["text", "count", "length", "area", "angle", "mass"]

_STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""Source: OWASP, CSV Injection."""
_DECIMALS: dict[tuple[Kind, LengthUnit], int] = {
    ("length", "mm"): 2,
    ("length", "in"): 4,
    ("area", "mm"): 0,
    ("area", "in"): 2,
    ("angle", "mm"): 2,
    ("angle", "in"): 2,
    ("mass", "mm"): 3,
    ("mass", "in"): 3,
}
_WIDEST_LETTERS = 60


@dataclass(frozen=True, kw_only=True)
class FileColumn:
    """A column.

    Args:
        head: Its heading, without unit.
        kind: What its cells are; lengths are given in mm, areas in mm2, angles in degrees, masses in kg.
    """

    head: str
    kind: Kind = "text"

    def heading(self, unit: LengthUnit) -> str:
        """The heading with its unit."""
        said = {"length": unit, "area": f"{unit}2", "angle": "deg", "mass": "kg"}.get(self.kind)
        return self.head if said is None else f"{self.head} [{said}]"


@dataclass(frozen=True, kw_only=True)
class FileTable:
    """A table.

    Args:
        name: Short name, of its file and its sheet.
        columns: Its columns.
        rows: Its rows; None is an empty cell.
    """

    name: str
    columns: tuple[FileColumn, ...]
    rows: tuple[tuple[Cell, ...], ...]


def csv_bytes(table: FileTable, unit: LengthUnit = "mm") -> bytes:
    """The table as CSV: UTF-8, commas, decimal points, a heading line; no cell starts a formula.

    A text that a spreadsheet would run as a formula gets an apostrophe before it.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([column.heading(unit) for column in table.columns])
    for row in table.rows:
        writer.writerow(
            [_as_text(cell, column.kind, unit) for cell, column in zip(row, table.columns, strict=True)]
        )
    return out.getvalue().encode("utf-8")


def _as_text(cell: Cell, kind: Kind, unit: LengthUnit) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return f"'{cell}" if cell.startswith(_STARTS_A_FORMULA) else cell
    if kind == "count":
        return str(int(cell))
    return f"{_in_unit(cell, kind, unit) + 0.0:.{_DECIMALS[kind, unit]}f}"


def _in_unit(value: float, kind: Kind, unit: LengthUnit) -> float:
    power = {"length": 1, "area": 2}.get(kind, 0) if unit == "in" else 0
    rounded = round(value / MM_PER_INCH**power, _DECIMALS[kind, unit])
    return rounded + 0.0  # no minus zero


def xlsx_bytes(
    tables: Sequence[FileTable],
    *,
    about: Sequence[tuple[str, str]],
    title: str,
    date: str,
    unit: LengthUnit = "mm",
) -> bytes:
    """The tables as one workbook, a sheet each, after a sheet that says what they are.

    Args:
        tables: Names up to 31 letters.
        about: What stands on the first sheet: what, and its words.
        title: Of the document.
        date: ISO 8601; the clock is never read.
        unit: Unit of the lengths.

    Raises:
        ValueError: For a date that is not ISO 8601.
    """
    from xlsxwriter import Workbook

    out = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with Workbook(out, {**options, "strings_to_numbers": False}) as book:
        created = datetime.fromisoformat(date[:10]).replace(tzinfo=UTC)
        book.set_properties({"title": title, "comments": "made by hoopwright", "created": created})
        formats = _formats(book, unit)
        _about_sheet(book, about, formats)
        for table in tables:
            _table_sheet(book, table, formats, unit)
    return out.getvalue()


def _formats(book: Any, unit: LengthUnit) -> dict[str, Any]:
    formats = {
        kind: book.add_format({"num_format": f"0.{'0' * decimals}" if decimals else "0"})
        for (kind, for_unit), decimals in _DECIMALS.items()
        if for_unit == unit
    }
    head = {"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"}
    return formats | {
        "text": book.add_format({"num_format": "@"}),
        "count": book.add_format({"num_format": "0"}),
        "head": book.add_format(head),
        "bold": book.add_format({"bold": True, "valign": "top"}),
        "words": book.add_format({"text_wrap": True, "valign": "top"}),
    }


def _about_sheet(book: Any, about: Sequence[tuple[str, str]], formats: dict[str, Any]) -> None:
    sheet = book.add_worksheet("about")
    sheet.set_column(0, 0, 16)
    sheet.set_column(1, 1, _WIDEST_LETTERS + 30)
    for row, (what, words) in enumerate(about):
        sheet.write_string(row, 0, what, formats["bold"])
        sheet.write_string(row, 1, words, formats["words"])


def _table_sheet(book: Any, table: FileTable, formats: dict[str, Any], unit: LengthUnit) -> None:
    sheet = book.add_worksheet(table.name)
    for number, column in enumerate(table.columns):
        heading = column.heading(unit)
        cells = [_as_text(row[number], column.kind, unit) for row in table.rows]
        words = max((len(cell) for cell in cells), default=0)
        sheet.set_column(number, number, min(_WIDEST_LETTERS, max(words, len(heading) * 0.75, 6) + 2))
        sheet.write_string(0, number, heading, formats["head"])
        for line, row in enumerate(table.rows, start=1):
            _write_cell(sheet, line, number, row[number], column.kind, formats, unit)
    sheet.freeze_panes(1, 1)
    sheet.repeat_rows(0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)


def _write_cell(
    sheet: Any, line: int, number: int, cell: Cell, kind: Kind, formats: dict[str, Any], unit: LengthUnit
) -> None:
    if cell is None:
        return
    if isinstance(cell, str):
        sheet.write_string(line, number, cell, formats["text"])
    elif kind == "count":
        sheet.write_number(line, number, int(cell), formats["count"])
    else:
        sheet.write_number(line, number, _in_unit(cell, kind, unit), formats[kind])
