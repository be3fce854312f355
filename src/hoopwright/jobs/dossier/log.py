"""The log of the build: what the records say, and what the person wrote, by day."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

from hoopwright.bender.rescue.records import Decision, Started
from hoopwright.jobs.changes import NOTHING_DRAWN, what_changed
from hoopwright.jobs.dossier.as_built import SOURCES, standing_of
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.tubes_used import is_said
from hoopwright.papers.dossier import Column, Part, Section, heading, paragraph, ruled_lines, table_parts
from hoopwright.papers.words import listed
from hoopwright.store import Project
from hoopwright.store.bending import Stick

_LOG = (
    Column(head="when", share=34, bold=True),
    Column(head="what", share=120),
    Column(head="by", share=30),
)
_STEPS = (Column(head="step", share=14, anchor="right", bold=True), Column(head="what", share=170))
_MOST_STEPS = 150
_NAMED = 8


@dataclass(frozen=True, kw_only=True)
class LogEntry:
    """One line of the log.

    Args:
        when: Day or time, ISO 8601.
        words: What was done.
        by: Who says so; `records` for what the tool recorded.
    """

    when: str
    words: str
    by: str


def log_section(source: DossierSource) -> Section:
    """The log, then the steps of the drawing, then lines to go on by hand."""
    entries = log_entries(source)
    words = (
        "What the records of this project say, and what was written into it, by day. The log grows with the job."
        if entries
        else "Nothing dated is on record yet."
    )
    rows = [(_shown(entry.when), entry.words, entry.by) for entry in entries]
    parts: list[Part] = [paragraph(words, source.room_mm), *table_parts(_LOG, rows, source.room_mm)]
    changes = [
        change
        for change in reversed(what_changed(source.folder, most=_MOST_STEPS, opened=source.opened))
        if change.words != NOTHING_DRAWN
    ]
    if changes:
        steps = [(str(change.step), "; ".join(change.words)) for change in changes]
        parts += [
            heading("Changes of the drawing, in their order"),
            paragraph("The project keeps their order and not their day.", source.room_mm, holds=True),
            *table_parts(_STEPS, steps, source.room_mm),
        ]
    parts += [heading("Written in by hand"), *ruled_lines(8)]
    return Section(title="Build log", parts=tuple(parts))


def log_entries(source: DossierSource) -> tuple[LogEntry, ...]:
    """All dated lines, the oldest first; of one moment, in the order of the records."""
    project = source.project
    entries = [
        *_issued(project),
        *_as_bent(project),
        *_tubes(project),
        *(line for bar_id, sticks in source.sticks.items() for line in _bending(bar_id, sticks)),
        *_photos(project),
        *_answers(project),
        *_measures(project),
        *(LogEntry(when=one.date, words=one.words, by=one.by or "written in") for one in project.log_lines),
    ]
    return tuple(sorted(entries, key=lambda entry: _moment(entry.when)[0]))


def _shown(when: str) -> str:
    """A day and time as it is read, without seconds; one that has a zone in UTC, the same on every machine."""
    at, has_zone = _moment(when)
    if "T" not in when or at == datetime.min:
        return when
    return f"{at:%Y-%m-%d %H:%M}{' UTC' if has_zone else ''}"


def _moment(when: str) -> tuple[datetime, bool]:
    """A day or time to sort by, in UTC where its zone is known; what is none comes first. And whether it has a zone."""
    try:
        at = datetime.fromisoformat(when)
        return (at.astimezone(UTC).replace(tzinfo=None), True) if at.tzinfo else (at, False)
    except (ValueError, OverflowError):
        return datetime.min, False


def _by_records(when: str, words: str) -> LogEntry:
    return LogEntry(when=when, words=words, by="records")


def _issued(project: Project) -> Iterator[LogEntry]:
    """Sheets by day and revision: one line for many of one day."""
    by_day: dict[tuple[str, int], list[str]] = {}
    for sheet in project.issued:
        by_day.setdefault((sheet.date, sheet.revision), []).append(sheet.bar_id)
    for (date, revision), bars in by_day.items():
        yield _by_records(date, f"sheets issued, revision {revision}: {listed(bars, _NAMED)}")


def _as_bent(project: Project) -> Iterator[LogEntry]:
    for record in project.as_bent:
        if record.table is None:
            yield _by_records(record.date, f"bar {record.bar_id} counts as drawn again")
        else:
            yield _by_records(
                record.date,
                f"bar {record.bar_id} measured {SOURCES[record.source]}: it counts as bent",
            )


def _tubes(project: Project) -> Iterator[LogEntry]:
    for used in project.tubes_used:
        if not is_said(used):
            yield _by_records(used.date, f"bar {used.bar_id}: what was said of its tube was taken back")
            continue
        parts = [
            f"heat {used.heat_number}" if used.heat_number else "",
            f"batch {used.batch}" if used.batch else "",
            f"stick {used.stick}" if used.stick else "",
        ]
        said = ", ".join(part for part in parts if part) or "nothing said of the tube"
        yield _by_records(used.date, f"bar {used.bar_id} cut: {said}")


def _bending(bar_id: str, sticks: tuple[Stick, ...]) -> Iterator[LogEntry]:
    for number, stick in enumerate(sticks, start=1):
        now = standing_of(stick)
        if now is None:
            continue
        for record in stick.records:
            if isinstance(record, Started):
                yield _by_records(
                    record.at,
                    f"bar {bar_id}, stick {number} begun from sheet {record.identity}, revision {record.revision}, "
                    f"calibration {record.calibration}",
                )
            elif isinstance(record, Decision):
                yield _by_records(record.at, f"bar {bar_id}, stick {number}: decided to {record.choice}")
        if now.phase == "done":
            last = now.finished[-1].reading.at
            yield _by_records(last, f"bar {bar_id}, stick {number}: all {len(now.finished)} bends made")


def _photos(project: Project) -> Iterator[LogEntry]:
    for date, count in Counter(photo.date for photo in project.photos).items():
        places = list(dict.fromkeys(photo.place for photo in project.photos if photo.date == date))
        yield _by_records(date, f"{count} photo{'s' * (count > 1)} added: {listed(places, _NAMED)}")


def _answers(project: Project) -> Iterator[LogEntry]:
    for answer in project.answers:
        yield LogEntry(
            when=answer.date, words=f"rule {answer.rule_id} answered: {answer.answer}", by=answer.by
        )


def _measures(project: Project) -> Iterator[LogEntry]:
    """Numbers measured by hand: one line for what was measured at one thing on one day."""
    by_day: dict[tuple[str, str], list[str]] = {}
    for one in project.measures:
        taken_back = " taken back" if one.measured is None else ""
        by_day.setdefault((one.date, one.about), []).append(f"{one.name}{taken_back}")
    for (date, about), names in by_day.items():
        yield _by_records(date, f"measured at {about}: {listed(dict.fromkeys(names), _NAMED)}")
