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

    Of another batch than the samples' the radius and the tube used per degree follow from its springback: the arc
    keeps its length while it opens, so both grow as the share of the angle that is kept shrinks.

    Args:
        learnt: What was learnt.
        batch: The batch; None for that of the samples.

    Raises:
        UserError: as `fit_calibration`.
    """
    fitted = fit_calibration(learnt.samples)
    if batch is not None and batch != learnt.samples.batch:
        fitted = of_other_batch(
            fitted, learnt_line(learnt), learnt_line(learnt, batch=batch), batch or "without a name"
        )
    kept = tuple(finding for finding in fitted.findings if finding.code not in _OF_THE_OLD_LINE)
    return replace(
        fitted,
        batch=fitted.batch if batch is None else batch,
        springback=learnt_line(learnt, batch=batch),
        prior=(*fitted.prior, *learnt.prior.words),
        findings=(*kept, *learnt.findings),
    )


def of_other_batch(fitted: Calibration, own: Springback, other: Springback, name: str) -> Calibration:
    """Radius and tube used of a batch with another springback than the samples'.

    Args:
        fitted: From the samples.
        own: Line of the samples' batch.
        other: Line of the other one.
        name: Its name, in words.

    Source: derived; angle and radius change by the same share on release.
    """
    ratio = (1.0 - own.per_command_deg) / (1.0 - other.per_command_deg)
    share_sd = math.sqrt(own.covariance[1][1] + other.covariance[1][1])
    radius, used = fitted.clr_mm, fitted.used_per_deg_mm
    covariance = fitted.covariance
    if covariance is not None and radius is not None and used is not None:
        scale = np.array([ratio, 1.0, ratio])
        more = share_sd * np.array([radius, 0.0, used])
        widened = np.array(covariance) * np.outer(scale, scale) + np.outer(more, more)
        covariance = tuple(tuple(float(value) for value in row) for row in widened)
    return replace(
        fitted,
        clr_mm=_times(radius, ratio),
        clr_sd_mm=_wider(fitted.clr_sd_mm, radius, share_sd),
        used_per_deg_mm=_times(used, ratio),
        used_per_deg_sd_mm=_wider(fitted.used_per_deg_sd_mm, used, share_sd),
        covariance=covariance,
        prior=(
            *fitted.prior,
            f"radius and tube used of batch {name}: the samples' times {ratio:.4f}, from its springback (derived)",
        ),
    )


def _times(value: float | None, ratio: float) -> float | None:
    return None if value is None else value * ratio


def _wider(sd: float | None, value: float | None, share_sd: float) -> float | None:
    return None if sd is None or value is None else math.hypot(sd, value * share_sd)
