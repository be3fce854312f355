"""Vehicle axes from landmarks that the person found both in the scan and on the car."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Transform, Vector
from hoopwright.shell.records import ScanLandmark

_STARTS = 24
_LEAST_STIFFNESS = 1e-5


@dataclass(frozen=True, eq=False, kw_only=True)
class LandmarkAlignment:
    """Vehicle axes, and how well the landmarks agree.

    Args:
        to_vehicle: From the scan to the vehicle frame.
        residual_mm: How far each landmark is from where it is said to be, by name.
        rms_mm: Root mean square over everything that was known.
    """

    to_vehicle: Transform
    residual_mm: dict[str, float]
    rms_mm: float


def align_by_landmarks(landmarks: Sequence[ScanLandmark]) -> LandmarkAlignment:
    """Least-squares axes through landmarks.

    Each known coordinate and each pair of twins is one condition; any set that fixes all six degrees of
    freedom will do, such as three full places, or two pairs of twins with their heights and places forward and
    one landmark's place to the left. Without that the scan can be turned over about the line through the middles
    of two pairs, so that left and right change places.

    Raises:
        UserError: `SCAN-023` when the landmarks leave a direction or a shift open, `SCAN-024` when a twin is
            not there.
    """
    points = np.array([one.scan_mm for one in landmarks], dtype=np.float64).reshape(-1, 3)
    twins = _twin_pairs(landmarks)
    known = [
        (index, axis, value)
        for index, one in enumerate(landmarks)
        for axis, value in enumerate((one.forward_mm, one.left_mm, one.up_mm))
        if value is not None
    ]
    if len(points) == 0 or not np.isfinite(points).all() or len(known) + 3 * len(twins) < 6:
        raise _open("there are too few known places")
    middle = points.mean(axis=0)
    scale = max(1.0, float(np.abs(points - middle).max()))
    at = np.array([[index, axis] for index, axis, _ in known], dtype=np.int64).reshape(-1, 2)
    values = np.array([value for _, _, value in known])

    def residuals(pose: Vector) -> Vector:
        placed = Rotation.from_rotvec(pose[:3]).apply(points - middle) + pose[3:] * scale
        first, second = placed[twins[:, 0]], placed[twins[:, 1]]
        apart = (second - first) * [1.0, 0.0, 1.0] + (second + first) * [0.0, 1.0, 0.0]
        return np.concatenate([placed[at[:, 0], at[:, 1]] - values, apart.ravel()])

    starts = Rotation.random(_STARTS, random_state=0).as_rotvec()
    fits = [least_squares(residuals, np.concatenate([start, np.zeros(3)]), x_scale="jac") for start in starts]
    best = min(fits, key=lambda fit: float(fit.cost))
    stiffness = np.linalg.svd(np.asarray(best.jac), compute_uv=False)
    if stiffness[-1] < _LEAST_STIFFNESS * stiffness[0]:
        raise _open("they leave a turn or a shift free")
    if _has_rival([(float(fit.cost), fit.x) for fit in fits], float(best.cost), best.x):
        raise _open("the car fits them in more than one position")
    turn = Rotation.from_rotvec(best.x[:3])
    rest = residuals(best.x)
    return LandmarkAlignment(
        to_vehicle=Transform(
            rotation=turn.as_matrix(),
            shift_mm=best.x[3:] * scale - turn.apply(middle),
            source="scan",
            target="vehicle",
        ),
        residual_mm=_per_landmark(landmarks, at, twins, rest),
        rms_mm=float(np.sqrt(np.mean(rest**2))),
    )


def _twin_pairs(landmarks: Sequence[ScanLandmark]) -> np.ndarray:
    names = {one.name: index for index, one in enumerate(landmarks)}
    pairs = set()
    for index, one in enumerate(landmarks):
        if one.twin is None:
            continue
        if one.twin not in names or one.twin == one.name:
            raise UserError(
                Finding(
                    code="SCAN-024",
                    severity=Severity.STOP,
                    sentence=f"Landmark '{one.name}' names '{one.twin}' as its twin, which is not there.",
                    todo="Name the landmark of the other side.",
                    objects=(one.name,),
                )
            )
        pairs.add((min(index, names[one.twin]), max(index, names[one.twin])))
    return np.array(sorted(pairs), dtype=np.int64).reshape(-1, 2)


def _has_rival(fits: Sequence[tuple[float, Vector]], cost: float, pose: Vector) -> bool:
    """Whether quite another turn of the scan fits as well."""
    turn = Rotation.from_rotvec(pose[:3])
    return any(
        other_cost < cost * 1.01 + 1e-6 and (turn.inv() * Rotation.from_rotvec(other[:3])).magnitude() > 0.02
        for other_cost, other in fits
    )


def _per_landmark(
    landmarks: Sequence[ScanLandmark], at: np.ndarray, twins: np.ndarray, rest: Vector
) -> dict[str, float]:
    squares = np.zeros(len(landmarks))
    np.add.at(squares, at[:, 0], rest[: len(at)] ** 2)
    pairs = (rest[len(at) :].reshape(-1, 3) ** 2).sum(axis=1)
    for side in (0, 1):
        np.add.at(squares, twins[:, side], pairs / 4.0)
    return {one.name: float(value) for one, value in zip(landmarks, np.sqrt(squares), strict=True)}


def _open(why: str) -> UserError:
    return UserError(
        Finding(
            code="SCAN-023",
            severity=Severity.STOP,
            sentence=f"These landmarks do not fix the vehicle axes: {why}.",
            todo="Give three or more landmarks that are not on one line with their places on the car, or twins of "
            "both sides with their heights and places forward, and one place to the left.",
        )
    )
