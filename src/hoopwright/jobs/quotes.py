"""What a cage costs at the person's own rates, and in how many hours it is made."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bought_tubes import BoughtTube, bought_for
from hoopwright.jobs.learnt_minutes import LearntMinutes, learnt_findings, learnt_minutes
from hoopwright.jobs.quantities import Quantities, needs_of, quantities_of
from hoopwright.papers.words import count_words, listed
from hoopwright.progress import Progress, silent
from hoopwright.stock.money import Priced, TubeNeed, priced
from hoopwright.stock.rate_files import LARGEST_FILE_BYTES, rates_from_bytes, rates_template
from hoopwright.stock.rates import Rates
from hoopwright.store import ProjectFolder
from hoopwright.store.rates_place import RATES_FILE, own_rates_file, rates_file
from hoopwright.store.writing import make_folder, write_whole

_TENTH = Decimal("0.1")
_SHOWN = 6


@dataclass(frozen=True, kw_only=True)
class Quote:
    """A quote.

    Args:
        date: Its day, ISO 8601.
        valid_until: The last day on which it holds, ISO 8601; empty where nothing was typed.
        quantities: What the cage takes.
        rates: As typed, with learnt minutes where they were asked for.
        rates_file: Where they are from; None where there are none.
        priced: Lines and totals.
        sticks: What is to be bought of each tube whose rate says how long a stick is.
        learnt: What the log says of the minutes of a bend; None unless it was asked for.
        assumptions: What the figures rest on, sentence by sentence.
        findings: What a person should know.
    """

    date: str
    valid_until: str
    quantities: Quantities
    rates: Rates
    rates_file: Path | None
    priced: Priced
    sticks: tuple[BoughtTube, ...]
    learnt: LearntMinutes | None
    assumptions: tuple[str, ...]
    findings: tuple[Finding, ...]


def quote_of(
    folder: ProjectFolder,
    *,
    date: str,
    given: Path | None = None,
    learnt: bool = False,
    progress: Progress = silent,
) -> Quote:
    """Price the cage of a project; nothing of the project changes.

    Args:
        folder: The project.
        date: Day of the quote, ISO 8601.
        given: The rates; those of the project or the person's own without.
        learnt: Whether the minutes of a bend come from the shop's log in place of the typed ones.
        progress: Told how far it is.

    Raises:
        UserError: `COST-001` to `COST-003` and `COST-020` for rates that cannot be read; what `quantities_of` stops on.
    """
    known = rates_known(given, folder)
    file, rates = known.file, known.rates
    times = learnt_minutes() if learnt else None
    if times is not None and times.per_bend_min is not None:
        minutes = Decimal(times.per_bend_min).quantize(_TENTH, ROUND_HALF_UP)
        rates = replace(rates, minutes=replace(rates.minutes, per_bend=minutes))
    quantities = quantities_of(folder, progress=progress)
    return quote_for(quantities, rates, file, times, date=date)


def quote_for(
    quantities: Quantities, rates: Rates, file: Path | None, learnt: LearntMinutes | None, *, date: str
) -> Quote:
    """A quote from quantities that are known already.

    Args:
        quantities: What the cage takes.
        rates: The rates that count.
        file: Where they are from, or None.
        learnt: What the log says of the minutes of a bend, where it was asked for.
        date: Day of the quote, ISO 8601.
    """
    sticks, stick_findings = bought_for(quantities, rates)
    found = priced(needs_of(quantities), rates, lambda need, stick_mm: _count(sticks, need, stick_mm))
    days = rates.paper.valid_days
    until = "" if days is None else (dt.date.fromisoformat(date) + dt.timedelta(days=days)).isoformat()
    return Quote(
        date=date,
        valid_until=until,
        quantities=quantities,
        rates=rates,
        rates_file=file,
        priced=found,
        sticks=sticks,
        learnt=learnt,
        assumptions=tuple(_assumptions(quantities, learnt)),
        findings=(
            *quantities.findings,
            *stick_findings,
            *(() if learnt is None else learnt_findings(learnt)),
            *_money_findings(found, file),
        ),
    )


def _count(sticks: Sequence[BoughtTube], need: TubeNeed, stick_mm: float) -> int | None:
    return next(
        (
            one.needed.count
            for one in sticks
            if (one.tube, one.steel, one.needed.stick_mm) == (need.tube, need.steel, stick_mm)
        ),
        None,
    )


def read_rates(path: Path) -> Rates:
    """The rates of a file.

    Raises:
        UserError: `COST-020` when it cannot be read; `COST-001` to `COST-003`.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        raise UserError(
            Finding(
                code="COST-020",
                severity=Severity.STOP,
                sentence=f"The rates {path} cannot be read: {error.strerror or error}.",
                todo="Name a file that is there, or make one with 'hoopwright quote rates FILE --write'.",
                objects=(str(path),),
            )
        ) from None
    return rates_from_bytes(content, path.name)


