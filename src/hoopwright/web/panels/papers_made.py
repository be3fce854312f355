"""Wraps, plates, solids, tables and pictures, made when they are asked for."""

from nicegui import ui

from hoopwright.jobs.paper_files import KINDS, PaperKind, PaperWishes, make_papers
from hoopwright.jobs.paper_previews import today
from hoopwright.jobs.pictures import draw_pictures
from hoopwright.web.bench import Bench
from hoopwright.web.panels.papers_shown import Look, PapersShown, paper_link
from hoopwright.web.paper_routes import paper_address
from hoopwright.web.picks import draw_when_other, finding_list
from hoopwright.web.work import work

_KIND_WORDS: dict[PaperKind, str] = {
    "wraps": "wraps of copes, PDF and DXF",
    "plates": "plates and gussets, PDF and DXF",
    "floor": "flat bars at full size on the floor",
    "glb": "solids to look at (GLB)",
    "tables": "tables (CSV, XLSX)",
    "step": "solids for CAD (STEP)",
}
_PICTURE = "image/png"


def making(bench: Bench, state: PapersShown, look: Look) -> None:
    """Ask which papers are made, make them, and tell which are new; `look` is called after."""
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


def pictures(bench: Bench, state: PapersShown, look: Look) -> None:
    """Draw the cage from six sides, and show the pictures; `look` is called after."""

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
                paper_link(bench, one)

    draw_when_other(bench, lambda: state.files, draw)
