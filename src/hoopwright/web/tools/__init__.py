"""The tools over the picture, one file each: sections, cutting away, hiding, measuring, and holding drags."""

from collections.abc import Callable
from dataclasses import dataclass

from nicegui import ui

from hoopwright.web.bench import Bench
from hoopwright.web.tools import away, drag, measure, section, shown
from hoopwright.web.tools.legend import legend
from hoopwright.web.tools.look import CSS

SIDES = ("corner", "left", "right", "front", "rear", "top")


@dataclass(frozen=True, kw_only=True)
class Tool:
    """A tool.

    Args:
        name: What it is called.
        build: Fills its card; what it returns is called when the card is shown (True) or put away (False).
    """

    name: str
    build: Callable[[Bench], Callable[[bool], None]]


TOOLS = (
    Tool(name="Section", build=section.build),
    Tool(name="Cut away", build=away.build),
    Tool(name="Show", build=shown.build),
    Tool(name="Measure", build=measure.build),
    Tool(name="Drag", build=drag.build),
)


def over_the_view(bench: Bench) -> None:
    """Lay the usual sides, the tools, the legend and the live gap over the picture."""
    ui.add_css(CSS)
    with ui.row().classes("hw-sides"):
        for side in SIDES:
            ui.button(side.capitalize(), on_click=lambda _, one=side: bench.view.look(one)).props(
                f'dense aria-label="Look from: {side}"'
            ).classes("hw-button")
    drag.live_gap(bench)
    legend(bench)
    with ui.column().classes("hw-tools"):
        row = ui.row().classes("hw-tool-row").props('role="toolbar" aria-label="Tools"')
        for tool in TOOLS:
            _add(bench, tool, row)


def _add(bench: Bench, tool: Tool, row: ui.row) -> None:
    """A button in the row and its card below it; one card is open at a time."""
    card = ui.column().classes("hw-tool-card").props(f'role="group" aria-label="{tool.name}"')
    with card:
        told = tool.build(bench)
    card.set_visibility(False)
    with row:
        button = ui.button(tool.name).props("flat dense aria-expanded=false").classes("hw-tool")

    def put(is_open: bool) -> None:
        card.set_visibility(is_open)
        button.props(f"aria-expanded={str(is_open).lower()}")
        button.classes(add="on") if is_open else button.classes(remove="on")
        told(is_open)

    def turn() -> None:
        was_open = card.visible
        for close in list(bench.open_tools):
            close()
        if not was_open:
            put(True)
            bench.open_tools.append(close_it)

    def close_it() -> None:
        put(False)
        bench.open_tools.clear()

    button.on_click(turn)
