"""What the person asks: room that the torch needs, a place to try, and how pedestals are made."""

import math
from dataclasses import dataclass

from hoopwright.findings import Finding, Severity, UserError

_LIMITS = {
    "needs_mm": (0.0, 500.0, "mm"),
    "drop_mm": (0.0, 500.0, "mm"),
    "shift_mm": (-1000.0, 1000.0, "mm"),
    "tilt_deg": (-20.0, 20.0, "deg"),
    "pedestal_step_mm": (10.0, 100.0, "mm"),
    "most_drop_mm": (0.0, 500.0, "mm"),
}


@dataclass(frozen=True, kw_only=True)
class Wish:
    """What is asked of the plan.

    Args:
        needs_mm: Room over the tube that the torch needs; the drop follows from it. None finds the drop by trying the
            torch at every joint.
        drop_mm: A drop to try as typed.
        shift_mm: How far the lowered part is slid forward (backward below 0), as typed.
        tilt_deg: How far it is tilted, its front down above 0, as typed.
        pedestal_step_mm: Pedestals are made in steps of this; common practice, no source.
        most_drop_mm: Greatest drop that is tried where none is typed.
    """

    needs_mm: float | None = None
    drop_mm: float | None = None
    shift_mm: float | None = None
    tilt_deg: float | None = None
    pedestal_step_mm: float = 10.0
    most_drop_mm: float = 150.0


def check_wish(wish: Wish) -> None:
    """Stop on a wish that cannot be.

    Raises:
        UserError: `REACH-002` for each number that is out of range.
    """
    wrong = []
    for name, (lowest, highest, unit) in _LIMITS.items():
        value = getattr(wish, name)
        # written so that NaN is refused too
        if value is not None and not lowest <= value <= highest:
            words = name.rpartition("_")[0].replace("_", " ")
            wrong.append(
                Finding(
                    code="REACH-002",
                    severity=Severity.STOP,
                    sentence=f"The {words} of {value:g} {unit} cannot be (limits {lowest:g} to {highest:g} {unit}).",
                    todo="Check the number and its unit.",
                    objects=(words,),
                    measured=value if math.isfinite(value) else None,
                    limit=lowest if value < lowest else highest,
                    unit=unit,
                )
            )
    if wish.needs_mm is not None and wish.drop_mm is not None:
        wrong.append(
            Finding(
                code="REACH-002",
                severity=Severity.STOP,
                sentence=f"Both a room of {wish.needs_mm:g} mm and a drop of {wish.drop_mm:g} mm are typed; the one "
                "follows from the other.",
                todo="Type one of them.",
            )
        )
    if wrong:
        raise UserError(*wrong)


def pedestal_mm(drop_mm: float, step_mm: float) -> float:
    """The next practical height: the drop rounded up to a whole step."""
    return math.ceil(drop_mm / step_mm - 1e-6) * step_mm
