"""The chosen bar: its bend table, its nodes as they are typed, and its gaps."""

from nicegui import ui

from hoopwright.bars import Node
from hoopwright.findings import UserError
from hoopwright.jobs.bar_cards import BarCard, bar_card
from hoopwright.jobs.projects import add_bar_node, move_bar_node, remove_bar_node
from hoopwright.units import parse_length_mm
from hoopwright.web.bench import Bench
from hoopwright.web.parts import table


def build(bench: Bench) -> None:
    """Fill the tab."""
    with ui.column().classes("w-full gap-2") as box:
        pass

    def show() -> None:
        box.clear()
        with box:
            if bench.chosen is None:
                ui.label("Choose a bar in the list or in the picture.").classes("hw-soft")
                return
            _card(bench, bar_card(bench.seen.project, bench.chosen, bench.seen.bars))

    bench.when_changed(show)
    show()


def _card(bench: Bench, card: BarCard) -> None:
    ui.label(f"{card.bar_id}, {card.role}").classes("hw-head")
    ui.label(f"{card.tube}, {bench.length(card.developed_mm)} long, {len(card.angles_deg)} bends").classes(
        "hw-soft"
    )
    if card.gap_text:
        ui.label(card.gap_text)
    ui.label("Bends from end A").classes("hw-head")
    rows = [
        [str(number), bench.length(straight), rotation, angle]
        for number, straight, rotation, angle in card.rows
    ]
    table(["", "straight", "rotation", "angle"], rows)
    ui.label("Nodes").classes("hw-head")
    if card.mirror_of is not None:
        ui.label(f"Mirrors {card.mirror_of}: move the nodes there, or free this bar.").classes("hw-soft")
    for number, place in enumerate(card.nodes_mm, start=1):
        _node(bench, card, number, place)


def _node(bench: Bench, card: BarCard, number: int, place: Node) -> None:
    typed = ", ".join(bench.length(value).removesuffix(" mm") for value in place)
    with ui.row().classes("hw-row"):
        ui.label(str(number)).classes("hw-soft")
        entry = ui.input(value=typed).props("dense outlined").classes("grow")
        entry.props(f'aria-label="Node {number}: forward, left, up"')
        if card.mirror_of is not None:
            entry.disable()
            return

        async def keep() -> None:
            try:
                to = _typed_place(str(entry.value))
            except UserError as error:
                bench.say(error.findings)
                return
            await bench.edit(
                lambda folder: move_bar_node(folder, card.bar_id, number, to), bar_id=card.bar_id
            )

        async def add() -> None:
            nodes = card.nodes_mm
            middle = tuple((a + b) / 2.0 for a, b in zip(nodes[number - 1], nodes[number], strict=True))
            await bench.edit(
                lambda folder: add_bar_node(folder, card.bar_id, number, (middle[0], middle[1], middle[2])),
                bar_id=card.bar_id,
            )

        async def remove() -> None:
            await bench.edit(lambda folder: remove_bar_node(folder, card.bar_id, number), bar_id=card.bar_id)

        entry.on("keydown.enter", keep)
        if number < len(card.nodes_mm):
            ui.button("+", on_click=add).props(f'flat dense aria-label="Add a node after node {number}"')
        if 1 < number < len(card.nodes_mm):
            ui.button("−", on_click=remove).props(f'flat dense aria-label="Take node {number} out"')


def _typed_place(text: str) -> Node:
    """Three lengths as people type them, separated by commas or semicolons with spaces."""
    parts = [part for part in text.replace(";", ",").split(",") if part.strip()]
    forward, left, up = (parse_length_mm(part) for part in [*parts, "", "", ""][:3])
    return forward, left, up
