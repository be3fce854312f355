"""One reading of a released bend against what was wanted: go on, add, or over."""

import math
from dataclasses import dataclass
from typing import Literal

from hoopwright.bender.calibration import Springback

BAND_DEG = 0.3
"""How far a released bend may be off before something is done; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Judged:
    """What a reading means.

    Args:
        answer: `go on`, `add` or `over`.
        off_deg: Reading less target; negative when the bend is under.
        add_deg: How much more to read under load than the last time; None unless it is to be added.
        command_deg: What to read under load now; None without the last command.
    """

    answer: Literal["go on", "add", "over"]
    off_deg: float
    add_deg: float | None = None
    command_deg: float | None = None


def judge_reading(
    released_deg: float,
    target_deg: float,
    *,
    band_deg: float = BAND_DEG,
    line: Springback | None = None,
    last_command_deg: float | None = None,
    die_reach_deg: float = 180.0,
) -> Judged:
    """What a reading means, and how much to add where the bend is under.

    Bent again at its place, the tube springs back as before and a little more for what is added: one degree more
    under load leaves 1 - p degrees, p being the springback per degree of the command. The constant part of this
    very bend is in the reading already.

    Args:
        released_deg: What was read after release.
        target_deg: What was wanted.
        band_deg: How far off is good enough.
        line: The springback line; without, a degree added is taken to stay.
        last_command_deg: What was read under load.
        die_reach_deg: Greatest angle under load; where that is not enough, what is missing counts as under and
            cannot be added: the answer is `over`, for the other bends must make up for it.
    """
    off = released_deg - target_deg
    if abs(off) <= band_deg + 1e-9:
        return Judged(answer="go on", off_deg=off)
    if off > 0.0:
        return Judged(answer="over", off_deg=off)
    add = -off / (1.0 - (line.per_command_deg if line is not None else 0.0))
    command = None if last_command_deg is None else last_command_deg + add
    if command is not None and command > die_reach_deg:
        return Judged(answer="over", off_deg=off)
    return Judged(answer="add", off_deg=off, add_deg=add, command_deg=command)


def is_angle(angle_deg: float, most_deg: float) -> bool:
    """Whether a released angle can be: a number from 0 to what the die reaches."""
    return math.isfinite(angle_deg) and 0.0 <= angle_deg <= most_deg
