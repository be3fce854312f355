"""What people type on the command line, read with the project's own readers."""

import csv
import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeVar

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.areas import area_mm2 as area_mm2
from hoopwright.jobs.typed import day as day
from hoopwright.jobs.typed import moment as moment
from hoopwright.jobs.typed import named_number as named_number
from hoopwright.jobs.typed import place as place
from hoopwright.jobs.typed import tape_mm, unreadable
from hoopwright.jobs.typed import tube_size as tube_size
from hoopwright.shell.records import NamedPlace, ScanLandmark, TapeDistance, TapePlace
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.bars import Node
    from hoopwright.bender.as_bent import BendReading, TapeEntry
    from hoopwright.joints.cope import OvalBend

_ADDRESS = re.compile(r"https?://[A-Za-z0-9.:\[\]-]+(?:/[A-Za-z0-9._~/-]*)?")
_LONGEST_ADDRESS = 80
Read = TypeVar("Read")
Choice = TypeVar("Choice", bound=str)


def maybe(read: Callable[[str], Read], text: str | None) -> Read | None:
    """What was typed, read; None where nothing was."""
    return None if text is None else read(text)


def named_place(text: str) -> "tuple[str, Node]":
    """`name=forward,left,up`."""
    name, equals, rest = text.partition("=")
    if not equals or not name.strip():
        raise unreadable(text, "a name and a place: name=forward,left,up")
    return name.strip(), place(rest)


def named_places(texts: Sequence[str]) -> "dict[str, Node]":
    """Several `name=forward,left,up`, each name once."""
    named: dict[str, Node] = {}
    for text in texts:
        name, at = named_place(text)
        if name in named:
            raise unreadable(text, f"each name once: {name} was typed twice")
        named[name] = at
    return named


def named_region(text: str) -> NamedPlace:
    """A region's name and a place on it."""
    name, at = named_place(text)
    return NamedPlace(name=name, place_mm=at)


def tape_distance(text: str) -> TapeDistance:
    """`name: length: place: place`, where a place that begins with `=` is a datum and not metal.

    Raises:
        UserError: `TYPED-001` or `UNIT-001`.
    """
    parts = [part.strip() for part in text.split(":")]
    if len(parts) != 4 or not parts[0]:
        raise unreadable(
            text,
            "'name: length: place: place' (such as 'width at the hoop: 1360: -900,680,620: -900,-680,620')",
        )
    return TapeDistance(
        name=parts[0],
        tape_mm=tape_mm(parts[1]),
        from_place=_tape_place(parts[2]),
        to_place=_tape_place(parts[3]),
    )


def bar_distance(text: str) -> "TapeEntry":
    """`name length`, such as `feet 1252`, `back 1 700` or `diagonal A 61 1/2`.

    Raises:
        UserError: `TYPED-001`.
    """
    from hoopwright.bender.as_bent import TapeEntry

    words = text.replace("=", " ").replace(":", " ").split()
    for count in range(1, len(words)):
        try:
            length_mm = parse_length_mm(" ".join(words[count:]))
        except UserError:
            continue
        return TapeEntry(key=" ".join(words[:count]), tape_mm=length_mm)
    raise unreadable(text, "the name of a distance and its length, such as 'feet 1252'")


def bend_reading(text: str) -> "BendReading":
    """`bend angle` or `bend angle rotation`, such as `1 18.4` or `2 49.8 -26.5`.

    Raises:
        UserError: `TYPED-001`.
    """
    from hoopwright.bender.as_bent import BendReading

    words = text.replace("=", " ").replace(":", " ").split()
    try:
        number, *angles = words
        angle, rotation = (*map(parse_angle_deg, angles), None)[:2]
        if len(angles) in (1, 2):
            return BendReading(bend=int(number), angle_deg=angle, rotation_deg=rotation)
    except (ValueError, UserError):
        pass
    raise unreadable(text, "the number of the bend, its angle and if read its rotation: '2 49.8 -26.5'")


def bend_readings(path: Path) -> "tuple[BendReading, ...]":
    """Readings from a CSV file with the columns bend, angle_deg and, if read, rotation_deg; empty cells were not read.

    Raises:
        UserError: `TYPED-002` with the line.
    """
    from hoopwright.bender.as_bent import BendReading

    rows = _csv_rows(path)
    if not rows or not {"bend", "angle_deg"} <= set(rows[0]):
        raise _bad_file(path, "the header must name bend, angle_deg and, if read, rotation_deg")
    readings = []
    for line, row in enumerate(rows, start=2):
        cells = {name: (row.get(name) or "").strip() for name in ("bend", "angle_deg", "rotation_deg")}
        try:
            angle, rotation = (
                maybe(parse_angle_deg, cells[name] or None) for name in ("angle_deg", "rotation_deg")
            )
            readings.append(BendReading(bend=int(cells["bend"]), angle_deg=angle, rotation_deg=rotation))
        except (ValueError, UserError):
            raise _bad_file(path, f"line {line} cannot be read: {', '.join(cells.values())}") from None
    return tuple(readings)


def root_gap(text: str) -> "tuple[str | None, float]":
    """A root gap for all joints (`1.2`), or for one by its name (`MH/SB-L-B: 1.2`).

    Raises:
        UserError: `UNIT-001`.
    """
    name, colon, length = text.rpartition(":")
    return (name.strip() if colon else None), parse_length_mm(length)


