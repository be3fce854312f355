"""The drivers as measured, what the bars leave them, and both drawn in the picture."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from nicegui import ui

from hoopwright.cage import Driver
from hoopwright.findings import UserError
from hoopwright.jobs.check_places import place_of_driver_row
from hoopwright.jobs.driver_lines import driver_lines
from hoopwright.jobs.driver_rows import DriverLimits
from hoopwright.jobs.drivers import DriverReport, check_drivers, keep_driver, remove_driver
from hoopwright.units import told_in
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, as_typed, length_entry, place_entry, text_entry
from hoopwright.web.forms import Form, edit_typed
from hoopwright.web.number_entries import angle_entry, number_entry
from hoopwright.web.picks import (
    EDGES,
    SIGNS,
    draw_when_other,
    finding_list,
    numbers_of,
    older,
    pick_table,
    show_place,
)
from hoopwright.web.reading import read

_PLACES = {
    "helmet_mm": "Helmet: its centre",
    "eye_mm": "Between the eyes",
    "shoulder_mm": "Left shoulder, where the belt leaves it",
    "guide_mm": "Guide of that belt, or where it goes over the harness bar",
    "hip_mm": "Hip point",
    "knee_mm": "Left knee",
    "shin_mm": "Left ankle",
    "wheel_mm": "Steering wheel: its centre",
}
_LENGTHS = {
    "helmet_radius_mm": "Helmet: its radius",
    "wheel_radius_mm": "Steering wheel: its radius",
}
_EMPTY = "not measured: what needs it is not checked"


@dataclass
class _State:
    """What this page shows of the drivers."""

    name: str | None = None
    adding: bool = False
    is_new: bool = True
    report: DriverReport | None = None
    version: int | None = None
    limits: DriverLimits = field(default_factory=DriverLimits)


def build(bench: Bench) -> None:
    """Fill the tab."""
    state = _State()
    top = ui.column().classes("w-full gap-1")
    checks = ui.column().classes("w-full gap-2")
    with ui.expansion("As measured, in the fixed seat").classes("w-full") as measured:
        form = Form()
    with ui.expansion("Limits").classes("w-full"):
        _limits(bench, state)

    def chosen() -> Driver | None:
        drivers = bench.seen.project.cage.drivers
        return next((one for one in drivers if one.name == state.name), drivers[0] if drivers else None)

    def draw_top() -> None:
        _filled(top, lambda: _top(bench, state, chosen()))

    def draw_form() -> None:
        driver = None if state.adding else chosen()
        measured.set_value(driver is None or bool(measured.value))
        form.fill(lambda: _form(bench, state, form, driver), about=None if driver is None else driver.name)
        state.is_new = driver is None

    def hold() -> None:
        # the first driver that another window keeps does not take the place of the one that is typed here
        if state.is_new and form.typed():
            state.adding = True

    bench.when_changed(hold)

    def draw_checks() -> None:
        _filled(checks, lambda: _checks(bench, state, chosen()))

    def drawn() -> None:
        driver = chosen()
        lines = () if driver is None or state.adding else driver_lines(driver)
        bench.view.show_marks(
            "driver",
            [
                {
                    "points_mm": [list(at) for at in line.places_mm],
                    "text": line.words if bench.tab == "Driver" else "",
                }
                for line in lines
            ],
        )

    draw_when_other(bench, lambda: (bench.seen.project.cage.drivers, state.name, state.adding), draw_top)
    draw_when_other(bench, lambda: (chosen(), state.adding), draw_form)
    draw_when_other(bench, lambda: (id(state.report), bench.seen.version, bench.units, chosen()), draw_checks)
    draw_when_other(bench, lambda: (chosen(), state.adding, bench.tab == "Driver"), drawn)


def _filled(box: ui.column, fill: Callable[[], None]) -> None:
    box.clear()
    with box:
        fill()


def _top(bench: Bench, state: _State, driver: Driver | None) -> None:
    names = [one.name for one in bench.seen.project.cage.drivers]

    def choose(name: str) -> None:
        state.name, state.adding = name, False
        bench.tell()

    def add() -> None:
        state.adding = True
        bench.tell()

    if not names:
        ui.label(
            "No driver yet. Measure helmet, eyes, belts and knees of the real driver in the fixed seat and type them "
            "below: until then head, belts and knees are not checked."
        ).classes("hw-soft")
        return
    with ui.row().classes("hw-row"):
        ui.select(
            names,
            value=None if driver is None else driver.name,
            on_change=lambda event: choose(str(event.value)),
        ).props('dense outlined aria-label="Driver"').classes("grow")
        ui.button("New driver", on_click=add).props("flat dense")
    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Check the drivers", on_click=lambda: _check(bench, state)).classes("hw-button")
        if driver is not None and not state.adding:
            ui.button("Take this driver out", on_click=lambda: _remove(bench, driver.name)).props(
                "flat dense"
            )


async def _remove(bench: Bench, name: str) -> None:
    await bench.edit(lambda folder: remove_driver(folder, name))


async def _check(bench: Bench, state: _State) -> None:
    version, limits = bench.seen.version, state.limits
    report = await read(bench, lambda folder: check_drivers(folder, limits))
    if report is not None:
        state.report, state.version = report, version
        bench.tell()


def _checks(bench: Bench, state: _State, driver: Driver | None) -> None:
    if state.report is None or driver is None:
        return
    older(bench, state.version, "Check the drivers again.")
    report = state.report
    rows = [row for row in report.rows if row.about in (driver.name, "exit")]

    def pick(number: int) -> None:
        row = rows[number]
        show_place(bench, place_of_driver_row(report, driver, row), row.check, across_mm=900.0)

    pick_table(
        ["check", "ends in"],
        [
            [
                "\n".join(filter(None, (row.check, told_in(row.where, bench.units)))),
                "\n".join(filter(None, (SIGNS[row.verdict], numbers_of(bench, row)))),
            ]
            for row in rows
        ],
        pick,
        classes=[EDGES.get(row.verdict, "") for row in rows],
        widths=(0, 130),
    )
    finding_list(bench, [one for one in state.report.findings if driver.name in one.objects])


def _form(bench: Bench, state: _State, form: Form, driver: Driver | None) -> None:
    name = text_entry("Name of the driver", value="" if driver is None else driver.name, hint="such as Anna")
    if driver is not None:
        name.field.disable()
    entries: dict[str, Entry[Any]] = {}
    for key, label in _PLACES.items():
        place = None if driver is None else getattr(driver, key)
        typed = "" if place is None else as_typed(place)
        entries[key] = place_entry(bench, label, what=label.lower(), value=typed, hint=_EMPTY, bars_too=True)
    for key, label in _LENGTHS.items():
        entries[key] = length_entry(label, value=_typed(driver, key), hint=_EMPTY)
    entries["wheel_tilt_deg"] = angle_entry(
        "Steering wheel: lean of its face from upright, top to the front",
        value=_typed(driver, "wheel_tilt_deg"),
        hint=_EMPTY,
    )
    entries["padding_mm"] = length_entry(
        "Padding on the bars", value=_typed(driver, "padding_mm"), hint="0: it counts in the room"
    )

    async def keep() -> None:
        try:
            measured = {key: entry.maybe() for key, entry in entries.items()}
        except UserError as error:
            bench.say(error.findings)
            return
        padding = measured.pop("padding_mm") or 0.0
        made = Driver(name=name.text, padding_mm=padding, **measured)
        kept = await edit_typed(bench, form, lambda folder: keep_driver(folder, made))
        if kept is not None:
            state.name, state.adding = kept.name, False
            await _check(bench, state)

    ui.button("Keep this driver", on_click=keep).classes("hw-button")


def _typed(driver: Driver | None, key: str) -> str:
    value = None if driver is None else getattr(driver, key)
    return "" if value is None else f"{value:g}"


def _limits(bench: Bench, state: _State) -> None:
    usual = DriverLimits()
    ui.label("Common practice, no source, until you type those of your rule book.").classes("hw-soft")
    lengths = {
        "helmet_room_mm": ("Helmet under a straight edge over the bars", usual.helmet_room_mm),
        "bar_room_mm": ("From padding to the driver", usual.bar_room_mm),
    }
    angles = {
        "belt_below_deg": ("Shoulder belt, how far below horizontal", usual.belt_below_deg),
        "belt_above_deg": ("Shoulder belt, how far above", usual.belt_above_deg),
    }
    entries: dict[str, Entry[float]] = {
        key: length_entry(label, value=f"{value:g}") for key, (label, value) in lengths.items()
    }
    entries |= {key: angle_entry(label, value=f"{value:g}") for key, (label, value) in angles.items()}
    entries["hidden_percent"] = number_entry(
        "Share of a view that one bar may hide, %", hint="no limit: not checked"
    )
    entries["circle_mm"] = length_entry(
        "Circle that must pass the door opening", hint="no limit: not checked"
    )

    async def take() -> None:
        try:
            typed = {key: entry.maybe() for key, entry in entries.items()}
        except UserError as error:
            bench.say(error.findings)
            return
        percent = typed.pop("hidden_percent")
        circle = typed.pop("circle_mm")
        held = {key: value for key, value in typed.items() if value is not None}
        state.limits = DriverLimits(
            **held, hidden_share=None if percent is None else percent / 100.0, circle_mm=circle
        )
        await _check(bench, state)

    ui.button("Check with these limits", on_click=take).classes("hw-button")
