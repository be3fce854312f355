"""What the distances can tell apart, what they cannot, and which one more would tell most."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bender.as_bent.scatter import Kind
from hoopwright.bender.as_bent.tape_fit import TapeFit
from hoopwright.findings import Finding, Severity

TOLD_SD_DEG = 0.25
"""A kind of bends is told when its error is known this well: 0.25° is 4 mm at the end of a 1 m leg."""
_LITTLE_LEARNT = 0.9
_FAR_OFF_SD, _UNLIKE_SD = 3.0, 2.0


@dataclass(frozen=True, kw_only=True)
class KindResult:
    """How the bends of one kind came out.

    Args:
        kind: The bends.
        over_deg: Mean over the sheet's angle; under is negative.
        sd_deg: Its standard deviation.
        apart_sd_deg: Standard deviation of one bend against the mean of its kind; 0 for a kind of one bend.
        told: Whether the distances tell it.
        alike: Whether the bends of this kind were taken as alike, since nothing told them apart.
    """

    kind: Kind
    over_deg: float
    sd_deg: float
    apart_sd_deg: float
    told: bool
    alike: bool


@dataclass(frozen=True, kw_only=True)
class NextDistance:
    """The distance that would tell most.

    Args:
        key: Its short name.
        words: Where the tape goes.
        sd_deg: The worst standard deviation of a kind once it is taken.
    """

    key: str
    words: str
    sd_deg: float


@dataclass(frozen=True, kw_only=True)
class Told:
    """What a tape fit tells.

    Args:
        kinds: Each kind of bends.
        can_tell: Whether every kind is told.
        next_distance: What to measure next; None when all are taken.
        findings: What cannot be told, and what is far off.
    """

    kinds: tuple[KindResult, ...]
    can_tell: bool
    next_distance: NextDistance | None
    findings: tuple[Finding, ...]


def what_it_tells(fit: TapeFit) -> Told:
    """Hold the uncertainty of a tape fit against what is needed."""
    results = tuple(_result(fit, kind) for kind in fit.kinds)
    can_tell = all(result.told for result in results)
    following = _next(fit)
    findings = [
        *([] if can_tell else [_cannot(fit, results, following)]),
        *(_taken_alike(fit, result) for result in results if result.alike and result.told),
        *(_unlike(fit, result) for result in results if _is_unlike(fit, result)),
        *(_far(fit, result) for result in results if result.told and _is_far(fit, result)),
    ]
    return Told(kinds=results, can_tell=can_tell, next_distance=following, findings=tuple(findings))


def _result(fit: TapeFit, kind: Kind) -> KindResult:
    rows = np.array(kind.bends) - 1
    angles = np.array(fit.errors.angles_deg)[rows]
    sd = _kind_sd(fit.covariance, kind)
    apart = _apart_sd(fit.covariance, kind)
    usual = fit.scatter.bend_deg * float(np.sqrt(1.0 - 1.0 / len(rows)))
    return KindResult(
        kind=kind,
        over_deg=float(angles.mean()),
        sd_deg=sd,
        apart_sd_deg=apart,
        told=sd <= TOLD_SD_DEG,
        alike=len(rows) > 1 and apart > _LITTLE_LEARNT * usual,
    )


def _kind_sd(covariance: NDArray[np.float64], kind: Kind) -> float:
    rows = np.array(kind.bends) - 1
    return float(np.sqrt(covariance[np.ix_(rows, rows)].mean()))


def _apart_sd(covariance: NDArray[np.float64], kind: Kind) -> float:
    rows = np.array(kind.bends) - 1
    block = covariance[np.ix_(rows, rows)]
    centred = np.eye(len(rows)) - 1.0 / len(rows)
    return float(np.sqrt(np.diag(centred @ block @ centred).max()))


def _next(fit: TapeFit) -> NextDistance | None:
    """The distance not taken yet that leaves the least doubt in the kind that is known worst."""
    left = [k for k in range(len(fit.distances)) if k not in fit.measured]
    if not left:
        return None
    worst = {}
    for index in left:
        slope = fit.slopes[index] / fit.distances[index].sd_mm
        gain = fit.covariance @ slope
        after = fit.covariance - np.outer(gain, gain) / (1.0 + float(slope @ gain))
        worst[index] = max(_kind_sd(after, kind) for kind in fit.kinds)
    best = min(worst, key=worst.__getitem__)
    return NextDistance(key=fit.distances[best].key, words=fit.distances[best].words, sd_deg=worst[best])


def _cannot(fit: TapeFit, results: Sequence[KindResult], following: NextDistance | None) -> Finding:
    open_ones = [result for result in results if not result.told]
    worst = max(open_ones, key=lambda result: result.sd_deg)
    names = " from ".join(result.kind.name for result in open_ones[:2])
    what = names if len(open_ones) > 1 else f"how {names} came out"
    alone = "; ".join(_alone(fit))
    todo = "Nothing more on this bar's sheet would tell; scan it, or read each bend with the gauge."
    if following is not None:
        todo = (
            f"Measure '{following.key}' next: {following.words}. Then ± {following.sd_deg:.2f}° at the worst."
        )
    return Finding(
        code="ASBENT-010",
        sentence=f"Bar {fit.bar.name}: these distances cannot tell {what} (± {worst.sd_deg:.2f}° against the "
        f"{TOLD_SD_DEG:g}° that is needed)." + (f" They would read the same with {alone}." if alone else ""),
        todo=todo,
        objects=(fit.bar.name, *(result.kind.name for result in open_ones)),
        measured=worst.sd_deg,
        limit=TOLD_SD_DEG,
        unit="deg",
    )


def _alone(fit: TapeFit) -> list[str]:
    """Each kind that could alone have made what was measured, with the angle that it would need."""
    slopes = fit.slopes[list(fit.measured)]
    sds = np.array([fit.distances[k].sd_mm for k in fit.measured])
    angles = np.array(fit.errors.angles_deg)
    off = slopes[:, : len(angles)] @ angles + np.array(fit.residuals_mm)
    told = []
    for kind in fit.kinds:
        column = slopes[:, np.array(kind.bends) - 1].sum(axis=1) / sds
        if float(column @ column) == 0.0:
            continue
        alone = float(column @ (off / sds)) / float(column @ column)
        left = off / sds - column * alone
        if float(np.abs(left).max()) <= 2.0 and abs(alone) <= 10.0:
            told.append(f"{kind.name} alone {_over(alone)}")
    return told


def _over(angle_deg: float) -> str:
    return f"{abs(angle_deg):.2f}° {'over' if angle_deg >= 0.0 else 'under'}"


def _taken_alike(fit: TapeFit, result: KindResult) -> Finding:
    return Finding(
        code="ASBENT-011",
        severity=Severity.NOTE,
        sentence=f"Bar {fit.bar.name}: nothing measured tells {result.kind.name} from each other; they are taken as "
        f"alike, each within ± {result.apart_sd_deg:.2f}°, as benders usually scatter.",
        todo="Measure a diagonal if they may differ.",
        objects=(fit.bar.name, result.kind.name),
        measured=result.apart_sd_deg,
        unit="deg",
    )


def _is_unlike(fit: TapeFit, result: KindResult) -> bool:
    """Whether bends of one kind differ by more than they usually do."""
    angles = [fit.errors.angles_deg[bend - 1] for bend in result.kind.bends]
    return max(abs(angle - result.over_deg) for angle in angles) > _UNLIKE_SD * fit.scatter.bend_deg


def _unlike(fit: TapeFit, result: KindResult) -> Finding:
    angles = {bend: fit.errors.angles_deg[bend - 1] for bend in result.kind.bends}
    said = ", ".join(f"bend {bend} {_over(angle)}" for bend, angle in angles.items())
    return Finding(
        code="ASBENT-014",
        sentence=f"Bar {fit.bar.name}: {result.kind.name} are not alike: {said}.",
        todo="Measure the diagonals again; if they stand, the bar leans.",
        objects=(fit.bar.name, result.kind.name),
        measured=max(abs(angle - result.over_deg) for angle in angles.values()),
        limit=_UNLIKE_SD * fit.scatter.bend_deg,
        unit="deg",
    )


def _is_far(fit: TapeFit, result: KindResult) -> bool:
    return abs(result.over_deg) > _FAR_OFF_SD * fit.scatter.kind_deg


def _far(fit: TapeFit, result: KindResult) -> Finding:
    return Finding(
        code="ASBENT-012",
        sentence=f"Bar {fit.bar.name}: {result.kind.name} {_over(result.over_deg)}, more than benders scatter "
        f"({_FAR_OFF_SD * fit.scatter.kind_deg:g}°).",
        todo="Measure again; if it stands, look for a wrong mark or a bend made twice.",
        objects=(fit.bar.name, result.kind.name),
        measured=result.over_deg,
        limit=_FAR_OFF_SD * fit.scatter.kind_deg,
        unit="deg",
    )
