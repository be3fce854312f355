"""How bends are expected to come out before anything is measured: the prior of every estimate from a tape.

Bends of like angle are made alike, so that they are wrong alike: a common error for each kind, and a small one of
each bend on top. On a hoop this makes the errors that are the same left and right the likely ones.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, BendTable
from hoopwright.bender.order import is_hoop

LIKE_ANGLES_DEG = 1.0


@dataclass(frozen=True, kw_only=True)
class Scatter:
    """Standard deviations of what a bender makes; common practice, no source.

    Args:
        kind_deg: Error that all bends of one kind share: springback and reading under load.
        bend_deg: Error of one bend against others of its kind.
        rotation_deg: Error of a rotation.
        straight_mm: Error of a straight: where a mark was set.
    """

    kind_deg: float = 1.0
    bend_deg: float = 0.15
    rotation_deg: float = 0.5
    straight_mm: float = 1.0


@dataclass(frozen=True, kw_only=True)
class Kind:
    """Bends that are made alike.

    Args:
        name: In words: `both knees (bends 1 and 4)`.
        bends: Their numbers from end A, from 1.
    """

    name: str
    bends: tuple[int, ...]


def kinds_of(bar: Bar, table: BendTable) -> tuple[Kind, ...]:
    """The bends of a bar by like angle, in the order in which the first of each comes."""
    groups: list[list[int]] = []
    for index, angle in enumerate(table.angles_deg):
        like = [g for g in groups if abs(table.angles_deg[g[0] - 1] - angle) <= LIKE_ANGLES_DEG]
        if like:
            like[0].append(index + 1)
        else:
            groups.append([index + 1])
    words = _hoop_words(bar, groups)
    return tuple(
        Kind(name=f"{word} ({_numbers(group)})" if word else _numbers(group), bends=tuple(group))
        for word, group in zip(words, groups, strict=True)
    )


def covariance_deg2(kinds: Sequence[Kind], bends: int, scatter: Scatter) -> NDArray[np.float64]:
    """Prior covariance of the angles, shape (bends, bends), degrees squared."""
    made = np.eye(bends) * scatter.bend_deg**2
    for kind in kinds:
        rows = np.array(kind.bends) - 1
        made[np.ix_(rows, rows)] += scatter.kind_deg**2
    return made


def _hoop_words(bar: Bar, groups: Sequence[Sequence[int]]) -> list[str]:
    last = bar.bend_count
    known = {(1, last): "both knees", (2, last - 1): "both shoulders"} if last == 4 and is_hoop(bar) else {}
    return [known.get((group[0], group[-1]), "") if len(group) == 2 else "" for group in groups]


def _numbers(group: Sequence[int]) -> str:
    if len(group) == 1:
        return f"bend {group[0]}"
    listed = f"{', '.join(map(str, group[:-1]))} and {group[-1]}"
    return f"bends {listed}"
