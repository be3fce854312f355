"""A calibration that goes on learning from the bends that were logged."""

from dataclasses import replace
from pathlib import Path

from hoopwright.bender.learning import (
    Learnt,
    LearntCommand,
    as_calibration,
    batch_notices,
    best_next_bend,
    drift_notice,
    foretold_in_turn,
    learn_shape,
    learnt_command,
    notice_findings,
    score,
)
from hoopwright.findings import Finding, Severity
from hoopwright.jobs.learning.report import BatchReport, LearntReport
from hoopwright.jobs.learning.source import learn_from, logged_bends, read_samples_of

ANGLES_DEG = (5.0, 10.0, 20.0, 45.0, 90.0)
MOST_BATCHES = 12


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
