"""The hash by which a printed sheet is known."""

import hashlib
import json
from collections.abc import Sequence
from typing import Any

from hoopwright.bars import Bar
from hoopwright.bender.calibration import BendNumbers, Calibration
from hoopwright.bender.machine import Machine
from hoopwright.bender.order import Order

_IDENTITY_DIGITS = 10
_HASHED_DECIMALS = 6


def sheet_identity(
    bar: Bar,
    calibration: Calibration,
    numbers: BendNumbers,
    feeds: Order,
    machine: Machine,
    names: tuple[str, str, str],
    trims_mm: tuple[float, float],
    notes: Sequence[str] = (),
) -> str:
    """First ten hex digits of the SHA-256 of everything that a sheet is made from.

    Args:
        bar: With its finished radius.
        calibration: Its name, die, batch and springback line.
        numbers: Radius, tube used, start offset.
        feeds: Order of bending.
        machine: Its hand.
        names: Id, title and side.
        trims_mm: Trim at A and at B.
        notes: What else the sheet says of this bar; without any, the hash is that of a sheet that knows no notes.
    """
    line = calibration.springback
    made_of: dict[str, Any] = {
        "names": [bar.name, *names],
        "nodes_mm": [_rounded(node) for node in bar.nodes_mm],
        "tube_mm": _rounded((bar.tube.od_mm, bar.tube.wall_mm)),
        "calibration": [calibration.name, calibration.die, calibration.batch, calibration.calibrated],
        "numbers": _rounded((numbers.clr_mm, numbers.used_per_deg_mm, numbers.start_offset_mm)),
        "springback": None if line is None else _rounded((line.constant_deg, line.per_command_deg)),
        "trims_mm": _rounded(trims_mm),
        "order": [[feed.bend, feed.fed_from] for feed in feeds],
        "swings": machine.swings,
    }
    if notes:
        made_of["notes"] = list(notes)
    text = json.dumps(made_of, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()[:_IDENTITY_DIGITS]


def _rounded(values: Sequence[float]) -> list[float]:
    """Rounding far under anything that can be made, so that another computer's last digit is no revision."""
    return [round(value, _HASHED_DECIMALS) + 0.0 for value in values]
