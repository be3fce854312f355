"""The benders of the shop and their dies: put in, changed as they change, and taken out of use."""

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass

from nicegui import ui

from hoopwright.bender import ShopBender, ShopDie
from hoopwright.findings import Finding
from hoopwright.jobs.shop_tools import ShopTools, tools_in_shop
from hoopwright.web.bench import Bench
from hoopwright.web.made import fill_part, when_unfolded
from hoopwright.web.panels.new_tools import new_bender, new_die
from hoopwright.web.panels.one_tool import Room, Word, one_tool
from hoopwright.web.parts import kept_words
from hoopwright.web.picks import finding_list, pick_table
from hoopwright.web.reading import read


@dataclass
class _State:
    """What is open of the benders and dies.

    Args:
        tools: What the shop has, as it was last read.
        open: What is open: `bender` or `die`, and its name; None for nothing.
        drawn: Grows whenever the form is to be filled anew.
        told: What was kept last.
        found: What was found by it.
    """

    tools: ShopTools | None = None
    open: tuple[Word, str] | None = None
    drawn: int = 0
    told: str = ""
    found: tuple[Finding, ...] = ()

    def kept(self, told: str, found: Sequence[Finding]) -> None:
        """Something was kept: the form shows it as it is now."""
        self.told, self.found = told, tuple(found)
        self.drawn += 1


def build(bench: Bench, room: Room, changed: Callable[[], Awaitable[None]]) -> None:
    """Fill the card.

    Args:
        bench: The page.
        room: The room that is typed under the order of a bar.
        changed: Told when something of the shop was kept.
    """
    state = _State()

    async def look() -> None:
        found = await read(bench, lambda _: tools_in_shop())
        if found is not None:
            state.tools = found
            bench.tell()

    async def kept(told: str, found: Sequence[Finding]) -> None:
        fresh = await read(bench, lambda _: tools_in_shop())
        state.tools = fresh or state.tools
        state.kept(told, found)
        bench.tell()
        await changed()

    def choose(word: Word, one: ShopBender | ShopDie) -> None:
        state.open = (word, one.name)
        state.kept("", ())
        bench.tell()

    def form() -> None:
        kept_words(state.told)
        finding_list(bench, state.found)
        if state.open is not None and state.tools is not None:
            one_tool(bench, state.open, lambda: state.tools, room, kept, look)

    with ui.expansion("Benders in the shop") as fold:
        fill_part(bench, lambda: (id(state.tools), bench.units), lambda: _tables(bench, state, choose))
        fill_part(bench, lambda: (state.open, state.drawn), form, gap="gap-1")
        with ui.expansion("Add a bender").classes("hw-fold"):
            new_bender(bench, kept)
        with ui.expansion("Add a die").classes("hw-fold"):
            new_die(bench, lambda: state.tools, kept)
    when_unfolded(bench, "Bender", fold, lambda: bench.seen.version, look)


def _tables(bench: Bench, state: _State, choose: Callable[[Word, ShopBender | ShopDie], None]) -> None:
    tools = state.tools
    if tools is None:
        ui.label("Not read yet.").classes("hw-soft")
        return
    if not tools.benders:
        ui.label(
            "No bender yet. Put in the one that you bend with, then its dies: bends come into the log by them."
        ).classes("hw-soft")
        return
    ui.label("Choose one to change what has changed at it. What was measured with it stays.").classes(
        "hw-soft"
    )
    pick_table(
        ["bender", "swings", "clamp", "state"],
        [_bender_row(bench, one) for one in tools.benders],
        lambda number: choose("bender", tools.benders[number]),
        widths=(0, 96, 80, 90),
        classes=["open" if one.retired else "" for one in tools.benders],
    )
    if not tools.dies:
        ui.label("No die yet.").classes("hw-soft")
        return
    pick_table(
        ["die", "tube", "radius", "bender"],
        [_die_row(bench, one) for one in tools.dies],
        lambda number: choose("die", tools.dies[number]),
        widths=(0, 80, 80, 110),
        classes=["open" if one.retired else "" for one in tools.dies],
    )


def _bender_row(bench: Bench, one: ShopBender) -> list[str]:
    return [one.name, one.swings, bench.length(one.clamp_mm), "– out of use" if one.retired else "● in use"]


def _die_row(bench: Bench, one: ShopDie) -> list[str]:
    left = "\n– out of use" if one.retired else ""
    return [one.name, bench.length(one.od_mm), bench.length(one.clr_mm), f"{one.bender}{left}"]
