"""The workbench: bars at the left, the picture in the middle, what is done with them at the right."""

import asyncio
from typing import Any

from nicegui import run, ui

from hoopwright.findings import UserError, as_text
from hoopwright.jobs.cage_bars import move_bar_node
from hoopwright.jobs.changes import next_steps
from hoopwright.jobs.projects import redo, undo
from hoopwright.web.bench import LOOK_AGAIN_S, Bench
from hoopwright.web.desk import Desk
from hoopwright.web.door.asking import Asker
from hoopwright.web.keys import cage_keys
from hoopwright.web.look import CSS
from hoopwright.web.look_tabs import CSS as TABS_CSS
from hoopwright.web.panels import first_panel, panels
from hoopwright.web.picking import Picking
from hoopwright.web.picks import draw_when_other, forget_places
from hoopwright.web.presence import show_presence
from hoopwright.web.sharing import Sharing
from hoopwright.web.shop_dialog import shop_button
from hoopwright.web.start import start_page
from hoopwright.web.tools import over_the_view
from hoopwright.web.viewport import Viewport


async def workbench(desk: Desk, base: str, *, asker: Asker, sharing: Sharing) -> None:
    """Build the page for one browser.

    Args:
        desk: The open project.
        base: Where the server answers the 3D view.
        asker: Who asked for the page.
        sharing: What is shared on the shop network.
    """
    ui.add_css(CSS + TABS_CSS)
    dark = ui.dark_mode(value=False)
    try:
        seen = await run.io_bound(desk.seen)
    except UserError as error:
        if not desk.folder.holds_project:
            start_page(desk)
            return
        for finding in error.findings:
            ui.label(as_text(finding)).style("white-space: pre-line; padding: 2em")
        return
    if seen is None:
        return
    ui.on_exception(_tell_fault)
    head = ui.row().classes("hw-bar").props('role=region aria-label="Project"')
    with ui.row().classes("hw-main"):
        left = ui.column().classes("hw-side hw-left").props('role=navigation aria-label="Bars"')
        with ui.element("div").classes("hw-middle").props('role=region aria-label="Picture"'):
            view = Viewport(base=base)
            bench = Bench(
                desk=desk,
                view=view,
                seen=seen,
                picking=Picking(desk=desk, view=view),
                asker=asker,
                shop=lambda: sharing.address,
            )
            over_the_view(bench)
            _what_is_wanted(bench)
        right = ui.column().classes("hw-side hw-right").props('role=region aria-label="What is done"')
    with head:
        _head(bench, dark, sharing)
    with left:
        _bar_list(bench)
    with right:
        _tabs(bench)
    _connect(bench)


def _tell_fault(error: Exception) -> None:
    """A fault of ours is told where it happened: a button that does nothing leaves a person waiting."""
    ui.notify(
        f"✕ This did not go through: a fault of the program ({type(error).__name__}). The project is as it was last "
        "saved. The window from which the workbench was started says more; please report it.",
        multi_line=True,
        type="negative",
        timeout=0,
        close_button="Close",
    )


def _head(bench: Bench, dark: ui.dark_mode, sharing: Sharing) -> None:
    ui.label(bench.seen.project.name).classes("hw-name").props("role=heading aria-level=1")
    _steps(bench)
    ui.space()
    show_presence(bench.desk.present, bench.asker)
    shop_button(sharing, bench.asker)

    def in_units(units: str) -> None:
        bench.units = "in" if units == "in" else "mm"
        bench.tell()

    ui.toggle(["mm", "in"], value="mm", on_change=lambda event: in_units(event.value)).props(
        'dense role="group" aria-label="Units"'
    )

    def turn() -> None:
        dark.toggle()
        bench.view.paint(bool(dark.value))

    ui.button("Light / dark", on_click=turn).props("flat dense")


def _steps(bench: Bench) -> None:
    """Undo and redo with what they would do, and that all is saved."""
    back = ui.button("Undo", on_click=lambda: bench.edit(undo)).props("flat dense")
    again = ui.button("Redo", on_click=lambda: bench.edit(redo)).props("flat dense")
    with back:
        of_back = ui.tooltip("")
    with again:
        of_again = ui.tooltip("")
    saved = ui.label().classes("hw-soft").props('role="status"')

    def draw() -> None:
        words = next_steps(bench.desk.folder)
        for button, tip, what, said in zip(
            (back, again), (of_back, of_again), ("Undo", "Redo"), words, strict=True
        ):
            button.set_enabled(bool(said))
            button.props["aria-label"] = f"{what}: {said}" if said else f"{what}: nothing"
            button.update()
            tip.set_text(f"{what}: {said}")
        saved.set_text(f"✓ saved, step {bench.seen.opened.step}")

    draw_when_other(bench, lambda: bench.seen.version, draw)


