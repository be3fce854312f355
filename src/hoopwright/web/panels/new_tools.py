"""A bender or a die that the shop did not have."""

from collections.abc import Awaitable, Callable, Sequence
from typing import Any, TypeVar

from nicegui import ui

from hoopwright.bender import ShopBender, ShopDie
from hoopwright.findings import Finding, UserError
from hoopwright.jobs.shop_tools import ShopTools
from hoopwright.jobs.shops import add_bender, add_die
from hoopwright.store.shop import Stored
from hoopwright.web.bench import Bench
from hoopwright.web.choice_entries import Choice
from hoopwright.web.entries import Entry, text_entry
from hoopwright.web.forms import clear_taken, form_part
from hoopwright.web.made import told_below
from hoopwright.web.panels.tool_fields import bender_fields, die_fields
from hoopwright.web.work import work

Kept = Callable[[str, Sequence[Finding]], Awaitable[None]]
Tool = TypeVar("Tool", ShopBender, ShopDie)


def new_bender(bench: Bench, kept: Kept) -> None:
    """A form for a bender.

    Args:
        bench: The page.
        kept: Told the words and the findings of what was kept.
    """
    name, fields = text_entry("Name of the bender"), bender_fields(None)

    def made() -> ShopBender:
        # an empty field leaves what has a usual value, and is told for what is needed
        given: dict[str, Any] = {
            key: one.value() for key, one in fields.items() if one.text or key == "clamp_mm"
        }
        given["swings"] = fields["swings"].value()
        return ShopBender(name=name.text, **given)

    _adding(bench, "Add the bender", made, lambda one: add_bender(None, one), (name, *fields.values()), kept)


def new_die(bench: Bench, tools: Callable[[], ShopTools | None], kept: Kept) -> None:
    """A form for a die, once there is a bender that it can belong to.

    Args:
        bench: The page.
        tools: What the shop has, as it was last read.
        kept: Told the words and the findings of what was kept.
    """

    def benders() -> tuple[str, ...]:
        known = tools()
        return () if known is None else tuple(one.name for one in known.benders if not one.retired)

    def fill() -> None:
        if not benders():
            ui.label("Add the bender first that it belongs to.").classes("hw-soft")
            return
        name, fields = (
            text_entry("Name of the die", hint="as bars name it, such as 45"),
            die_fields(None, benders()),
        )

        def made() -> ShopDie:
            given: dict[str, Any] = {
                key: one.value() for key, one in fields.items() if one.text or key != "clamp_mm"
            }
            return ShopDie(name=name.text, **given)

        _adding(bench, "Add the die", made, lambda one: add_die(None, one), (name, *fields.values()), kept)

    form_part(bench, benders, lambda _: fill())


def _adding(
    bench: Bench,
    words: str,
    made: Callable[[], Tool],
    add: Callable[[Tool], Stored[Tool]],
    fields: Sequence[Entry[Any] | Choice],
    kept: Kept,
) -> None:
    told = told_below(bench)

    async def keep() -> None:
        try:
            one = made()
        except UserError as error:
            told(error.findings)
            return
        sent = {field: field.text for field in fields}
        stored = await work(bench, words, lambda *_: add(one), edits=False)
        told(bench.findings if stored is None else ())
        if stored is not None:
            clear_taken(sent)
            state = "is kept" if stored.is_new else "was kept already"
            await kept(f"✓ {stored.record.name} {state}.", stored.findings)

    ui.button(words, on_click=keep).classes("hw-button")
