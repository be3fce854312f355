"""What was held against what: the rule book, the model's own checks, and the gaps to the shell."""

from collections.abc import Iterator, Sequence

from hoopwright.findings import Verdict
from hoopwright.jobs.checks import CheckReport
from hoopwright.jobs.dossier.amounts import amount, fine, in_mm
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.rows import CheckRow
from hoopwright.jobs.rule_findings import mixed_editions
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
        book = source.report.held.book
        named = ", ".join(filter(None, (book.body, book.name)))
        mixed = (found.sentence for found in mixed_editions(book))
        held = " ".join([held, *([f"It was typed from: {named}."] if named else []), *mixed])
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
    table = [line for verdict in _FIRST for line in _lines_of(source, rows, verdict)]
    words = (
        "What the model can measure of itself, whatever the book. Limits are those that the builder typed, or common "
        "practice. Of many that passed one check the value nearest to the limit is shown."
    )
    return Section(
        title="The model's own checks",
        parts=(
            paragraph(f"{words}{in_mm(source.unit)}", source.room_mm),
            *table_parts(_CHECKS, table, source.room_mm),
        ),
        new_page=False,
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


def _lines_of(source: DossierSource, rows: Sequence[CheckRow], verdict: Verdict) -> Iterator[tuple[str, ...]]:
    """Lines of one verdict; those that passed the same check against the same limit share one."""
    alike: dict[tuple[str, float | None, str], list[CheckRow]] = {}
    for row in rows:
        if row.verdict is not verdict:
            continue
        if verdict is Verdict.PASS and (row.measured is None or row.limit is not None):
            alike.setdefault((row.alike or row.check, row.limit, row.unit), []).append(row)
        else:
            yield _check_row(source, row)
    for held in alike.values():
        yield _check_row(source, held[0]) if len(held) == 1 else _alike_row(source, held)


def _alike_row(source: DossierSource, held: Sequence[CheckRow]) -> tuple[str, ...]:
    """Many that passed in one row, each by its name, with the value that is nearest to the limit."""
    worst = min(held, key=lambda row: abs((row.measured or 0.0) - (row.limit or 0.0)))
    names = ", ".join(dict.fromkeys(row.about for row in held))
    which = f"{worst.about} {worst.check}" if worst.alike else worst.about
    nearest = ", ".join(part for part in (f"nearest to the limit: {which}", worst.where) if part)
    return (
        f"{len(held)} together",
        held[0].alike or held[0].check,
        amount(worst.measured, worst.unit, source.unit),
        amount(worst.limit, worst.unit, source.unit),
        worst.verdict.value,
        names if worst.measured is None else f"{nearest}. Of {names}",
    )
