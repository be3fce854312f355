"""What the shop bends with, for those who look it through, and how a bender stands in its room, as typed text."""

import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from hoopwright.bender import ShopBender, ShopDie, TubeBatch
from hoopwright.jobs.orders import typed_room
from hoopwright.jobs.room_texts import RoomParts, RoomValue
from hoopwright.jobs.shop_if_there import shop_if_there
from hoopwright.jobs.shops import change, refuse_missing
from hoopwright.store.shop import Stored


@dataclass(frozen=True, kw_only=True)
class ShopTools:
    """What the shop bends with, and what it bends.

    Args:
        benders: By name, also those out of use.
        dies: By name, also those out of use.
        batches: By name, also those of which none is left.
    """

    benders: tuple[ShopBender, ...] = ()
    dies: tuple[ShopDie, ...] = ()
    batches: tuple[TubeBatch, ...] = ()

    def bender(self, name: str) -> ShopBender | None:
        """The bender of a name."""
        return next((one for one in self.benders if one.name == name), None)

    def die(self, name: str) -> ShopDie | None:
        """The die of a name."""
        return next((one for one in self.dies if one.name == name), None)


def tools_in_shop(where: str | None = None) -> ShopTools:
    """All that the shop bends with; nothing where there is no shop yet.

    Args:
        where: The shop; the person's own without.

    Raises:
        UserError: `SHOP-...` for a shop that cannot be read, or that is named and not there.
    """
    refuse_missing(where)
    with shop_if_there(where) as shop:
        if shop is None:
            return ShopTools()
        return ShopTools(
            benders=shop.benders(retired=True),
            dies=shop.dies(retired=True),
            batches=shop.batches(retired=True),
        )


def keep_room(where: str | None, name: str, text: str, *, shown: int | None = None) -> Stored[Any]:
    """Keep with a bender how it stands in its room, as a room file's text says it.

    Args:
        where: The shop; the person's own without.
        name: The bender.
        text: The room file.
        shown: The version of the bender that the person had before his eyes; None where nobody knows.

    Raises:
        UserError: `ROOM-001`, `ROOM-003`, `ROOM-004` for what is no room; `SHOP-...` as `shops.change`.
    """
    typed_room(text)
    return change(where, "bender", name, {"stand": tomllib.loads(text)}, shown=shown)


def room_parts(stand: Mapping[str, Any]) -> RoomParts:
    """How a bender stands, as it is kept, in the plain numbers and the text of a room file.

    Args:
        stand: As the shop keeps it.
    """
    values: dict[str, RoomValue] = {}
    lines: list[str] = []
    tables: list[str] = []
    for key, value in stand.items():
        if isinstance(value, list) and value and all(isinstance(one, Mapping) for one in value):
            tables += [_table(key, one) for one in value]
        elif isinstance(value, str) or _is_number(value) or _is_numbers(value):
            values[key] = value
        else:
            lines.append(f"{_name(key)} = {_toml(value)}\n")
    return RoomParts(values=values, things="\n".join(["".join(lines), *tables]).lstrip("\n"))


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_numbers(value: object) -> bool:
    return isinstance(value, list) and all(map(_is_number, value))


def _table(key: str, values: Mapping[str, Any]) -> str:
    lines = [f"{_name(name)} = {_toml(value)}\n" for name, value in values.items()]
    return f"[[{_name(key)}]]\n{''.join(lines)}"


def _toml(value: object) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_name(name)} = {_toml(one)}" for name, one in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return _plain(value)


def _name(key: str) -> str:
    return key if key.isascii() and key.replace("_", "").isalnum() else _plain(key)


def _plain(value: object) -> str:
    # what JSON writes TOML reads, but for one letter that it wants spelt out
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
