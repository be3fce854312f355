"""What was held against what: the rule book, the model's own checks, and the gaps to the shell."""

from collections.abc import Sequence

from hoopwright.findings import Verdict
from hoopwright.jobs.checks import CheckReport
from hoopwright.jobs.dossier.amounts import amount, fine, in_mm
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.rows import CheckRow
from hoopwright.jobs.rule_checks import mixed_editions
from hoopwright.papers.dossier import Column, Part, Section, heading, paragraph, rule_parts, table_parts

GAP = "gap to the shell"
_ROOM_OUTWARD = "room outward"
_FIRST = (Verdict.FAIL, Verdict.NOT_CHECKED, Verdict.PASS, Verdict.NOT_APPLICABLE)
_CHECKS = (
    Column(head="of", share=34, bold=True),
    Column(head="check", share=40),
    Column(head="value", share=22, anchor="right"),
    Column(head="limit", share=22, anchor="right"),
    Column(head="ended", share=22, bold=True),
    Column(head="where and how", share=58),
)
_GAPS = (
    Column(head="bar", share=18, bold=True),
    Column(head="least gap", share=22, anchor="right"),
    Column(head="wanted", share=22, anchor="right"),
    Column(head="ended", share=22, bold=True),
    Column(head="where", share=68),
    Column(head="nothing scanned outward of", share=28, anchor="right"),
)
_ANSWERS = (
    Column(head="rule", share=30, bold=True),
    Column(head="answer", share=22, bold=True),
    Column(head="what was seen, and how", share=80),
    Column(head="by", share=28),
    Column(head="day", share=22),
)


def rule_section(source: DossierSource) -> Section:
    """The lines of the pinned book, and what was answered by hand."""
    pin = source.project.book
    held = "No rule book is pinned." if pin is None else f"Held to {pin.book_id}, edition {pin.edition}."
    if pin is not None and source.report.held is None:
        held = (
            f"Pinned is {pin.book_id}, edition {pin.edition}, but its file is gone, cannot be read or holds another "
            "edition: the cage was not held to it."
        )
    said = (
        "A book is typed by people: compare each line with the page that it names; where nothing else is said, it was "
        "read there. 'pass' says that the value meets the typed limit, 'not checked' that nobody looked."
        if source.rules
        else "No line of a book was checked here: the inspector holds the cage against the book."
    )
    if source.report.held is not None:
        held = " ".join([held, *(found.sentence for found in mixed_editions(source.report.held.book))])
    parts: list[Part] = [
        paragraph(f"{held} {said}", source.room_mm),
        *rule_parts(source.rules, source.room_mm),
    ]
    if source.report.held is None and pin is not None and source.project.answers:
        # without the book nothing says which of its lines they belong to
        last = {(one.book_id, one.edition, one.rule_id): one for one in source.project.answers}.values()
        rows = [
            (one.rule_id, one.answer, one.words, one.by, one.date)
            for one in last
            if (one.book_id, one.edition) == (pin.book_id, pin.edition)
        ]
        parts += [heading("Answered by hand"), *table_parts(_ANSWERS, rows, source.room_mm)]
    return Section(title="Rule book", parts=tuple(parts))


def gap_section(source: DossierSource) -> Section:
    """The least gap of each bar to the scanned metal."""
    rows = [row for row in source.report.rows if row.check == GAP]
    words = (
        "Least distance from the skin of each bar to scanned metal, outside its landings. Where nothing was scanned "
        "outward of a bar, the room there is unknown, not free."
        if source.project.scan is not None
        else "No scan was taken in: no gap was measured."
    )
    parts: list[Part] = [paragraph(f"{words}{in_mm(source.unit)}", source.room_mm)]
    if source.project.scan is not None:
        parts += table_parts(_GAPS, [_gap_row(source, row) for row in rows], source.room_mm)
    return Section(title="Gaps to the shell, by bar", parts=tuple(parts), new_page=False)


def _gap_row(source: DossierSource, row: CheckRow) -> tuple[str, ...]:
    gaps = source.report.gaps.get(row.about)
    unseen = 0.0 if gaps is None else sum(stretch.to_mm - stretch.from_mm for stretch in gaps.unseen)
    return (
        row.about,
        amount(row.measured, row.unit, source.unit),
        amount(row.limit, row.unit, source.unit),
        row.verdict.value,
        row.where,
        f"{fine(unseen, source.unit)} of it" if unseen else "",
    )


def check_section(source: DossierSource) -> Section:
    """The model's own checks, those of gaps left out: what failed first, then what nobody looked at."""
    rows = [row for row in own_rows(source.report) if row.check not in (GAP, _ROOM_OUTWARD)]
    alike: dict[str, list[CheckRow]] = {}
    for row in rows:
        if row.verdict is Verdict.PASS and row.measured is None:
            alike.setdefault(row.check, []).append(row)
    single = [row for row in rows if row not in alike.get(row.check, ())]
    table = [
        *(_check_row(source, row) for verdict in _FIRST for row in single if row.verdict is verdict),
        *(_alike_row(check, held) for check, held in alike.items()),
    ]
    words = (
        "What the model can measure of itself, whatever the book. Limits are those that the builder typed, or common "
        "practice."
    )
    return Section(
        title="The model's own checks",
        parts=(
            paragraph(f"{words}{in_mm(source.unit)}", source.room_mm),
            *table_parts(_CHECKS, table, source.room_mm),
        ),
    )


def own_rows(report: CheckReport) -> tuple[CheckRow, ...]:
    """What the model checked of itself: the rows of the rule book stand after them."""
    return report.rows if report.held is None else report.rows[: len(report.rows) - len(report.held.rows)]


def _check_row(source: DossierSource, row: CheckRow) -> tuple[str, ...]:
    return (
        row.about,
        row.check,
        amount(row.measured, row.unit, source.unit),
        amount(row.limit, row.unit, source.unit),
        row.verdict.value,
        row.where,
    )


def _alike_row(check: str, held: Sequence[CheckRow]) -> tuple[str, ...]:
    """Many that passed without a value in one row, each by its name."""
    names = ", ".join(row.about for row in held)
    return (f"{len(held)} bars" if len(held) > 1 else names, check, "", "", held[0].verdict.value, names)
