"""Papers: sheets issued, previewed and printed; files for cutting and looking; pictures."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Literal

from nicegui import ui

from hoopwright.bender import Swing
from hoopwright.findings import Finding
from hoopwright.jobs.issuing_sheets import IssueResult, issue_sheets
from hoopwright.jobs.paper_files import KINDS, PaperKind, PapersMade, PaperWishes, make_papers
from hoopwright.jobs.paper_lists import ListedPaper, SheetState, list_papers, sheet_states
from hoopwright.jobs.paper_previews import sheet_preview, today
from hoopwright.jobs.pictures import draw_pictures
from hoopwright.jobs.sheets import SheetWishes
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.paper_routes import paper_address
from hoopwright.web.parts import bring_into_view, counted
from hoopwright.web.picks import draw_when_other, finding_list, pick_table, svg_pages, when_open
from hoopwright.web.reading import read
from hoopwright.web.work import work

_SIGNS = {
    "in force": "✓ in force",
    "OLD": "✗ OLD: issue it again",
    "never issued": "– never issued",
    "cannot be made": "? cannot be made",
}
_EDGES = {"OLD": "fail", "cannot be made": "open", "never issued": "open"}
_KIND_WORDS: dict[PaperKind, str] = {
    "wraps": "wraps of copes, PDF and DXF",
    "plates": "plates and gussets, PDF and DXF",
    "floor": "flat bars at full size on the floor",
    "glb": "solids to look at (GLB)",
    "tables": "tables (CSV, XLSX)",
    "step": "solids for CAD (STEP)",
}
_PICTURE = "image/png"
_ONE_KB = 1024.0
Look = Callable[[], Awaitable[None]]


@dataclass
class _State:
    """What this page shows of the papers."""

    sheets: tuple[SheetState, ...] | None = None
    files: tuple[ListedPaper, ...] = ()
    pages: tuple[str, ...] = ()
    paged: str = ""
    issued: IssueResult | None = None
    stopped: tuple[Finding, ...] = ()
    made: PapersMade | None = None
    kinds: dict[PaperKind, bool] = field(default_factory=lambda: dict.fromkeys(KINDS, True))
    paper: Literal["A4", "letter"] = "A4"


def build(bench: Bench) -> None:
    """Fill the tab."""
    state = _State()

    async def look() -> None:
        listed = await read(bench, _listed)
        if listed is not None:
            state.sheets, state.files = listed
            bench.tell()

    paper = ui.toggle(["A4", "letter"], value="A4").props('dense role="group" aria-label="Paper"')
    paper.on_value_change(lambda: setattr(state, "paper", "letter" if paper.value == "letter" else "A4"))
    with ui.expansion("Sheets of the bars", value=True):
        _issuing(bench, state, look)
    with ui.expansion("Wraps, plates, solids and tables"):
        _making(bench, state, look)
    with ui.expansion("Pictures"):
        _pictures(bench, state, look)
    with ui.expansion("All papers of this project"):
        files = ui.column().classes("w-full gap-1")

    def draw_files() -> None:
        files.clear()
        with files:
            _files(bench, state)

    draw_when_other(bench, lambda: state.files, draw_files)
    when_open(bench, "Papers", lambda: bench.seen.version, look)


def _listed(folder: ProjectFolder) -> tuple[tuple[SheetState, ...], tuple[ListedPaper, ...]]:
    return sheet_states(folder), list_papers(folder)


def _issuing(bench: Bench, state: _State, look: Look) -> None:
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


def _states(bench: Bench, state: _State) -> None:
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
            _link(bench, one)


def _making(bench: Bench, state: _State, look: Look) -> None:
    for kind in KINDS:
        box = ui.checkbox(_KIND_WORDS[kind], value=state.kinds[kind]).props("dense")
        box.on_value_change(lambda event, one=kind: state.kinds.update({one: bool(event.value)}))
    only = ui.checkbox("only the chosen bar").props("dense")
    shell = ui.checkbox("the shell too, in what is to look at").props("dense")

    async def make() -> None:
        kinds = tuple(kind for kind, wanted in state.kinds.items() if wanted)
        if not kinds or (only.value and bench.chosen is None):
            ui.notify("Choose a bar in the list first." if kinds else "Tick what is to be made.")
            return
        wishes = PaperWishes(
            date=today(),
            kinds=kinds,
            only=(bench.chosen,) if only.value and bench.chosen else (),
            paper=state.paper,
            unit=bench.units,
            with_shell=bool(shell.value),
        )
        made = await work(
            bench,
            "Making papers",
            lambda folder, progress: make_papers(folder, wishes, progress=progress),
            edits=False,
        )
        if made is not None:
            state.made = made
        await look()

    ui.button("Make them", on_click=make).classes("hw-button")
    told = ui.column().classes("w-full gap-2")

    def draw() -> None:
        told.clear()
        made = state.made
        with told:
            if made is None:
                return
            count = {
                word: sum(one.state == word for one in made.files) for word in ("new", "changed", "as before")
            }
            ui.label(
                f"{len(made.files)} files: " + ", ".join(f"{number} {word}" for word, number in count.items())
            )
            for kind, why in made.skipped:
                ui.label(f"✗ no {kind}: {why}").classes("hw-finding")
            finding_list(bench, made.findings)

    draw_when_other(bench, lambda: id(state.made), draw)


def _pictures(bench: Bench, state: _State, look: Look) -> None:
    async def draw_them() -> None:
        drawn = await work(
            bench,
            "Drawing pictures",
            lambda folder, progress: draw_pictures(folder, progress=progress),
            edits=False,
        )
        if drawn is not None:
            await look()

    ui.button("Draw the cage from six sides", on_click=draw_them).classes("hw-button")
    box = ui.column().classes("w-full gap-2")

    def draw() -> None:
        box.clear()
        pictures = [one for one in state.files if one.media_type == _PICTURE and one.name.startswith("cage-")]
        with box:
            if not pictures:
                ui.label("None drawn yet.").classes("hw-soft")
            for one in pictures:
                # the size makes the browser fetch a picture that was drawn anew
                ui.image(f"{paper_address(bench.view.base, one.name)}?{one.size_bytes}").props(
                    f'alt="{one.name.removesuffix(".png")}"'
                )
                _link(bench, one)

    draw_when_other(bench, lambda: state.files, draw)


def _files(bench: Bench, state: _State) -> None:
    if not state.files:
        ui.label("No papers yet. Issue the sheets first.").classes("hw-soft")
        return
    for group in sorted({one.group for one in state.files}, key=lambda name: (name.startswith("OLD"), name)):
        ui.label(group).classes("hw-head")
        for one in state.files:
            if one.group == group:
                with ui.row().classes("hw-row"):
                    _link(bench, one)
                    ui.space()
                    ui.label(f"{max(1.0, one.size_bytes / _ONE_KB):.0f} kB").classes("hw-soft")


def _link(bench: Bench, one: ListedPaper) -> None:
    ui.link(one.name, paper_address(bench.view.base, one.name), new_tab=True).classes("hw-link")
