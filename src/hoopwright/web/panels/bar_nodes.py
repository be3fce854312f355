"""The bends of a bar, and its nodes as they are typed."""

from nicegui import ui

from hoopwright.bars import Node
from hoopwright.findings import UserError
from hoopwright.jobs.bar_cards import BarCard
from hoopwright.jobs.cage_bars import add_bar_node, move_bar_node, remove_bar_node
from hoopwright.jobs.typed import place as typed_place
from hoopwright.web.bench import Bench
from hoopwright.web.forms import Form, edit_typed
from hoopwright.web.parts import table


def bends_table(bench: Bench, card: BarCard) -> None:
    """Straights, rotations and angles from end A."""
    ui.label("Bends from end A").classes("hw-head")
    rows = [
        [str(number), bench.length(straight), rotation, angle]
        for number, straight, rotation, angle in card.rows
    ]
    table(["", "straight", "rotation", "angle"], rows)


def nodes_section(bench: Bench, form: Form, card: BarCard) -> None:
    """A row for each node.

    Args:
        bench: The page.
        form: What it stands in.
        card: The bar.
    """
    ui.label("Nodes: forward, left, up").classes("hw-head")
    if card.mirror_of is not None:
        ui.label(f"Mirrors {card.mirror_of}: move the nodes there, or free this bar.").classes("hw-soft")
    else:
        ui.label("Type and press Enter, or drag them in the picture.").classes("hw-soft")
    for number, place in enumerate(card.nodes_mm, start=1):
        _node(bench, form, card, number, place)


def _node(bench: Bench, form: Form, card: BarCard, number: int, place: Node) -> None:
    typed = ", ".join(bench.length(value).removesuffix(" mm") for value in place)
    last = number == len(card.nodes_mm)
    name = f"{number} A" if number == 1 else f"{number} B" if last else str(number)
    with ui.row().classes("hw-row"):
        ui.label(name).classes("hw-soft").style("min-width: 28px")
        entry = ui.input(value=typed).props("dense outlined").classes("grow")
        entry.props(f'aria-label="Node {number}: forward, left, up"')
        if card.mirror_of is not None:
            entry.disable()
            return

        async def keep() -> None:
            if str(entry.value) == typed:  # what stands there is rounded to be read
                return
            try:
                to = typed_place(str(entry.value))
            except UserError as error:
                bench.say(error.findings)
                return
            # the other nodes may be typed in too, each for its own Enter
            await edit_typed(
                bench,
                form,
                lambda folder: move_bar_node(folder, card.bar_id, number, to),
                bar_id=card.bar_id,
                only=str(entry.value),
            )

        async def add() -> None:
            here, there = card.nodes_mm[number - 1], card.nodes_mm[number]
            forward, left, up = ((a + b) / 2.0 for a, b in zip(here, there, strict=True))
            await bench.edit(
                lambda folder: add_bar_node(folder, card.bar_id, number, (forward, left, up)),
                bar_id=card.bar_id,
            )

        async def remove() -> None:
            await bench.edit(lambda folder: remove_bar_node(folder, card.bar_id, number), bar_id=card.bar_id)

        entry.on("keydown.enter", keep)
        ui.button("Look", on_click=lambda: bench.view.look_at(place)).props(
            f'flat dense aria-label="Look at node {number}"'
        )
        if not last:
            ui.button("+", on_click=add).props(f'flat dense aria-label="Add a node after node {number}"')
        if 1 < number < len(card.nodes_mm):
            ui.button("−", on_click=remove).props(f'flat dense aria-label="Take node {number} out"')
