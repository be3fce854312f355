"""Node tables and bend tables as CSV files, in and out."""

import csv
import io
import math
from collections.abc import Sequence
from pathlib import Path

from hoopwright.bars.bar import Node
from hoopwright.bars.bend_table import BendTable
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units import parse_angle_deg, parse_length_mm

NODE_COLUMNS = ("forward", "left", "up")
BEND_COLUMNS = ("straight_mm", "rotation_deg", "angle_deg")
LARGEST_FILE_BYTES = 1_000_000


def read_nodes_csv(path: Path) -> tuple[Node, ...]:
    """Nodes from a CSV file with the columns forward, left, up.

    Cells are mm, or lengths with a unit. Separators may be commas, semicolons or tabs; with semicolons or
    tabs a decimal comma is understood.

    Raises:
        UserError: `CSV-001` to `CSV-003` with the file, the line and the cell.
    """
    rows = _rows(path, NODE_COLUMNS)
    nodes = [tuple(_cell(path, line, name, text) for name, text in cells.items()) for line, cells in rows]
    return tuple((forward, left, up) for forward, left, up in nodes)


def read_bends_csv(path: Path, clr_mm: float) -> BendTable:
    """A bend table from a CSV file with the columns straight_mm, rotation_deg, angle_deg.

    Each row is a straight and the bend at its end; the last row holds the last straight alone.

    Raises:
        UserError: `CSV-001` to `CSV-004` with the file, the line and the cell.
    """
    rows = _rows(path, BEND_COLUMNS)
    straights = [_cell(path, line, "straight_mm", cells["straight_mm"]) for line, cells in rows]
    bends = [
        tuple(_cell(path, line, name, cells[name]) for name in ("rotation_deg", "angle_deg"))
        for line, cells in rows[:-1]
    ]
    last_line, last = rows[-1]
    if any(last[name].strip() not in ("", "0", "0.0") for name in ("rotation_deg", "angle_deg")):
        raise _refuse(
            "CSV-004",
            path,
            f"line {last_line} is the last row but has a bend at its end",
            "End the table with a row that holds the last straight alone.",
        )
    if bends and abs(bends[0][0]) > 1e-9:
        raise _refuse(
            "CSV-004", path, "the first bend has a rotation", "The first bend's plane is the reference: 0."
        )
    return BendTable(
        straights_mm=tuple(straights),
        rotations_deg=tuple(rotation for rotation, _ in bends),
        angles_deg=tuple(angle for _, angle in bends),
        clr_mm=clr_mm,
    )


def write_nodes_csv(nodes_mm: Sequence[Node]) -> str:
    """The node table as CSV text, at full precision."""
    return _text(NODE_COLUMNS, nodes_mm)


def write_bends_csv(table: BendTable) -> str:
    """The bend table as CSV text, at full precision."""
    bends = [*zip(table.rotations_deg, table.angles_deg, strict=True), ("", "")]
    return _text(
        BEND_COLUMNS,
        [(straight, *bend) for straight, bend in zip(table.straights_mm, bends, strict=True)],
    )


def _text(columns: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()


def _rows(path: Path, columns: Sequence[str]) -> list[tuple[int, dict[str, str]]]:
    """Line number and cells by column name, for every row that is not blank."""
    lines = _read(path).splitlines()
    if not lines:
        raise _refuse("CSV-001", path, "the file is empty", f"Give the columns {', '.join(columns)}.")
    delimiter = next((mark for mark in (";", "\t") if mark in lines[0]), ",")
    try:
        table = list(csv.reader(lines, delimiter=delimiter))
    except csv.Error as error:
        raise _refuse("CSV-001", path, f"it is not a CSV table ({error})", "Save it as plain CSV.") from None
    header = [name.strip().lower() for name in table[0]]
    missing = [name for name in columns if header.count(name) != 1]
    if missing:
        raise _refuse(
            "CSV-002",
            path,
            f"column {', '.join(missing)} is missing or twice there; the header reads '{lines[0][:80]}'",
            f"The first line must name the columns {', '.join(columns)}.",
        )
    places = [header.index(name) for name in columns]
    rows = []
    for line, cells in enumerate(table[1:], start=2):
        if any(cell.strip() for cell in cells):
            if any(cell.strip() for cell in cells[len(header) :]):
                raise _refuse(
                    "CSV-003",
                    path,
                    f"line {line} has more cells than the header has columns",
                    "A decimal comma in a comma-separated file splits a number: use points or semicolons.",
                )
            padded = cells + [""] * len(header)
            rows.append((line, {name: padded[at] for name, at in zip(columns, places, strict=True)}))
    if not rows:
        raise _refuse("CSV-001", path, "there is no row below the header", "Add the rows.")
    return rows


def _read(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_FILE_BYTES:
            raise _refuse(
                "CSV-001", path, "the file is over 1 MB, which is no table of a bar", "Check the file."
            )
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise _refuse("CSV-001", path, error.strerror or "it cannot be read", "Check the name.") from None
    except UnicodeDecodeError:
        raise _refuse("CSV-001", path, "it is not a text file", "Save it as plain CSV, UTF-8.") from None


def _cell(path: Path, line: int, name: str, text: str) -> float:
    try:
        value = parse_angle_deg(text) if name.endswith("_deg") else parse_length_mm(text)
    except UserError:
        value = math.nan
    if not math.isfinite(value):
        raise _refuse(
            "CSV-003",
            path,
            f"line {line}, column {name}: '{text}' cannot be read",
            "Type a number, with a unit if it is not mm or degrees.",
        )
    return value


def _refuse(code: str, path: Path, what: str, todo: str) -> UserError:
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=f"{path.name}: {what}.",
            todo=todo,
            objects=(str(path),),
        )
    )
