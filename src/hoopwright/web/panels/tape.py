"""Tape distances against the scan."""

from typing import Any

from nicegui import ui

from hoopwright.findings import UserError, Verdict
from hoopwright.jobs.scans import add_tape
from hoopwright.jobs.typed import tape_mm
from hoopwright.shell.records import TapeDistance, TapePlace
from hoopwright.shell.tape import TapeResult
from hoopwright.store import ProjectFolder
from hoopwright.units import shown
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, as_typed, both_units, place_entry, text_entry
from hoopwright.web.forms import clear_taken
from hoopwright.web.panels.known import Known
from hoopwright.web.parts import bring_into_view
from hoopwright.web.picks import finding_list

_METAL = "on metal"
_DATUM = "a datum, such as the floor line"


def tape_section(bench: Bench, known: Known) -> None:
    """Build the section."""
    with ui.column().classes("hw-section"):
        ui.label("Tape distances").classes("hw-head")
        ui.label(
            "Measure three or more across the whole shell. No sheet is issued before one agrees, nor while one is "
            "over 3 mm per metre off."
        ).classes("hw-soft")
        listed = ui.column().classes("w-full gap-1")
        form = _Form(bench)

    def show() -> None:
        listed.clear()
        results = known.report.tape if known.report else ()
        with listed:
            for result in results:
                _row(bench, result, form)
        _mark(bench, results)

    known.when_changed(show)
    known.when_changed(lambda: form.answer(known.report.tape if known.report else ()))
    bench.when_changed(show)
    show()


class _Form:
    """The fields of one distance."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._asked: TapeDistance | None = None
        self.name = text_entry("Name", hint="such as inside width at the hoop")
        self.tape = Entry("The tape reads", tape_mm, both_units, hint="with its unit, or in mm")
        self.ends = [
            place_entry(bench, label, what=f"{label.lower()} of the tape")
            for label in ("One end", "Other end")
        ]
        self.kinds = [
            ui.select([_METAL, _DATUM], value=_METAL, label=label).props("dense outlined").classes("w-full")
            for label in ("One end lies", "Other end lies")
        ]
        for end in self.ends:
            end.field.on_value_change(self._mark_ends)
        ui.button("Hold it against the scan", on_click=self.add).classes("hw-button")
        self.told = ui.column().classes("w-full gap-1").props('role="status"')

    async def add(self) -> None:
        """Record what was typed."""
        self.told.clear()
        try:
            distance = self._distance()
        except UserError as error:
            with self.told:
                finding_list(self.bench, error.findings)
            return

        def record(folder: ProjectFolder) -> bool:
            add_tape(folder, [distance])
            return True

        self._asked = distance
        with self.told:
            ui.label(f"Holding '{distance.name}' against the scan ...").classes("hw-soft")
        sent: dict[Entry[Any], str] = {end: end.text for end in self.ends}
        sent |= {self.name: self.name.text, self.tape: self.tape.text}
        if await self.bench.edit(record):
            clear_taken(sent)
            for end, kind in zip(self.ends, self.kinds, strict=True):
                if not end.text:
                    kind.set_value(_METAL)
        else:
            self._asked = None
            self.told.clear()

    def answer(self, results: tuple[TapeResult, ...]) -> None:
        """Say beside the button what the scan gives for the distance that was held against it."""
        asked = self._asked
        result = next((one for one in results if asked and one.distance.name == asked.name), None)
        if result is None:
            return
        self._asked = None
        word, classes = _verdict(result)
        self.told.clear()
        with self.told:
            ui.label(f"{result.distance.name}: {word}").classes(classes)
            ui.label(_words(self.bench, result)).classes("hw-soft")
        bring_into_view(self.told)

    def _mark_ends(self) -> None:
        places = []
        for end in self.ends:
            try:
                places.append(list(end.value()))
            except UserError:
                continue
        marks: list[dict[str, Any]] = [{"points_mm": [at], "through": True} for at in places]
        if len(places) == len(self.ends):
            marks.append({"points_mm": places, "through": True})
        self.bench.view.show_marks("tape ends", marks)

    def again(self, distance: TapeDistance) -> None:
        """Type a distance that is there, to change it."""
        self.name.put(distance.name)
        self.tape.put(f"{distance.tape_mm:g} mm")
        for entry, kind, place in zip(
            self.ends, self.kinds, (distance.from_place, distance.to_place), strict=True
        ):
            entry.put(as_typed(place.place_mm))
            kind.set_value(_METAL if place.on_metal else _DATUM)

    def _distance(self) -> TapeDistance:
        one, other = (
            TapePlace(place_mm=entry.value(), on_metal=kind.value == _METAL)
            for entry, kind in zip(self.ends, self.kinds, strict=True)
        )
        tape = self.tape.value()
        return TapeDistance(
            name=self.name.text or f"tape {len(self.bench.seen.project.tape_in_force) + 1}",
            tape_mm=tape,
            from_place=one,
            to_place=other,
        )


def _row(bench: Bench, result: TapeResult, form: _Form) -> None:
    with ui.row().classes("hw-row"):
        with ui.column().classes("grow gap-0"):
            ui.label(result.distance.name).style("font-weight: 600")
            ui.label(_words(bench, result)).classes("hw-soft")
        word, classes = _verdict(result)
        ui.label(word).classes(classes).style("white-space: nowrap")
        ui.button("Change", on_click=lambda: form.again(result.distance)).props(
            f'flat dense no-caps aria-label="Change tape distance {result.distance.name}"'
        )


def _words(bench: Bench, result: TapeResult) -> str:
    tape = f"tape {bench.length(result.distance.tape_mm)}"
    if result.scan_mm is None or result.difference_mm is None or result.per_metre_mm is None:
        return f"{tape}; no metal of the scan near an end"
    way = "longer" if result.difference_mm >= 0.0 else "shorter"
    return (
        f"{tape}, scan {bench.length(result.scan_mm)}: {bench.length(abs(result.difference_mm))} {way}, "
        f"{shown(result.per_metre_mm, 2)} mm per metre"
    )


def _verdict(result: TapeResult) -> tuple[str, str]:
    """In a word, with its look."""
    if result.verdict is Verdict.NOT_CHECKED:
        return "not checked", "hw-soft"
    if result.verdict is Verdict.FAIL:
        return "blocks sheets !", "hw-near"
    return ("look again !", "hw-near") if result.is_near else ("agrees", "hw-hold")


def _mark(bench: Bench, results: tuple[TapeResult, ...]) -> None:
    marks = []
    if bench.tab == "Scan":
        marks = [
            {
                "points_mm": [list(one.distance.from_place.place_mm), list(one.distance.to_place.place_mm)],
                # the names stand in the list; in the picture they would hide it
                "text": bench.length(one.distance.tape_mm),
                "through": True,
            }
            for one in results
        ]
    bench.view.show_marks("tape", marks)
