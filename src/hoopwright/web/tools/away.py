"""Cutting one side of the scan away, to look in."""

from collections.abc import Callable

from nicegui import ui

from hoopwright.bars import Node
from hoopwright.findings import UserError
from hoopwright.units import parse_length_mm
from hoopwright.web.bench import Bench

SIDES: dict[str, tuple[Node, str]] = {
    "nothing": ((0.0, 0.0, 0.0), ""),
    "left of": ((0.0, 1.0, 0.0), "left"),
    "right of": ((0.0, -1.0, 0.0), "left"),
    "in front of": ((1.0, 0.0, 0.0), "forward"),
    "behind": ((-1.0, 0.0, 0.0), "forward"),
    "above": ((0.0, 0.0, 1.0), "up"),
    "below": ((0.0, 0.0, -1.0), "up"),
}
STEP_MM = 50.0


def build(bench: Bench) -> Callable[[bool], None]:
    """Fill the card."""
    at = {"mm": 0.0}
    ui.label("Cut the scan away").classes("hw-head")
    side = ui.select(list(SIDES), value="nothing", label="side").props("dense outlined")
    side.classes("w-full")
    with ui.row().classes("hw-row"):
        place = (
            ui.input("at", value="0").props('dense outlined aria-label="Where the cut lies"').classes("grow")
        )
        ui.button("−", on_click=lambda: step(-STEP_MM)).props('flat dense aria-label="50 mm less"')
        ui.button("+", on_click=lambda: step(STEP_MM)).props('flat dense aria-label="50 mm more"')
    words = ui.label("").classes("hw-soft").props('role="status"')

    def cut() -> None:
        normal, axis = SIDES[str(side.value)]
        if not axis:
            bench.view.cut(None)
            words.set_text("All of the scan is shown.")
            return
        forward, left, up = (at["mm"] * abs(part) for part in normal)
        bench.view.cut(normal, (forward, left, up))
        words.set_text(
            f"Cut at {axis} {bench.length(at['mm'])}: the scan {side.value} it is cut away; bars stay whole."
        )

    def typed() -> None:
        try:
            at["mm"] = parse_length_mm(str(place.value), bare_unit=bench.units)
        except UserError as error:
            bench.say(error.findings)
            return
        cut()

    def step(by_mm: float) -> None:
        at["mm"] += by_mm
        place.set_value(bench.length(at["mm"]))
        cut()

    side.on_value_change(cut)
    place.on("keydown.enter", typed)
    place.on("blur", typed)
    return lambda _: None
