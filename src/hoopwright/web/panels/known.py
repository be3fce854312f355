"""What is known of the scan, looked at in the background while its tab is open."""

from collections.abc import Callable
from dataclasses import dataclass, field

from nicegui import background_tasks, run

from hoopwright.findings import Finding, UserError
from hoopwright.jobs.scan_reports import ScanReport, scan_report
from hoopwright.web.bench import Bench


@dataclass
class Known:
    """The report on the scan, kept while scan and tape distances stay as they are.

    Args:
        bench: The page.
        report: None without a scan, or while it is looked at.
        findings: Why there is none, where the scan cannot be opened.
    """

    bench: Bench
    report: ScanReport | None = None
    findings: tuple[Finding, ...] = ()
    _of: tuple[str | None, object] | None = None
    _turn: int = 0
    _listeners: list[Callable[[], None]] = field(default_factory=list)

    def when_changed(self, act: Callable[[], None]) -> None:
        """Call `act` when the report has changed."""
        self._listeners.append(act)

    def put(self, report: ScanReport | None) -> None:
        """A report that a job gave: it also knows what only taking the scan in could tell."""
        if report is not None:
            self._of = self._key()
            self._turn += 1
            self._told(report, ())

    def follow(self) -> None:
        """Look again if the tab is open and something has changed."""
        key = self._key()
        if self.bench.tab != "Scan" or key == self._of:
            return
        same_scan = self._of is not None and key is not None and self._of[0] == key[0]
        self._of = key
        self._turn += 1
        if key is None:
            self._told(None, ())
        else:
            background_tasks.create(self._look(self._turn, self.report if same_scan else None))

    def _key(self) -> tuple[str | None, object] | None:
        seen = self.bench.seen
        return None if seen.project.scan is None else (seen.shell_key, seen.project.tape_in_force)

    async def _look(self, turn: int, taken: ScanReport | None) -> None:
        # a look that ends after a job has told more is dropped: it does not know what the job found. Its turn is that
        # in which it was asked for, since a job may tell before it gets to begin.
        try:
            report = await run.io_bound(lambda: scan_report(self.bench.desk.folder, taken=taken))
        except UserError as error:
            if turn == self._turn:
                self._told(None, error.findings)
            return
        if report is not None and turn == self._turn:
            self._told(report, ())

    def _told(self, report: ScanReport | None, findings: tuple[Finding, ...]) -> None:
        self.report, self.findings = report, findings
        for act in self._listeners:
            act()
