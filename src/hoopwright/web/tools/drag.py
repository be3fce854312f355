"""What happens while a node is dragged: its gap at once, and the axis of the car that it is held to."""

from collections.abc import Callable
from typing import Any

from nicegui import ui

from hoopwright.web.bench import Bench

ANY = "any way"
AXES = (ANY, "forward", "left", "up")


def live_gap(bench: Bench) -> None:
    """The gap of the dragged bar, over the picture."""
    live = ui.label("").classes("hw-live").props('role="status"')
    live.set_visibility(False)

    def dragging(told: dict[str, Any]) -> None:
        nearest = told.get("nearest")
        gap = "no metal near" if nearest is None else f"gap {bench.length(float(nearest['gap_mm']))}"
        held = f" (held to {told['held']})" if told.get("held") else ""
        live.set_text(f"{told['bar_id']} node {told['node']}: {gap}{held}")
        live.set_visibility(True)

    bench.view.when("dragging", dragging)
    bench.view.when("moved", lambda _: live.set_visibility(False))


def build(bench: Bench) -> Callable[[bool], None]:
    """Fill the card."""
    ui.label("A dragged node goes").classes("hw-head")

    def hold(way: Any) -> None:
        bench.view.along(None if way == ANY else str(way))

    ways = ui.toggle(list(AXES), value=ANY, on_change=lambda event: hold(event.value))
    ways.props('dense no-caps aria-label="A dragged node goes"')
    ui.label(
        "While dragging, the keys F, L and U hold it forward, left and up, the same key again lets go; "
        "Esc gives up. Any way is in the plane of the screen."
    ).classes("hw-soft")
    bench.view.when("held", lambda told: ways.set_value(told.get("axis") or ANY))
    return lambda _: None
