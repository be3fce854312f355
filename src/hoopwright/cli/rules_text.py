"""Rule books and what a project ends in, as a person reads them and as JSON."""

import textwrap
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from hoopwright.cli.output import table_text

if TYPE_CHECKING:
    from hoopwright.jobs.rule_books import ListedBook
    from hoopwright.jobs.rule_checks import BookReport
    from hoopwright.jobs.rule_views import ShownBook
    from hoopwright.rules.book import Book
    from hoopwright.rules.rows import RuleRow

_CAUTION = (
    "A pass says that the measured value meets the limit that was typed, and nothing more. The body's own text and its "
    "scrutineer decide."
)
_MOST_NAMES = 3
_WIDE = 116
_CELL = 34
_SIGNS = {"pass": "pass", "fail": "FAIL", "not checked": "not checked", "not applicable": "n/a"}


def list_keys(books: "Sequence[ListedBook]") -> dict[str, Any]:
    """The list as JSON keys."""
    return {
        "books": [
            {
                **({} if one.book is None else _head(one.book)),
                "file": str(one.file.path),
                "is_own": one.file.is_own,
                "is_pinned": one.is_pinned,
                "is_readable": one.book is not None,
            }
            for one in books
        ]
    }


def _short(words: str) -> str:
    """Words that leave a line readable; `rules show` has them whole."""
    return words if len(words) <= _CELL else f"{words[: _CELL - 1].rstrip()}…"


def list_text(books: "Sequence[ListedBook]") -> str:
    """The list as a table."""
    if not books:
        return "no book yet: docs/rule-books.md says how to type one"
    rows = []
    for one in books:
        book = one.book
        marks = [mark for mark, is_so in (("held to", one.is_pinned), ("own", one.file.is_own)) if is_so]
        if book is None:
            rows.append([one.file.path.stem, "cannot be read", "", "", ", ".join(marks)])
            continue
        counts = Counter(rule.provenance.value for rule in book.rules)
        known = ", ".join(f"{count} {name}" for name, count in counts.items())
        rows.append([book.book_id, _short(book.body), _short(book.edition), known, ", ".join(marks)])
    return table_text(["book", "of", "edition", "rules, as known", ""], rows)


def book_keys(shown: "ShownBook") -> dict[str, Any]:
    """A book as JSON keys."""
    return {
        **_head(shown.book),
        "rules": [
            {
                "rule_id": one.rule.rule_id,
                "clause": one.rule.clause,
                "page": one.rule.page,
                "edition": shown.book.edition_of(one.rule),
                "kind": one.rule.kind,
                "words": one.rule.words,
                "requirement": one.requirement,
                "roles": [role.value for role in one.rule.roles],
                "provenance": one.rule.provenance.value,
                "confidence": one.rule.confidence,
                "source": one.rule.source,
                "assumption": one.rule.assumption,
                "question": one.rule.question,
                "cases": len(one.rule.cases),
                "is_off": one.is_off,
            }
            for one in shown.rules
        ],
    }


def book_text(shown: "ShownBook") -> str:
    """A book as a person reads it."""
    book = shown.book
    lines = [f"{book.body}: {book.name}, edition {book.edition} ({book.book_id}), lengths in {book.unit}"]
    if book.weight_basis is not None:
        lines.append(f"weights: {book.weight_basis.value}")
    lines += [f"caution: {caution}" for caution in book.cautions]
    rows = [
        [
            one.rule.rule_id,
            one.rule.clause or (f"p. {one.rule.page}" if one.rule.page else ""),
            *([book.edition_of(one.rule)] if book.mixes_editions else []),
            ", ".join(role.value for role in one.rule.roles),
            one.requirement or one.rule.question or one.rule.words,
            f"{one.rule.provenance.value}{', OFF' if one.is_off else ''}",
        ]
        for one in shown.rules
    ]
    heads = ["rule", "clause", *(["edition"] if book.mixes_editions else []), "for", "asks for", "known as"]
    return "\n".join([*lines, "", _left_table(heads, rows)])


def coverage_keys(shown: "ShownBook") -> dict[str, Any]:
    """What becomes of each clause as JSON keys."""
    rows = [
        {
            **vars(one),
            "covered": one.covered.value,
            "provenance": None if one.provenance is None else one.provenance.value,
        }
        for one in shown.clauses
    ]
    return {**_head(shown.book), "clauses": rows}


