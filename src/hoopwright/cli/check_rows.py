"""Rows of a check, as a person reads them and as JSON."""

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from hoopwright.cli.output import table_text
from hoopwright.units import shown

if TYPE_CHECKING:
    from hoopwright.jobs.rows import CheckRow


def check_table(about: str, rows: "Sequence[CheckRow]") -> str:
    """The rows as a table; `about` heads the column of what each is about."""
    cells = [
        [
            row.about,
            row.check,
            row.verdict.value,
            row.measured_words or ("" if row.measured is None else shown(row.measured, 1)),
            row.limit_words or ("" if row.limit is None else f"{row.limit:g} {row.unit}"),
            row.where,
        ]
        for row in rows
    ]
    return table_text([about, "check", "verdict", "measured", "limit", "where"], cells)


def check_totals(rows: "Sequence[CheckRow]") -> str:
    """How many rows there are of each verdict, in a line."""
    counts = Counter(row.verdict.value for row in rows)
    words = ", ".join(f"{count} {verdict}" for verdict, count in sorted(counts.items()))
    return f"{len(rows)} checks: {words}" if rows else "nothing to check"


def check_keys(rows: "Sequence[CheckRow]") -> list[dict[str, Any]]:
    """The rows as JSON keys."""
    return [
        {key: value for key, value in vars(row).items() if key != "alike"} | {"verdict": row.verdict.value}
        for row in rows
    ]
