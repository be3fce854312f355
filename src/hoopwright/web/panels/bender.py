"""The bender: what bends the bars, sample bends, order through the room, sticks in hand, finished bars by tape."""

import base64
from collections.abc import Sequence
from dataclasses import dataclass

from nicegui import run, ui

from hoopwright.bender import Calibration
from hoopwright.bender.room.standing import StandingBender
from hoopwright.findings import UserError
from hoopwright.jobs.bending_setups import BendingSetup, StickInHand, setups_of, sticks_of
from hoopwright.jobs.order_pictures import order_picture
from hoopwright.jobs.orders import (
    OrderReport,
    described_benders,
    order_in_words,
    order_of_bar_in,
    room_named,
    typed_room,
)
from hoopwright.jobs.room_texts import RoomParts
from hoopwright.jobs.square_codes import screen_address, square_code_svg
from hoopwright.store import ProjectFolder
from hoopwright.units import told_in
from hoopwright.web.bench import Bench
from hoopwright.web.panels import bent_sticks, samples, shop_benders, shop_log, taped
from hoopwright.web.panels.one_tool import Room
from hoopwright.web.panels.room_form import RoomForm
from hoopwright.web.parts import table
from hoopwright.web.picks import draw_when_other, finding_list, older, pick_table, when_open
from hoopwright.web.reading import read
from hoopwright.web.work import work

_TYPED = "typed"


@dataclass(frozen=True, kw_only=True, eq=False)
class _Looked:
    """What was last read of the project and the shop."""

    setups: tuple[BendingSetup, ...]
    sticks: tuple[StickInHand, ...]
    benders: tuple[str, ...]


@dataclass
class _State:
    """What this page shows."""

    looked: _Looked | None = None
    order: OrderReport | None = None
    picture: bytes | None = None
    version: int | None = None


def build(bench: Bench) -> None:
    """Fill the tab."""
    state = _State()
    request = ui.context.client.request
    own = "" if request is None else str(request.base_url)

    async def look() -> None:
        looked = await read(bench, _look)
        if looked is not None:
            state.looked = looked
            bench.tell()

    box = ui.column().classes("w-full gap-2")

    def known() -> Sequence[Calibration]:
        setups = () if state.looked is None else state.looked.setups
        return tuple(one.calibration for one in setups if one.calibration.calibrated)

    with ui.expansion("Sample bends: calibrate die and tube"):
        samples.build(bench, known)
    with ui.expansion("Order and room of the chosen bar"):
        room = _order(bench, state)
    with ui.expansion("At the bender: sticks and the shop screen", value=True):
        sticks = ui.column().classes("w-full gap-2")
    bent_sticks.build(bench, look)
    benders = ui.column().classes("w-full gap-2")
    log_again = shop_log.build(bench)

    async def shop_changed() -> None:
        await look()
        await log_again()

    with benders:
        shop_benders.build(bench, room, shop_changed)
    with ui.expansion("The finished bar by tape"):
        taped.build(bench)

    def draw() -> None:
        box.clear()
        with box:
            _setups(bench, state)

    def draw_sticks() -> None:
        sticks.clear()
        with sticks:
            _sticks(bench, state, own)

    draw_when_other(bench, lambda: (id(state.looked), bench.units), draw)
    draw_when_other(
        bench, lambda: (id(state.looked), bench.chosen, bench.seen.version, bench.shop_address), draw_sticks
    )
    when_open(bench, "Bender", lambda: bench.seen.version, look)


def _look(folder: ProjectFolder) -> _Looked:
    return _Looked(setups=setups_of(folder), sticks=sticks_of(folder), benders=described_benders())


def _setups(bench: Bench, state: _State) -> None:
    if state.looked is None:
        return
    if not state.looked.setups:
        ui.label(
            "No bent bars yet: straight bars need no bender. Sample bends can be typed all the same."
        ).classes("hw-soft")
    for setup in state.looked.setups:
        machine, calibration = setup.machine.machine, setup.calibration
        ui.label(f"Die {setup.die}, tube {setup.tube}").classes("hw-head")
        ui.label(f"bends {', '.join(setup.bars)}").classes("hw-soft")
        swings = (
            machine.swings if setup.machine.is_swing_known else f"{machine.swings} (assumed: nobody has said)"
        )
        ui.label(f"Machine {machine.name}: swings {swings}, clamp {bench.length(machine.clamp_mm)}")
        if not calibration.calibrated:
            ui.label(
                "? not calibrated: bend a few samples and type them below; until then there are no sheets"
            ).classes("hw-finding")
            continue
        batch = f", batch {calibration.batch}" if calibration.batch else ""
        ui.label(f"Calibration {calibration.name}{batch}")
        table(["", "number", "give or take"], samples.number_rows(bench, calibration))
        finding_list(bench, (*setup.machine.findings, *calibration.findings))


