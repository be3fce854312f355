"""What every record of the shop holds its texts and numbers to."""

import json
import math
import re
from collections.abc import Iterator, Mapping

from hoopwright.findings import Finding, Severity, UserError

LONGEST_NAME = 100
LONGEST_NOTE = 2000
LONGEST_STAND = 200_000
# control letters and halves of letters, which no database and no file can hold
_NOT_IN_PROSE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


def text_faults(
    what: str, key: str, text: object, *, needed: bool = False, note: bool = False, longest: int | None = None
) -> Iterator[Finding]:
    """A finding for a text that no record can hold.

    Args:
        what: The record, in words: "die '45'".
        key: The field.
        text: Its value.
        needed: Whether it may not be empty.
        note: Whether it is prose, which may be long and have lines.
        longest: Most letters; 100, or 2000 of prose, without.
    """
    most = longest or (LONGEST_NOTE if note else LONGEST_NAME)
    if not isinstance(text, str):
        why = "is no text"
    elif needed and not text.strip():
        why = "is empty"
    elif len(text) > most:
        why = f"has {len(text)} letters, more than {most}"
    elif _NOT_IN_PROSE.search(text) if note else not text.isprintable():
        why = "has letters that cannot be printed"
    elif not note and text != text.strip():
        why = "begins or ends with a space"
    else:
        return
    yield Finding(
        code="SHOP-001",
        severity=Severity.STOP,
        sentence=f"{_upper(what)}: {key} {why}.",
        todo="Type it as plain text." if not needed else "Give it a name of plain letters and figures.",
        objects=(key,),
    )


def number_faults(
    what: str, key: str, value: object, least: float, most: float, unit: str
) -> Iterator[Finding]:
    """A finding for a number outside `least` to `most`, both allowed, in `unit`."""
    number = value if isinstance(value, int | float) and not isinstance(value, bool) else None
    if number is not None and least <= number <= most:
        return
    shown = f"'{value}'" if number is None else f"{number:g} {unit}"
    yield Finding(
        code="SHOP-002",
        severity=Severity.STOP,
        sentence=f"{_upper(what)}: {key} = {shown} cannot be: it must be {least:g} to {most:g} {unit}.",
        todo="Check the number and its unit; bare lengths are mm.",
        objects=(key,),
        measured=float(number) if number is not None and math.isfinite(number) else None,
        limit=most if number is not None and number > most else least,
        unit=unit,
    )


def choice_faults(what: str, key: str, value: object, choices: tuple[str, ...]) -> Iterator[Finding]:
    """A finding for a value that is none of the choices."""
    if not isinstance(value, str) or value not in choices:
        yield Finding(
            code="SHOP-003",
            severity=Severity.STOP,
            sentence=f"{_upper(what)}: {key} = '{value}' is not one of {', '.join(choices)}.",
            todo=f"Give one of {', '.join(choices)}.",
            objects=(key,),
        )


def flag_faults(what: str, key: str, value: object) -> Iterator[Finding]:
    """A finding for what is neither true nor false."""
    if not isinstance(value, bool):
        yield from choice_faults(what, key, value, ("true", "false"))


def stand_faults(what: str, stand: Mapping[str, object]) -> Iterator[Finding]:
    """A finding for a description that plain JSON cannot hold, or that would not come back the same."""
    try:
        text = json.dumps(dict(stand), allow_nan=False)
        why = "" if json.loads(text) == stand else "would not come back as it was given"
        if len(text) > LONGEST_STAND:
            why = f"is {len(text)} letters long, more than {LONGEST_STAND}"
    except (TypeError, ValueError, RecursionError) as error:
        why = f"is no plain mapping: {error}"
    if why:
        yield Finding(
            code="SHOP-004",
            severity=Severity.STOP,
            sentence=f"{_upper(what)}: the description of how it stands {why}.",
            todo="Use texts, finite numbers, true, false, lists and tables only.",
            objects=("stand",),
        )


def refuse_if_any(faults: Iterator[Finding]) -> None:
    """Stop with all faults at once.

    Raises:
        UserError: The faults, if there are any.
    """
    found = tuple(faults)
    if found:
        raise UserError(*found)


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]
