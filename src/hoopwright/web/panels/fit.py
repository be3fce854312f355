"""Fitting the chosen bar to the shell: what is asked, the trade-off as a chart to click, and keeping one."""

from dataclasses import replace

from nicegui import run, ui

from hoopwright.cage import Cage
from hoopwright.findings import UserError
from hoopwright.fitting.offers import Offer
from hoopwright.jobs.fits import FitReport, fit_member, keep_offer, with_offer
from hoopwright.jobs.projects import change_limits
from hoopwright.jobs.views import BarView, changed_bars
from hoopwright.store import ProjectFolder
from hoopwright.web.bench import Bench
from hoopwright.web.forms import Form
from hoopwright.web.keys import bar_keys
from hoopwright.web.panels.fit_asked import FitAsked
from hoopwright.web.panels.fit_chart import fit_chart
from hoopwright.web.panels.fit_words import offer_words
from hoopwright.web.parts import bring_into_view
from hoopwright.web.picks import finding_list
from hoopwright.web.work import work


def build(bench: Bench) -> None:
    """Fill the tab."""
    _Fit(bench)


class _Fit:
    """The tab, with what was found last."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.bar_id: str | None = None
        self.key: object = None
        self.report: FitReport | None = None
        self.picked: Offer | None = None
        self.asked: FitAsked | None = None
        self.ask_box = Form()
        self.found_box = ui.column().classes("w-full gap-2")
        bench.when_changed(self.follow)
        self.follow()

    def follow(self) -> None:
        """Ask for the bar that is chosen; what was found goes when that bar is another now."""
        bench, cage = self.bench, self.bench.seen.project.cage
        member = cage.member(bench.chosen) if bench.chosen is not None and bench.chosen in cage else None
        key = (member, bench.units, bench.seen.project.scan is None)
        if key == self.key:
            return
        self.key = key
        self.put_away()
        self.asked = None

        def fill() -> None:
            if bench.seen.project.scan is None:
                ui.label("There is no scan to fit to. Take one in, in the Scan tab.").classes("hw-soft")
            elif member is None:
                ui.label(
                    "Choose a bar in the list or in the picture; a new one is added in the Cage tab."
                ).classes("hw-soft")
            elif member.mirror_of is not None:
                ui.label(f"{member.member_id} mirrors {member.mirror_of}. Fit that one, or free this bar.")
                ui.button(
                    f"Choose {member.mirror_of}", on_click=lambda: bench.choose(member.mirror_of)
                ).classes("hw-button")
            else:
                self.bar_id = member.member_id
                self.asked = FitAsked(bench, member)
                with ui.row():
                    ui.button("Fit it", on_click=self.search).classes("hw-button")
                    ui.button("Only improve it from where it is", on_click=self.improve).props("flat")

        self.ask_box.fill(fill, about=bench.chosen)

    def put_away(self) -> None:
        """Forget what was found; the picture shows the cage as it is."""
        if self.report is not None and self.picked is not None:
            self.bench.view.show_tried(None)
        self.report = self.picked = None
        self.found_box.clear()

    async def search(self) -> None:
        """Look for bars in the background; nothing of the project is changed."""
        if self.asked is None or self.bar_id is None:
            return
        bench, bar_id = self.bench, self.bar_id
        try:
            wishes, bends = self.asked.wishes(), self.asked.bends()
        except UserError as error:
            bench.say(error.findings)
            self.told()
            return
        self.put_away()
        key = self.key
        report = await work(
            bench,
            f"Fitting {bar_id}",
            lambda folder, progress: fit_member(
                folder, bar_id, wishes, bends=bends, whole=bench.desk.whole_shell(), progress=progress
            ),
            edits=False,
        )
        if report is None:
            self.told()
        elif key == self.key:
            self.report = report
            holding = [offer for offer in report.found.offers if offer.holds]
            best = min(holding, key=lambda offer: offer.mean_gap_mm, default=None)
            await self.pick(best or (report.found.offers[-1] if report.found.offers else None))

    async def improve(self) -> None:
        """Move the bar's nodes to the best place near where they are, and keep that."""
        if self.asked is None or self.bar_id is None:
            return
        bench, bar_id = self.bench, self.bar_id
        try:
            wishes = self.asked.wishes()
        except UserError as error:
            bench.say(error.findings)
            return
        report = await work(
            bench,
            f"Improving {bar_id}",
            lambda folder, progress: fit_member(
                folder, bar_id, wishes, warm=True, whole=bench.desk.whole_shell(), progress=progress
            ),
        )
        if report is None:
            self.told()
        else:
            bench.say(report.findings)
            with self.found_box:
                ui.notify(f"{bar_id} was improved; Undo brings it back.")

    def told(self) -> None:
        """What stopped the search."""
        self.found_box.clear()
        with self.found_box:
            finding_list(self.bench, self.bench.findings)

    async def pick(self, offer: Offer | None) -> None:
        """Show one of the bars that were found, in the picture too."""
        report, bench = self.report, self.bench
        if report is None:
            return
        self.picked = offer
        self.show(report, offer)
        if offer is None:
            return
        cage = bench.seen.project.cage

        def tried() -> tuple[BarView, ...]:
            return changed_bars(cage, _with(cage, report, offer), bench.desk.shown()[1])

        bars = await run.io_bound(tried)
        if bars is not None and self.picked is offer and self.report is report:
            bench.view.show_tried(None)
            bench.view.show_tried([bar_keys(bar) for bar in bars])

    def show(self, report: FitReport, picked: Offer | None) -> None:
        """The chart, and the offer that is looked at in words."""
        bench = self.bench
        self.found_box.clear()
        with self.found_box:
            ui.label("What one more bend buys").classes("hw-head")
            if not report.found.offers:
                ui.label("No bar was found with these numbers of bends.")
            else:
                fit_chart(bench, report, picked, self.pick)
            if picked is not None:
                self._other_gap(report)
                with ui.row():
                    ui.button(f"Keep {picked.bends} bends", on_click=self.keep).classes("hw-button")
                    ui.button("Leave the bar as it is", on_click=self.put_away).props("flat")
                offer_words(bench, report, picked)
            if report.findings:
                finding_list(self.bench, report.findings)
        bring_into_view(self.found_box, "start")

    def _other_gap(self, report: FitReport) -> None:
        """Where less was asked here than in the project, the picture shows the bar as too near: say why."""
        bench, limits = self.bench, self.bench.seen.project.cage.limits
        asked_mm = report.found.task.gap_mm
        if asked_mm >= limits.gap_mm:
            return

        async def ask_less() -> None:
            wanted = replace(limits, gap_mm=asked_mm)

            def change(folder: ProjectFolder) -> bool:
                change_limits(folder, wanted)
                return True

            if await bench.edit(change):
                await self.pick(self.picked)

        ui.label(
            f"Red in the picture, since the project asks {bench.length(limits.gap_mm)} of every bar, more than the "
            f"{bench.length(asked_mm)} asked here."
        ).classes("hw-near")
        ui.button(f"Ask {bench.length(asked_mm)} in the project", on_click=ask_less).props("flat")

    async def keep(self) -> None:
        """Put the picked bar into the project."""
        report, picked, bar_id = self.report, self.picked, self.bar_id
        if report is None or picked is None or bar_id is None:
            return
        bends = picked.bends
        told = await self.bench.edit(lambda folder: keep_offer(folder, report, bends), bar_id=bar_id)
        if told is not None:
            with self.found_box:
                ui.notify(
                    f"{bar_id} with {bends} bends is in the project; Undo brings the old one back. Next: its sheet, in "
                    "Papers."
                )
            self.bench.say(told)


def _with(cage: Cage, report: FitReport, offer: Offer) -> Cage:
    return with_offer(cage, report.member, report.found, offer)[0]
