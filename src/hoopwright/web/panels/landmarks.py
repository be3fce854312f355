"""Landmarks: found in the scan, picked in the picture, or typed."""

from nicegui import background_tasks, run, ui

from hoopwright.bars import Node
from hoopwright.findings import UserError
from hoopwright.jobs.landmarks import (
    FindingReport,
    KeptLandmark,
    LandmarkReport,
    find_landmarks,
    landmarks_in,
    remove_landmarks,
    set_landmarks,
)
from hoopwright.jobs.typed import place
from hoopwright.web.bench import Bench
from hoopwright.web.entries import as_typed, place_words
from hoopwright.web.findings_words import job_words
from hoopwright.web.forms import Form
from hoopwright.web.picking import Picked
from hoopwright.web.picks import finding_list
from hoopwright.web.work import work


def landmarks_section(bench: Bench) -> None:
    """Build the section."""
    _Landmarks(bench)


def in_words(name: str) -> str:
    """A landmark's name as it is said: `hoop foot` for `hoop_foot`."""
    return name.replace("_", " ")


def as_name(words: str) -> str:
    """The name that is kept for what was typed: `door_opening_1` for `door opening 1`."""
    return "_".join(words.split())


class _Landmarks:
    """The list, what the scan gives, and a name of one's own."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._of: object = None
        self._found: FindingReport | None = None
        self._found_in: str = ""
        ui.label("Places on the left side that a cage is laid out from; the right side is mirrored.").classes(
            "hw-soft"
        )
        ui.button("Find them in the scan", on_click=self._find).classes("hw-button")
        self.drawn = ui.checkbox(
            "Show them in the picture", value=not bench.seen.project.cage.members, on_change=self._mark
        )
        self.found_box = ui.column().classes("w-full gap-1")
        self.form = Form()
        with ui.row().classes("hw-row"):
            self.own = (
                ui.input("Another name, such as door opening 1").props("dense outlined").classes("grow")
            )
            ui.button("Pick", on_click=lambda: self._pick(as_name(str(self.own.value or "")))).props(
                'flat dense no-caps aria-label="Pick the place of that name"'
            )
        bench.when_changed(self.follow)
        ui.timer(0.1, self.follow, once=True)

    def follow(self) -> None:
        """Show them again if they or the scan have changed."""
        bench = self.bench
        self._mark()
        if self._found is not None and self._found_in != bench.units:
            self._show_found(self._found)
        landmarks = tuple(bench.seen.project.cage.landmarks.items())
        key = (bench.seen.shell_key, landmarks, bench.units)
        if bench.tab == "Cage" and key != self._of:
            self._of = key
            background_tasks.create(self._look(key))

    async def _look(self, key: object) -> None:
        bench = self.bench
        seen = bench.seen
        try:
            report = await run.io_bound(lambda: landmarks_in(seen.project, bench.desk.shell()))
        except UserError as error:
            bench.say(error.findings)
            return
        if report is not None and key == self._of:
            self._show(report)

    def _show(self, report: LandmarkReport) -> None:
        def fill() -> None:
            finding_list(self.bench, report.findings)
            for kept in report.kept:
                self._kept(kept)
            for name, put in report.not_set.items():
                if not name.startswith("door_opening"):
                    self._missing(name, put)

        self.form.fill(fill)

    def _kept(self, kept: KeptLandmark) -> None:
        bench = self.bench
        away = "" if kept.metal_mm is None else f"; {bench.length(kept.metal_mm)} to metal"
        with ui.column().classes("hw-section"):
            with ui.row().classes("hw-row"):
                ui.label(in_words(kept.name)).style("font-weight: 600")
                ui.space()
                self._look_button(kept.name, kept.place_mm)
                ui.button("Pick", on_click=lambda: self._pick(kept.name)).props(
                    f'flat dense no-caps aria-label="Pick {kept.name} again"'
                )
                ui.button(
                    "Take out",
                    on_click=lambda: bench.edit(lambda folder: remove_landmarks(folder, [kept.name])),
                ).props(f'flat dense no-caps aria-label="Take out {kept.name}"')
            self._entry(kept.name, as_typed(kept.place_mm))
            ui.label(f"= {place_words(kept.place_mm, bench.units)}{away}").classes("hw-understood")

    def _entry(self, name: str, value: str) -> None:
        entry = ui.input(value=value, placeholder="forward, left, up, then Enter").props("dense outlined")
        entry.classes("w-full").props(f'aria-label="{name}: forward, left, up"')
        entry.on("keydown.enter", lambda: self._typed(name, str(entry.value or "")))

    def _missing(self, name: str, put: str) -> None:
        with ui.column().classes("hw-section"):
            with ui.row().classes("hw-row"):
                ui.label(f"{in_words(name)}: not set").classes("hw-soft")
                ui.space()
                ui.button("Pick", on_click=lambda: self._pick(name)).props(
                    f'flat dense no-caps aria-label="Pick {name}"'
                )
            self._entry(name, "")
            ui.label(job_words(put, self.bench.units)).classes("hw-understood")

    def _look_button(self, name: str, at_mm: Node) -> None:
        ui.button("Look", on_click=lambda: self.bench.view.look_at(at_mm)).props(
            f'flat dense no-caps aria-label="Look at {name}"'
        )

    def _pick(self, name: str) -> None:
        async def taken(picked: Picked) -> None:
            await self._set({name: picked.place_mm})

        if not name:
            ui.notify("Type its name first.")
            return
        self.bench.picking.ask(in_words(name), taken)

    async def _typed(self, name: str, text: str) -> None:
        try:
            at = place(text)
        except UserError as error:
            self.bench.say(error.findings)
            return
        sent = {field: typed for field, typed in self.form.typed().items() if typed == text}
        if await self._set({name: at}):
            self.form.settle(sent)

    async def _set(self, places: dict[str, Node]) -> bool:
        report = await self.bench.edit(lambda folder: set_landmarks(folder, places))
        if report is not None and report.findings:
            self.bench.say(report.findings)
        return report is not None

    async def _find(self) -> None:
        report = await work(
            self.bench,
            "Looking for landmarks",
            lambda folder, progress: find_landmarks(folder, progress=progress),
            edits=False,
        )
        if report is not None:
            self._show_found(report)

    def _show_found(self, report: FindingReport) -> None:
        bench = self.bench
        self._found, self._found_in = report, bench.units
        sure = {name: one.place_mm for name, one in report.found.items() if one.sure}
        new = {name: at for name, at in sure.items() if name not in bench.seen.project.cage.landmarks}
        self.found_box.clear()
        with self.found_box:
            for name, one in report.found.items():
                with ui.row().classes("hw-row"):
                    with ui.column().classes("grow gap-0"):
                        word = "sure" if one.sure else "not sure"
                        ui.label(f"{in_words(name)}: {word}").classes("hw-hold" if one.sure else "hw-near")
                        ui.label(
                            f"{place_words(one.place_mm, bench.units)}; {job_words(one.why, bench.units)}"
                        ).classes("hw-understood")
                        if one.doubt:
                            ui.label(f"not sure: {job_words(one.doubt, bench.units)}").classes(
                                "hw-understood"
                            )
                    self._look_button(name, one.place_mm)
                    ui.button(
                        "Take it", on_click=lambda _, at=one.place_mm, n=name: self._set({n: at})
                    ).props(f'flat dense no-caps aria-label="Take {name} as it was found"')
            for why in dict.fromkeys(report.missing.values()):
                names = ", ".join(in_words(name) for name, one in report.missing.items() if one == why)
                ui.label(f"Not found: {names}: {job_words(why, bench.units)}").classes("hw-understood")
            if report.missing:
                ui.label(
                    "Pick those below in the picture or type them; or add bars one by one, under Add a bar."
                ).classes("hw-hold")

            def close() -> None:
                self._found = None
                self.found_box.clear()

            async def keep() -> None:
                await self._set(new)
                close()

            with ui.row():
                if new:
                    ui.button(f"Keep the {len(new)} that are sure", on_click=keep).classes("hw-button")
                ui.button("Close", on_click=close).props("flat no-caps")

    def _mark(self) -> None:
        marks = []
        if self.bench.tab == "Cage" and self.drawn.value:
            marks = [
                {"points_mm": [list(at)], "text": in_words(name), "through": True}
                for name, at in self.bench.seen.project.cage.landmarks.items()
            ]
        self.bench.view.show_marks("landmarks", marks)
