"""The last edits, in words."""

from nicegui import background_tasks, run, ui

from hoopwright.findings import UserError
from hoopwright.jobs.changes import what_changed
from hoopwright.web.bench import Bench


def changes_section(bench: Bench) -> None:
    """Build the section."""
    box = ui.column().classes("w-full gap-0")
    shown: list[object] = [None]

    def follow() -> None:
        key = bench.seen.version
        if bench.tab == "Cage" and key != shown[0]:
            shown[0] = key
            background_tasks.create(look(key))

    async def look(key: int) -> None:
        try:
            changes = await run.io_bound(lambda: what_changed(bench.desk.folder))
        except UserError as error:
            bench.say(error.findings)
            return
        if changes is None or key != shown[0]:
            return
        box.clear()
        with box:
            if not changes:
                ui.label("Nothing yet.").classes("hw-soft")
            for change in changes:
                ui.label(f"{change.step}. {'; '.join(change.words)}")

    bench.when_changed(follow)
    ui.timer(0.1, follow, once=True)
