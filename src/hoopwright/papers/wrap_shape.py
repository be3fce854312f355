"""A wrap as it lies flat on the paper: the printed face is the face that is seen on the tube.

Paper coordinates are (right, up) from where the left edge meets the reference line. Up runs along the tube
toward the end that is cut, so right is up x out of the tube. The datum line stands in the middle, the seam is
opposite.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Points, Vector
from hoopwright.joints import Wrap
from hoopwright.papers.drawing import Point

Place = Callable[[float, float], Point]
"""Where right and up on a wrap come to lie on the page."""
OVERLAP_MM = 12.0
_BAND_MM = 30.0
_WASTE_MM = 7.0
_LEAST_STEPS = 24
_LONGEST_MM = 3000.0
_EVEN_DEG = 1e-6


@dataclass(frozen=True, kw_only=True, eq=False)
class WrapShape:
    """A wrap as it lies flat.

    Args:
        wrap: What it is of.
        turn_mm: Once round the tube at the middle of the paper's thickness.
        cuts: Pieces of the line to cut over one turn, each of shape (n, 2).
        tab_cuts: The same line going on over the overlap.
        uncut: Left and right of the stretches that are not cut.
        bridges: Lines over those stretches from one edge of the cut to the next, each of shape (n, 2); none where they
            are not known.
        tab_bridges: The same going on over the overlap.
        lower_mm: Lower edge of the paper; 0 where that is the reference line.
        upper_mm: Upper edge of the paper.
    """

    wrap: Wrap
    turn_mm: float
    cuts: tuple[Points, ...]
    tab_cuts: tuple[Points, ...]
    uncut: tuple[tuple[float, float], ...]
    bridges: tuple[Points, ...]
    tab_bridges: tuple[Points, ...]
    lower_mm: float
    upper_mm: float

    @property
    def lowest_mm(self) -> float:
        """Lowest place of the cut."""
        return min(float(piece[:, 1].min()) for piece in self.cuts)

    @property
    def highest_mm(self) -> float:
        """Highest place of the cut."""
        return max(float(piece[:, 1].max()) for piece in self.cuts)

    @property
    def width_mm(self) -> float:
        """Of the paper, its overlap included."""
        return self.turn_mm + OVERLAP_MM

    def right_mm(self, around_deg: float) -> float:
        """Where a generator lies on the paper, in [0, turn)."""
        return _turned_deg(self.wrap, around_deg) / 360.0 * self.turn_mm

    def cut_at_mm(self, around_deg: float) -> float:
        """Height of the cut at a generator; NaN where it is not cut."""
        turned, cut, _ = _over_two_turns(self.wrap)
        return _at(_turned_deg(self.wrap, around_deg), turned, cut)

    def stays_to_mm(self, around_deg: float) -> float:
        """Height to which the paper stays at a generator: the cut, else the bridge, else the upper edge."""
        turned, cut, bridge = _over_two_turns(self.wrap)
        at_deg = _turned_deg(self.wrap, around_deg)
        heights = (_at(at_deg, turned, cut), _at(at_deg, turned, bridge), self.upper_mm)
        return next(height for height in heights if not math.isnan(height))


def wrap_shape(wrap: Wrap, *, paper_thickness_mm: float = 0.0) -> WrapShape:
    """The wrap laid flat.

    Args:
        wrap: The cope unrolled.
        paper_thickness_mm: Of the paper; its middle keeps its length when it is bent, so one turn is
            pi x (outside diameter + thickness).

    Raises:
        UserError: `PAPER-102` for numbers that no paper can be made of.
    """
    _checked(wrap, paper_thickness_mm)
    turn_mm = math.pi * (wrap.od_mm + paper_thickness_mm)
    tab_deg = OVERLAP_MM / turn_mm * 360.0
    turned, cut, bridge = _over_two_turns(wrap)
    cuts, uncut = _pieces(turned, cut, 0.0, 360.0)
    tab_cuts, tab_uncut = _pieces(turned, cut, 360.0, 360.0 + tab_deg)
    scale = turn_mm / 360.0
    lowest, highest = float(np.nanmin(cut)), float(np.nanmax(cut))
    short_mm = max(0.0, _BAND_MM - lowest)
    return WrapShape(
        wrap=wrap,
        turn_mm=turn_mm,
        cuts=tuple(piece * (scale, 1.0) for piece in cuts),
        tab_cuts=tuple(piece * (scale, 1.0) for piece in tab_cuts),
        uncut=tuple((left * scale, right * scale) for left, right in uncut),
        bridges=tuple(piece * (scale, 1.0) for piece in _bridges(turned, bridge, uncut)),
        tab_bridges=tuple(piece * (scale, 1.0) for piece in _bridges(turned, bridge, tab_uncut)),
        lower_mm=-5.0 * math.ceil(short_mm / 5.0),
        upper_mm=highest + _WASTE_MM,
    )


def _turned_deg(wrap: Wrap, around_deg: float) -> float:
    """Degrees from the left edge: with the end that is cut up, `around_deg` of end A runs to the left."""
    way = 1.0 if wrap.end == "B" else -1.0
    return (way * around_deg + 180.0) % 360.0


def _over_two_turns(wrap: Wrap) -> tuple[Vector, Vector, Vector]:
    """Degrees from the left edge in order, over two turns with one step before and behind; the cut and the bridge."""
    around = [*np.asarray(wrap.around_deg).tolist(), *(corner for corner, _ in wrap.corners)]
    cut = np.array([*np.asarray(wrap.cut_mm).tolist(), *(height for _, height in wrap.corners)])
    over = np.full(len(wrap.cut_mm), np.nan) if wrap.bridge_mm is None else np.asarray(wrap.bridge_mm)
    bridge = np.where(np.isnan(cut), np.concatenate([over, np.full(len(wrap.corners), np.nan)]), cut)
    turned = np.array([_turned_deg(wrap, one) for one in around])
    order = np.argsort(turned, kind="stable")
    turned, cut, bridge = turned[order], cut[order], bridge[order]
    steps = np.concatenate([turned[-1:] - 360.0, turned, turned + 360.0, turned[:1] + 720.0])
    return steps, _twice(cut), _twice(bridge)


def _twice(line: Vector) -> Vector:
    return np.concatenate([line[-1:], line, line, line[:1]])


def _bridges(turned: Vector, bridge: Vector, uncut: list[tuple[float, float]]) -> list[Points]:
    """The bridge over each stretch that is not cut."""
    found = []
    for left, right in uncut:
        inside = (turned > left + _EVEN_DEG) & (turned < right - _EVEN_DEG)
        ends = [(at, _at(at, turned, bridge)) for at in (left, right)]
        line = np.array([ends[0], *zip(turned[inside], bridge[inside], strict=True), ends[1]])
        if right > left + _EVEN_DEG and np.isfinite(line).all():
            found.append(line)
    return found


def _at(at_deg: float, turned: Vector, cut: Vector) -> float:
    """The cut between two generators; NaN beside one that is not cut."""
    nearest = int(np.argmin(np.abs(turned - at_deg)))
    if abs(turned[nearest] - at_deg) < _EVEN_DEG:
        return float(cut[nearest])
    return float(np.interp(at_deg, turned, cut))


def _pieces(
    turned: Vector, cut: Vector, start_deg: float, end_deg: float
) -> tuple[list[Points], list[tuple[float, float]]]:
    """Stretches of the cut from `start_deg` to `end_deg`, and the stretches between that are not cut."""
    inside = (turned > start_deg + _EVEN_DEG) & (turned < end_deg - _EVEN_DEG)
    ends = ((deg, _at(deg, turned, cut)) for deg in (start_deg, end_deg))
    first, last = ends
    line = np.array([first, *zip(turned[inside], cut[inside], strict=True), last])
    pieces: list[Points] = []
    uncut: list[tuple[float, float]] = []
    for is_cut, group in groupby(range(len(line)), key=lambda row: bool(np.isfinite(line[row, 1]))):
        rows = list(group)
        if is_cut:
            pieces.append(line[rows])
        else:
            uncut.append((line[max(rows[0] - 1, 0), 0], line[min(rows[-1] + 1, len(line) - 1), 0]))
    return [piece for piece in pieces if len(piece) > 1], uncut


def _checked(wrap: Wrap, paper_thickness_mm: float) -> None:
    around, cut = np.asarray(wrap.around_deg), np.asarray(wrap.cut_mm)
    count = len(around)
    even = count == len(cut) and np.allclose(around, np.arange(count) * 360.0 / max(count, 1), atol=1e-6)
    spread = np.nanmax(np.abs(cut)) if np.isfinite(cut).any() else math.inf
    faults = (
        (
            not (math.isfinite(wrap.od_mm) and 5.0 <= wrap.od_mm <= 500.0),
            f"outside diameter {wrap.od_mm:g} mm",
        ),
        (
            not (math.isfinite(paper_thickness_mm) and 0.0 <= paper_thickness_mm <= 5.0),
            f"paper {paper_thickness_mm:g} mm thick",
        ),
        (
            count < _LEAST_STEPS or not even,
            f"{count} generators, which are not {_LEAST_STEPS} or more in even steps",
        ),
        (spread > _LONGEST_MM, "no cut that is within 3000 mm of the reference line"),
        (not math.isfinite(wrap.reference_mm), "no place for the reference line"),
    )
    for wrong, words in faults:
        if wrong:
            raise UserError(
                Finding(
                    code="PAPER-102",
                    severity=Severity.STOP,
                    sentence=f"The wrap of {wrap.bar_id} end {wrap.end} cannot be printed: {words}.",
                    todo="Correct tube, ends and paper; nothing was written.",
                    objects=(wrap.bar_id,),
                )
            )
