"""Tables whose rows are chosen, and panels that are drawn again only when what they show has changed."""

from collections.abc import Awaitable, Callable, Hashable, Sequence
from html import escape
from typing import Any

from nicegui import ui

from hoopwright.bars import Node
from hoopwright.findings import Finding, Severity, Verdict
from hoopwright.jobs.rows import CheckRow
from hoopwright.units import MM_PER_INCH, shown
from hoopwright.web.bench import Bench
from hoopwright.web.findings_words import finding_words, places_named
from hoopwright.web.going_there import go_to
from hoopwright.web.on_the_page import Place

SIGNS = {
    Verdict.PASS: "✓ pass",
    Verdict.FAIL: "✗ FAIL",
    Verdict.NOT_CHECKED: "? not checked",
    Verdict.NOT_APPLICABLE: "– not applicable",
}
"""A verdict as it is shown: a sign and its word, so that colour is never needed."""
EDGES = {Verdict.FAIL: "fail", Verdict.NOT_CHECKED: "open"}
"""Class of the row of a verdict, beside its sign."""
ORDER = (Verdict.FAIL, Verdict.NOT_CHECKED, Verdict.PASS, Verdict.NOT_APPLICABLE)
"""Verdicts in the order in which a person looks at them."""
_ROW_OF = (
    '(event) => { const row = event.target.closest("[data-row]"); if (row) emit(Number(row.dataset.row)); }'
)
_PLACE = "place"
_SHOWN_PLACES = (_PLACE, "seam", "way")


def draw_when_other(bench: Bench, key: Callable[[], Hashable], draw: Callable[[], None]) -> None:
    """Draw now, and again whenever the page changes and the key is another one.

    A table that is drawn anew loses the keyboard's place in it, so it is not for each choice of a bar.
    """
    drawn: list[Hashable] = []

    def look() -> None:
        now = key()
        if drawn != [now]:
            drawn[:] = [now]
            draw()

    bench.when_changed(look)
    look()


def when_open(
    bench: Bench, tab: str, key: Callable[[], Hashable], act: Callable[[], Awaitable[None]]
) -> None:
    """Do something when a tab is opened, and again while it is open whenever the key is another one.

    Args:
        bench: The page.
        tab: Name of the tab.
        key: What the result hangs on.
        act: Reads what the tab shows, in the background.
    """
    done: list[Hashable] = []

    async def go() -> None:
        timer.deactivate()
        await act()

    timer = ui.timer(0.05, go, active=False)

    def look() -> None:
        if bench.tab != tab:
            done.clear()
        elif done != [key()]:
            done[:] = [key()]
            timer.activate()

    bench.when_changed(look)
    look()


def pick_table(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    pick: Callable[[int], Any],
    *,
    classes: Sequence[str] = (),
    widths: Sequence[int] = (),
) -> None:
    """A table whose rows are clicked, or chosen with the keyboard by the button in their first cell.

    Args:
        heads: Words over the columns.
        rows: Texts.
        pick: Called with the number of the row, from 0.
        classes: A class for each row, for its edge; none without.
        widths: Of the columns, pixels; 0 takes what is left.
    """
    wide = [f' style="width: {width}px"' if width else "" for width in (*widths, *[0] * len(heads))]
    head = "".join(f"<th{width}>{escape(text)}</th>" for text, width in zip(heads, wide, strict=False))
    body = "".join(
        _row(number, cells, classes[number] if classes else "") for number, cells in enumerate(rows)
    )
    made = ui.html(
        f'<table class="hw-table hw-picks"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>',
        sanitize=False,
    )
    made.classes("w-full").on("click", lambda event: pick(int(event.args)), js_handler=_ROW_OF)


def _row(number: int, cells: Sequence[str], kind: str) -> str:
    first, *others = cells
    button = f'<td><button type="button" class="hw-pick">{escape(first)}</button></td>'
    rest = "".join(f"<td>{escape(cell)}</td>" for cell in others)
    return f'<tr data-row="{number}" class="{escape(kind)}">{button}{rest}</tr>'


def fine_length(bench: Bench, value_mm: float) -> str:
    """A length where sixteenths of an inch are too coarse: thousandths then."""
    return bench.length(value_mm) if bench.units == "mm" else f"{shown(value_mm / MM_PER_INCH, 3)} in"


def numbers_of(bench: Bench, row: CheckRow) -> str:
    """Measured value and limit of a check, in the page's units, or in a rule book's own words."""
    if row.measured_words:
        return f"{row.measured_words}, limit {row.limit_words}" if row.limit_words else row.measured_words
    if row.measured is None:
        return ""
    if row.unit == "mm":
        limit = "" if row.limit is None else f", limit {fine_length(bench, row.limit)}"
        return f"{fine_length(bench, row.measured)}{limit}"
    unit = "°" if row.unit == "deg" else f" {row.unit}"
    limit = "" if row.limit is None else f", limit {row.limit:g}{unit}"
    return f"{shown(row.measured, 1)}{unit}{limit}"