def _order(bench: Bench, state: _State) -> Room:
    chosen = ui.select({_TYPED: "a room that is typed"}, value=_TYPED, label="Room").props("dense outlined")
    typed = ui.column().classes("w-full gap-2")
    with typed:
        room = RoomForm()

    def put(parts: RoomParts) -> None:
        room.put(parts)
        chosen.set_value(_TYPED)

    def benders() -> None:
        names = () if state.looked is None else state.looked.benders
        chosen.set_options(
            {**{f"shop:{name}": f"{name}, as the shop has it" for name in names}, _TYPED: "typed here"}
        )

    draw_when_other(bench, lambda: id(state.looked), benders)
    chosen.on_value_change(lambda: typed.set_visibility(chosen.value == _TYPED))

    async def find() -> None:
        bar, version, name = bench.chosen, bench.seen.version, str(chosen.value)
        if bar is None:
            ui.notify("Choose a bar in the list first.")
            return
        if name == _TYPED and room.is_empty:
            ui.notify("Type how the bender stands, or fill in an example.")
            return
        try:
            text = room.text()
        except UserError as error:
            bench.say(error.findings)
            return

        def bender() -> StandingBender:
            return typed_room(text) if name == _TYPED else room_named(name)

        report = await work(
            bench,
            f"Finding an order for {bar}",
            lambda folder, _: order_of_bar_in(folder, bar, bender()),
            edits=False,
        )
        if report is None:
            return
        state.order, state.version = report, version
        try:
            state.picture = await run.io_bound(lambda: order_picture(report).content)
        except UserError as error:
            bench.say(error.findings)
        bench.tell()

    ui.button("Find the order", on_click=find).classes("hw-button")
    box = ui.column().classes("w-full gap-2")

    def draw() -> None:
        box.clear()
        with box:
            _order_found(bench, state)

    draw_when_other(
        bench, lambda: (id(state.order), id(state.picture), bench.seen.version, bench.units), draw
    )
    return Room(text=room.text, put=put)


def _order_found(bench: Bench, state: _State) -> None:
    report = state.order
    if report is None:
        ui.label("Which end leads, bend by bend, so that the tube meets neither floor nor wall.").classes(
            "hw-soft"
        )
        return
    older(bench, state.version, "Find the order again.")
    goes = "✓ goes" if report.search.chosen else "✗ no order goes"
    ui.label(f"{report.task.name}: {goes}").classes("hw-head")
    for line in order_in_words(report):
        ui.label(told_in(line, bench.units)).style("white-space: pre-wrap")
    if state.picture is not None:
        picture = base64.b64encode(state.picture).decode()
        ui.html(
            f'<img src="data:image/png;base64,{picture}" style="width: 100%" '
            'alt="The tube in the bender at its tightest, from three sides">',
            sanitize=False,
        )
    finding_list(bench, report.findings)


def _sticks(bench: Bench, state: _State, own: str) -> None:
    looked = state.looked
    if looked is None:
        return
    sticks = looked.sticks
    if sticks:
        pick_table(
            ["bar", "stick", "bends"],
            [
                [one.bar_id, f"{'○' if one.is_open else '●'} {one.words}", f"{one.made} of {one.bends}"]
                for one in sticks
            ],
            lambda number: bench.choose(sticks[number].bar_id),
            classes=["open" if one.is_open else "" for one in sticks],
            widths=(74, 0, 70),
        )
    else:
        ui.label("No stick was begun yet.").classes("hw-soft")
    bar = bench.chosen
    if bar is None:
        ui.label("Choose a bar to get the address of its screen at the bender.").classes("hw-soft")
        return
    if bench.seen.project.last_issued(bar) is None:
        ui.label(
            f"No sheet of {bar} was issued yet: issue it in Papers, then bend it by its screen."
        ).classes("hw-soft")
        return
    shared = bench.shop_address
    path, address = screen_address(bar, ""), screen_address(bar, shared or own)
    ui.label(f"Screen of {bar} at the bender").classes("hw-head")
    ui.link(address, path, new_tab=True).classes("hw-link")
    if not shared:
        ui.label(
            "Only this machine is answered. To let a phone come in: Shop network at the top of the page."
        ).classes("hw-soft")
    ui.html(square_code_svg(address), sanitize=False).classes("hw-square").props(
        f'role="img" aria-label="Square code of {address}"'
    )
