"""Tube whose certificate or heat cannot be found again by what was typed: batches, and bars that were cut from one."""

from collections.abc import Iterable, Iterator

from hoopwright.bender import TubeBatch
from hoopwright.findings import Finding
from hoopwright.store.build_records import TubeUsed
from hoopwright.tubes.paper_numbers import certificate_number, heat_number


def number_findings(batches: Iterable[TubeBatch]) -> tuple[Finding, ...]:
    """`SHOP-053` for each batch in use without a certificate's number, or with a heat number that is none."""
    return tuple(finding for batch in batches if not batch.retired for finding in _of(batch))


def lacking_papers(batch: TubeBatch) -> tuple[str, ...]:
    """What the papers of a batch do not say: heat number, certificate, steel."""
    known = {
        "heat number": heat_number(batch.heat_number),
        "certificate": certificate_number(batch.certificate),
        "steel": batch.steel.strip(),
    }
    return tuple(word for word, text in known.items() if not text)


def bars_without_number(records: Iterable[TubeUsed]) -> tuple[Finding, ...]:
    """`HELD-006` for each bar cut from a tube without a certificate's number, or with a heat number that is none."""
    found: list[Finding] = []
    for used in records:
        if not certificate_number(used.certificate):
            found.append(_unnumbered(used.bar_id, "the number of a certificate", used.certificate))
        if used.heat_number.strip() and not heat_number(used.heat_number):
            found.append(_unnumbered(used.bar_id, "a heat number", used.heat_number))
    return tuple(found)


def lacking_words(findings: Iterable[Finding]) -> str:
    """What is lacking after something was kept, as words that follow it; empty where nothing is."""
    return "".join(f" But: {finding.sentence}" for finding in findings)


def without_number(what: str, typed: str) -> str:
    """That something is not there, with what was typed in its place.

    Args:
        what: What is lacking, such as `the number of a certificate`.
        typed: What was typed; blank where nothing was.
    """
    return f"without {what}{f': {typed.strip()!r} has none' if typed.strip() else ''}"


def papers_of(batch: TubeBatch) -> str:
    """Heat number and certificate of a batch in words; what was typed and is no number is said to be none."""
    told = [
        number or f"'{typed.strip()}' (no number)"
        for typed, number in (
            (batch.heat_number, heat_number(batch.heat_number)),
            (batch.certificate, certificate_number(batch.certificate)),
        )
        if typed.strip()
    ]
    return ", ".join(told) or "not known"


def _of(batch: TubeBatch) -> Iterator[Finding]:
    lacking = []
    if not certificate_number(batch.certificate):
        lacking.append(without_number("the number of a certificate", batch.certificate))
    if batch.heat_number.strip() and not heat_number(batch.heat_number):
        lacking.append(without_number("a heat number", batch.heat_number))
    if lacking:
        yield Finding(
            code="SHOP-053",
            sentence=f"Batch {batch.name} is kept {', and '.join(lacking)}.",
            todo="Type the number that stands on the paper with 'hoopwright batch change', or ask the supplier: rules "
            "on material and the scrutineer's file need it.",
            objects=(batch.name,),
        )


def _unnumbered(bar_id: str, what: str, typed: str) -> Finding:
    return Finding(
        code="HELD-006",
        sentence=f"Bar {bar_id} was cut from a tube {without_number(what, typed)}.",
        todo="Give its batch the number that stands on the paper, or ask the supplier: rules on material and the "
        "scrutineer's file need it.",
        objects=(bar_id,),
    )
