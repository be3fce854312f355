"""What was learnt as a calibration that sheets and commands take."""

import math
from dataclasses import replace

import numpy as np

from hoopwright.bender.calibration import Calibration, Springback
from hoopwright.bender.fit import fit_calibration
from hoopwright.bender.learning.learn import Learnt
from hoopwright.bender.learning.mixture import Vector
from hoopwright.bender.learning.moments import design_rows
from hoopwright.bender.learning.next_bend import line_covariance
from hoopwright.bender.learning.steels import FULL_DEG

THROUGH_DEG = 20.0
_OF_THE_OLD_LINE = ("CAL-024", "CAL-025", "CAL-028")


def learnt_line(learnt: Learnt, *, batch: str | None = None) -> Springback:
    """The learnt springback of the next bend of a batch as a straight line through 20 and 90 degrees.

    Below 20 degrees less slack comes in than the line says; `learnt_command` knows that.

    Args:
        learnt: What was learnt.
        batch: The batch; None for that of the samples.
    """
    number = learnt.batch_number(learnt.samples.batch if batch is None else batch)
    low, high = design_rows(np.array([THROUGH_DEG, FULL_DEG]), np.array(learnt.next_count))
    per_command = (high - low) / (FULL_DEG - THROUGH_DEG)
    rows = np.stack([low - THROUGH_DEG * per_command, per_command])
    found = learnt.posterior
    line = found.springback(rows, np.array([number, number]), scatter=False)
    means, mean = line.means, line.mean()
    covariance = np.zeros((2, 2))
    for index, (fit, weight) in enumerate(zip(found.fits, found.weights, strict=True)):
        off = means[:, index] - mean
        covariance += weight * (line_covariance(fit, rows, number) + np.outer(off, off))
    commands: Vector = learnt.readings.command_deg[learnt.counted]
    return Springback(
        constant_deg=float(mean[0]),
        per_command_deg=float(mean[1]),
        covariance=tuple(tuple(float(value) for value in row) for row in covariance),
        scatter_sd_deg=math.sqrt(float(found.weights @ found.nodes.scatter_deg**2)),
        smallest_deg=float(commands.min()) if len(commands) else None,
        largest_deg=float(commands.max()) if len(commands) else None,
    )


def as_calibration(learnt: Learnt, *, batch: str | None = None) -> Calibration:
    """The samples' calibration with the learnt line in place of the samples' own.

    Raises:
        UserError: as `fit_calibration`.
    """
    fitted = fit_calibration(learnt.samples)
    kept = tuple(finding for finding in fitted.findings if finding.code not in _OF_THE_OLD_LINE)
    return replace(
        fitted,
        batch=fitted.batch if batch is None else batch,
        springback=learnt_line(learnt, batch=batch),
        prior=(*fitted.prior, *learnt.prior.words),
        findings=(*kept, *learnt.findings),
    )
