"""What a scan must be for a bar to be found in it."""

import numpy as np

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Points

FEWEST_POINTS = 300
SHORTEST_MM, LONGEST_MM = 80.0, 30_000.0
TWO_BARS_SHARE = 0.2
TWO_BARS_MM = 250.0


def usable(points_mm: Points) -> Points:
    """The finite points of shape (n, 3), mm; shape (m, 3).

    Raises:
        UserError: `ASBENT-020` for too few, `ASBENT-021` for a scan as small as a nut or as large as a house.
    """
    points = np.asarray(points_mm, dtype=np.float64).reshape(-1, 3)
    finite = points[np.isfinite(points).all(axis=1)]
    if len(finite) < FEWEST_POINTS:
        raise _stop(
            "ASBENT-020",
            f"The scan has {len(finite)} points that can be used; a bar needs {FEWEST_POINTS} or more.",
            "Scan the bar again, or choose the right file.",
            float(len(finite)),
            float(FEWEST_POINTS),
        )
    size = float(np.linalg.norm(np.ptp(finite, axis=0)))
    if not SHORTEST_MM <= size <= LONGEST_MM:
        raise _stop(
            "ASBENT-021",
            f"The scan is {size:.3g} mm from corner to corner, which is no bar on a floor "
            f"({SHORTEST_MM:g} to {LONGEST_MM:g} mm).",
            "Name the unit of the file (--unit): mm, cm, m, in or ft.",
            size,
            SHORTEST_MM if size < SHORTEST_MM else LONGEST_MM,
        )
    return finite


def nothing_round() -> UserError:
    """There is no tube in the scan."""
    return _stop(
        "ASBENT-022",
        "Nothing in the scan is a tube of 12 to 120 mm outside diameter: a plate, a floor, or points too far apart.",
        "Scan the bar with points at most a tenth of its diameter apart, or choose the right file and unit.",
    )


def refuse_two(length_mm: float, other_mm: float) -> None:
    """Stop where a good part of the tube is not on the bar.

    Raises:
        UserError: `ASBENT-023`.
    """
    if other_mm < max(TWO_BARS_SHARE * length_mm, TWO_BARS_MM):
        return
    raise _stop(
        "ASBENT-023",
        f"Besides a bar of {length_mm:.0f} mm the scan has {other_mm:.0f} mm of like tube: two bars, or one in pieces.",
        "Scan one bar at a time, or cut the other out of the file; close gaps of more than eight diameters.",
        other_mm,
        max(TWO_BARS_SHARE * length_mm, TWO_BARS_MM),
    )


def no_bar(why: str) -> UserError:
    """What was found does not make a bar."""
    return _stop(
        "ASBENT-024",
        f"The tube in the scan makes no bar of straights and bends: {why}.",
        "Look at the scan; it needs every straight, at least two diameters of each.",
    )


def _stop(
    code: str, sentence: str, todo: str, measured: float | None = None, limit: float | None = None
) -> UserError:
    return UserError(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=sentence,
            todo=todo,
            measured=measured,
            limit=limit,
            unit="mm" if measured is not None and code != "ASBENT-020" else "",
        )
    )
