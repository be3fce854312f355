"""Papers: sheets issued, previewed and printed; files for cutting and looking; pictures."""

from nicegui import ui

from hoopwright.jobs.paper_lists import ListedPaper, SheetState, list_papers, sheet_states
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.panels.papers_issued import issuing
from hoopwright.web.panels.papers_made import making, pictures
from hoopwright.web.panels.papers_shown import PapersShown, paper_link
from hoopwright.web.picks import draw_when_other, when_open
from hoopwright.web.reading import read

_ONE_KB = 1024.0


def build(bench: Bench) -> None:
    """Fill the tab."""
    state = PapersShown()

    async def look() -> None:
        listed = await read(bench, _listed)
        if listed is not None:
            state.sheets, state.files = listed
            bench.tell()

    paper = ui.toggle(["A4", "letter"], value="A4").props('dense role="group" aria-label="Paper"')
    paper.on_value_change(lambda: setattr(state, "paper", "letter" if paper.value == "letter" else "A4"))
    with ui.expansion("Sheets of the bars", value=True):
        issuing(bench, state, look)
    with ui.expansion("Wraps, plates, solids and tables"):
        making(bench, state, look)
    with ui.expansion("Pictures"):
        pictures(bench, state, look)
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


def _files(bench: Bench, state: PapersShown) -> None:
    if not state.files:
        ui.label("No papers yet. Issue the sheets first.").classes("hw-soft")
        return
    for group in sorted({one.group for one in state.files}, key=lambda name: (name.startswith("OLD"), name)):
        ui.label(group).classes("hw-head")
        for one in state.files:
            if one.group == group:
                with ui.row().classes("hw-row"):
                    paper_link(bench, one)
                    ui.space()
                    ui.label(f"{max(1.0, one.size_bytes / _ONE_KB):.0f} kB").classes("hw-soft")