def coverage_text(shown: "ShownBook") -> str:
    """What becomes of each clause, and what a person gives or answers for it."""
    counts = Counter(one.covered.value for one in shown.clauses)
    told = ", ".join(f"{count} {name}" for name, count in counts.items())
    lines = [f"{shown.book.book_id}, edition {shown.book.edition}: {told}", ""]
    for one in shown.clauses:
        at = ", ".join(part for part in (one.clause, f"p. {one.page}" if one.page else "") if part)
        rule = f" {one.rule_id}" if one.rule_id else ""
        head = f"{one.covered.value}:{rule}{f' [{at}]' if at else ''}: {one.words}"
        lines += _wrapped(head, (one.needs,))
    return "\n".join(lines)


def report_keys(report: "BookReport") -> dict[str, Any]:
    """A project held to a book as JSON keys."""
    counts = Counter(row.verdict.value for row in report.rows)
    return {
        **_head(report.book),
        "is_pinned": report.is_pinned,
        "counts": dict(counts),
        "rows": [row_keys(row) for row in report.rows],
    }


def row_keys(row: "RuleRow") -> dict[str, Any]:
    """One row as JSON keys."""
    return {**vars(row), "verdict": row.verdict.value, "provenance": row.provenance.value}


def report_text(report: "BookReport", only_failed: bool) -> str:
    """A project held to a book as a person reads it: what fails first, then what nobody looked at."""
    book = report.book
    held = "held to" if report.is_pinned else "tried against"
    lines = [f"{held} {book.body}, edition {book.edition} ({book.book_id})", ""]
    for verdict in ("fail", "not checked", "pass", "not applicable"):
        rows = [row for row in report.rows if row.verdict.value == verdict]
        if rows and (not only_failed or verdict == "fail"):
            lines += [line for row, names in _together(rows) for line in _row_lines(row, names, book)]
            lines.append("")
    counts = Counter(row.verdict.value for row in report.rows)
    told = ", ".join(f"{counts[name]} {name}" for name in _SIGNS if counts[name])
    return "\n".join([*lines, told or "no rule looked at anything", _CAUTION])


def _row_lines(row: "RuleRow", names: str, book: "Book") -> list[str]:
    """One row: what ended how, and below it how it was measured or what to give."""
    part = f" ({row.part})" if row.part else ""
    edition = f"edition {row.edition}" if book.mixes_editions else ""
    at = ", ".join(one for one in (row.clause, f"p. {row.page}" if row.page else "", edition) if one)
    marks = (" by hand" if row.is_by_hand else "") + (" (look)" if row.is_advisory else "")
    limit = row.limit_words or row.requirement or row.words
    value = f"{row.measured_words}, limit {limit}" if row.measured_words else limit
    head = f"{_SIGNS[row.verdict.value] + marks}: {row.rule_id}{part}{f' [{at}]' if at else ''}, {names}: {value}"
    return _wrapped(head, (row.todo, row.other_words, row.how, row.assumption, row.note))


def _wrapped(head: str, below: Sequence[str]) -> list[str]:
    words = "; ".join(one.rstrip(".") for one in below if one)
    wrapped = textwrap.wrap(head, _WIDE, subsequent_indent="    ")
    return [*wrapped, *textwrap.wrap(words, _WIDE, initial_indent="    ", subsequent_indent="    ")]


def _together(rows: "Sequence[RuleRow]") -> "list[tuple[RuleRow, str]]":
    """Rows with what they are of; those of one rule that do not apply, or lack one thing, are told once."""
    told: dict[tuple[str, ...], list[RuleRow]] = {}
    for number, row in enumerate(rows):
        alike = row.verdict.value in ("not applicable", "not checked")
        alone = "" if alike and not row.measured_words else str(number)
        told.setdefault((row.rule_id, row.part, row.verdict.value, row.note, row.todo, alone), []).append(row)
    return [(group[0], _names([row.about or "cage" for row in group])) for group in told.values()]


def _names(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) <= _MOST_NAMES else f"{', '.join(names[:2])} + {len(names) - 2}"


def _left_table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table whose columns all stand to the left, since they hold words."""
    lines = [list(heads), *(list(row) for row in rows)]
    widths = [max(len(line[k]) for line in lines) for k in range(len(heads))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in lines
    )


def _head(book: "Book") -> dict[str, Any]:
    return {
        "book_id": book.book_id,
        "body": book.body,
        "name": book.name,
        "edition": book.edition,
        "mixes_editions": book.mixes_editions,
        "year": book.year,
        "unit": book.unit,
        "weight_basis": None if book.weight_basis is None else book.weight_basis.value,
        "weight_unit": book.weight_unit,
        "cautions": list(book.cautions),
        "source": book.source,
    }
