"""One rule book: chosen for the cage, copied under another name, and its text edited with rules put in by kind."""

from collections.abc import Awaitable, Callable

from nicegui import ui

from hoopwright.cage import Role
from hoopwright.jobs.rule_books import ListedBook, copy_book, pin_book
from hoopwright.jobs.typed_texts import (
    TypedText,
    book_faults,
    book_text,
    keep_book_text,
    kinds_of_rules,
    put_rule_in,
)
from hoopwright.web.bench import Bench
from hoopwright.web.entries import text_entry
from hoopwright.web.parts import bring_into_view
from hoopwright.web.picks import finding_list
from hoopwright.web.text_edit import TextKind, edit_text

_KEYS = (
    "What it says is for you to compare with the book. Every [[rule]] has an id, a kind and its limits. "
    "Add clause, page and words, so that the papers can name them. A line with "
    "'not verified' stays off until you confirm it."
)
_BEGIN = "tube size"
Chosen = Callable[[str], Awaitable[None]]


def one_book(bench: Bench, one: ListedBook, chosen: Chosen, *, bring: bool) -> None:
    """Show a book with what can be done with it.

    Args:
        bench: The page.
        one: The book.
        chosen: Called with the name of the book to show next, after something was changed.
        bring: Whether the page rolls to it: only when a person asked for it, and not when it is drawn again.
    """
    name = one.file.path.stem
    head = ui.label(name).classes("hw-head")
    if bring:
        bring_into_view(head, "start")
    finding_list(bench, one.findings)
    if one.book is not None:
        ui.label(f"{one.book.body}, {one.book.name}, edition {one.book.edition}").classes("hw-soft")

    async def pin() -> None:
        pinned = await bench.edit(lambda folder: pin_book(folder, name))
        if pinned is not None:
            ui.notify(
                f"✓ Held to {pinned.book_id}, edition {pinned.edition}. "
                "'Hold the cage to the book' below says how each rule ends."
            )
            await chosen(name)

    async def edit() -> None:
        await edit_book(bench, name, lambda: chosen(name))

    with ui.row().classes("w-full items-center gap-2"):
        if one.book is not None:
            words = "Take it as it is now" if one.is_pinned else "Choose this edition for the cage"
            ui.button(words, on_click=pin).classes("hw-button")
        if one.file.is_own:
            ui.button("Edit its text", on_click=edit).props("flat dense")
    if one.book is None:
        return
    _copying(bench, name, chosen)
    for caution in one.book.cautions:
        ui.label(caution).classes("hw-finding note")


def _copying(bench: Bench, name: str, chosen: Chosen) -> None:
    copied = text_entry(
        "Name of a copy of your own",
        value=f"{name}-own",
        hint="a copy can be edited; it is a file in the project's books, outside of undo",
    )

    async def copy() -> None:
        made = await bench.edit(lambda folder: copy_book(name, copied.text, folder))
        if made is not None:
            ui.notify(f"✓ Copied as {made.path.stem}")
            await chosen(made.path.stem)

    ui.button("Copy it as the project's own", on_click=copy).props("flat dense")


async def edit_book(bench: Bench, name: str, kept: Callable[[], Awaitable[None]]) -> None:
    """Open the text of one of the project's own books."""
    folder = bench.desk.folder

    def keep(text: str, was: str) -> TypedText:
        return keep_book_text(folder, name, text, was=was)

    await edit_text(
        bench,
        TextKind(
            title=f"Rule book {name}",
            read=lambda: book_text(folder, name),
            faults=lambda text: book_faults(text, name),
            keep=keep,
            kept=kept,
            keys=_KEYS,
            beside=_put_in,
        ),
    )


def _put_in(text: Callable[[], str], put: Callable[[str], None]) -> None:
    """Kinds of rules with what each takes, and a first text of the chosen one."""
    kinds = {one.kind: one for one in kinds_of_rules()}
    ui.label("Put a rule in").classes("hw-head")
    choice = ui.select(list(kinds), value=_BEGIN, label="What the rule is about", with_input=True)
    choice.props("dense outlined")
    what = ui.label().style("white-space: pre-line")

    def turn() -> None:
        one = kinds.get(str(choice.value))
        if one is not None:
            keys = ", ".join(one.keys) or "none of its own"
            what.set_text(f"{one.what}\nIt is held against: {one.needs}.\nKeys of its own: {keys}.")

    def add() -> None:
        if str(choice.value) in kinds:
            put(put_rule_in(text(), str(choice.value)))

    choice.on_value_change(turn)
    turn()
    ui.button("Put it in at the end", on_click=add).classes("hw-button")
    ui.label(
        "Its figures are examples of ours and no body's. It is off until you take out its last line, which you do when "
        "you have typed what the book says."
    ).classes("hw-soft")
    ui.label(
        f'applies: one of {", ".join(one.value for one in Role)}, or a list: ["main hoop", "side bar"]. Without it, '
        'every bar. Lengths are in the book\'s unit, or with one in quotes: "6 in". Areas always: "120 cm2".'
    ).classes("hw-soft")
