"""What happens while a node is dragged or moved by keys: its gap at once, and the axis that it is held to."""

from collections.abc import Callable, Sequence
from typing import Any

from nicegui import ui

from hoopwright.units import MM_PER_INCH
from hoopwright.web.bench import Bench
from hoopwright.web.picks import draw_when_other

ANY = "any way"
AXES = (ANY, "forward", "left", "up")
STEPS_MM = {"mm": (1.0, 10.0), "in": (MM_PER_INCH / 16.0, MM_PER_INCH / 2.0)}
"""How far an arrow key moves a node, without and with Shift, in each unit of the page."""
_WAYS = (("forward", "rearward"), ("left", "right"), ("up", "down"))
_LEAST_MM = 0.05


def live_gap(bench: Bench) -> None:
    """The gap of the moved bar, over the picture, and what the keys do at a node that has the keyboard."""
    live = ui.label("").classes("hw-live").props('role="status"')
    live.set_visibility(False)

    def say(words: str) -> None:
        live.set_text(words)
        live.set_visibility(bool(words))

    def dragging(told: dict[str, Any]) -> None:
        nearest = told.get("nearest")
        gap = "no metal near" if nearest is None else f"gap {bench.length(float(nearest['gap_mm']))}"
        held = f" (held to {told['held']})" if told.get("held") else ""
        keyed = told.get("keyed_mm")
        by_keys = "" if keyed is None else f", {_moved(bench, keyed)}. Enter keeps it, Esc puts it back."
        say(f"{told['bar_id']} node {told['node']}: {gap}{held}{by_keys}")

    def reached(told: dict[str, Any]) -> None:
        say("" if told.get("node") is None else f"{told['bar_id']} node {told['node']}: {key_words(bench)}")

    def step() -> None:
        bench.view.steps(*STEPS_MM[bench.units])

    bench.view.when("dragging", dragging)
    bench.view.when("reached", reached)
    bench.view.when("moved", lambda _: live.set_visibility(False))
    draw_when_other(bench, lambda: bench.units, step)


def key_words(bench: Bench) -> str:
    """What the keys do at a node."""
    small, large = (bench.length(step_mm) for step_mm in STEPS_MM[bench.units])
    return (
        f"arrow keys move it {small}, with Shift {large}; Page Up and Page Down move it away from you "
        "and toward you."
    )


def _moved(bench: Bench, by_mm: Sequence[float]) -> str:
    """How far and which way, in words."""
    parts = [
        f"{bench.length(abs(by))} {ahead if by > 0 else back}"
        for by, (ahead, back) in zip(by_mm, _WAYS, strict=True)
        if abs(by) > _LEAST_MM
    ]
    return f"moved {', '.join(parts)}" if parts else "back where it was"


def build(bench: Bench) -> Callable[[bool], None]:
    """Fill the card."""
    ui.label("A dragged node goes").classes("hw-head")

    def hold(way: Any) -> None:
        bench.view.along(None if way == ANY else str(way))

    ways = ui.toggle(list(AXES), value=ANY, on_change=lambda event: hold(event.value))
    ways.props('dense no-caps role="group" aria-label="A dragged node goes"')
    ui.label(
        "While dragging, the keys F, L and U hold it forward, left and up, the same key again lets go; "
        "Esc gives up. Any way is in the plane of the screen."
    ).classes("hw-soft")
    ui.label("Without a mouse: Tab goes to the nodes of the chosen bar in the picture.").classes("hw-soft")
    keys = ui.label().classes("hw-soft")

    def show() -> None:
        words = key_words(bench)
        keys.set_text(words[0].upper() + words[1:])

    bench.view.when("held", lambda told: ways.set_value(told.get("axis") or ANY))
    bench.when_changed(show)
    show()
    return lambda _: None
