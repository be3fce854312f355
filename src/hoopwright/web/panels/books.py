"""Rule books at hand: one is chosen for the cage, copied, edited, or brought as a file."""

from collections import Counter
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.rule_books import ListedBook, copy_book, list_books, pin_book, take_book_in
from hoopwright.jobs.typed_texts import TypedText, book_faults, book_text, keep_book_text
from hoopwright.web.bench import Bench
from hoopwright.web.dropping import DropPlace
from hoopwright.web.entries import text_entry
from hoopwright.web.findings_words import finding_line
from hoopwright.web.made import fill_part
from hoopwright.web.picks import finding_list, pick_table, when_open
from hoopwright.web.reading import read
from hoopwright.web.text_edit import TextKind, edit_text
from hoopwright.web.uploads import BOOK

_KEYS = (
    "What it says is for you to compare with the book. "
    "Every [[rule]] has an id, a kind and its limits; a rule that is 'not verified' stays off until confirmed. "
    "The guide to rule books in the documentation lists every kind and key."
)
Again = Callable[[], Awaitable[None]]


@dataclass
class _State:
    """What this part of the page shows."""

    books: tuple[ListedBook, ...] | None = None
    chosen: str = ""
    refused: str = ""


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = _State()

    async def look() -> None:
        found = await read(bench, list_books)
        if found is not None:
            state.books = found
            bench.tell()

    when_open(bench, "Rule book", lambda: bench.seen.version, look)
    fill_part(bench, lambda: (id(state.books), state.chosen), lambda: _list(bench, state, look))
    fill_part(bench, lambda: state.refused, lambda: _refused(state), gap="gap-1")

    async def arrived(token: str, _: str) -> None:
        state.refused = ""
        try:
            with bench.desk.uploads.waiting(token) as file:
                taken = await bench.edit(lambda folder: take_book_in(folder, file))
        except UserError as error:
            bench.say(error.findings)
            return
        if taken is None:
            state.refused = "\n".join(finding_line(one, bench.units) for one in bench.findings)
        else:
            state.chosen = taken.path.stem
        await look()
        bench.tell()

    def not_taken(text: str) -> None:
        state.refused = text
        bench.tell()

    DropPlace(
        address="/seen/file/book",
        suffixes=BOOK.suffixes,
        largest_bytes=BOOK.largest_bytes or 0,
        on_arrived=arrived,
        on_refused=not_taken,
        what="rule book",
        hint="a text file that ends in .toml, as the guide to rule books says",
    ).classes("w-full")


def _refused(state: _State) -> None:
    if state.refused:
        ui.label(state.refused).classes("hw-finding").style("white-space: pre-line")


def _list(bench: Bench, state: _State, look: Again) -> None:
    books = state.books
    if books is None:
        ui.label("Looking for books ...").classes("hw-soft")
        return
    if not books:
        ui.label("No book yet. Drop a book's file below.").classes("hw-soft")
        return

    def pick(number: int) -> None:
        state.chosen = books[number].file.path.stem
        bench.tell()

    pick_table(
        ["book", "of, edition", "its lines"],
        [_row(one) for one in books],
        pick,
        classes=["fail" if one.book is None else "" for one in books],
        widths=(98, 0, 82),
    )
    found = next((one for one in books if one.file.path.stem == state.chosen), None)
    if found is not None:
        _one(bench, state, found, look)


def _row(one: ListedBook) -> list[str]:
    name = one.file.path.stem
    marks = [words for words, is_so in (("● held to", one.is_pinned), ("own", one.file.is_own)) if is_so]
    head = "\n".join([name, *marks])
    if one.book is None:
        return [head, "✗ cannot be read", ""]
    counts = Counter(rule.provenance.value for rule in one.book.rules)
    known = "\n".join(f"{count} {words}" for words, count in counts.items())
    return [head, f"{one.book.body}\n{one.book.name}\nedition {one.book.edition}", known]


def _one(bench: Bench, state: _State, one: ListedBook, look: Again) -> None:
    name = one.file.path.stem
    ui.label(name).classes("hw-head")
    finding_list(bench, one.findings)
    if one.book is not None:
        for caution in one.book.cautions:
            ui.label(caution).classes("hw-finding note")

    async def pin() -> None:
        pinned = await bench.edit(lambda folder: pin_book(folder, name))
        if pinned is not None:
            ui.notify(f"✓ Held to {pinned.book_id}, edition {pinned.edition}")
            await look()

    async def edit() -> None:
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
                kept=look,
                keys=_KEYS,
            ),
        )

    with ui.row().classes("w-full items-center gap-2"):
        if one.book is not None:
            again = "Hold the cage to it as it is now" if one.is_pinned else "Hold the cage to this edition"
            ui.button(again, on_click=pin).classes("hw-button")
        if one.file.is_own:
            ui.button("Edit its text", on_click=edit).props("flat dense")
    if one.book is None:
        return
    copied = text_entry("Name of a copy of your own", value=f"{name}-own")

    async def copy() -> None:
        made = await bench.edit(lambda folder: copy_book(name, copied.text, folder))
        if made is not None:
            state.chosen = made.path.stem
            await look()

    ui.button("Copy it as the project's own", on_click=copy).props("flat dense")
    ui.label(
        "A copy can be edited here; its text is a file in the project's books, outside of undo."
    ).classes("hw-soft")
