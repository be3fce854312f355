"""How the bars came out: bends against the drawing, tape distances, and what was read at the bender."""

from collections.abc import Iterator

from hoopwright.bars import bend_table
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.standing import Standing, Taken
from hoopwright.cage import bar_of
from hoopwright.jobs.dossier.amounts import amount, fine
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.hand_measures import hand_kinds
from hoopwright.papers.dossier import Column, Part, Section, heading, paragraph, table_parts
from hoopwright.papers.words import angle, measure, signed_angle
from hoopwright.store import AsBentRecord
from hoopwright.store.bending import Stick
from hoopwright.store.build_records import HandMeasure

_BENDS = (
    Column(head="bar", share=16, bold=True),
    Column(head="bend", share=12, anchor="right"),
    Column(head="radius drawn", share=22, anchor="right"),
    Column(head="as bent", share=22, anchor="right"),
    Column(head="angle drawn", share=20, anchor="right"),
    Column(head="as bent", share=20, anchor="right", bold=True),
    Column(head="known to", share=18, anchor="right"),
    Column(head="turn drawn", share=22, anchor="right"),
    Column(head="as bent", share=22, anchor="right"),
    Column(head="measured", share=30),
)
_TAPE = (
    Column(head="bar", share=20, bold=True),
    Column(head="distance", share=70),
    Column(head="tape", share=30, anchor="right", bold=True),
    Column(head="measured", share=30),
)
_READ = (
    Column(head="bar", share=16, bold=True),
    Column(head="stick", share=14, anchor="right"),
    Column(head="bend", share=12, anchor="right"),
    Column(head="wanted", share=20, anchor="right"),
    Column(head="under load", share=22, anchor="right"),
    Column(head="released", share=22, anchor="right", bold=True),
    Column(head="turned", share=20, anchor="right"),
    Column(head="mark", share=24, anchor="right"),
    Column(head="when", share=40),
)
_BY_HAND = (
    Column(head="at", share=26, bold=True),
    Column(head="bend", share=12, anchor="right"),
    Column(head="what", share=60),
    Column(head="measured", share=34, anchor="right", bold=True),
    Column(head="day", share=24),
)
_TITLE = "As built"
_WITHIN_95 = 1.96
SOURCES = {"tape": "with a tape", "readings": "bend by bend", "scan": "by a scan", "drawn": ""}


def as_built_section(source: DossierSource) -> Section:
    """Bars as bent beside the drawing, and the readings of the bender."""
    records = [one for one in source.project.as_bent_in_force if one.bar_id in source.bars]
    read = list(_readings(source))
    by_hand = [_hand_row(source, one) for one in source.project.measures_in_force]
    if not records and not read and not by_hand:
        words = "No bar was measured after bending yet: every bar counts as drawn."
        return Section(title=_TITLE, parts=(paragraph(words, source.room_mm),), new_page=False)
    parts: list[Part] = []
    if records:
        rows = [row for record in records for row in _bend_rows(source, record)]
        words = (
            "Bars that were measured after bending. 'Known to' holds the true angle for 95 of 100 such measurements. "
            "A bar that is not listed counts as drawn."
        )
        parts += [paragraph(words, source.room_mm), *table_parts(_BENDS, rows, source.room_mm)]
    tape = [row for record in records for row in _tape_rows(source, record)]
    if tape:
        parts += [heading("Measured with the tape"), *table_parts(_TAPE, tape, source.room_mm)]
    if by_hand:
        parts += [heading("Measured by hand"), *table_parts(_BY_HAND, by_hand, source.room_mm)]
    if read:
        parts += [heading("Read at the bender"), *table_parts(_READ, read, source.room_mm)]
    return Section(title=_TITLE, parts=tuple(parts), new_page=False)


def _bend_rows(source: DossierSource, record: AsBentRecord) -> Iterator[tuple[str, ...]]:
    if record.table is None:
        return
    drawn_bar = bar_of(source.drawn, record.bar_id)
    drawn = bend_table(drawn_bar)
    same = len(drawn.angles_deg) == len(record.table.angles_deg)
    measured = f"{SOURCES[record.source]}, {record.date}"
    for number, bent in enumerate(record.table.angles_deg):
        sd = record.angle_sds_deg[number] if number < len(record.angle_sds_deg) else None
        yield (
            record.bar_id,
            str(number + 1),
            fine(drawn_bar.clr_mm, source.unit),
            fine(record.table.clr_mm, source.unit),
            angle(drawn.angles_deg[number], 2) if same else "",
            angle(bent, 2),
            "" if sd is None else f"± {angle(_WITHIN_95 * sd, 2)}",
            signed_angle(drawn.rotations_deg[number]) if same and number else "",
            signed_angle(record.table.rotations_deg[number]) if number else "",
            measured,
        )


def _tape_rows(source: DossierSource, record: AsBentRecord) -> Iterator[tuple[str, ...]]:
    for entry in record.tape:
        yield (record.bar_id, entry.key, measure(entry.tape_mm, source.unit), record.date)


def _hand_row(source: DossierSource, one: HandMeasure) -> tuple[str, ...]:
    kind = hand_kinds().get(one.name)
    unit = "" if kind is None else kind.unit
    value = amount(one.measured, unit, source.unit)
    both = value if one.other is None else f"{value} / {amount(one.other, unit, source.unit)}"
    return (one.about, str(one.bend) if one.bend else "", one.name, both, one.date)


def _readings(source: DossierSource) -> Iterator[tuple[str, ...]]:
    """Every finished bend of every stick, in the order made."""
    for bar_id, sticks in source.sticks.items():
        for number, stick in enumerate(sticks, start=1):
            now = standing_of(stick)
            if now is None:
                continue
            name = f"{number}, scrapped" if now.scrapped else str(number)
            for taken in now.finished:
                yield _reading_row(source, bar_id, name, now, taken)


def standing_of(stick: Stick) -> Standing | None:
    """Where a stick stands; None for one without records."""
    return standing(stick.records) if stick.records else None


def _reading_row(
    source: DossierSource, bar_id: str, stick: str, now: Standing, taken: Taken
) -> tuple[str, ...]:
    reading = taken.reading
    return (
        bar_id,
        stick,
        str(now.started.job.feeds[reading.step - 1].bend),
        angle(taken.target_deg, 2),
        "" if taken.load_deg is None else angle(taken.load_deg),
        angle(reading.released_deg, 2),
        "" if reading.turned_deg is None else signed_angle(reading.turned_deg),
        "" if reading.mark_mm is None else measure(reading.mark_mm, source.unit),
        reading.at,
    )
