"""Sheets of the bars: issued, previewed, and how each stands."""

from nicegui import ui

from hoopwright.bender import Swing
from hoopwright.jobs.issuing_sheets import issue_sheets
from hoopwright.jobs.paper_previews import sheet_preview, today
from hoopwright.jobs.sheets import SheetWishes
from hoopwright.web.bench import Bench
from hoopwright.web.panels.papers_shown import Look, PapersShown, paper_link
from hoopwright.web.parts import bring_into_view, counted
from hoopwright.web.picks import draw_when_other, finding_list, pick_table, svg_pages
from hoopwright.web.work import work

_SIGNS = {
    "in force": "✓ in force",
    "OLD": "✗ OLD: issue it again",
    "never issued": "– never issued",
    "cannot be made": "? cannot be made",
}
_EDGES = {"OLD": "fail", "cannot be made": "open", "never issued": "open"}


def issuing(bench: Bench, state: PapersShown, look: Look) -> None:
    """Ask how sheets are issued, issue or preview them, and show how each stands; `look` is called after."""
    swings = ui.select(
        {
            "": "as the project or the shop knows it",
            "clockwise": "clockwise",
            "anticlockwise": "anticlockwise",
        },
        value="",
        label="From above, the bender swings",
    ).props("dense outlined")
    ui.label(
        "Which way the bender takes the leading end round the die. The project keeps what is said here."
    ).classes("hw-understood")
    code = ui.label().classes("hw-understood")

    def say_code() -> None:
        code.set_text(
            f"The square code on each sheet opens its bar at {bench.shop_address}"
            if bench.shop_address
            else "While phones are let in (Shop network at the top of the page), the square code on each sheet "
            "opens its bar on the phone."
        )

    draw_when_other(bench, lambda: bench.shop_address, say_code)
    placeholder = ui.checkbox("bars without a calibration too, stamped not calibrated").props("dense")

    async def issue(only: tuple[str, ...]) -> None:
        swing: Swing | None = (
            None if not swings.value else "clockwise" if swings.value == "clockwise" else "anticlockwise"
        )
        wishes = SheetWishes(
            date=today(),
            only=only,
            swings=swing,
            paper=state.paper,
            unit=bench.units,
            placeholder=bool(placeholder.value),
            shop_address=bench.shop_address,
        )
        before = bench.findings
        state.issued, state.stopped = None, ()
        made = await work(
            bench, "Issuing sheets", lambda folder, progress: issue_sheets(folder, wishes, progress=progress)
        )
        if made is not None:
            state.issued = made
            old = f"; {counted(len(made.old), 'earlier paper')} now OLD" if made.old else ""
            ui.notify(f"{counted(len(made.sheets), 'sheet')} issued{old}. Print bar-sheets.pdf at 100 %.")
        elif bench.findings is not before:
            state.stopped = bench.findings
            bench.tell()
            bring_into_view(told)
        await look()

    async def preview() -> None:
        bar, unit, size, stamped = bench.chosen, bench.units, state.paper, bool(placeholder.value)
        if bar is None:
            ui.notify("Choose a bar in the list first.")
            return
        pages = await work(
            bench,
            f"Drawing the sheet of {bar}",
            lambda folder, progress: sheet_preview(
                folder, bar, unit=unit, paper=size, placeholder=stamped, progress=progress
            ),
            edits=False,
        )
        if pages is not None:
            state.pages, state.paged = pages, bar
            bench.tell()

    async def chosen() -> None:
        if bench.chosen is None:
            ui.notify("Choose a bar in the list first.")
            return
        await issue((bench.chosen,))

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Issue all sheets", on_click=lambda: issue(())).classes("hw-button")
        ui.button("Only the chosen bar", on_click=chosen).props("flat dense")
        ui.button("Preview", on_click=preview).props(
            'flat dense aria-label="Preview the sheet of the chosen bar"'
        )
    told = ui.column().classes("w-full gap-2")
    box = ui.column().classes("w-full gap-2")

    def draw() -> None:
        box.clear()
        with box:
            _states(bench, state)

    def draw_told() -> None:
        told.clear()
        with told:
            finding_list(bench, state.stopped if state.issued is None else state.issued.findings)
            if state.pages:
                ui.label(f"{state.paged} as it would be issued now").classes("hw-head")
                svg_pages(state.pages, f"Sheet of {state.paged}")

    draw_when_other(bench, lambda: (id(state.sheets), state.files), draw)
    draw_when_other(bench, lambda: (id(state.issued), id(state.pages), state.stopped), draw_told)


def _states(bench: Bench, state: PapersShown) -> None:
    sheets = state.sheets
    if sheets is None:
        ui.label("Looking at the sheets ...").classes("hw-soft")
        return
    if not sheets:
        ui.label("No bars yet: lay a cage out, or add a bar, under Cage.").classes("hw-soft")
        return
    pick_table(
        ["bar", "revision", "stands"],
        [
            [
                f"{one.bar_id} {one.side}".strip() if not one.bar_id.endswith(one.side) else one.bar_id,
                "" if one.revision is None else f"{one.revision}\n{one.date}",
                "\n".join(filter(None, (_SIGNS[one.standing], one.why))),
            ]
            for one in sheets
        ],
        lambda number: bench.choose(sheets[number].bar_id),
        classes=[_EDGES.get(one.standing, "") for one in sheets],
        widths=(88, 100, 0),
    )
    whole = [one for one in state.files if one.group == "The whole cage"]
    with ui.row().classes("gap-3"):
        for one in whole:
            paper_link(bench, one)
