"""Taking a scan in: dropped on the page or by its path on this machine."""

from pathlib import Path

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.guarded_reading import read_guarded
from hoopwright.jobs.questions import Ask
from hoopwright.jobs.scan_axes import ScanAnswers
from hoopwright.jobs.scan_reports import ScanReport
from hoopwright.jobs.scans import take_scan
from hoopwright.progress import Progress
from hoopwright.store import ProjectFolder
from hoopwright.web.asking import Asking
from hoopwright.web.bench import Bench
from hoopwright.web.dropping import DropPlace
from hoopwright.web.panels.known import Known
from hoopwright.web.picks import finding_list
from hoopwright.web.uploads import SUFFIXES
from hoopwright.web.work import work

_ASKED = "ask me"
_UNITS = (_ASKED, "mm", "cm", "m", "in", "ft")
_AXES = (_ASKED, "+x", "-x", "+y", "-y", "+z", "-z")


def read_in(
    folder: ProjectFolder, file: Path, answers: ScanAnswers, ask: Ask, progress: Progress
) -> ScanReport:
    """The one place where a page reads a scan file."""
    return take_scan(folder, file, answers, ask=ask, progress=progress, read=read_guarded)


def taking_in_section(bench: Bench, known: Known) -> None:
    """Build the section."""
    asking = Asking()
    with ui.expansion("Take a scan in", value=bench.seen.project.scan is None).classes(
        "w-full hw-fold"
    ) as fold:
        told = ui.column().classes("w-full gap-1")
        unit = _choice("Unit of the file", _UNITS)
        with ui.expansion("More about the file").classes("w-full hw-fold"):
            nose = _choice("The file's axis nearest to the nose", _AXES)
            up = _choice("The file's axis nearest to up", _AXES)
            given = ui.checkbox("The file already lies in vehicle axes")

        busy = False

        async def take(file: Path) -> None:
            nonlocal busy
            if busy:
                ui.notify("A scan is being taken in: one at a time. This one was not taken.")
                return
            busy = True
            try:
                await take_this(file)
            finally:
                busy = False

        async def take_this(file: Path) -> None:
            told.clear()
            answers = ScanAnswers(
                unit=_said(unit), nose=_said(nose), up=_said(up), as_given=bool(given.value)
            )
            # no lock is held while the person thinks about a question; the save refuses if another edit came between
            report = await work(
                bench,
                "Taking the scan in",
                lambda folder, progress: read_in(folder, file, answers, asking.through(progress), progress),
                edits=False,
            )
            if report is None:
                with told:
                    finding_list(bench, bench.findings)
                return
            await bench.follow()
            known.put(report)
            bench.tell()
            fold.set_value(False)

        async def arrived(token: str, _: str) -> None:
            try:
                with bench.desk.uploads.waiting(token) as file:
                    await take(file)
            except UserError as error:
                bench.say(error.findings)

        def refused(text: str) -> None:
            told.clear()
            with told:
                ui.label(text).classes("hw-finding").style("white-space: pre-line")

        DropPlace(
            address="/seen/scan",
            suffixes=SUFFIXES,
            largest_bytes=bench.desk.uploads.largest_bytes,
            on_arrived=arrived,
            on_refused=refused,
        ).classes("w-full")
        if bench.at_laptop:
            # only who sits at this machine may name its files
            with ui.row().classes("hw-row"):
                path = ui.input("or type its path on this machine").props("dense outlined").classes("grow")

                async def take_path() -> None:
                    if str(path.value or "").strip():
                        await take(Path(str(path.value).strip().strip("\"'")).expanduser())

                path.on("keydown.enter", take_path)
                ui.button("Take in", on_click=take_path).classes("hw-button")


def _choice(label: str, choices: tuple[str, ...]) -> ui.select:
    return ui.select(list(choices), value=choices[0], label=label).props("dense outlined").classes("w-full")


def _said(choice: ui.select) -> str | None:
    return None if choice.value == _ASKED else str(choice.value)