def _bar_list(bench: Bench) -> None:
    ui.label("Bars").classes("hw-head")
    box = ui.column().classes("w-full gap-0")
    buttons: dict[str, ui.element] = {}
    shown: list[object] = [None]

    def show() -> None:
        rows = _bar_rows(bench)
        # a list that is built anew under the pointer would lose the click and the keyboard's place
        if rows != shown[0]:
            shown[0] = rows
            box.clear()
            buttons.clear()
            with box:
                if not rows:
                    ui.label("No bars yet. Lay a cage out, or add a bar, under Cage.").classes("hw-soft")
                for name, gap, near in rows:
                    buttons[name] = _bar_button(bench, name, gap, near=near)
        for name, button in buttons.items():
            if name == bench.chosen:
                button.classes("chosen")
            else:
                button.classes(remove="chosen")

    bench.when_changed(show)
    show()


def _bar_rows(bench: Bench) -> list[tuple[str, str, bool]]:
    """Each bar with its smallest gap in words, and whether that is nearer than asked."""
    asked = bench.seen.project.cage.limits.gap_mm
    nearest = {bar.bar_id: bar.nearest for bar in bench.seen.bars}
    rows = []
    for member in bench.seen.project.cage.members:
        at = nearest.get(member.member_id)
        near = at is not None and at.gap_mm < asked - 0.05
        rows.append((member.member_id, "" if at is None else bench.length(at.gap_mm), near))
    return rows


def _bar_button(bench: Bench, name: str, gap: str, *, near: bool) -> ui.element:
    button = ui.element("button").classes("hw-item")
    button.on("click", lambda: bench.choose(name))
    with button, ui.row().classes("hw-row"):
        ui.label(name)
        ui.space()
        if gap:
            ui.label(gap + (" !" if near else "")).classes("hw-near" if near else "hw-hold")
    return button


def _tabs(bench: Bench) -> None:
    """Tabs in two rows with a name each: one of all of them is open."""
    made = panels()
    bench.tab = first_panel(bench.seen.project)
    rows: list[ui.tabs] = []
    groups: list[list[str]] = []

    def turn(event: Any) -> None:
        # the row that loses its tab says so too
        if event.value is None or event.value == bench.tab:
            return
        bench.tab = str(event.value)
        for row in rows:
            if row is not event.sender:
                row.set_value(None)
        whole.set_value(bench.tab)
        forget_places(bench)
        bench.picking.give_up()
        bench.tell()

    with ui.column().classes("w-full gap-0"):
        for group in dict.fromkeys(panel.group for panel in made):
            here = [panel.name for panel in made if panel.group == group]
            ui.label(group).classes("hw-tabs-name")
            row = ui.tabs(on_change=turn)
            if bench.tab in here:
                row.set_value(bench.tab)
            with row.props(f'dense no-caps align=left aria-label="{group}"').classes("w-full"):
                for name in here:
                    ui.tab(name)
            rows.append(row)
            groups.append(here)

    def open_tab(name: str) -> None:
        next(row for row, group in zip(rows, groups, strict=True) if name in group).set_value(name)

    bench.open_tab = open_tab
    whole = ui.tab_panels(value=bench.tab).classes("w-full").style("background: transparent")
    with whole:
        for panel in made:
            with ui.tab_panel(panel.name).classes("p-0"):
                panel.build(bench)


def _what_is_wanted(bench: Bench) -> None:
    """Says in the picture which place is to be picked, and that there is nothing to see yet."""
    with ui.row().classes("hw-wanted").props('role="status"') as row:
        words = ui.label()
        ui.button("Leave it", on_click=bench.picking.give_up).props("flat dense")
    empty = ui.label("No scan yet. Take one in under Scan.").classes("hw-empty")

    def show() -> None:
        row.set_visibility(bool(bench.picking))
        words.set_text(f"Click in the picture: {bench.picking.words}")

    def see() -> None:
        empty.set_visibility(bench.seen.shell_key is None and not bench.seen.bars)

    bench.picking.when_changed(show)
    bench.when_changed(see)
    show()
    see()


def _connect(bench: Bench) -> None:
    view = bench.view

    def ready(_: dict[str, Any]) -> None:
        # what another window changed while the page was opened is followed already
        view.show_cage(cage_keys(bench.seen))
        if bench.seen.shell_key is not None:
            view.load_shell(bench.seen.shell_key)

    async def moved(told: dict[str, Any]) -> None:
        bar_id, number = str(told["bar_id"]), int(told["node"])
        forward, left, up = (float(value) for value in told["place_mm"])
        await bench.edit(
            lambda folder: move_bar_node(folder, bar_id, number, (forward, left, up)), bar_id=bar_id
        )

    view.when("ready", ready)
    view.when(
        "bar", lambda told: None if bench.picking or bench.measuring else bench.choose(str(told["bar_id"]))
    )
    view.when("moved", moved)
    ui.timer(LOOK_AGAIN_S, bench.follow)
    ui.keyboard(on_key=lambda event: asyncio.ensure_future(_key(bench, event)))


async def _key(bench: Bench, event: Any) -> None:
    if not event.action.keydown:
        return
    if event.modifiers.ctrl and event.key == "z":
        await bench.edit(undo)
    elif event.modifiers.ctrl and event.key == "y":
        await bench.edit(redo)
    elif event.key.escape:
        bench.picking.give_up()
        bench.view.run_method("giveUp")
