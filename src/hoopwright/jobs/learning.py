"""A calibration that goes on learning from the bends that were logged."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from hoopwright.bender import (
    Calibration,
    PlainNumbers,
    Samples,
    calibration_as_dict,
    fit_calibration,
    read_calibration,
    samples_as_toml,
)
from hoopwright.bender.learning import (
    BatchNotice,
    BendReading,
    DriftNotice,
    Learnt,
    LearntCommand,
    LearntShape,
    NextBend,
    ScoreRow,
    as_calibration,
    batch_notices,
    best_next_bend,
    drift_notice,
    foretold_in_turn,
    learn,
    learn_shape,
    learnt_command,
    notice_findings,
    read_bend_log,
    score,
)
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.store.writing import refuse_there, write_whole

ANGLES_DEG = (5.0, 10.0, 20.0, 45.0, 90.0)
MOST_BATCHES = 12


@dataclass(frozen=True, kw_only=True)
class BatchReport:
    """What a batch does.

    Args:
        notice: Against the others; None where it is the only one.
        batch: Its name.
        bend_count: Readings of it that were learnt from.
        at_full: The command for 90 degrees, with its band.
        sample: The bend that would narrow its bands most.
    """

    notice: BatchNotice | None
    batch: str
    bend_count: int
    at_full: LearntCommand
    sample: NextBend


@dataclass(frozen=True, kw_only=True, eq=False)
class LearntReport:
    """What samples and logged bends say together.

    Args:
        calibration: With the learnt line.
        learnt: What was learnt.
        shape: Radius, start offset and tube used with their bands.
        commands: For 5, 10, 20, 45 and 90 degrees.
        batches: The latest dozen.
        drift: Along the log.
        scores: Over unseen bends.
        findings: All that was found.
    """

    calibration: Calibration
    learnt: Learnt
    shape: LearntShape
    commands: tuple[LearntCommand, ...]
    batches: tuple[BatchReport, ...]
    drift: DriftNotice
    scores: tuple[ScoreRow, ...]
    findings: tuple[Finding, ...]

    def keys(self) -> dict[str, Any]:
        """As JSON carries it: the calibration's keys, and `learnt` beside them."""
        findings = [dict(one) for one in calibration_as_dict(self.calibration)["findings"]]
        own = {
            "bend_count": len(self.learnt.bends),
            "set_aside": [
                key
                for key, counted in zip(self.learnt.readings.keys, self.learnt.counted, strict=True)
                if not counted
            ],
            "commands": [command_keys(one) for one in self.commands],
            "batches": [
                {
                    "batch": one.batch,
                    "bend_count": one.bend_count,
                    **({} if one.notice is None else asdict(one.notice)),
                    "command_90": command_keys(one.at_full),
                    "sample": one.sample.sentence,
                    "sample_first": one.sample.worth_it,
                }
                for one in self.batches
            ],
            "drift": asdict(self.drift),
            "scores": [{**asdict(one), "held_share": one.held_share} for one in self.scores],
            "shape": asdict(self.shape),
            "prior": [*self.learnt.prior.words, *self.shape.words],
        }
        return {**calibration_as_dict(self.calibration), "findings": findings, "learnt": own}


def command_keys(made: LearntCommand) -> dict[str, Any]:
    """A command with its band, as JSON carries it."""
    return {key: value for key, value in vars(made).items() if key != "findings"}


def calibrate_with_log(
    file: Path, log: Path | None, *, batch: str | None = None, shop: str | None = None
) -> LearntReport:
    """Learn from the samples of a file and the bends of a log.

    Args:
        file: Sample bends, or the JSON that `calibrate` printed for them.
        log: Logged bends as CSV; None for those of the same die and tube in the shop's log.
        shop: The shop; the usual one without.
        batch: The batch that is bent now; None for that of the samples.

    Raises:
        UserError: `CAL-...` and `LEARN-...`.
    """
    samples = read_samples_of(file)
    learnt = learn_from(samples, logged_bends(samples, log, shop))
    foretold = foretold_in_turn(learnt)
    name = learnt.samples.batch if batch is None else batch
    made = as_calibration(learnt, batch=batch)
    findings = (
        *made.findings,
        *notice_findings(learnt, foretold),
        *_few(learnt),
        *_which_batch(learnt, batch),
    )
    return LearntReport(
        calibration=replace(made, findings=findings),
        learnt=learnt,
        shape=learn_shape(learnt.samples),
        commands=tuple(learnt_command(learnt, angle, batch=name) for angle in ANGLES_DEG),
        batches=_batches(learnt, name),
        drift=drift_notice(learnt),
        scores=score(learnt, foretold),
        findings=findings,
    )


def learnt_samples(report: LearntReport) -> Samples:
    """What was learnt as a sample file holds it: the line as plain numbers, its scatter as that of a reading.

    Legs and U bends stay where they are of the batch; of another batch radius, start offset and tube used are plain
    numbers too.
    """
    made, samples = report.calibration, report.learnt.samples
    line = made.springback
    assert line is not None  # noqa: S101 - what was learnt always has a line
    numbers = PlainNumbers(constant_deg=line.constant_deg, per_command_deg=line.per_command_deg)
    is_own = made.batch == samples.batch
    if not is_own:
        numbers = replace(
            numbers,
            clr_mm=made.clr_mm,
            start_offset_mm=made.start_offset_mm,
            used_per_deg_mm=made.used_per_deg_mm,
        )
    return replace(
        samples,
        angles=(),
        legs=samples.legs if is_own else (),
        us=samples.us if is_own else (),
        plains=(*(samples.plains if is_own else ()), numbers),
        name=f"{samples.name or samples.die or 'samples'}, with {len(report.learnt.bends)} logged bends",
        batch=made.batch,
        gauge_sd_deg=line.scatter_sd_deg,
    )


