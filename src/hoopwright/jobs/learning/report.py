"""What samples and logged bends say together, as it is told and as JSON carries it."""

from dataclasses import asdict, dataclass
from typing import Any

from hoopwright.bender import Calibration, calibration_as_dict
from hoopwright.bender.learning import (
    BatchNotice,
    DriftNotice,
    Learnt,
    LearntCommand,
    LearntShape,
    NextBend,
    ScoreRow,
)
from hoopwright.findings import Finding


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
