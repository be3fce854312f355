"""Holes of bars against the shell: cutting those that a cage has, and proposing those that a bar would need."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from hoopwright.bars import Bar, as_node, centreline, mirrored
from hoopwright.cage import BarHole, Cage, Hole, bar_of, holes_of, usual_hole_mm
from hoopwright.fitting.measuring import measure_bar
from hoopwright.fitting.placing import HELD_WITHIN_MM
from hoopwright.shell.clearance import TubeGaps
from hoopwright.shell.cut import CutShell, RoundCut, cut_shell, without_edges
from hoopwright.shell.shell import Shell

_OVER_GAP_MM = 0.1
_ASIDE_MM = 25.0
"""How far a fitted bar may go aside from its hole; the hole goes along with it."""
_MORE_MM = 15.0
_LONGEST_MM = 300.0
_ROUNDS = 12
_NONE: Mapping[str, float] = MappingProxyType({})


def cut_for_bars(shell: Shell, cage: Cage) -> CutShell:
    """The shell with the holes of a cage's bars; its skins follow the order of `cage.holes_of`."""
    return _cut(shell, cage, holes_of(cage))


def shell_to_fit(shell: Shell, cage: Cage, bar_id: str) -> Shell:
    """The shell, its holes not yet cut, as a bar sees it that is fitted anew: its own holes are wider and go along."""
    return without_edges(_cut(shell, cage, holes_of(cage), {bar_id: _ASIDE_MM}).shell, bar_id)


def _cut(
    shell: Shell, cage: Cage, holes: Sequence[BarHole], wider_mm: Mapping[str, float] = _NONE
) -> CutShell:
    cuts = []
    for one in holes:
        hole = one.hole
        room = bar_of(cage, hole.bar_id).tube.od_mm / 2.0 + cage.limits.gap_mm + _OVER_GAP_MM
        cuts.append(
            RoundCut(
                name=hole.bar_id,
                edge_name=edge_name(one),
                place_mm=hole.place_mm,
                direction=one.direction,
                radius_mm=hole.diameter_mm / 2.0,
                edge_mm=max(room, hole.diameter_mm / 2.0 + _OVER_GAP_MM) + wider_mm.get(hole.bar_id, 0.0),
                deep_mm=hole.deep_mm,
            )
        )
    return cut_shell(shell, cuts)


def edge_name(one: BarHole) -> str:
    """What the edge of a hole is called in gaps."""
    return f"the edge of hole {one.number} for {one.hole.bar_id}"


@dataclass(frozen=True, eq=False, kw_only=True)
class ProposedHoles:
    """Holes that let a straight bar pass.

    Args:
        holes: The holes, from end A on; none where the bar needs none.
        measured: Gaps of the bar, and of its mirror image if asked for, with the holes cut.
        skins: How many skins are cut, both sides together.
    """

    holes: tuple[Hole, ...]
    measured: tuple[TubeGaps, ...]
    skins: int


def propose_holes(
    shell: Shell, bar: Bar, *, gap_mm: float, landings_mm: tuple[float, float], both_sides: bool
) -> ProposedHoles:
    """Find the holes that a straight bar needs, where its axis crosses metal or passes too near to it.

    Each hole starts as deep as its edge is far from the axis and is deepened along the axis until the gap holds
    round it. Metal that hangs together with nothing that was cut stays in the way, and is told by the gaps.

    Args:
        shell: The shell.
        bar: A bar without bends.
        gap_mm: Gap to keep beside the holes.
        landings_mm: Lengths at ends A and B that are not judged.
        both_sides: Whether its mirror image must pass too.
    """
    bars = [bar, mirrored(bar, f"{bar.name.removesuffix('-L')}-R")] if both_sides else [bar]
    spans: list[tuple[float, float]] = []
    for _ in range(_ROUNDS):
        holes = tuple(_hole(bar, span) for span in spans)
        cut = cut_shell(shell, [_round(one, hole, gap_mm) for one in bars for hole in holes])
        measured = tuple(
            measure_bar(cut.shell, one, landing_a_mm=landings_mm[0], landing_b_mm=landings_mm[1])
            for one in bars
        )
        wider = _widened(spans, _in_the_way(measured, gap_mm), bar.tube.od_mm / 2.0 + gap_mm)
        if wider == spans:
            break
        spans = wider
    return ProposedHoles(holes=holes, measured=measured, skins=sum(len(skins) for skins in cut.skins))


def _in_the_way(measured: Sequence[TubeGaps], gap_mm: float) -> list[float]:
    """Distances from end A at which metal is crossed or too near."""
    places = []
    for gaps in measured:
        places += [place.along_mm for place in gaps.crossings]
        places += [place.along_mm for place in gaps.regions if place.gap_mm < gap_mm - HELD_WITHIN_MM]
    return sorted(places)


def _widened(
    spans: list[tuple[float, float]], places: list[float], room_mm: float
) -> list[tuple[float, float]]:
    """Stretches of the bar that are cut, with those that are still in the way; overlapping ones are one hole."""
    wanted = list(spans)
    for at in places:
        if any(low <= at <= high for low, high in wanted):
            continue
        near = [(max(low - at, at - high), i) for i, (low, high) in enumerate(wanted)]
        apart, index = min(near, default=(room_mm, 0))
        if apart >= room_mm:
            wanted.append((at - room_mm, at + room_mm))
            continue
        low, high = wanted[index]
        grown = (min(low, at - _MORE_MM), max(high, at + _MORE_MM))
        if grown[1] - grown[0] <= _LONGEST_MM:
            wanted[index] = grown
    joined: list[tuple[float, float]] = []
    for low, high in sorted(wanted):
        if joined and low <= joined[-1][1] and max(high, joined[-1][1]) - joined[-1][0] <= _LONGEST_MM:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _hole(bar: Bar, span: tuple[float, float]) -> Hole:
    low, high = span
    place = centreline(bar).at([(low + high) / 2.0])[0]
    return Hole(
        bar_id=bar.name,
        place_mm=as_node(place),
        diameter_mm=usual_hole_mm(bar.tube.od_mm),
        deep_mm=(high - low) / 2.0,
    )


def _round(bar: Bar, hole: Hole, gap_mm: float) -> RoundCut:
    forward, left, up = hole.place_mm
    side = 1.0 if hole.bar_id == bar.name else -1.0
    return RoundCut(
        name=bar.name,
        edge_name=f"the edge of a hole for {bar.name}",
        place_mm=(forward, side * left, up),
        direction=as_node(bar.nodes[-1] - bar.nodes[0]),
        radius_mm=hole.diameter_mm / 2.0,
        edge_mm=max(bar.tube.od_mm / 2.0 + gap_mm, hole.diameter_mm / 2.0) + _OVER_GAP_MM,
        deep_mm=hole.deep_mm,
    )
