"""The chosen bar: bends, nodes, ends, tube, gaps, sheet, and what is done with it as a whole."""

from collections.abc import Callable, Hashable
from datetime import UTC, datetime

from nicegui import ui

from hoopwright.bars import Node
from hoopwright.cage import EndLetter, Member
from hoopwright.jobs.bar_cards import BarCard, bar_card, bar_nodes
from hoopwright.web.bench import Bench
from hoopwright.web.forms import Form, form_part
from hoopwright.web.made import fill_part
from hoopwright.web.panels import cut_from
from hoopwright.web.panels.bar_ends import end_section, ends_words
from hoopwright.web.panels.bar_gaps import gaps_section
from hoopwright.web.panels.bar_leg import leg_section
from hoopwright.web.panels.bar_nodes import bends_table, nodes_section
from hoopwright.web.panels.bar_tube import role_section, tube_section
from hoopwright.web.panels.chosen_bar import chosen_bar_section


def build(bench: Bench) -> None:
    """Fill the tab."""

    def whole() -> Hashable:
        return bench.chosen, bench.seen.version, bench.units

    fill_part(bench, whole, lambda: _head(bench))
    with ui.column().classes("w-full gap-2") as of_one:
        # what is typed in hangs on as little as it can: a form that is filled anew loses the keyboard's place
        _form(
            bench,
            lambda one: (_nodes(bench, one), one.mirror_of),
            lambda form, one: nodes_section(bench, form, _card(bench, one)),
        )
        fill_part(bench, whole, lambda: _gaps(bench))
        with ui.expansion("Ends").classes("w-full hw-fold"):
            fill_part(bench, whole, lambda: _ends_words(bench))
            _end(bench, "A")
            _end(bench, "B")
        with ui.expansion("Tube and die").classes("w-full hw-fold"):
            fill_part(bench, lambda: _of(bench, lambda one: one.role), lambda: _role(bench))
            _form(
                bench,
                lambda one: (one.tube, one.die, one.clr_mm),
                lambda form, one: tube_section(bench, form, one),
            )
        with ui.expansion("Its leg, for a rule book").classes("w-full hw-fold"):
            _form(
                bench,
                lambda one: (one, _nodes(bench, one)),
                lambda form, one: leg_section(bench, form, one),
            )
    as_a_whole = ui.expansion("Mirror, free, take out").classes("w-full hw-fold")
    with as_a_whole:
        chosen_bar_section(bench)
    cut_from.build(bench)

    def show() -> None:
        of_one.set_visibility(_chosen(bench) is not None)
        as_a_whole.set_visibility(bench.chosen is not None)

    bench.when_changed(show)
    show()


def _chosen(bench: Bench) -> Member | None:
    """The chosen bar; None where there is none."""
    cage = bench.seen.project.cage
    return None if bench.chosen is None or bench.chosen not in cage else cage.member(bench.chosen)


def _card(bench: Bench, one: Member) -> BarCard:
    return bar_card(bench.seen.project, one.member_id, bench.seen.bars)


def _nodes(bench: Bench, one: Member) -> tuple[Node, ...]:
    return bar_nodes(bench.seen.project, one.member_id)


def _of(bench: Bench, what: Callable[[Member], Hashable]) -> Hashable:
    found = _chosen(bench)
    return None if found is None else (bench.chosen, bench.units, what(found))


def _form(
    bench: Bench,
    of: Callable[[Member], Hashable],
    fill: Callable[[Form, Member], None],
) -> None:
    """A form of the chosen bar that is filled anew when what it hangs on has changed."""

    def filled(form: Form) -> None:
        found = _chosen(bench)
        if found is not None:
            fill(form, found)

    def about() -> Hashable:
        found = _chosen(bench)
        # with a node more or less, a node of the same number is another one
        return None if found is None else (bench.chosen, len(_nodes(bench, found)))

    form_part(bench, lambda: _of(bench, of), filled, about=about)


def _end(bench: Bench, letter: EndLetter) -> None:
    _form(
        bench,
        lambda one: (_names(bench), one.end_a if letter == "A" else one.end_b),
        lambda form, one: end_section(bench, form, one, letter),
    )


def _names(bench: Bench) -> Hashable:
    return tuple(one.member_id for one in bench.seen.project.cage.members)


def _head(bench: Bench) -> None:
    found = _chosen(bench)
    if found is None:
        ui.label("Choose a bar in the list or in the picture.").classes("hw-soft")
        if not bench.seen.project.cage.members:
            ui.label("There is none yet: lay a cage out, or add a bar, in the Cage tab.").classes("hw-soft")
        return
    card = _card(bench, found)
    nearest = next((view.nearest for view in bench.seen.bars if view.bar_id == card.bar_id), None)
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


def _gaps(bench: Bench) -> None:
    found = _chosen(bench)
    if found is not None:
        today = datetime.now(UTC).astimezone().date().isoformat()
        gaps_section(bench, found.member_id, date=today)


def _ends_words(bench: Bench) -> None:
    found = _chosen(bench)
    if found is not None:
        ends_words(found)


def _role(bench: Bench) -> None:
    found = _chosen(bench)
    if found is not None:
        role_section(bench, found)
