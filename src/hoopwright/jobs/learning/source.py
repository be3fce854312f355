"""The samples and logged bends that a calibration learns from."""

from collections.abc import Sequence
from pathlib import Path

from hoopwright.bender import Samples, fit_calibration, read_calibration
from hoopwright.bender.learning import BendReading, Learnt, learn, read_bend_log
from hoopwright.findings import Finding, Severity, UserError


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
