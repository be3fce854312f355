"""A room file's text and its plain numbers apart, for those who type the numbers in fields."""

import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from hoopwright.jobs.orders import example_room

RoomValue = float | str | list[float]
Thing = Literal["operator", "post", "box"]
_FIRST_TABLE = re.compile(r"^\[\[", re.MULTILINE)


@dataclass(frozen=True, kw_only=True)
class RoomParts:
    """A room file in two parts.

    Args:
        values: Its plain values by key: what stands above the first table.
        things: The text from the first table on: who and what stands in the room.
    """

    values: Mapping[str, RoomValue]
    things: str


def example_parts() -> RoomParts:
    """The example room, apart."""
    head, things = _apart(example_room())
    return RoomParts(values=tomllib.loads(head), things=things)


def room_text(things: str, values: Mapping[str, RoomValue]) -> str:
    """The text of a room file with values set; what it had for the same keys gives way.

    Args:
        things: A room file's text, whole or from its first table on; empty for an empty room.
        values: By key.
    """
    head, tables = _apart(things)
    kept = [line for line in head.splitlines() if _key(line) not in values]
    typed = [f"{key} = {json.dumps(value)}" for key, value in values.items()]
    return "\n".join([*typed, *kept, tables])


def with_thing(things: str, what: Thing) -> str:
    """The text with one more thing that stands in the room, in the numbers of the example, to be changed."""
    _, tables = _apart(example_room())
    blocks = re.split(r"\n\s*\n", tables)
    block = next(one for one in blocks if one.startswith(f"[[{what}]]"))
    return f"{things.rstrip()}\n\n{block}\n".lstrip("\n")


def _apart(text: str) -> tuple[str, str]:
    found = _FIRST_TABLE.search(text)
    at = len(text) if found is None else found.start()
    return text[:at], text[at:]


def _key(line: str) -> str:
    return line.partition("=")[0].strip()
