"""One row of a check report."""

from dataclasses import dataclass

from hoopwright.findings import Verdict


@dataclass(frozen=True, kw_only=True)
class CheckRow:
    """One check of one thing.

    Args:
        about: The bar or the tape distance.
        check: What was checked.
        verdict: How it ended.
        measured: The measured value, if it has one.
        limit: The limit that it was held against.
        unit: Unit of both.
        where: Where, in words.
        measured_words: The value as a person reads it, where it is not the number with one decimal.
        limit_words: The limit likewise.
        alike: What all rows like it check, such as `ends meet their bars`; the check's own name without.
    """

    about: str
    check: str
    verdict: Verdict
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    where: str = ""
    measured_words: str = ""
    limit_words: str = ""
    alike: str = ""


def check_row(
    about: str,
    check: str,
    verdict: Verdict,
    measured: float | None = None,
    limit: float | None = None,
    unit: str = "",
    where: str = "",
) -> CheckRow:
    """A row by its places."""
    return CheckRow(
        about=about, check=check, verdict=verdict, measured=measured, limit=limit, unit=unit, where=where
    )
