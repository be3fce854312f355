"""Places and tubes as people type them, on the command line or in a page."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.tubes import TubeSize
from hoopwright.units import parse_length_mm

if TYPE_CHECKING:
    from hoopwright.bars import Node


def place(text: str) -> "Node":
    """A place typed as `forward,left,up`; semicolons where decimals have commas.

    Raises:
        UserError: `TYPED-001`.
    """
    parts = text.split(";") if ";" in text else text.split(",")
    if len(parts) != 3:
        raise unreadable(text, "three lengths: forward,left,up (such as -900,640,620)")
    forward, left, up = (parse_length_mm(part) for part in parts)
    return forward, left, up


def tube_size(text: str) -> TubeSize:
    """A tube typed as `45 x 2.5`.

    Raises:
        UserError: `TYPED-001`, `UNIT-001`, `TUBE-001`.
    """
    od, times, wall = text.lower().partition("x")
    if not times:
        raise unreadable(text, "a tube as 'OD x WALL', such as '45 x 2.5' or '1.75 in x .095 in'")
    return TubeSize(od_mm=parse_length_mm(od), wall_mm=parse_length_mm(wall))


def tape_mm(text: str) -> float:
    """What a tape read across a car.

    Raises:
        UserError: `TYPED-001`, `UNIT-001`.
    """
    value_mm = parse_length_mm(text)
    if not 1.0 <= value_mm <= 20_000.0:
        raise unreadable(text, "a tape distance between 1 mm and 20 m")
    return value_mm


def named_number(
    text: str, readers: Mapping[str, Callable[[str], float]], option: str, example: str
) -> tuple[str, float]:
    """One of some names and its number, such as `nozzle 22` or `handle length = 80`.

    Args:
        text: What was typed.
        readers: The names, and what reads the number of each.
        option: Where it was typed, such as `--torch`.
        example: What could be typed there.

    Raises:
        UserError: `TYPED-001`, `UNIT-001`.
    """
    words = " ".join(text.replace("=", " ").lower().split())
    # the longest name first, since 'handle' begins 'handle length' too
    for name in sorted(readers, key=len, reverse=True):
        if words == name:
            raise UserError(
                Finding(
                    code="TYPED-001",
                    severity=Severity.STOP,
                    sentence=f"{option} '{name}' has no number.",
                    todo=f"Type its number after it, such as {option} '{example}'.",
                    objects=(option, name),
                )
            )
        if words.startswith(f"{name} "):
            return name, readers[name](words.removeprefix(name))
    raise unreadable(text, f"after {option} one of {', '.join(readers)} and its number, such as '{example}'")


def day(text: str) -> str:
    """A day typed as ISO 8601.

    Raises:
        UserError: `TYPED-001`.
    """
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise unreadable(text, "a day as year-month-day, such as 2026-03-14") from None


def moment(text: str) -> datetime:
    """A time typed as ISO 8601; without a time zone it is local time.

    Raises:
        UserError: `TYPED-001`.
    """
    try:
        return datetime.fromisoformat(text.strip()).astimezone()
    except (ValueError, OverflowError):
        raise unreadable(text, "a time such as 2026-03-14T09:30 or 2026-03-14T09:30:00+01:00") from None


def unreadable(text: str, wanted: str) -> UserError:
    """What a person is told of words that are none of what is wanted: `TYPED-001`."""
    return UserError(
        Finding(
            code="TYPED-001",
            severity=Severity.STOP,
            sentence=f"'{text}' cannot be read."
            if text.strip()
            else "Nothing is typed where something is needed.",
            todo=f"Type {wanted}.",
            objects=(text,),
        )
    )
