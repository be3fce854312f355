"""The rack of the shop: what lies there, a stick marked as used with what is left of it, and that taken back."""

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass

from nicegui import ui

from hoopwright.bender import Stick
from hoopwright.findings import UserError
from hoopwright.jobs.batch_numbers import papers_of
from hoopwright.jobs.sawn_plans import sawn_for
from hoopwright.jobs.shop_sticks import put_stick_back, use_stick
from hoopwright.jobs.tube_choices import ShopTube
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry, text_entry
from hoopwright.web.made import fill_part, told_below
from hoopwright.web.parts import bring_into_view, kept_words
from hoopwright.web.picks import pick_table
from hoopwright.web.work import work

Look = Callable[[], Awaitable[None]]


@dataclass
class _State:
    """What is open of the rack.

    Args:
        chosen: Label of the stick that is open; empty for none.
        drawn: Grows whenever its form is to be filled anew.
        every: Whether those that are used are shown, too.
        told: What was kept last.
        shown: The stick that its form is of, and the head of that form.
    """

    chosen: str = ""
    drawn: int = 0
    every: bool = False
    told: str = ""
    shown: tuple[Stick, ui.label] | None = None


def rack(bench: Bench, tube: Callable[[], ShopTube | None], look: Look) -> None:
    """Fill the card.

    Args:
        bench: The page.
        tube: What the shop knows, as it was last read.
        look: Reads the shop again.
    """
    state = _State()

    def show(every: bool) -> None:
        state.every = every
        bench.tell()

    def choose(stick: Stick) -> None:
        state.chosen, state.told = stick.label, ""
        if state.shown is not None and state.shown[0] == stick:
            # it stands there, and what is typed or pressed in it holds
            bring_into_view(state.shown[1], "nearest")
        else:
            state.drawn += 1
        bench.tell()

    box = ui.checkbox("those that are used, too").props("dense")
    box.on_value_change(lambda: show(bool(box.value)))
    fill_part(
        bench,
        lambda: (id(tube()), state.every, bench.units),
        lambda: _sticks(bench, tube(), state.every, choose),
    )
    fill_part(
        bench, lambda: (state.chosen, state.drawn), lambda: _form(bench, state, tube, look), gap="gap-1"
    )
    fill_part(bench, lambda: (state.told,), lambda: kept_words(state.told))


def _sticks(bench: Bench, known: ShopTube | None, every: bool, choose: Callable[[Stick], None]) -> None:
    if known is None:
        ui.label("Not read yet.").classes("hw-soft")
        return
    sticks = [stick for stick in known.sticks if every or stick.state == "kept"]
    if not sticks:
        ui.label("Nothing yet. Put in what came, under Tube that came.").classes("hw-soft")
        return
    ui.label("Choose one that was used without a plan, to mark it.").classes("hw-soft")
    pick_table(
        ["label", "length", "tube", "heat number, certificate"],
        [_row(bench, known, stick) for stick in sticks],
        lambda number: choose(sticks[number]),
        classes=["open" if stick.state == "used" else "" for stick in sticks],
        widths=(74, 84, 90),
    )


def _row(bench: Bench, known: ShopTube, stick: Stick) -> Sequence[str]:
    batch = known.batch(stick.batch)
    used = "\n● used" if stick.state == "used" else ""
    tube, papers = ("", "") if batch is None else (f"{batch.tube} {batch.steel}".strip(), papers_of(batch))
    return (stick.label, bench.length(stick.length_mm), tube, f"{papers}{used}")


def _form(bench: Bench, state: _State, tube: Callable[[], ShopTube | None], look: Look) -> None:
    known = tube()
    stick = None if known is None else known.stick(state.chosen)
    state.shown = None
    if stick is None:
        return
    label = stick.label
    of = f", left of {stick.cut_from}" if stick.cut_from else ""
    head = ui.label().classes("hw-head")

    def name_it() -> None:
        head.set_text(f"Stick {label}, {bench.length(stick.length_mm)}, batch {stick.batch}{of}")

    bench.when_changed(name_it, on=head)
    name_it()
    bring_into_view(head, "nearest")
    state.shown = stick, head
    if stick.note:
        ui.label(stick.note).classes("hw-soft")

    async def sent(
        title: str, act: Callable[[], Sequence[Stick]], words: Callable[[Sequence[Stick]], str]
    ) -> None:
        state.told = ""
        kept = await work(bench, title, lambda *_: act(), edits=False)
        found = bench.findings if kept is None else ()
        await look()
        if kept is None:
            told(found)
            return
        state.told, state.drawn = words(kept), state.drawn + 1
        bench.tell()

    def back() -> Sequence[Stick]:
        return [one.record for one in put_stick_back(None, label)]

    if stick.state == "used":
        plan = sawn_for(stick)
        if plan:
            ui.label(f"Sawn by {plan}: take that recording back where it stands.").classes("hw-soft")
        else:
            ui.button(
                "It is not used: back to the rack",
                on_click=lambda: sent("Putting a stick back", back, _back_words),
            ).classes("hw-button")
        told = told_below(bench)
        return
    left = length_entry("What is left of it", hint="goes back to the rack; empty where nothing is kept")
    name = text_entry("Label of what is left", hint=f"{label} with a letter where empty")
    told = told_below(bench)

    async def use() -> None:
        try:
            left_mm = left.maybe()
        except UserError as error:
            told(error.findings)
            return
        offcut = name.text
        await sent(
            "Marking a stick",
            lambda: [one.record for one in use_stick(None, label, offcut_mm=left_mm, offcut_label=offcut)],
            lambda kept: _used_words(bench, kept),
        )

    ui.button("It is used", on_click=use).classes("hw-button").props(
        f'aria-label="It is used: stick {label}"'
    )


def _used_words(bench: Bench, kept: Sequence[Stick]) -> str:
    used, *left = kept
    rest = "; ".join(f"{one.label}, {bench.length(one.length_mm)}, lies on the rack" for one in left)
    rest = rest or "Nothing is left of it"
    return f"✓ {used.label} is used. {rest}. For which bar is said under Cut from, in the Bar tab."


def _back_words(kept: Sequence[Stick]) -> str:
    back, *gone = kept
    rest = f" {', '.join(one.label for one in gone)} is part of it again." if gone else ""
    return f"✓ {back.label} lies on the rack again.{rest}"
