"""Two layouts side by side: what was added and changed, and what each takes."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError, Verdict
from hoopwright.jobs.bar_changes import BarChange, bar_changes
from hoopwright.jobs.layout_figures import LayoutFigures, Sawing, layout_figures
from hoopwright.jobs.quotes import rates_known
from hoopwright.progress import Progress, silent
from hoopwright.stock.rates import Rates
from hoopwright.store import ProjectFolder
from hoopwright.store.earlier import EarlierProject
from hoopwright.units import MM_PER_UNIT

_LAST_STEP = 1_000_000


@dataclass(frozen=True, kw_only=True)
class FigureRow:
    """One figure of both layouts.

    Args:
        what: In words.
        unit: Of the figures; empty for counts.
        first: Of the first; None where it is not known.
        second: Of the second.
        decimals: With how many it is shown.
    """

    what: str
    unit: str
    first: float | Decimal | None
    second: float | Decimal | None
    decimals: int

    @property
    def words(self) -> tuple[str, str]:
        """Both as they are shown; a dash for what is not known."""
        return self._shown(self.first), self._shown(self.second)

    @property
    def difference_words(self) -> str:
        """The difference with its sign; empty where it is not known."""
        difference = self.difference
        if difference is None:
            return ""
        return f"{difference:+f}" if difference else "0"

    def _shown(self, value: float | Decimal | None) -> str:
        if value is None:
            return "-"
        # adding 0 takes the sign off a zero
        shown = Decimal(value).quantize(Decimal(1).scaleb(-self.decimals)) + 0
        return f"{shown:f}"

    @property
    def difference(self) -> Decimal | None:
        """The second less the first as they are shown; None where one is not known."""
        if self.first is None or self.second is None:
            return None
        step = Decimal(1).scaleb(-self.decimals)
        return Decimal(self.second).quantize(step) - Decimal(self.first).quantize(step)


@dataclass(frozen=True, kw_only=True, eq=False)
class Compared:
    """Two layouts side by side.

    Args:
        first: The one.
        second: The other.
        changes: Bar by bar; bars that are as before are left out.
        same: How many are as before.
        rows: Every figure.
        notes: What the figures rest on, in sentences.
        findings: What a person should know.
    """

    first: LayoutFigures
    second: LayoutFigures
    changes: tuple[BarChange, ...]
    same: int
    rows: tuple[FigureRow, ...]
    notes: tuple[str, ...]
    findings: tuple[Finding, ...]


def layout_named(text: str) -> ProjectFolder:
    """A project folder, or with `@12` behind it the project as it was at that step of its history.

    Raises:
        UserError: `CMP-001` where what stands behind the `@` is no step.
    """
    path, at, step = text.rpartition("@")
    if not at or Path(text).exists():
        return ProjectFolder(path=Path(text))
    if not (step.isascii() and step.isdecimal() and 0 < int(step) < _LAST_STEP):
        raise UserError(
            Finding(
                code="CMP-001",
                severity=Severity.STOP,
                sentence=f"'{text}' is no project folder, and '{step}' is no step of the history of one.",
                todo="Type a folder, or a folder and a step: my-car@12.",
                objects=(text,),
            )
        )
    return EarlierProject(path=Path(path), step=int(step))


def compare_layouts(
    first: ProjectFolder,
    second: ProjectFolder,
    *,
    date: str,
    given: Path | None = None,
    sawing: Sawing | None = None,
    progress: Progress = silent,
) -> Compared:
    """Two layouts side by side, at the same rates and in the same sticks.

    Args:
        first: The one; changes count from it.
        second: The other.
        date: Day, ISO 8601.
        given: Rates; those of the second project, or the person's own, without.
        sawing: In which sticks tube is counted.
        progress: Told how far it is.

    Raises:
        UserError: What stops either project from being opened or reckoned; `COST-...` for rates that cannot be read.
    """
    known, saw = rates_known(given, second), sawing or Sawing()
    rates, file = known.rates, known.file
    one = layout_figures(first, rates, file, saw, date=date, progress=_half(progress, 0.0))
    other = layout_figures(second, rates, file, saw, date=date, progress=_half(progress, 0.5))
    changes = bar_changes(one.cage, other.cage, one.quantities.mass, other.quantities.mass)
    changed = tuple(change for change in changes if change.kind != "as before")
    return Compared(
        first=one,
        second=other,
        changes=changed,
        same=len(changes) - len(changed),
        rows=tuple(_rows(one, other)),
        notes=tuple(_notes(rates, file, saw)),
        findings=(*_told(one), *_told(other), *_other_scan(one, other), *_other_lines(one, other)),
    )


def _told(layout: LayoutFigures) -> Iterator[Finding]:
    """What was found, with the layout that it is of."""
    for one in layout.findings:
        yield replace(one, sentence=f"{layout.label}: {one.sentence}")


def _half(progress: Progress, done: float) -> Progress:
    return lambda stage, share: progress(stage, done + share / 2.0)


def _rows(one: LayoutFigures, other: LayoutFigures) -> Iterator[FigureRow]:
    def row(
        what: str, unit: str, decimals: int, first: float | Decimal | None, second: float | Decimal | None
    ) -> FigureRow:
        return FigureRow(what=what, unit=unit, decimals=decimals, first=first, second=second)

    a, b, metre = one.quantities, other.quantities, MM_PER_UNIT["m"]
    yield row("bars", "", 0, a.bars, b.bars)
    yield row("mass of all", "kg", 2, a.mass.total.mass_kg, b.mass.total.mass_kg)
    yield row("mass of the bars", "kg", 2, a.mass.bars.mass_kg, b.mass.bars.mass_kg)
    centres = zip(a.mass.total.centre_mm, b.mass.total.centre_mm, strict=True)
    for axis, (first, second) in zip(("forward", "left", "up"), centres, strict=True):
        yield row(f"centre of mass {axis}", "mm", 0, first, second)
    yield row("tube in the cage", "m", 3, a.net_mm / metre, b.net_mm / metre)
    yield row("tube as sawn", "m", 3, a.cut_mm / metre, b.cut_mm / metre)
    yield row("sticks to buy", "", 0, one.sticks, other.sticks)
    yield row("bends", "", 0, a.bends, b.bends)
    yield row("copes", "", 0, a.copes, b.copes)
    yield row("weld", "m", 2, a.weld_mm / metre, b.weld_mm / metre)
    yield row("landings", "", 0, a.landings, b.landings)
    yield row("gussets and ties", "", 0, a.gussets, b.gussets)
    yield row("smallest gap to the shell", "mm", 1, one.smallest_gap_mm, other.smallest_gap_mm)
    yield row("mean gap to the shell", "mm", 1, one.mean_gap_mm, other.mean_gap_mm)
    for verdict, words in (
        (Verdict.PASS, "checks that pass"),
        (Verdict.FAIL, "checks that fail"),
        (Verdict.NOT_CHECKED, "not checked"),
    ):
        yield row(words, "", 0, _verdicts(one, verdict), _verdicts(other, verdict))
    yield row("hours that are known", "h", 2, _hours(one), _hours(other))
    currency = next((each.priced.currency for each in (one, other) if each.priced is not None), "")
    decimals = next((each.priced.decimals for each in (one, other) if each.priced is not None), 2)
    yield row("cost of what is priced", currency, decimals, _total(one), _total(other))
    yield row("lines not priced", "", 0, _unpriced(one), _unpriced(other))


def _verdicts(one: LayoutFigures, verdict: Verdict) -> int | None:
    return None if one.verdicts is None else one.verdicts.get(verdict, 0)


def _hours(one: LayoutFigures) -> Decimal | None:
    return None if one.priced is None or not one.priced.hours else one.priced.hours


def _total(one: LayoutFigures) -> Decimal | None:
    return None if one.priced is None or not one.priced.is_priced else one.priced.total


def _unpriced(one: LayoutFigures) -> int | None:
    return None if one.priced is None else len(one.priced.missing)


def _notes(rates: Rates, file: Path | None, saw: Sawing) -> Iterator[str]:
    stick = "sticks of the rates, else of 6 m" if saw.stick_mm is None else f"sticks of {saw.stick_mm:g} mm"
    yield (
        f"Sticks: the fewest that the cutting plan finds in {stick}, kerf {saw.kerf_by(rates):g} mm, each tube by "
        "itself, without spares and without what is on the rack."
    )
    yield "The mean gap is over every judged place of all bars; landings are not judged."
    if file is None:
        yield "There are no rates, so neither cost nor hours are known."
    else:
        tax = f", {rates.tax_name} included" if rates.tax_percent is not None else ""
        yield f"Both at the rates of {file.name}{tax}."
    yield "An earlier step is reckoned with today's calibrations and today's scan file."


def _other_scan(one: LayoutFigures, other: LayoutFigures) -> tuple[Finding, ...]:
    if one.scan_sha256 == other.scan_sha256:
        return ()
    return (
        Finding(
            code="CMP-003",
            sentence="The two layouts stand in different scans, so their gaps are to different shells, and places and "
            "moved nodes are in different axes.",
            todo="Compare layouts of one car.",
        ),
    )


def _other_lines(one: LayoutFigures, other: LayoutFigures) -> tuple[Finding, ...]:
    """Lines that are priced in one layout alone make the costs no match for each other."""
    if one.priced is None or other.priced is None:
        return ()
    first, second = ({line.what for line in each.missing} for each in (one.priced, other.priced))
    apart = sorted(first ^ second)
    if not apart:
        return ()
    return (
        Finding(
            code="CMP-004",
            sentence=f"Not priced in one of the layouts alone: {', '.join(apart)}. The difference of cost is without "
            "what they cost.",
            todo="Type their rates.",
            objects=tuple(apart),
        ),
    )
