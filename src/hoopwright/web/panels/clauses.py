"""Every clause of the pinned book: checked, asked of a person, off, or not done."""

from collections import Counter
from dataclasses import dataclass

from nicegui import ui

from hoopwright.jobs.rule_views import ShownBook, pinned_in_words
from hoopwright.rules.coverage import Covered
from hoopwright.web.bench import Bench
from hoopwright.web.made import fill_part
from hoopwright.web.picks import when_open
from hoopwright.web.reading import read

# no tick: that a rule can be held against the model does not say how it ends
_SIGNS = {Covered.CHECKED: "=", Covered.ASKED: "?", Covered.OFF: "○", Covered.NOT_DONE: "–"}

_WORDS = {Covered.CHECKED: "held against the model"}


@dataclass
class _State:
    """The book as last read."""

    shown: ShownBook | None = None


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = _State()

    async def look() -> None:
        if bench.seen.project.book is None:
            state.shown = None
        else:
            state.shown = await read(bench, pinned_in_words)
        bench.tell()

    when_open(bench, "Rule book", lambda: bench.seen.version, look)
    fill_part(bench, lambda: id(state.shown), lambda: _table(state))


def _words(covered: Covered) -> str:
    return _WORDS.get(covered, covered.value)


def _table(state: _State) -> None:
    if state.shown is None:
        ui.label("Choose a book first: open 'Books and editions'.").classes("hw-soft")
        return
    rows = state.shown.clauses
    counts = Counter(row.covered for row in rows)
    ui.label(", ".join(f"{_SIGNS[kind]} {counts[kind]} {_words(kind)}" for kind in Covered if counts[kind]))
    with ui.element("table").classes("hw-table hw-words"):
        with ui.element("thead"), ui.element("tr"):
            for head in ("clause", "what it demands"):
                with ui.element("th"):
                    ui.label(head)
        with ui.element("tbody"):
            for row in rows:
                at = "\n".join(
                    filter(None, (row.clause, f"page {row.page}" if row.page else "", row.rule_id))
                )
                said = "\n".join(
                    filter(None, (row.words, f"{_SIGNS[row.covered]} {_words(row.covered)}", row.needs))
                )
                with ui.element("tr"):
                    for text in (at, said):
                        with ui.element("td"):
                            ui.label(text).style("white-space: pre-line; overflow-wrap: anywhere")
