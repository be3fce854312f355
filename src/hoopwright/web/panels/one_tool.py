"""One bender or die of the shop: a new one, or what has changed at one that is kept."""

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from nicegui import ui

from hoopwright.bender import ShopBender, ShopDie
from hoopwright.findings import Finding, UserError
from hoopwright.jobs.room_texts import RoomParts
from hoopwright.jobs.shop_tools import ShopTools, keep_room, room_parts
from hoopwright.jobs.shops import change, retire
from hoopwright.store.shop import Stored
from hoopwright.web.bench import Bench
from hoopwright.web.made import told_below
from hoopwright.web.panels.tool_fields import bender_fields, die_fields
from hoopwright.web.parts import bring_into_view
from hoopwright.web.work import work

Kept = Callable[[str, Sequence[Finding]], Awaitable[None]]
Word = Literal["bender", "die"]


@dataclass(frozen=True, kw_only=True)
class Room:
    """The room that is typed under the order of a bar.

    Args:
        text: It as a room file's text; raises `UNIT-...` for a length that cannot be read.
        put: Puts another one into its fields.
    """

    text: Callable[[], str]
    put: Callable[[RoomParts], None]


def one_tool(
    bench: Bench,
    shown: tuple[Word, str],
    now: Callable[[], ShopTools | None],
    room: Room,
    kept: Kept,
    look: Callable[[], Awaitable[None]],
) -> None:
    """The form of one that is kept.

    Args:
        bench: The page.
        shown: What is open: a bender or a die, and its name.
        now: What the shop has, as it was last read.
        room: The room that is typed under the order of a bar.
        kept: Told the words and the findings of what was kept.
        look: Reads the shop again.
    """
    word, _ = shown
    one = _of(now(), shown)
    if one is None:
        return
    bring_into_view(ui.label(f"{word.capitalize()} {one.name}").classes("hw-head"), "nearest")
    fields = bender_fields(one) if isinstance(one, ShopBender) else die_fields(one, _benders(now()))
    stays = "axis_height_mm" if isinstance(one, ShopBender) else "clamp_mm"
    seen = [one.version]
    elsewhere = ui.label().classes("hw-near").props('role="status"')
    elsewhere.set_visibility(False)
    told = told_below(bench)

    async def sent(title: str, act: Callable[[int], Stored[Any]], words: str) -> None:
        stored = await work(bench, title, lambda *_: act(seen[0]), edits=False)
        if stored is not None:
            await kept(f"✓ {words}", stored.findings)
            return
        told(bench.findings)
        await look()
        other = _of(now(), shown)
        if other is not None and other.version != seen[0]:
            seen[0] = other.version
            elsewhere.set_text(
                f"Kept elsewhere now: {_told(bench, other)}. What you typed still stands here; keep it again if you "
                "still want it."
            )
            elsewhere.set_visibility(True)

    async def keep() -> None:
        try:
            changes = {
                name: field.value()
                for name, field in fields.items()
                if field.text != field.first and (field.text or name != stays)
            }
        except UserError as error:
            told(error.findings)
            return
        if not changes:
            ui.notify("Nothing of it was typed otherwise.")
            return
        await sent(
            f"Changing a {word}",
            lambda version: change(None, word, one.name, changes, shown=version),
            f"{word.capitalize()} {one.name} is kept as it is now. What was measured before keeps its own.",
        )

    async def out() -> None:
        await sent(
            f"Marking a {word}",
            lambda version: retire(None, word, one.name, back=one.retired, shown=version),
            f"{word.capitalize()} {one.name} is {'in use again' if one.retired else 'out of use'}.",
        )

    with ui.row().classes("w-full items-center gap-2"):
        ui.button(f"Keep the {word}", on_click=keep).classes("hw-button")
        ui.button("It is in use again" if one.retired else "It is out of use", on_click=out).props(
            "flat dense"
        )
    if isinstance(one, ShopBender):
        _stand(one, room, told, sent)


def _stand(
    one: ShopBender,
    room: Room,
    told: Callable[[Sequence[Finding]], None],
    sent: Callable[[str, Callable[[int], Stored[Any]], str], Awaitable[None]],
) -> None:
    """How it stands in its room, which is typed in the fields of the order of a bar."""
    ui.label(
        f"How {one.name} stands in its room is {'kept' if one.stand else 'not kept yet'}. It is typed under Order and "
        "room of the chosen bar."
    ).classes("hw-soft")

    async def keep() -> None:
        try:
            text = room.text()
        except UserError as error:
            told(error.findings)
            return
        await sent(
            "Keeping a room",
            lambda version: keep_room(None, one.name, text, shown=version),
            f"How {one.name} stands in its room is kept.",
        )

    def put() -> None:
        room.put(room_parts(one.stand))
        ui.notify("It stands in the fields under Order and room of the chosen bar.")

    with ui.row().classes("w-full items-center gap-2"):
        ui.button(f"Keep the room typed there with {one.name}", on_click=keep).props("flat dense no-caps")
        if one.stand:
            ui.button("Put its room into the fields there", on_click=put).props("flat dense no-caps")


def _benders(tools: ShopTools | None) -> tuple[str, ...]:
    return () if tools is None else tuple(one.name for one in tools.benders)


def _of(tools: ShopTools | None, shown: tuple[Word, str]) -> ShopBender | ShopDie | None:
    if tools is None:
        return None
    word, name = shown
    return tools.bender(name) if word == "bender" else tools.die(name)


def _told(bench: Bench, one: ShopBender | ShopDie) -> str:
    if isinstance(one, ShopBender):
        return f"swings {one.swings}, clamp {bench.length(one.clamp_mm)}, reach {one.reach_deg:g}°"
    return f"tube {bench.length(one.od_mm)}, radius {bench.length(one.clr_mm)}, bender {one.bender}"
