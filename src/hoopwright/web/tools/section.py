"""A section at a station or in the plane of the chosen bar: lines in the picture, and a flat drawing with gaps."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from nicegui import background_tasks, run, ui

from hoopwright.findings import UserError
from hoopwright.jobs.view_sections import Section, section_at_station, section_of_bar
from hoopwright.units import parse_length_mm
from hoopwright.web.bench import Bench
from hoopwright.web.findings_words import finding_line

MARK = "section"
STEP_MM = 50.0
STATION, OF_BAR = "at a station", "in the bar's plane"
_SHOWN = 6


@dataclass
class _Asked:
    """What the card asks for.

    Args:
        is_open: Whether the card is shown.
        forward_mm: The station.
        version: Of the project as last cut.
        bar_id: Chosen when last cut.
        made: The section that is shown.
        turn: Of the cut that was asked for last; one that ends after it is dropped.
    """

    is_open: bool = False
    forward_mm: float = 0.0
    version: int = 0
    bar_id: str | None = None
    made: Section | None = None
    turn: int = 0


def build(bench: Bench) -> Callable[[bool], None]:
    """Fill the card."""
    asked = _Asked(forward_mm=_middle_mm(bench))
    ui.label("Section").classes("hw-head")
    kind = ui.toggle([STATION, OF_BAR], value=STATION)
    kind.props('dense no-caps role="group" aria-label="Where the section lies"')
    with ui.row().classes("hw-row") as station:
        place = ui.input("forward", value=bench.length(asked.forward_mm)).props(
            'dense outlined aria-label="Station, forward"'
        )
        place.classes("grow")
        ui.button("−", on_click=lambda: step(-STEP_MM)).props('flat dense aria-label="50 mm rearward"')
        ui.button("+", on_click=lambda: step(STEP_MM)).props('flat dense aria-label="50 mm forward"')
    cut_away = ui.checkbox("Cut the scan away before it", value=True)
    words = ui.label("").classes("hw-soft").props('role="status"').style("white-space: pre-line")
    flat = ui.button("Flat drawing with gaps").classes("hw-button").props("dense")

    async def cut() -> None:
        if not asked.is_open:
            return
        asked.turn += 1
        turn = asked.turn
        station.set_visibility(kind.value == STATION)
        if kind.value == OF_BAR and bench.chosen is None:
            words.set_text("Choose a bar first, in the list or in the picture.")
            return
        asked.version, asked.bar_id = bench.seen.version, bench.chosen
        bar_id, unit, is_station = bench.chosen, bench.units, kind.value == STATION
        forward_mm = asked.forward_mm

        def made() -> Section:
            seen, shell = bench.desk.shown()
            cage = seen.project.cage
            if is_station or bar_id is None:
                return section_at_station(cage, shell, forward_mm, unit)
            return section_of_bar(cage, shell, bar_id, unit)

        try:
            cut_so = await run.io_bound(made)
        except UserError as error:
            if turn == asked.turn:
                asked.made = None
                words.set_text(finding_line(error.findings[0], unit))
                bench.view.show_marks(MARK, [])
            return
        if cut_so is not None and turn == asked.turn:
            asked.made = cut_so
            bench.view.show_marks(MARK, _marks(bench, cut_so))
            words.set_text(_gap_words(bench, cut_so))
            put_clip()

    def put_clip() -> None:
        made = asked.made
        if made is None or not cut_away.value or not asked.is_open:
            bench.view.cut(None)
            return
        # the side that faces the usual corner, from which one looks
        turn = 1.0 if sum(made.normal) >= 0.0 else -1.0
        forward, left, up = (turn * part for part in made.normal)
        bench.view.cut((forward, left, up), made.place_mm)

    def read_typed() -> bool:
        # what stands there and was not typed is rounded to be read
        if str(place.value) == bench.length(asked.forward_mm):
            return True
        try:
            asked.forward_mm = parse_length_mm(str(place.value), bare_unit=bench.units)
        except UserError as error:
            bench.say(error.findings)
            return False
        return True

    async def typed() -> None:
        if read_typed():
            await cut()

    async def step(by_mm: float) -> None:
        if not read_typed():
            return
        asked.forward_mm += by_mm
        place.set_value(bench.length(asked.forward_mm))
        await cut()

    def draw() -> None:
        if asked.made is None:
            return
        with (
            ui.dialog().props('aria-label="Section"') as dialog,
            ui.card().style("width: min(1100px, 94vw); max-width: 94vw"),
        ):
            ui.html(asked.made.drawing, sanitize=False).classes("hw-drawing").props(
                f'role="img" aria-label="Section {asked.made.title}"'
            )
            ui.button("Close", on_click=dialog.close).classes("hw-button")
        dialog.on("hide", dialog.delete)
        dialog.open()

    async def follow() -> None:
        other = bench.chosen != asked.bar_id and kind.value == OF_BAR
        if asked.is_open and (other or bench.seen.version != asked.version):
            await cut()

    def look_again() -> None:
        if asked.is_open:
            background_tasks.create(follow())

    kind.on_value_change(cut)
    cut_away.on_value_change(put_clip)
    flat.on_click(draw)
    place.on("keydown.enter", typed)
    bench.when_changed(look_again)

    def turned(is_open: bool) -> None:
        asked.is_open = is_open
        if is_open:
            background_tasks.create(cut())
        else:
            asked.made = None
            asked.turn += 1
            bench.view.show_marks(MARK, [])
            bench.view.cut(None)

    return turned


def _middle_mm(bench: Bench) -> float:
    """A station to begin with: the middle of the cage."""
    stations = [node[0] for bar in bench.seen.bars for node in bar.nodes_mm]
    return round((min(stations) + max(stations)) / 2.0, -1) if stations else 0.0


def _marks(bench: Bench, made: Section) -> list[dict[str, Any]]:
    marks: list[dict[str, Any]] = [{"points_mm": line.round(1).tolist()} for line in made.shell_mm]
    marks += [{"points_mm": line.round(1).tolist(), "through": True} for _, line in made.bars_mm]
    for gap in made.gaps[:_SHOWN]:
        marks.append(
            {
                "points_mm": [list(gap.axis_mm), list(gap.metal_mm)],
                "text": f"{gap.bar_id} {bench.length(gap.gap_mm)}",
                "through": True,
            }
        )
    return marks


def _gap_words(bench: Bench, made: Section) -> str:
    if not made.gaps:
        return f"Section {made.title}: no bar comes near metal here."
    rows = [f"{gap.bar_id}: {bench.length(gap.gap_mm)}" for gap in made.gaps[:_SHOWN]]
    return f"Section {made.title}. Smallest gaps where it cuts bars:\n" + "\n".join(rows)