def write_learnt(report: LearntReport, file: Path) -> None:
    """Write what was learnt as a sample file, to be kept in a project or in the shop.

    Raises:
        UserError: `SHOP-031` when the file is there already, `STORE-002` when it cannot be written.
    """
    refuse_there(file)
    write_whole(file, samples_as_toml(learnt_samples(report)).encode())


def command_with_log(
    target_deg: float, file: Path, log: Path | None, *, batch: str | None = None, shop: str | None = None
) -> LearntCommand:
    """The angle to read under load, from samples and every logged bend; see `calibrate_with_log`.

    Raises:
        UserError: `CAL-...` and `LEARN-...`.
    """
    samples = read_samples_of(file)
    learnt = learn_from(samples, logged_bends(samples, log, shop))
    made = learnt_command(learnt, target_deg, batch=batch)
    return replace(made, findings=(*learnt.findings, *made.findings, *_which_batch(learnt, batch)))


def learn_from(samples: Samples, bends: Sequence[BendReading]) -> Learnt:
    """Learn, with the finished radius of the samples for the theory where they give one.

    Raises:
        UserError: `CAL-027` and `LEARN-...`.
    """
    return learn(samples, bends, clr_mm=fit_calibration(samples).clr_mm)


def logged_bends(samples: Samples, log: Path | None, shop: str | None) -> Sequence[BendReading]:
    """The bends of a file, or those of the samples' die and tube in the shop's log."""
    if log is not None:
        return read_bend_log(log)
    if not samples.die:
        raise UserError(
            Finding(
                code="LEARN-016",
                severity=Severity.STOP,
                sentence="The samples name no die, so their bends cannot be found in the shop's log.",
                todo='Put die = "NAME" into the sample file.',
            )
        )
    from hoopwright.jobs.shops import open_shop

    with open_shop(shop) as kept:
        bends = kept.bends(die=samples.die, tube=samples.tube)
    return [
        BendReading(
            key=bend.key,
            time=bend.time.isoformat(),
            batch=bend.batch,
            command_deg=bend.command_deg,
            released_deg=bend.released_deg,
        )
        for bend in bends
    ]


def read_samples_of(file: Path) -> Samples:
    """The sample bends of a file, or those that a printed calibration was made from.

    Raises:
        UserError: `CAL-...`; `LEARN-012` for a printed calibration without its samples.
    """
    made = read_calibration(file)
    if made.samples is None:
        raise UserError(
            Finding(
                code="LEARN-012",
                severity=Severity.STOP,
                sentence=f"{file.name} holds no sample bends to learn from.",
                todo="Give the sample file itself, or JSON that `calibrate` printed for one.",
                objects=(file.name,),
            )
        )
    return made.samples


def _batches(learnt: Learnt, name: str) -> tuple[BatchReport, ...]:
    """The batch that is bent now and the latest others."""
    readings = learnt.readings
    notices = {notice.batch: notice for notice in batch_notices(learnt)}
    last_seen = {bend.batch: index for index, bend in enumerate(learnt.bends)}
    known = [one for one in learnt.readings.batches if learnt.batch_number(one) >= 0]
    latest = sorted(known, key=lambda one: last_seen.get(one, -1))[-MOST_BATCHES:]
    names = dict.fromkeys((*(one for one in known if one in latest), name))
    return tuple(
        BatchReport(
            notice=notices.get(one),
            batch=one,
            bend_count=int(learnt.counted[readings.batch == learnt.batch_number(one)].sum()),
            at_full=learnt_command(learnt, ANGLES_DEG[-1], batch=one),
            sample=best_next_bend(learnt, batch=one),
        )
        for one in names
    )


def _which_batch(learnt: Learnt, batch: str | None) -> tuple[Finding, ...]:
    """A word where no batch was named and the last bend was of another than the samples."""
    if batch is not None or not learnt.bends or learnt.bends[-1].batch == learnt.samples.batch:
        return ()
    last, taken = learnt.bends[-1].batch, learnt.samples.batch
    return (
        Finding(
            code="LEARN-014",
            severity=Severity.NOTE,
            sentence=f"No batch was named: this is for batch '{taken or 'without a name'}' of the samples; the last "
            f"bend was of '{last or 'none that is named'}'.",
            todo=f"Add --batch {last or 'NAME'} if that is bent now.",
            objects=(last,) if last else (),
        ),
    )


def _few(learnt: Learnt) -> tuple[Finding, ...]:
    """A word where the log is so short that the score says little."""
    if len(learnt.bends) >= 5:
        return ()
    return (
        Finding(
            code="LEARN-013",
            severity=Severity.NOTE,
            sentence=f"Bends in the log: {len(learnt.bends)}. The score over unseen bends says little yet.",
            todo="Log every bend: what was read under load and after release.",
        ),
    )
