"""Rule books at hand: looked for, begun, brought as a file, and one of them chosen."""

from collections import Counter
from dataclasses import dataclass

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.rule_books import ListedBook, begin_book, list_books, take_book_in
from hoopwright.web.bench import Bench
from hoopwright.web.dropping import DropPlace
from hoopwright.web.entries import text_entry
from hoopwright.web.findings_words import finding_line
from hoopwright.web.made import fill_part
from hoopwright.web.panels.one_book import Chosen, edit_book, one_book
from hoopwright.web.picks import pick_table, when_open
from hoopwright.web.reading import read
from hoopwright.web.uploads import BOOK


@dataclass
class _State:
    """What this part of the page shows; each time a person asked for a book the page rolls to it, once."""

    books: tuple[ListedBook, ...] | None = None
    chosen: str = ""
    asked: int = 0
    brought: int = 0
    refused: str = ""
    looked_for: str = ""


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = _State()

    async def look() -> None:
        found = await read(bench, list_books)
        # every edit of the project has the books read again: the same ones leave the page as it is
        if found is not None and found != state.books:
            state.books = found
            bench.tell()

    async def chosen(name: str) -> None:
        state.asked += name != state.chosen
        state.chosen = name
        await look()
        bench.tell()

    def looked_for(words: str) -> None:
        state.looked_for = words
        bench.tell()

    when_open(bench, "Rule book", lambda: bench.seen.version, look)
    ui.input("Look for a book", on_change=lambda event: looked_for(str(event.value or ""))).props(
        'dense outlined clearable debounce=200 aria-label="Look for a book"'
    ).classes("w-full")
    fill_part(bench, lambda: (id(state.books), state.looked_for), lambda: _list(bench, state))
    fill_part(
        bench,
        lambda: (id(state.books), state.chosen, state.asked),
        lambda: _chosen(bench, state, chosen),
        gap="gap-1",
    )
    _begin(bench, chosen)
    fill_part(bench, lambda: state.refused, lambda: _refused(state), gap="gap-1")
    _bring(bench, state, chosen)


def _begin(bench: Bench, chosen: Chosen) -> None:
    ui.label("A book that is not in the list").classes("hw-head")
    name = text_entry("Name of a new book", value="my-club", hint="letters, digits, points and dashes")

    async def begin() -> None:
        made = await bench.edit(lambda folder: begin_book(folder, name.text))
        if made is not None:
            stem = made.path.stem
            await chosen(stem)
            await edit_book(bench, stem, lambda: chosen(stem))

    ui.button("Write a book of your own", on_click=begin).props("flat dense")


def _bring(bench: Bench, state: _State, chosen: Chosen) -> None:
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
        await chosen(state.chosen if taken is None else taken.path.stem)

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


def _list(bench: Bench, state: _State) -> None:
    if state.books is None:
        ui.label("Looking for books ...").classes("hw-soft")
        return
    words = state.looked_for.lower().split()
    books = [one for one in state.books if all(word in "\n".join(_row(one)).lower() for word in words)]
    if not books:
        none = "No book has these words." if words else "No book yet. Write one, or drop its file below."
        ui.label(none).classes("hw-soft")
        return

    def pick(number: int) -> None:
        state.chosen = books[number].file.path.stem
        state.asked += 1
        bench.tell()

    with ui.element("div").classes("hw-books"):
        pick_table(
            ["book", "of, edition", "its lines"],
            [_row(one) for one in books],
            pick,
            classes=["fail" if one.book is None else "" for one in books],
            widths=(104, 0, 92),
        )


def _row(one: ListedBook) -> list[str]:
    name = one.file.path.stem
    marks = [
        words for words, is_so in (("● chosen", one.is_pinned), ("of your own", one.file.is_own)) if is_so
    ]
    head = "\n".join([name, *marks])
    if one.book is None:
        return [head, "✗ cannot be read", ""]
    counts = Counter(rule.provenance.value for rule in one.book.rules)
    known = "\n".join(f"{count} {words}" for words, count in counts.items())
    return [head, f"{one.book.body}\n{one.book.name}\nedition {one.book.edition}", known]


def _chosen(bench: Bench, state: _State, chosen: Chosen) -> None:
    found = next((one for one in state.books or () if one.file.path.stem == state.chosen), None)
    if found is not None:
        one_book(bench, found, chosen, bring=state.asked > state.brought)
        state.brought = state.asked
    elif state.books:
        ui.label("Click a book to choose it for the cage, to copy it, or to edit it.").classes("hw-soft")