def finding_list(bench: Bench, findings: Sequence[Finding], *, none: str = "") -> None:
    """Findings with what to do and where on the page; one that has a place is shown there.

    Args:
        bench: The page.
        findings: The grave ones first.
        none: What is said where there is none.
    """
    if not findings and none:
        ui.label(none).classes("hw-soft")
    grave = (Severity.STOP, Severity.WARNING, Severity.NOTE)
    for finding in sorted(findings, key=lambda one: grave.index(one.severity)):
        _finding(bench, finding)


def _finding(bench: Bench, finding: Finding) -> None:
    kind = "note" if finding.severity is Severity.NOTE else ""
    with ui.column().classes(f"hw-finding gap-1 {kind}"):
        words = ui.label().style("white-space: pre-line")
        if finding.point_mm is not None:
            ui.button("Show the place", on_click=lambda: _shown(bench, finding)).props(
                f'flat dense aria-label="Show the place of {finding.code}"'
            )
        for place in places_named(finding):
            if place.tab:
                ui.button(place.on_a_button, on_click=lambda _, one=place: _gone(bench, finding, one)).props(
                    f'flat dense no-caps align=left aria-label="Go to the {place.on_a_button}, for {finding.code}"'
                )

    def say() -> None:
        words.set_text(finding_words(finding, bench.units))

    bench.when_changed(say, on=words)
    say()


def _shown(bench: Bench, finding: Finding) -> None:
    bars = _bars(bench, finding)
    if finding.point_mm is not None:
        show_place(bench, finding.point_mm, finding.code, bar_id=bars[0] if bars else None)


def _gone(bench: Bench, finding: Finding, place: Place) -> None:
    """Go to where it is mended, with a bar chosen that it is about."""
    bars = _bars(bench, finding)
    if bars and bench.chosen not in bars:
        bench.choose(bars[0])
    go_to(bench, place)


def _bars(bench: Bench, finding: Finding) -> list[str]:
    return [name for name in finding.objects if name in bench.seen.project.cage]


def show_place(
    bench: Bench,
    place_mm: Node | None,
    words: str,
    *,
    bar_id: str | None = None,
    across_mm: float = 600.0,
    seen_mm: Node | None = None,
) -> None:
    """Choose a bar, look at a place, and mark it with words; without a place only the bar is chosen.

    Args:
        bench: The page.
        place_mm: The place.
        words: What it is.
        bar_id: The bar.
        across_mm: How much of the car is shown.
        seen_mm: What must be seen, where the place itself lies in the metal; the place without.
    """
    if bar_id is not None and bar_id in bench.seen.project.cage and bar_id != bench.chosen:
        bench.choose(bar_id)
    if place_mm is None:
        bench.view.show_marks(_PLACE, ())
        return
    bench.view.show_marks(_PLACE, [{"points_mm": [list(place_mm)], "text": words, "through": True}])
    bench.view.look_at(seen_mm or place_mm, across_mm)


def forget_places(bench: Bench) -> None:
    """Take the marks of places that were shown out of the picture."""
    for name in _SHOWN_PLACES:
        bench.view.show_marks(name, ())


def older(bench: Bench, version: int | None, what: str) -> None:
    """Say that what is shown was made before the project changed, where it was."""
    if version is not None and version != bench.seen.version:
        mark_old("the project", what)


def mark_old(changed: str, what: str) -> None:
    """Say that what is shown was made before something changed, and what to do."""
    ui.label(f"△ OLD: {changed} has changed since. {what}").classes("hw-finding").props('role="status"')


def svg_pages(pages: Sequence[str], label: str) -> None:
    """Pages as they are printed, white as paper in light and dark; each opens larger."""
    for number, page in enumerate(pages, start=1):
        words = label if len(pages) == 1 else f"{label}, page {number} of {len(pages)}"
        _page(page, words)
        ui.button("Larger", on_click=lambda _, one=page, said=words: _larger(one, said)).props(
            f'flat dense aria-label="Larger: {escape(words)}"'
        )


def _page(page: str, words: str) -> None:
    ui.html(page, sanitize=False).classes("hw-page").props(f'role="img" aria-label="{escape(words)}"')


def _larger(page: str, words: str) -> None:
    with (
        ui.dialog().props(f'maximized aria-label="{escape(words)}"') as dialog,
        ui.card().classes("hw-larger"),
    ):
        with ui.row().classes("hw-row"):
            ui.label(words).classes("hw-head")
            ui.space()
            ui.button("Close", on_click=dialog.close).classes("hw-button").props("autofocus")
        _page(page, words)
    dialog.on("hide", dialog.delete)
    dialog.open()
