"""How an end is cut by hand: hole saws, and two straight saw cuts; counted from the tube sawn square at its tip."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from hoopwright.joints.cope import HoleSaw, SawCut, SawCuts, hole_saw, saw_cuts
from hoopwright.joints.meet.cut_one import once_round_deg
from hoopwright.joints.meet.end_cut import EndCut

COMMON_SAWS_MM = (
    *(25.0, 27.0, 29.0, 30.0, 32.0, 33.0, 35.0, 37.0, 38.0, 40.0, 41.0, 43.0, 44.0, 46.0),
    *(48.0, 50.0, 51.0, 52.0, 54.0, 55.0, 57.0, 60.0, 64.0),
)
"""Hole saws as they are sold; common practice, no source: type your own."""


@dataclass(frozen=True, kw_only=True)
class HandCut:
    """An end as it is cut by hand, when its tube is sawn square at the tip first.

    Lengths count from that square end into the bar, negative beyond it. Angles count from the datum line, right-hand
    rule about the travel from A to B.

    Args:
        name: Name of the joint.
        saws: A hole saw for each header that cuts some of the end.
        off_toward_deg: For each saw, where round the tube the side lies toward which the tube is off the saw's axis.
        saw_cuts: Two straight saw cuts; None where part of the end is not cut.
    """

    name: str
    saws: tuple[HoleSaw, ...]
    off_toward_deg: tuple[float, ...]
    saw_cuts: SawCuts | None

    @property
    def one_saw(self) -> HoleSaw | None:
        """The hole saw that makes the whole cope in one cut; None where none does."""
        return self.saws[0] if len(self.saws) == 1 and self.saws[0].does_it else None


def hand_cut(cut: EndCut, *, saws_mm: Sequence[float] = COMMON_SAWS_MM) -> HandCut:
    """How an end is cut by hand.

    Args:
        cut: The end.
        saws_mm: Diameters of the hole saws at hand.
    """
    used = [k for k in range(len(cut.header_tubes)) if (cut.profile.header_index == k).any()]
    saws = [
        hole_saw(cut.branch, cut.header_tubes, header_index=index, saws_mm=_near(saws_mm, cut, index))
        for index in used
    ]
    straight = saw_cuts(cut.profile, cut.branch.od_mm)
    tip = cut.profile.tip_mm
    return HandCut(
        name=cut.name,
        saws=tuple(
            replace(saw, along_mm=saw.along_mm - tip, heel_deg=_by_travel(cut, saw.heel_deg)) for saw in saws
        ),
        off_toward_deg=tuple(_off_toward_deg(cut, saw) for saw in saws),
        saw_cuts=None
        if straight is None
        else replace(straight, cuts=(_moved(cut, straight.cuts[0]), _moved(cut, straight.cuts[1]))),
    )


def _off_toward_deg(cut: EndCut, saw: HoleSaw) -> float:
    quarter = 90.0 if saw.offset_mm >= 0.0 else -90.0
    return _by_travel(cut, saw.heel_deg + quarter)


def _near(saws_mm: Sequence[float], cut: EndCut, index: int) -> tuple[float, ...]:
    """The four saws nearest to a header in diameter."""
    od_mm = cut.header_tubes[index].od_mm
    return tuple(sorted(saws_mm, key=lambda saw: abs(saw - od_mm))[:4])


def _moved(cut: EndCut, saw: SawCut) -> SawCut:
    tip = cut.profile.tip_mm
    return replace(
        saw,
        clock_deg=_by_travel(cut, saw.clock_deg),
        deepest_mm=saw.deepest_mm - tip,
        sides_mm=saw.sides_mm - tip,
    )


def _by_travel(cut: EndCut, around_deg: float) -> float:
    return once_round_deg(around_deg if cut.end == "A" else -around_deg)
