"""Which tubes the pinned book allows for a bar; one is taken, and all that hangs on it follows."""

from collections.abc import Sequence
from dataclasses import dataclass

from nicegui import ui

from hoopwright.cage import Role
from hoopwright.findings import Verdict
from hoopwright.jobs.bar_values import ChangedBars, set_tube
from hoopwright.jobs.tube_lists import PricedTube, TubeList, TubeWish, tubes_for
from hoopwright.units import shown
from hoopwright.web.bench import Bench
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.parts import bring_into_view
from hoopwright.web.picks import draw_when_other, finding_list, older, pick_table

_SHOWN_OTHERS = 40


@dataclass
class _State(Made[TubeList]):
    """What this page last listed."""

    chosen: PricedTube | None = None
    changed: ChangedBars | None = None


def build(bench: Bench) -> None:
    """Fill the tab."""
    state = _State()
    role = ui.select([one.value for one in Role], value=Role.MAIN_HOOP.value, label="For a").props(
        "dense outlined"
    )
    optional = ui.checkbox("added freely: the book does not demand this bar").props("dense")

    def follow() -> None:
        if bench.chosen is not None:
            role.set_value(bench.seen.project.cage.member(bench.chosen).role.value)

    draw_when_other(bench, lambda: bench.chosen, follow)

    async def look() -> None:
        wish = TubeWish(role=Role(str(role.value)), is_required=not optional.value)
        state.chosen = None
        await make(bench, state, "Looking for tubes", lambda folder, _: tubes_for(wish, folder))

    ui.button("Which tubes are allowed", on_click=look).classes("hw-button")
    fill_part(bench, lambda: (id(state.report), bench.seen.version), lambda: _list(bench, state))
    fill_part(
        bench,
        lambda: (id(state.chosen), bench.chosen, bench.seen.version, id(state.changed)),
        lambda: _one(bench, state),
        gap="gap-1",
    )


def _list(bench: Bench, state: _State) -> None:
    found = state.report
    if found is None:
        words = "The lightest comes first, with its stiffness and the price of a metre."
        if bench.seen.project.book is None:
            words = "Choose a rule book first, under Rule book: it says which tubes are allowed."
        ui.label(words).classes("hw-soft")
        return
    older(bench, state.version, "Ask again.")
    finding_list(bench, found.findings)
    if found.allowed:
        ui.label(f"{found.book.body}, edition {found.book.edition}: {found.role.value}").classes("hw-head")
        _picks(bench, state, found, found.allowed)
    open_ones = found.not_known[:_SHOWN_OTHERS]
    if open_ones:
        with ui.expansion(
            f"{len(found.not_known)} with something not known", value=not found.allowed
        ).classes("hw-fold"):
            ui.label(
                "They meet every limit of the book that could be held against them. Choose one to see what is not "
                "known: it is for its certificate and the book."
            ).classes("hw-soft")
            _picks(bench, state, found, open_ones)
            _and_more(len(found.not_known))
    others = [one for one in found.tubes if one not in found.allowed and one not in found.not_known]
    if others:
        with ui.expansion(f"{len(others)} others: not allowed, or without a limit").classes("hw-fold"):
            for one in others[:_SHOWN_OTHERS]:
                why = "; ".join(one.choice.why) or "the book has no limit on it"
                ui.label(f"{one.choice.size.words}, {one.choice.steel.name}: {why}")
            _and_more(len(others))
    ui.label("Strengths are least values of the steel; the certificate of the tube decides.").classes(
        "hw-soft"
    )


def _and_more(count: int) -> None:
    if count > _SHOWN_OTHERS:
        ui.label(f"and {count - _SHOWN_OTHERS} heavier ones; 'hoopwright tubes --all' lists them")


def _picks(bench: Bench, state: _State, found: TubeList, tubes: Sequence[PricedTube]) -> None:
    def pick(number: int) -> None:
        state.chosen, state.changed = tubes[number], None
        bench.tell()

    price = f"price of 1 m {found.currency}".strip()
    pick_table(
        ["tube, steel", "kg/m", "stiffness kN m²", "yields at N m", price],
        [_cells(one) for one in tubes],
        pick,
        widths=(0, 46, 76, 60, 58),
    )


def _cells(one: PricedTube) -> list[str]:
    choice = one.choice
    price = "-" if one.price_per_m is None else shown(float(one.price_per_m), 2)
    return [
        f"{choice.size.words}\n{choice.steel.name}",
        shown(choice.kg_per_m, 2),
        one.stiffness_words,
        one.moment_words,
        price,
    ]


def _one(bench: Bench, state: _State) -> None:
    one, bar = state.chosen, bench.chosen
    if state.changed is not None:
        ui.label(f"✓ {', '.join(state.changed.bars)} changed. Undo takes it back.").props('role="status"')
        ui.label(
            "Gaps are measured anew. Sheets of these bars count as OLD, and copes, cuts and cost are to be made again."
        ).classes("hw-soft")
        finding_list(bench, state.changed.findings)
    if one is None:
        return
    size = one.choice.size
    head = ui.label(f"{size.words}, {one.choice.steel.name}").classes("hw-head")
    bring_into_view(head, "start")
    if one.choice.verdict is not Verdict.PASS:
        ui.label("? not checked: " + "; ".join(one.choice.why)).classes("hw-finding")
    if bar is None:
        ui.label("Choose a bar in the list at the left, to take this tube for it.")
        return
    member = bench.seen.project.cage.member(bar)
    ui.label(f"{bar} is drawn in {member.tube} mm{f', {member.steel}' if member.steel else ''}")

    async def take() -> None:
        changed = await bench.edit(
            lambda folder: set_tube(folder, bar, size.tube, steel=one.choice.steel.name), bar_id=bar
        )
        if changed is not None:
            state.changed = changed
            bench.tell()

    ui.button(f"Take it for {bar}", on_click=take).classes("hw-button")
