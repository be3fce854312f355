"""Both ends of one bar together: the lengths that a tape can measure on it."""

from dataclasses import dataclass

import numpy as np

from hoopwright.cage import EndLetter
from hoopwright.geometry import Vector
from hoopwright.joints.meet.cut_one import branch_of
from hoopwright.joints.meet.datum import TubeDatum
from hoopwright.joints.meet.end_cut import EndCut
from hoopwright.joints.meet.marked_tube import MarkedTube, on_tube_mm
from hoopwright.joints.meet.solid_tube import SolidTube
from hoopwright.joints.meet.tips import Tip, nearest_tips

_SHOWN_MM = 0.1


@dataclass(frozen=True, kw_only=True)
class TapeLength:
    """One length to measure.

    Args:
        key: Its short name, the same for all bars.
        words: From where to where, and how.
        value_mm: What it should be.
    """

    key: str
    words: str
    value_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class BarCut:
    """A bar as it is cut.

    Args:
        bar_id: The bar.
        datum: The line along its tube from which both ends are clocked.
        tube: Its tube as marked.
        ends: Its coped ends, A before B.
        cut_mm: Along the tube from the outermost place of one end to that of the other, root gaps taken off; what is
            left of the blank when both ends are sawn to their tips.
        lengths: What a tape measures on it.
    """

    bar_id: str
    datum: TubeDatum
    tube: MarkedTube
    ends: tuple[EndCut, ...]
    cut_mm: float
    lengths: tuple[TapeLength, ...]

    def end(self, letter: EndLetter) -> EndCut | None:
        """The cut of an end; None where that end is not coped."""
        return next((one for one in self.ends if one.end == letter), None)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Edge:
    """An end's edge: coped, or square where it stands on the shell or is free."""

    solid: SolidTube
    end: EndLetter
    datum: TubeDatum
    cut: EndCut | None

    @property
    def tips(self) -> tuple[Tip, ...]:
        return () if self.cut is None else self.cut.tips

    def inward_mm(self, around_deg: float) -> float:
        """Where the generator at an angle about the travel is cut."""
        if self.cut is None:
            return 0.0
        profile = self.cut.profile
        own = around_deg if self.end == "A" else -around_deg
        return float(np.interp(own % 360.0, profile.around_deg, profile.bridged_mm, period=360.0))

    def place_mm(self, around_deg: float, inward_mm: float) -> Vector:
        branch = branch_of(self.solid, self.end, self.datum.side(self.end))
        own = around_deg if self.end == "A" else -around_deg
        place: Vector = branch.skin_mm([own], [inward_mm])[0]
        return place


def bar_cut(solid: SolidTube, datum: TubeDatum, tube: MarkedTube, ends: tuple[EndCut, ...]) -> BarCut:
    """A bar with both of its ends cut, and what a tape measures on it.

    Args:
        solid: The bar.
        datum: Its datum line.
        tube: Its tube as marked.
        ends: Its coped ends.
    """
    by_letter = {cut.end: cut for cut in ends}
    first = _Edge(solid=solid, end="A", datum=datum, cut=by_letter.get("A"))
    last = _Edge(solid=solid, end="B", datum=datum, cut=by_letter.get("B"))
    tip_a, tip_b = _tips(first, last)
    along = _along(solid, tube, tip_a.inward_mm, tip_b.inward_mm)
    return BarCut(
        bar_id=solid.bar.name,
        datum=datum,
        tube=tube,
        ends=ends,
        cut_mm=along,
        lengths=tuple(_lengths(first, last, tube, tip_a, tip_b, along)) if ends else (),
    )


def _tips(first: _Edge, last: _Edge) -> tuple[Tip, Tip]:
    """The pair of tips to measure between; at a square end the place on the same side."""
    if first.tips and last.tips:
        return nearest_tips(first.tips, last.tips)
    around = (first.tips or last.tips or (Tip(around_deg=0.0, inward_mm=0.0),))[0]
    square = Tip(around_deg=around.around_deg, inward_mm=0.0)
    return (first.tips[0] if first.tips else square), (last.tips[0] if last.tips else square)


def _along(solid: SolidTube, tube: MarkedTube, inward_a_mm: float, inward_b_mm: float) -> float:
    """Along the marked tube between two places on its end straights."""
    return on_tube_mm(tube, solid.path, "B", inward_b_mm) - on_tube_mm(tube, solid.path, "A", inward_a_mm)


def _lengths(
    first: _Edge, last: _Edge, tube: MarkedTube, tip_a: Tip, tip_b: Tip, along_mm: float
) -> list[TapeLength]:
    solid = first.solid
    is_bent = bool(tube.starts_mm)
    names = [_tip_words(first), _tip_words(last)]
    found = [
        TapeLength(
            key="tip to tip along the tube",
            words=f"{names[0]} to {names[1]}, square to square along the tube"
            + (", before it is bent" if is_bent else ""),
            value_mm=along_mm,
        )
    ]
    chord = first.place_mm(tip_a.around_deg, tip_a.inward_mm) - last.place_mm(
        tip_b.around_deg, tip_b.inward_mm
    )
    straight = float(np.linalg.norm(chord))
    if is_bent or abs(straight - along_mm) > _SHOWN_MM:
        found.append(
            TapeLength(
                key="tip to tip",
                words=f"{names[0]} to {names[1]}, the tape stretched straight between them",
                value_mm=straight,
            )
        )
    found.append(
        TapeLength(
            key="along the datum line",
            words="from edge to edge along the datum line" + (", before it is bent" if is_bent else ""),
            value_mm=_along(solid, tube, first.inward_mm(0.0), last.inward_mm(0.0)),
        )
    )
    if first.cut is not None and last.cut is not None:
        heels = [(edge, edge.cut.clocking.heel_deg) for edge in (first, last) if edge.cut is not None]
        places = [edge.place_mm(heel, edge.inward_mm(heel)) for edge, heel in heels]
        found.append(
            TapeLength(
                key="heel to heel",
                words="heel of end A to heel of end B, the tape stretched straight between them",
                value_mm=float(np.linalg.norm(places[0] - places[1])),
            )
        )
    return found


def _tip_words(edge: _Edge) -> str:
    return f"tip of end {edge.end}" if edge.cut is not None else f"end {edge.end} as drawn"
