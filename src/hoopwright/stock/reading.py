"""A list of pieces as a CSV file: name, length_mm, count, and where wanted tube, steel, together, spare."""

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.stock.pieces import MOST_PIECES, Piece, piece_faults, too_many
from hoopwright.tubes import TubeSize
from hoopwright.units import parse_length_mm

COLUMNS = ("name", "length_mm", "count")
MORE_COLUMNS = ("tube", "steel", "together", "spare")
_LARGEST_FILE_BYTES = 2_000_000


@dataclass(frozen=True, kw_only=True)
class ListedPiece:
    """A row of the list.

    Args:
        piece: What to cut.
        tube: Its tube size, where the list says it.
        steel: Its steel, likewise.
        spares: How many more are wanted as spares, not counted with the others.
    """

    piece: Piece
    tube: TubeSize | None = None
    steel: str = ""
    spares: int = 0


def read_pieces(path: Path) -> tuple[tuple[ListedPiece, ...], tuple[Finding, ...]]:
    """The rows of a list, and names that stand in it twice; every row that cannot be read is told at once.

    Lengths are mm, or have a unit. Separators are commas, semicolons or tabs; with semicolons or tabs a decimal comma
    is understood.

    Raises:
        UserError: `CUTS-011` for a file that is no table, `CUTS-012` for its header, `CUTS-013` and `CUTS-001` with
            the line for cells.
    """
    listed: list[ListedPiece] = []
    faults: list[Finding] = []
    for line, cells in _rows(path):
        where = f"{path.name}, line {line}"
        try:
            one = _listed(cells, where)
        except UserError as error:
            faults.extend(error.findings)
            continue
        faults.extend(piece_faults(one.piece))
        listed.append(one)
    total = sum(one.piece.count + one.spares for one in listed)
    if not faults and total > MOST_PIECES:
        faults.append(too_many(total))
    if faults:
        raise UserError(*faults)
    return tuple(listed), tuple(_twice(listed))


def _listed(cells: Mapping[str, str], where: str) -> ListedPiece:
    name = cells["name"].strip()
    if not name or len(name) > 80 or not name.isprintable():
        raise _cell(where, "name", cells["name"], "give each piece a name of up to 80 letters")
    try:
        length_mm = parse_length_mm(cells["length_mm"])
    except UserError:
        raise _cell(
            where, "length_mm", cells["length_mm"], "type a length, such as 1460 or 57 1/2 in"
        ) from None
    piece = Piece(
        name=name,
        length_mm=length_mm,
        count=_whole(where, "count", cells["count"]),
        together=cells.get("together", "").strip(),
        where=where,
    )
    spares = cells.get("spare", "").strip()
    return ListedPiece(
        piece=piece,
        tube=_tube(where, cells.get("tube", "").strip()),
        steel=cells.get("steel", "").strip(),
        spares=_whole(where, "spare", spares) if spares else 0,
    )


def _whole(where: str, column: str, text: str) -> int:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or value != int(value):
        raise _cell(where, column, text, "type a whole number")
    if column == "spare" and not 0 <= value <= MOST_PIECES:
        raise _cell(where, column, text, f"type 0 to {MOST_PIECES}")
    return int(value)


def _tube(where: str, text: str) -> TubeSize | None:
    if not text:
        return None
    od, times, wall = text.lower().partition("x")
    try:
        return TubeSize(od_mm=parse_length_mm(od), wall_mm=parse_length_mm(wall if times else ""))
    except UserError:
        raise _cell(where, "tube", text, "type OD x WALL, such as 38 x 2.5") from None


def _twice(listed: list[ListedPiece]) -> Iterator[Finding]:
    places: dict[str, list[str]] = {}
    for one in listed:
        places.setdefault(one.piece.name, []).append(one.piece.where)
    for name, rows in places.items():
        if len(rows) > 1:
            lines = ", ".join(row.rpartition(" ")[2] for row in rows)
            yield Finding(
                code="CUTS-014",
                sentence=f"Piece '{name}' stands in lines {lines} of the list: all of them are cut.",
                todo="Give each its own name, so that parts can be told apart, or take one out.",
                objects=(name,),
            )


def _rows(path: Path) -> Iterator[tuple[int, dict[str, str]]]:
    lines = _text(path).splitlines()
    if not any(line.strip() for line in lines):
        raise _file(path, "it is empty", f"Give the columns {','.join(COLUMNS)}.")
    delimiter = next((mark for mark in (";", "\t") if mark in lines[0]), ",")
    try:
        table = list(csv.reader(lines, delimiter=delimiter))
    except csv.Error as error:
        raise _file(path, f"it is no CSV table ({error})", "Save it as plain CSV.") from None
    header = [name.strip().lower() for name in table[0]]
    wrong = [name for name in COLUMNS if header.count(name) != 1]
    wrong += [name for name in header if name not in (*COLUMNS, *MORE_COLUMNS, "") or header.count(name) > 1]
    if wrong:
        raise _stop(
            "CUTS-012",
            f"{path.name}, line 1: column {', '.join(dict.fromkeys(wrong))} is missing, unknown or there twice; it "
            f"reads '{lines[0][:80]}'.",
            f"The first line names the columns {', '.join(COLUMNS)}, and where wanted {', '.join(MORE_COLUMNS)}.",
            str(path),
        )
    rows = [(number, cells) for number, cells in enumerate(table[1:], start=2) if any(map(str.strip, cells))]
    if not rows:
        raise _file(path, "there is no row below the header", "Add the pieces.")
    for number, cells in rows:
        if any(map(str.strip, cells[len(header) :])):
            where = f"{path.name}, line {number}"
            raise _cell(where, "", delimiter.join(cells), "a decimal comma needs semicolons between cells")
        yield number, dict(zip(header, [*cells, *([""] * len(header))], strict=False))


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > _LARGEST_FILE_BYTES:
            raise _file(path, "it is over 2 MB, which is no list of pieces", "Check the file.")
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise _file(path, error.strerror or "it cannot be read", "Check the name.") from None
    except UnicodeDecodeError:
        raise _file(path, "it is no text file", "Save it as plain CSV, UTF-8.") from None


def _file(path: Path, what: str, todo: str) -> UserError:
    return _stop("CUTS-011", f"{path.name}: {what}.", todo, str(path))


def _cell(where: str, column: str, text: str, todo: str) -> UserError:
    at = f", column {column}" if column else ""
    said = f"{todo[:1].upper()}{todo[1:]}."
    return _stop("CUTS-013", f"{where}{at}: '{text[:60]}' cannot be read.", said, where)


def _stop(code: str, sentence: str, todo: str, about: str) -> UserError:
    return UserError(
        Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo, objects=(about,))
    )
