"""How the scan lies in vehicle axes: turned round, turned over, or laid by landmarks."""

from collections.abc import Awaitable, Callable

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.realigning import PickedLandmark, align_by_picked, turn_over, turn_round, where_it_lies
from hoopwright.jobs.scan_reports import ScanReport
from hoopwright.progress import Progress
from hoopwright.store import ProjectFolder, ScanRecord
from hoopwright.web.bench import Bench
from hoopwright.web.entries import as_typed, length_entry, place_entry, text_entry
from hoopwright.web.panels.known import Known
from hoopwright.web.parts import bring_into_view, kept_words, table
from hoopwright.web.picks import finding_list
from hoopwright.web.work import work

_FIRST_ROWS = 3


def axes_section(bench: Bench, known: Known) -> None:
    """Build the section."""
    with ui.column().classes("hw-section"):
        ui.label("How it lies").classes("hw-head")
        ui.label("Look at the arrow in the picture. If it does not point where the nose is:").classes(
            "hw-soft"
        )
        told = ui.column().classes("w-full gap-1")

        async def lay(title: str, what: Callable[[ProjectFolder, Progress], ScanReport], done: str) -> None:
            told.clear()
            report = await work(bench, title, what)
            if report is None:
                with told:
                    finding_list(bench, bench.findings)
                bring_into_view(told)
                return
            known.put(report)
            with told:
                kept_words(done)
            bring_into_view(told)

        with ui.row():
            ui.button(
                "The nose is at the other end",
                on_click=lambda: lay(
                    "Turning the scan round",
                    lambda folder, progress: turn_round(folder, progress=progress),
                    "✓ Turned round: the arrow points to the other end now.",
                ),
            ).props("flat dense no-caps")
            ui.button(
                "It lies on its roof",
                on_click=lambda: lay(
                    "Turning the scan over",
                    lambda folder, progress: turn_over(folder, progress=progress),
                    "✓ Turned over: what was below is above now.",
                ),
            ).props("flat dense no-caps")
        _residuals(bench, known)
        with ui.expansion("Lay it by landmarks").classes("w-full hw-fold"):
            _landmarks(bench, lay)


def _residuals(bench: Bench, known: Known) -> None:
    box = ui.column().classes("w-full gap-1")

    def show() -> None:
        box.clear()
        off = known.report.landmark_residuals_mm if known.report else {}
        with box:
            if off:
                table(["landmark", "off by"], [[name, bench.length(value)] for name, value in off.items()])

    known.when_changed(show)
    bench.when_changed(show)
    show()


class _Row:
    """The fields of one landmark."""

    def __init__(self, bench: Bench, number: int) -> None:
        with ui.column().classes("hw-section"):
            self.name = text_entry(f"Landmark {number}", hint="such as left sill front")
            self.at = place_entry(bench, f"Landmark {number} on the scan", what=f"landmark {number}")
            with ui.row().classes("hw-row items-start"):
                self.known = [
                    length_entry(axis, hint="if known", said=f"Landmark {number}: {axis}, if known")
                    for axis in ("forward", "left", "up")
                ]
            self.twin = text_entry(
                "Twin on the other side",
                hint="name of another landmark, if any",
                said=f"Landmark {number}: its twin on the other side",
            )

    def read(self) -> PickedLandmark | None:
        """What was typed; None where nothing was.

        Raises:
            UserError: Where it cannot be read.
        """
        if not self.at.text:
            return None
        forward, left, up = (entry.maybe() for entry in self.known)
        return PickedLandmark(
            name=self.name.text or "landmark",
            picked_mm=self.at.value(),
            forward_mm=forward,
            left_mm=left,
            up_mm=up,
            twin=self.twin.text or None,
        )

    def go_along(self, was: ScanRecord, now: ScanRecord) -> None:
        """Show the picked place where the same metal lies now."""
        try:
            at_mm = self.at.maybe()
        except UserError:
            return  # half typed: said below the field
        if at_mm is None:
            return
        lies_mm = where_it_lies(was, now, at_mm)
        if as_typed(lies_mm) != as_typed(at_mm):
            self.at.put(as_typed(lies_mm))


def _landmarks(bench: Bench, lay: Callable[..., Awaitable[None]]) -> None:
    ui.label(
        "Pick places that you know on the car. Type what you know of each: forward, left or up, or the name of its "
        "twin on the other side. Three places known whole will do, or two pairs of twins with what is known of them."
    ).classes("hw-soft")
    rows: list[_Row] = []
    holder = ui.column().classes("w-full gap-1")
    told = ui.column().classes("w-full gap-1")

    def another() -> None:
        with holder:
            rows.append(_Row(bench, len(rows) + 1))

    for _ in range(_FIRST_ROWS):
        another()
    lain = [bench.seen.project.scan]

    def follow() -> None:
        was, now = lain[0], bench.seen.project.scan
        lain[0] = now
        if was is not None and now is not None and was.sha256 == now.sha256 and was is not now:
            for row in rows:
                row.go_along(was, now)

    bench.when_changed(follow)

    async def by_landmarks() -> None:
        told.clear()
        try:
            picked = [one for one in (row.read() for row in rows) if one is not None]
        except UserError as error:
            with told:
                finding_list(bench, error.findings)
            return
        if not picked:  # without any the axes would be found by symmetry
            with told:
                ui.label("No landmark is picked yet: pick its place on the scan first.").classes("hw-finding")
            return
        await lay(
            "Laying the scan by landmarks",
            lambda folder, progress: align_by_picked(folder, picked, progress=progress),
            "✓ Laid by these landmarks.",
        )

    with ui.row():
        ui.button("One more landmark", on_click=another).props("flat dense no-caps")
        ui.button("Lay it by these", on_click=by_landmarks).classes("hw-button")
