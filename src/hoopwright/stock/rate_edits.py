"""Values of a rates file changed in its text: comments, order and all that is not named stay as they were typed."""

import re
import tomllib
from collections.abc import Mapping
from copy import deepcopy
from decimal import Decimal
from typing import Any

from hoopwright.findings import Finding, Severity, UserError

Place = tuple[str | int, ...]
"""Where a value stands: `("currency",)`, `("price", "per_hour")`, or `("tube", 0, "per_metre")` for the first block."""
_HEADER = re.compile(r"^\s*(?P<open>\[\[?)\s*(?P<name>[\w-]+)\s*\]\]?\s*(#.*)?$")
_VALUE = r"""(?:"(?:[^"\\]|\\.)*"|'[^']*'|[^\s"'#\[{][^\s#]*)"""


def with_values(text: str, values: Mapping[Place, str], file_name: str) -> str:
    """The text with other values; a key, a table or a block of a tube that is not there yet is put in.

    Args:
        text: Of a rates file that can be read.
        values: What is to stand at each place, without quotes.
        file_name: What the file is called in findings.

    Raises:
        UserError: `COST-027` where a value is written in a way that this cannot change, such as over several lines.
    """
    changed = text
    for place, value in values.items():
        changed = _with(changed, place, value)
    if _read(changed) != _wanted(_read(text), values):
        raise _cannot(values, file_name)
    return changed


def value_at(text: str, place: Place) -> str:
    """What stands at a place, as it was typed; empty for nothing."""
    found: Any = _read(text)
    for part in place:
        try:
            found = found[part]
        except (KeyError, IndexError, TypeError):
            return ""
    return str(found)


def _with(text: str, place: Place, value: str) -> str:
    lines = text.splitlines()
    key, written = str(place[-1]), _quoted(value)
    begin, end = _table(lines, place)
    if begin is None:
        name = f"[[{place[0]}]]" if len(place) > 2 else f"[{place[0]}]"
        return "\n".join([*lines, *([""] if lines else []), name, f"{key} = {written}"]) + "\n"
    kept = re.compile(rf"^(?P<key>\s*{re.escape(key)}\s*=\s*)(?P<value>{_VALUE})(?P<gap>\s*)(?P<note>#.*)?$")
    for number in range(begin, end):
        match = kept.match(lines[number])
        if match is not None:
            lines[number] = _line(match, written)
            break
    else:
        lines.insert(_last_key(lines, begin, end), f"{key} = {written}")
    return "\n".join(lines) + "\n"


def _line(match: re.Match[str], written: str) -> str:
    """The line with another value, its note in the column where it was."""
    note = match["note"] or ""
    room = len(match["value"]) + len(match["gap"]) - len(written)
    gap = " " * max(2, room) if note else ""
    return f"{match['key']}{written}{gap}{note}"


def _table(lines: list[str], place: Place) -> tuple[int | None, int]:
    """The lines of a table after its head, or of what stands before all tables."""
    heads = [(number, match) for number, line in enumerate(lines) if (match := _HEADER.match(line))]
    ends = [*(number for number, _ in heads), len(lines)][1:]
    if len(place) == 1:
        return 0, heads[0][0] if heads else len(lines)
    named = [
        (number + 1, end)
        for (number, match), end in zip(heads, ends, strict=True)
        if match["name"] == place[0] and (match["open"] == "[[") == (len(place) > 2)
    ]
    block = place[1] if len(place) > 2 else 0
    return named[block] if isinstance(block, int) and block < len(named) else (None, 0)


def _last_key(lines: list[str], begin: int, end: int) -> int:
    """Where a key is put in: after the last line of the table that has one."""
    keys = [number for number in range(begin, end) if re.match(r"^\s*[\w-]+\s*=", lines[number])]
    return keys[-1] + 1 if keys else begin


def _quoted(value: str) -> str:
    """As a text of one line. Source: TOML 1.0, basic strings."""
    plain = "".join(letter for letter in value if letter.isprintable())
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _read(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError:
        return {}


def _wanted(before: dict[str, Any], values: Mapping[Place, str]) -> dict[str, Any]:
    """The same, with the values put in where they belong."""
    wanted = deepcopy(before)
    for place, value in values.items():
        at: Any = wanted
        if len(place) == 2:
            at = wanted.setdefault(str(place[0]), {})
        elif len(place) > 2:
            blocks = wanted.setdefault(str(place[0]), [])
            if place[1] == len(blocks):
                blocks.append({})
            at = blocks[place[1]]
        at[place[-1]] = "".join(letter for letter in value if letter.isprintable())
    return wanted


def _cannot(values: Mapping[Place, str], file_name: str) -> UserError:
    names = ", ".join(
        " ".join(str(part + 1) if isinstance(part, int) else part for part in one) for one in values
    )
    return UserError(
        Finding(
            code="COST-027",
            severity=Severity.STOP,
            sentence=f"{file_name}: {names} cannot be changed by the fields, for how the file is written there. "
            "Nothing was written.",
            todo="Change it in the text of the rates, under Cost, 'Type your rates'.",
            objects=(file_name,),
        )
    )
