"""The sheet to take to the bender before it is known: which samples to bend, and boxes for what came out."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.bender import Samples, ShopDie, best_next_sample, fit_calibration
from hoopwright.bender.learning import BendReading
from hoopwright.bender.learning.next_bend import best_next_bend
from hoopwright.bender.sample_plan import SamplePlan, first_samples, next_samples, planned
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.learning import learn_from, logged_bends, read_samples_of
from hoopwright.jobs.made_pdf import pdf_of
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.jobs.shops import open_shop
from hoopwright.papers import A4, LETTER
from hoopwright.papers.sample_page import SampleHeader, sample_pages
from hoopwright.store.writing import write_whole
from hoopwright.tubes import TubeSize
from hoopwright.units import LengthUnit

_SAME_OD_MM = 0.3


@dataclass(frozen=True, kw_only=True)
class SampleSheet:
    """A sheet of sample bends that was written.

    Args:
        plan: What is on it.
        findings: What a person should know of it.
    """

    plan: SamplePlan
    findings: tuple[Finding, ...]


@dataclass(frozen=True, kw_only=True)
class SampleWishes:
    """For what a sheet of sample bends is wanted.

    Args:
        date: Day on which it is printed, ISO 8601.
        die: Name of the die; where the shop has it, its tube, radius and clamp are taken.
        batch: Tube batch.
        tube: Tube size; that of the shop's die without.
        clr_mm: Centreline radius written on the die.
        samples: Sample bends that are there already: the sheet is then for the one next sample.
        log: Logged bends that were learnt from with those samples: a file, or `shop` for the shop's own log.
        shop: The shop; the one at hand without.
        paper: `A4` or `letter`.
        unit: Unit of the lengths to cut.
    """

    date: str
    die: str = ""
    batch: str = ""
    tube: TubeSize | None = None
    clr_mm: float | None = None
    samples: Path | None = None
    log: str | None = None
    shop: str | None = None
    paper: str = "A4"
    unit: LengthUnit = "mm"


def draw_sample_sheet(wishes: SampleWishes, file: Path) -> SampleSheet:
    """Write the sheet as PDF and say what is on it.

    Raises:
        UserError: `CAL-040` for numbers that cannot be, `CAL-041` without a tube, `CAL-042` for a tube that does
            not fit the die; `CAL-...`, `LEARN-...` and `SHOP-...` for what cannot be read; `STORE-002` when it
            cannot be written.
    """
    plan, header = _planned(wishes) if wishes.samples is None else _next(wishes, wishes.samples)
    pages = sample_pages(plan, header, unit=wishes.unit, paper=LETTER if wishes.paper == "letter" else A4)
    made = pdf_of(pages, title=f"sample bends {header.die}".strip(), date=wishes.date)
    write_whole(file, made.content)
    return SampleSheet(plan=plan, findings=made.findings)


def _planned(wishes: SampleWishes) -> tuple[SamplePlan, SampleHeader]:
    die, clamp_mm = _shop_die(wishes)
    od_mm = wishes.tube.od_mm if wishes.tube else die.od_mm if die else None
    if od_mm is None:
        raise UserError(
            Finding(
                code="CAL-041",
                severity=Severity.STOP,
                sentence="Nobody has said for which tube the samples are"
                + (f"; the shop has no die '{wishes.die}'." if wishes.die else "."),
                todo="Give --tube '45 x 2.5', or --die with a die of the shop.",
            )
        )
    if die and abs(od_mm - die.od_mm) > _SAME_OD_MM:
        raise UserError(
            Finding(
                code="CAL-042",
                severity=Severity.STOP,
                sentence=f"Die '{die.name}' is for tube of {die.od_mm:g} mm, and the tube is {od_mm:g} mm.",
                todo="Name the right die or the right tube.",
                objects=(die.name,),
                measured=od_mm,
                limit=die.od_mm,
                unit="mm",
            )
        )
    clr_mm = wishes.clr_mm if wishes.clr_mm is not None or die is None else die.clr_mm
    header = SampleHeader(
        die=wishes.die, batch=wishes.batch, wall_mm=wishes.tube.wall_mm if wishes.tube else None
    )
    return first_samples(od_mm, clr_mm, clamp_mm), header


def _shop_die(wishes: SampleWishes) -> tuple[ShopDie | None, float]:
    """The die of that name, where there is a shop that has it, and the straight that its clamp needs."""
    if not wishes.die:
        return None, 0.0
    if wishes.shop is not None:
        with open_shop(wishes.shop) as shop:
            dies, benders = shop.dies(), shop.benders()
    else:
        at_hand = shop_at_hand()
        dies, benders = tuple(at_hand.dies.values()), tuple(at_hand.benders.values())
    die = next((one for one in dies if one.name == wishes.die), None)
    if die is None:
        return None, 0.0
    bender = next((one for one in benders if one.name == die.bender), None)
    return die, die.clamp_mm if die.clamp_mm is not None else bender.clamp_mm if bender else 0.0


def _next(wishes: SampleWishes, file: Path) -> tuple[SamplePlan, SampleHeader]:
    """The one sample that would tell most beside those of the file, or beside them and the log."""
    samples = read_samples_of(file)
    radius = fit_calibration(samples).clr_mm if wishes.clr_mm is None else wishes.clr_mm
    plan = next_samples(samples.tube.od_mm, radius, best_next_sample(samples))
    batch = wishes.batch or samples.batch
    if wishes.log is not None:
        log = None if wishes.log == "shop" else Path(wishes.log)
        plan = _next_learnt(plan, samples, logged_bends(samples, log, wishes.shop), batch)
    header = SampleHeader(die=wishes.die or samples.die, batch=batch, wall_mm=samples.tube.wall_mm)
    return plan, header


def _next_learnt(plan: SamplePlan, samples: Samples, bends: Sequence[BendReading], batch: str) -> SamplePlan:
    found = best_next_bend(learn_from(samples, bends), batch=batch)
    one = planned("angle", plan.clr_mm, 0.0, found.command_deg)
    return replace(plan, samples=(one,), why=found.sentence)
