"""One thing that a job found, and the error that stops a job."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """What a finding does to the job: `STOP` ends it, `WARNING` and `NOTE` go with the result."""

    STOP = "stop"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One thing found, said so that a person can act on it.

    Args:
        code: Stable code such as `SCAN-003`; listed in `docs/findings.md`.
        sentence: What was found, where, value against limit.
        todo: What to do next; may be empty for a note.
        severity: What it does to the job.
        objects: Names of what it is about (files, bars, samples, distances).
        point_mm: Place in the vehicle frame (forward, left, up), if it has one.
        measured: The measured value, in `unit`.
        limit: The limit that it was held against, in `unit`.
        unit: Unit of `measured` and `limit`, such as `mm`, `deg`, `mm/m`.
    """

    code: str
    sentence: str
    todo: str = ""
    severity: Severity = Severity.WARNING
    objects: tuple[str, ...] = ()
    point_mm: tuple[float, float, float] | None = None
    measured: float | None = None
    limit: float | None = None
    unit: str = ""


class UserError(Exception):
    """A job was stopped by one or more findings; nothing was changed or overwritten."""

    def __init__(self, *findings: Finding) -> None:
        super().__init__(*findings)
        self.findings = findings

    def __str__(self) -> str:
        return "; ".join(f"{finding.code}: {finding.sentence}" for finding in self.findings)


def stopping(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings among `findings` that stop a job."""
    return tuple(finding for finding in findings if finding.severity is Severity.STOP)


def worst(findings: Iterable[Finding]) -> Severity | None:
    """The gravest severity among `findings`, or None without any."""
    present = {finding.severity for finding in findings}
    return next((severity for severity in Severity if severity in present), None)
