"""The chosen bar: bends, nodes, ends, tube, gaps, sheet, and what is done with it as a whole."""

from datetime import UTC, datetime

from nicegui import ui

from hoopwright.jobs.bar_cards import bar_card
from hoopwright.web.bench import Bench
from hoopwright.web.panels import cut_from
from hoopwright.web.panels.bar_ends import ends_section
from hoopwright.web.panels.bar_gaps import gaps_section
from hoopwright.web.panels.bar_leg import leg_section
from hoopwright.web.panels.bar_nodes import bends_table, nodes_section
from hoopwright.web.panels.bar_tube import tube_section
from hoopwright.web.panels.chosen_bar import chosen_bar_section


def build(bench: Bench) -> None:
    """Fill the tab."""
    box = ui.column().classes("w-full gap-2")
    shown: list[object] = [None]

    def show() -> None:
        key = (bench.chosen, bench.seen.version, bench.units)
        if key == shown[0]:
            return
        shown[0] = key
        as_a_whole.set_visibility(bench.chosen is not None)
        box.clear()
        with box:
            if bench.chosen is None or bench.chosen not in bench.seen.project.cage:
                ui.label("Choose a bar in the list or in the picture.").classes("hw-soft")
                if not bench.seen.project.cage.members:
                    ui.label("There is none yet: lay a cage out, or add a bar, in the Cage tab.").classes(
                        "hw-soft"
                    )
                return
            _card(bench, bench.chosen)

    as_a_whole = ui.expansion("Mirror, free, take out").classes("w-full hw-fold")
    with as_a_whole:
        chosen_bar_section(bench)
    cut_from.build(bench)
    bench.when_changed(show)
    show()


def _card(bench: Bench, bar_id: str) -> None:
    card = bar_card(bench.seen.project, bar_id, bench.seen.bars)
    nearest = next((view.nearest for view in bench.seen.bars if view.bar_id == bar_id), None)
    gap_mm = bench.seen.project.cage.limits.gap_mm
    ui.label(f"{card.bar_id}, {card.role}").classes("hw-head")
    ui.label(
        f"{card.tube}, {bench.length(card.developed_mm)} along its centreline, {len(card.angles_deg)} bends"
    ).classes("hw-soft")
    if nearest is not None:
        near = nearest.gap_mm < gap_mm - 0.05
        held = f"nearer than the {bench.length(gap_mm)} asked" if near else f"{bench.length(gap_mm)} asked"
        ui.label(f"smallest gap {bench.length(nearest.gap_mm)} to {nearest.region} ({held})").classes(
            "hw-near" if near else "hw-hold"
        )
    bends_table(bench, card)
    nodes_section(bench, card)
    gaps_section(bench, bar_id, date=datetime.now(UTC).astimezone().date().isoformat())
    member = bench.seen.project.cage.member(bar_id)
    with ui.expansion("Ends").classes("w-full hw-fold"):
        ends_section(bench, member)
    with ui.expansion("Tube and die").classes("w-full hw-fold"):
        tube_section(bench, member)
    with ui.expansion("Its leg, for a rule book").classes("w-full hw-fold"):
        leg_section(bench, member)
