"""Lines that the person writes in the log of the build."""

from dataclasses import replace

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import LogLine

MOST_LETTERS = 2000


def add_note(folder: ProjectFolder, words: str, *, at: str, by: str = "") -> LogLine:
    """Write a line in the log; lines are added, never changed.

    Args:
        folder: The project.
        words: What was done.
        at: Day, or day and time, ISO 8601.
        by: Who.

    Raises:
        UserError: `DOSS-009` for a line without words or of too many, `STORE-...`.
    """
    said = " ".join(words.split())
    if not said or len(said) > MOST_LETTERS:
        raise UserError(
            Finding(
                code="DOSS-009",
                severity=Severity.STOP,
                sentence=f"A line of the log has {len(said)} letters; 1 to {MOST_LETTERS} are kept.",
                todo="Write what was done in a few words.",
                measured=float(len(said)),
                limit=float(MOST_LETTERS),
            )
        )
    opened = folder.open()
    line = LogLine(date=at, words=said, by=" ".join(by.split()))
    folder.record(opened, replace(opened.project, log_lines=(*opened.project.log_lines, line)))
    return line