@dataclass(frozen=True, kw_only=True)
class RatesKnown:
    """Which rates count.

    Args:
        file: Where they are from; None where there are none.
        rates: As typed.
        findings: That there are none.
    """

    file: Path | None
    rates: Rates
    findings: tuple[Finding, ...] = ()


def rates_known(given: Path | None = None, folder: ProjectFolder | None = None) -> RatesKnown:
    """The rates that count: those of a file, else of a project, else the person's own.

    Raises:
        UserError: `COST-001` to `COST-003` and `COST-020` for rates that cannot be read.
    """
    own = own_rates_file()
    file = rates_file(own.parent if folder is None else folder.path, given)
    if file is None:
        return RatesKnown(file=None, rates=Rates(), findings=(_no_rates(),))
    return RatesKnown(file=file, rates=read_rates(file))


def write_rates(path: Path | None, folder: ProjectFolder | None = None) -> Path:
    """Make a rates file to fill in, without any price.

    Args:
        path: Where; the project's, or the person's own, without.
        folder: A project whose tubes each get a block.

    Returns:
        Where it is.

    Raises:
        UserError: `COST-023` where a file is there already; `STORE-...` where it cannot be written.
    """
    cage = None if folder is None else folder.open().project.cage
    where = path or (own_rates_file() if folder is None else folder.path / RATES_FILE)
    if where.exists():
        raise UserError(
            Finding(
                code="COST-023",
                severity=Severity.STOP,
                sentence=f"{where} is there already, and was left as it is.",
                todo="Edit it, or name another file.",
                objects=(str(where),),
            )
        )
    members = () if cage is None else cage.members
    tubes = sorted({(member.tube, member.steel) for member in members})
    make_folder(where.parent)
    write_whole(where, rates_template(tubes).encode())
    return where


def _assumptions(found: Quantities, learnt: LearntMinutes | None) -> list[str]:
    bent = sum(one.is_bent for one in found.mass.members)
    drawn = "All bars count"
    if bent:
        drawn = f"{bent} of {found.bars} bars count as they were bent and measured, the others"
    said = [
        f"{drawn} as drawn, along their true arcs with the finished radius.",
        "Tube is priced as sawn: trims at the ends and what each bend uses of the tube are in it; kerf and offcuts "
        "are in it only where whole sticks are priced, spares are not.",
        "Welds count once all round each joint, along the line on which the skins meet; a plate along its outline; a "
        "flat gusset on both faces. Bolted landings have no weld to the shell.",
        "Mass is that of the nominal section at 7850 kg per cubic metre, without welds, bolts, paint and padding.",
    ]
    if learnt is not None and learnt.per_bend_min is not None:
        said.append(
            f"The minutes of a bend are the median of {learnt.readings} times between readings at the bender, from "
            f"past jobs ({count_words(learnt.sticks, 'stick')})."
        )
    return said


def _no_rates() -> Finding:
    return Finding(
        code="COST-024",
        sentence="There are no rates, so nothing is priced.",
        todo="'hoopwright quote rates --write' makes a file to fill in.",
    )


def _money_findings(found: Priced, file: Path | None) -> tuple[Finding, ...]:
    if file is None:
        return (_no_rates(),)
    told = []
    if found.missing:
        names = [line.what for line in found.missing]
        told.append(
            Finding(
                code="COST-025",
                sentence=f"{len(names)} of {len(found.lines)} lines are not priced, so the total is without them: "
                f"{listed(names, _SHOWN)}.",
                todo=f"Type what is missing: under Cost, or in {file.name}.",
                objects=tuple(names),
                measured=float(len(names)),
                limit=0.0,
            )
        )
    if found.is_priced and not found.currency:
        told.append(
            Finding(
                code="COST-026",
                severity=Severity.NOTE,
                sentence="No currency is typed, so amounts stand without one.",
                todo=f'Type it in {file.name}: currency = "...".',
            )
        )
    return tuple(told)
