"""What to read under load, with the band that 95 of 100 bends keep to."""

import math
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bender.learning.learn import Learnt
from hoopwright.bender.learning.mixture import Mixture
from hoopwright.bender.learning.moments import design_rows
from hoopwright.bender.springback import FULL_REACH_DEG, outside_reach
from hoopwright.findings import Finding, Severity

LOW_SHARE, HIGH_SHARE = 0.025, 0.975
WIDE_BAND_DEG = 1.0
"""Half a band from which sneaking up is advised; common practice, no source."""
_ROUNDS = 25


@dataclass(frozen=True, kw_only=True)
class LearntCommand:
    """What to read under load for a wanted angle.

    Args:
        target_deg: Wanted angle of the finished bend.
        command_deg: What to read under load.
        sd_deg: Its standard deviation.
        command_low_deg: Should this bend spring back as little as 1 in 40 do, this is enough.
        command_high_deg: Should it spring back as much as 1 in 40 do, this is needed.
        released_low_deg: 1 in 40 bends comes out below, at `command_deg`.
        released_high_deg: 1 in 40 bends comes out above.
        batch: Tube batch.
        batch_known: Whether bends of that batch were learnt from.
        findings: What goes with it.
    """

    target_deg: float
    command_deg: float
    sd_deg: float
    command_low_deg: float
    command_high_deg: float
    released_low_deg: float
    released_high_deg: float
    batch: str
    batch_known: bool
    findings: tuple[Finding, ...] = ()

    @property
    def half_band_deg(self) -> float:
        """Half of the band of the released angle."""
        return (self.released_high_deg - self.released_low_deg) / 2.0


def springback_at(
    learnt: Learnt, command_deg: float, batch: str | None = None, *, scatter: bool = True
) -> Mixture:
    """Springback of the next bend at a command, as a distribution with one entry.

    Args:
        learnt: What was learnt.
        command_deg: What the gauge will read under load.
        batch: Its batch; None for that of the samples.
        scatter: With the scatter of one bend, or the line alone.
    """
    number = learnt.batch_number(learnt.samples.batch if batch is None else batch)
    rows = design_rows(np.array([command_deg]), np.array([learnt.next_count]))
    return learnt.posterior.springback(rows, np.array([number]), scatter=scatter)


def learnt_command(
    learnt: Learnt, target_deg: float, *, batch: str | None = None, die_reach_deg: float = FULL_REACH_DEG
) -> LearntCommand:
    """The angle to read under load so that the wanted one is left, with its 95 % band.

    The band holds what is not known of the line, of the batch and of the drift, and the scatter of one bend.

    Args:
        learnt: What was learnt.
        target_deg: Wanted angle.
        batch: Tube batch; None for that of the samples.
        die_reach_deg: Greatest angle that the die reaches under load.

    Raises:
        UserError: `CAL-011` when wanted angle or command are outside 0 to the reach.
    """
    if not (math.isfinite(target_deg) and 0.0 < target_deg < die_reach_deg):
        raise outside_reach("The wanted angle", target_deg, die_reach_deg)
    name = learnt.samples.batch if batch is None else batch
    command = _solve(learnt, target_deg, name, None)
    if not 0.0 < command <= die_reach_deg:
        raise outside_reach(f"For {target_deg:g}° the command", command, die_reach_deg)
    low, high = (_solve(learnt, target_deg, name, share) for share in (LOW_SHARE, HIGH_SHARE))
    there = springback_at(learnt, command, name)
    least, most = (float(there.quantile(share)[0]) for share in (LOW_SHARE, HIGH_SHARE))
    made = LearntCommand(
        target_deg=target_deg,
        command_deg=command,
        sd_deg=float(there.sd()[0]) * (high - low) / (most - least),
        command_low_deg=low,
        command_high_deg=high,
        released_low_deg=max(0.0, command - most),
        released_high_deg=max(0.0, command - least),
        batch=name,
        batch_known=learnt.batch_number(name) >= 0,
    )
    return _with_findings(made)


def _solve(learnt: Learnt, target_deg: float, batch: str, share: float | None) -> float:
    """Command less its springback, mean or quantile, is the target; found by putting in again and again."""
    command = target_deg
    for _ in range(_ROUNDS):
        springback = springback_at(learnt, max(command, 0.0), batch)
        further = target_deg + float((springback.mean() if share is None else springback.quantile(share))[0])
        if abs(further - command) < 1e-9:
            return further
        command = further
    return command


def _with_findings(made: LearntCommand) -> LearntCommand:
    findings = []
    if not made.batch_known:
        findings.append(_new_batch(made))
    if made.half_band_deg > WIDE_BAND_DEG:
        findings.append(_sneak_up(made))
    return replace(made, findings=tuple(findings))


def _new_batch(made: LearntCommand) -> Finding:
    name = f"batch '{made.batch}'" if made.batch else "a batch without a name"
    return Finding(
        code="LEARN-020",
        severity=Severity.NOTE,
        sentence=f"No bend of {name} was read yet: 95 of 100 come out within ± {made.half_band_deg:.1f}° of "
        f"{made.target_deg:g}°.",
        todo="Bend a sample of it first where that is too much, and log it.",
        objects=(made.batch,) if made.batch else (),
        measured=made.half_band_deg,
        unit="deg",
    )


def _sneak_up(made: LearntCommand) -> Finding:
    return Finding(
        code="LEARN-021",
        sentence=f"The band is ± {made.half_band_deg:.1f}° at {made.target_deg:g}° (over {WIDE_BAND_DEG:g}°, common "
        "practice, no source).",
        todo=f"Sneak up on it: go to {made.command_low_deg:.1f}° first, release, measure, and bend the rest.",
        measured=made.half_band_deg,
        limit=WIDE_BAND_DEG,
        unit="deg",
    )