def oval_bend(text: str) -> "tuple[tuple[str, int], OvalBend]":
    """A bend as measured over the outside, in its plane and across: `MH 2: 40.9 x 46.2`.

    Raises:
        UserError: `TYPED-001`, `UNIT-001`.
    """
    from hoopwright.joints.cope import OvalBend

    which, colon, sizes = text.partition(":")
    bar, _, bend = which.strip().rpartition(" ")
    in_plane, times, across = sizes.lower().partition("x")
    if not (colon and times and bar.strip() and bend.isdecimal()):
        raise unreadable(text, "bar, bend and both diameters, in its plane and across: 'MH 2: 40.9 x 46.2'")
    return (bar.strip(), int(bend)), OvalBend(
        in_plane_mm=parse_length_mm(in_plane), across_mm=parse_length_mm(across)
    )


def _tape_place(text: str) -> TapePlace:
    return TapePlace(place_mm=place(text.removeprefix("=")), on_metal=not text.startswith("="))


def scan_landmarks(path: Path, unit: str) -> tuple[ScanLandmark, ...]:
    """Landmarks for alignment from a CSV file.

    Columns name, scan_x, scan_y, scan_z, forward, left, up, twin; places in the scan as the scan's own numbers
    (in `unit`), places on the car in mm or with a unit, unknown cells left empty.

    Raises:
        UserError: `TYPED-002` with the line.
    """
    rows = _csv_rows(path)
    needed = {"name", "scan_x", "scan_y", "scan_z"}
    if not rows or not needed <= set(rows[0]):
        raise _bad_file(path, f"the header must name {', '.join(sorted(needed))} and forward, left, up, twin")
    return tuple(_landmark(path, number, row, unit) for number, row in enumerate(rows, start=2))


def _csv_rows(path: Path) -> list[dict[str, str | None]]:
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise _bad_file(path, str(error)) from None
    delimiter = ";" if lines and ";" in lines[0] else ","
    return list(csv.DictReader(lines, delimiter=delimiter))


def _landmark(path: Path, line: int, row: dict[str, str | None], unit: str) -> ScanLandmark:
    def known(column: str, bare_unit: str = "mm") -> float | None:
        text = (row.get(column) or "").strip()
        return parse_length_mm(text, bare_unit=bare_unit) if text else None

    at = [known(column, unit) for column in ("scan_x", "scan_y", "scan_z")]
    if at[0] is None or at[1] is None or at[2] is None or not (row.get("name") or "").strip():
        raise _bad_file(path, f"line {line} has no name or no place in the scan")
    return ScanLandmark(
        name=str(row["name"]).strip(),
        scan_mm=(at[0], at[1], at[2]),
        forward_mm=known("forward"),
        left_mm=known("left"),
        up_mm=known("up"),
        twin=(row.get("twin") or "").strip() or None,
    )


def swing(text: str | None) -> Literal["clockwise", "anticlockwise"] | None:
    """Which way a bender swings, or None when nothing was typed.

    Raises:
        UserError: `TYPED-001`.
    """
    if text is None:
        return None
    way = one_of(text, ("clockwise", "anticlockwise"), "which way the leading end swings, seen from above")
    return "clockwise" if way == "clockwise" else "anticlockwise"


def shop_address(text: str) -> str:
    """Where phones come in: `http://192.168.1.20:8642/`.

    Raises:
        UserError: `TYPED-001`.
    """
    address = text.strip()
    if not _ADDRESS.fullmatch(address):
        raise unreadable(
            text, "an address such as http://192.168.1.20:8642/, as 'hoopwright open --share' tells it"
        )
    if len(address) > _LONGEST_ADDRESS:
        raise unreadable(
            text, f"an address of at most {_LONGEST_ADDRESS} letters, so that its square code can be read"
        )
    return address


def order(text: str) -> str:
    """An order of bending by its name, or a list of bends with the end that leads.

    Raises:
        UserError: `TYPED-001`.
    """
    if text.strip()[:1].isdigit():
        return text.strip()
    choices = ("auto", "A to B", "B to A", "middle outward")
    return one_of(text, choices, "an order of bending, or a list such as '2 from A, 1 from B'")


def one_of(text: str, choices: Sequence[Choice], what: str) -> Choice:
    """A choice, however its letters are cased.

    Raises:
        UserError: `TYPED-001`.
    """
    for choice in choices:
        if text.strip().lower() == choice.lower():
            return choice
    raise unreadable(text, f"{what}: {', '.join(choices)}")


def today() -> str:
    """Today's date, ISO 8601, in the local time zone."""
    return datetime.now(UTC).astimezone().date().isoformat()


def now() -> str:
    """Date and time, ISO 8601, in the local time zone, to the second."""
    return datetime.now(UTC).astimezone().isoformat(timespec="seconds")


def _bad_file(path: Path, why: str) -> UserError:
    return UserError(
        Finding(
            code="TYPED-002",
            severity=Severity.STOP,
            sentence=f"{path.name}: {why}.",
            todo="Correct the file and try again.",
            objects=(str(path),),
        )
    )
