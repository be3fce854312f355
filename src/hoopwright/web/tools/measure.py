"""Measuring between two places: picked in the picture, found again on the full scan or on a bar's skin, or typed."""

from collections.abc import Callable
from typing import Any

from nicegui import run, ui

from hoopwright.bars import Node
from hoopwright.findings import UserError
from hoopwright.jobs.measured_places import Apart, Spot, apart, spot_on_bar, spot_on_shell
from hoopwright.jobs.typed import place as typed_place
from hoopwright.web.bench import Bench
from hoopwright.web.entries import bare_length

MARK = "measure"
ENDS = ("from", "to")


def build(bench: Bench) -> Callable[[bool], None]:
    """Fill the card."""
    spots: dict[int, Spot] = {}
    rounds = [0]
    ui.label("Measure between two places").classes("hw-head")
    ui.label("Click two places on the scan or on bars, or type them.").classes("hw-soft")
    entries = [
        ui.input(name).props(f'dense outlined aria-label="{name}: forward, left, up"').classes("w-full")
        for name in ENDS
    ]
    result = ui.label("").props('role="status"').style("white-space: pre-line; font-weight: 700")
    again = ui.button("Start again").props("flat dense")

    def start() -> None:
        spots.clear()
        for entry in entries:
            entry.set_value("")
        result.set_text("")
        bench.view.show_marks(MARK, [])

    def begin_again() -> None:
        # a place that is still looked for belongs to what was left
        rounds[0] += 1
        start()

    def put(number: int, spot: Spot) -> None:
        spots[number] = spot
        entries[number].set_value(", ".join(bare_length(one, bench.units) for one in spot.place_mm))
        show()

    def show() -> None:
        marks: list[dict[str, Any]] = [
            {"points_mm": [list(spot.place_mm)], "through": True} for spot in spots.values()
        ]
        if len(spots) == len(ENDS):
            first, last = spots[0], spots[1]
            found = apart(first, last)
            result.set_text(_words(bench, found, first, last))
            line = [list(first.place_mm), list(last.place_mm)]
            marks.append({"points_mm": line, "text": bench.length(found.straight_mm), "through": True})
        else:
            result.set_text("\n".join(f"{ENDS[number]} {spot.on}" for number, spot in spots.items()))
        bench.view.show_marks(MARK, marks)

    async def picked(told: dict[str, Any]) -> None:
        if not bench.measuring or result.parent_slot is None:
            return
        origin, direction = _place(told["origin"]), _place(told["direction"])
        seen, bar_id, asked_in = bench.seen, told.get("bar_id"), rounds[0]

        def found() -> Spot | None:
            if bar_id is not None:
                return spot_on_bar(seen.project.cage, str(bar_id), origin, direction)
            shell = bench.desk.shown()[1]
            return None if shell is None else spot_on_shell(shell, _place(told["point_mm"]), direction)

        try:
            spot = await run.io_bound(found)
        except UserError as error:
            bench.say(error.findings)
            return
        if spot is None or asked_in != rounds[0]:
            return
        if len(spots) == len(ENDS):
            start()
        put(1 if 0 in spots else 0, spot)

    def typed(number: int) -> None:
        try:
            place = typed_place(str(entries[number].value))
        except UserError as error:
            bench.say(error.findings)
            return
        put(number, Spot(place_mm=place, on="a typed place"))

    for number, entry in enumerate(entries):
        entry.on("keydown.enter", lambda _, one=number: typed(one))
    again.on_click(begin_again)
    bench.view.when("metal", picked)
    bench.view.when("bar", picked)
    bench.when_changed(lambda: show() if spots else None)

    def turned(is_open: bool) -> None:
        bench.measuring = is_open
        if not is_open:
            begin_again()

    return turned


def _words(bench: Bench, found: Apart, start: Spot, end: Spot) -> str:
    parts = (("forward", found.forward_mm), ("left", found.left_mm), ("up", found.up_mm))
    steps = ", ".join(f"{name} {bench.length(value)}" for name, value in parts)
    return f"{bench.length(found.straight_mm)} straight\n{steps}\nfrom {start.on}\nto {end.on}"


def _place(told: Any) -> Node:
    forward, left, up = (float(value) for value in told)
    return forward, left, up
