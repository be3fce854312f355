"""What was learnt, kept as a sample file."""

from dataclasses import replace
from pathlib import Path

from hoopwright.bender import PlainNumbers, Samples, samples_as_toml
from hoopwright.jobs.learning.report import LearntReport
from hoopwright.store.writing import refuse_there, write_whole


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
