"""Laying a whole cage out from the landmarks and a few choices."""

from typing import Literal, cast

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.fitting.layout import FirstLayout, LayoutWishes
from hoopwright.jobs.projects import lay_out
from hoopwright.units import parse_angle_deg
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, length_entry, text_entry, tube_entry
from hoopwright.web.parts import counted
from hoopwright.web.picks import finding_list
from hoopwright.web.work import work

_FEET = {4: "4: hoop and backstays", 6: "6: with side bars", 8: "8: with strut links too"}
_DIAGONALS = {"one": "one across the hoop", "cross": "two that cross"}
_ROOF = {
    "none": "none",
    "one": "one across",
    "cross": "two that cross",
    "v": "a V that meets on the screen bar",
}
_DOOR = {"one": "one", "two": "two above each other", "cross": "two that cross"}


def laying_out_section(bench: Bench) -> None:
    """Build the section."""
    _LayingOut(bench)


class _LayingOut:
    """The choices, and the button."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.feet = _choice("Feet", _FEET, 6)
        self.diagonals = _choice("Hoop diagonals", _DIAGONALS, "one")
        self.roof = _choice("Roof bars", _ROOF, "none")
        self.door = _choice("Door bars of each side", _DOOR, "two")
        self.dash = ui.checkbox("A bar at the dash")
        self.sills = ui.checkbox("A bar along each sill")
        with ui.expansion("Tubes, lean and door bars outward").classes("w-full hw-fold"):
            self.hoop = _Tube("Hoop and side bars", "45 x 2.5", "45", "137.5 mm")
            self.brace = _Tube("All other bars", "38 x 2.5", "38", "115 mm")
            self.lean = Entry(
                "Lean of the main hoop, top rearward", parse_angle_deg, lambda angle: f"{angle:g}°", value="0"
            )
            self.out = length_entry("Door bars outward into the doors", value="0 mm")
        self.told = ui.column().classes("w-full gap-1")
        self.why_not = ui.label().classes("hw-soft")
        self.button = ui.button("Lay the cage out", on_click=self._lay).classes("hw-button")
        bench.when_changed(self._show)
        self._show()

    def _show(self) -> None:
        project = self.bench.seen.project
        words = ""
        if project.scan is None:
            words = "Needs a scan."
        elif project.cage.members:
            count = len(project.cage.members)
            words = (
                f"The cage has {counted(count, 'bar')} already: undo, or take them out, to lay out another."
            )
        self.why_not.set_text(words)
        self.why_not.set_visibility(bool(words))
        self.button.set_enabled(not words)

    async def _lay(self) -> None:
        self.told.clear()
        try:
            wishes = self._wishes()
        except UserError as error:
            with self.told:
                finding_list(self.bench, error.findings)
            return
        laid: FirstLayout | None = await work(
            self.bench,
            "Laying the cage out",
            lambda folder, progress: lay_out(folder, {}, wishes, progress=progress),
        )
        with self.told:
            if laid is None:
                finding_list(self.bench, self.bench.findings)
            else:
                ui.label(
                    f"{len(laid.cage.members)} bars are laid out. Choose one, or check them all."
                ).classes("hw-hold")
                finding_list(self.bench, laid.findings)

    def _wishes(self) -> LayoutWishes:
        """What was chosen; the job puts the project's own limits in."""
        return LayoutWishes(
            feet=cast("Literal[4, 6, 8]", self.feet.value),
            hoop_diagonals=cast("Literal['one', 'cross']", self.diagonals.value),
            roof=cast("Literal['none', 'one', 'cross', 'v']", self.roof.value),
            door_bars=cast("Literal['one', 'two', 'cross']", self.door.value),
            door_out_mm=self.out.value(),
            dash_bar=bool(self.dash.value),
            sill_bars=bool(self.sills.value),
            lean_deg=self.lean.value(),
            hoop_tube=self.hoop.tube.value(),
            hoop_die=self.hoop.die.text,
            hoop_clr_mm=self.hoop.clr.value(),
            brace_tube=self.brace.tube.value(),
            brace_die=self.brace.die.text,
            brace_clr_mm=self.brace.clr.value(),
        )


class _Tube:
    """Tube, die and radius of a kind of bars."""

    def __init__(self, label: str, tube: str, die: str, clr: str) -> None:
        self.tube = tube_entry(f"{label}: tube", value=tube)
        self.die = text_entry(f"{label}: die", value=die)
        self.clr = length_entry(f"{label}: radius they are drawn with", value=clr)


def _choice(label: str, choices: dict[int, str] | dict[str, str], value: int | str) -> ui.select:
    return ui.select(choices, value=value, label=label).props("dense outlined").classes("w-full")
