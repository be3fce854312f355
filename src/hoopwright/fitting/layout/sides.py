"""Bars along the sides and across the front: door bars, sill bars, dash bar, strut links."""

from collections.abc import Callable

import numpy as np

from hoopwright.bars import Bar
from hoopwright.cage import Role
from hoopwright.findings import Finding
from hoopwright.fitting.joints_on import crossing
from hoopwright.fitting.layout.bench import MIRROR, ON_SHELL, Bench, on, shortfall
from hoopwright.fitting.layout.links import best_link
from hoopwright.fitting.layout.moves import along_leg, at_height, both_sides, straight_of
from hoopwright.fitting.placing import Placed
from hoopwright.fitting.pull import Slide, moves
from hoopwright.geometry import Vector
from hoopwright.shell.clearance import GapPlace

_OUTWARD = np.array([0.0, 1.0, 0.0])
_SMALLEST_OUT_MM = 10.0
_TOLD_SHORT_MM = 1.0
_HALVED = 4
_BEND_AT = 0.22
_BENDS_AT = ((0.22, 0.78), (0.22, 0.68), (0.32, 0.78), (0.32, 0.68))
"""Where the two bends of a door bar are tried, as shares of the way from the side bar to the hoop."""
_Start = tuple[Bar, list[Slide]]
HIGH, LOW = (430.0, 400.0), (180.0, 220.0)
"""Height over the hoop's foot, and length up the side bar, of the upper and the lower door bar."""
_CROSS_HIGH, _CROSS_LOW = (500.0, 460.0), (150.0, 150.0)
_OVER_SILL_BAR_MM = 120.0
_DASH_REACH_MM = 40.0
_LINK_SLIDE_MM = 150.0


def door_bars(bench: Bench) -> None:
    """Between the side bar's lower leg and the hoop's."""
    kind = bench.wishes.door_bars
    if kind == "cross":
        _door_cross(bench)
        return
    for number, place in enumerate((HIGH,) if kind == "one" else (HIGH, LOW), start=1):
        _door_bar(bench, f"DB{number}", place, reach_mm=100.0)


def _door_ends(
    bench: Bench, place: tuple[float, float], reach_mm: float
) -> tuple[tuple[Vector, Slide], tuple[Vector, Slide]]:
    """Where a door bar ends on the side bar and on the hoop, each with the slide of its end alone."""
    hoop, side = bench.bars["MH"], bench.bars["SB-L"]
    up, along = place[0] + hoop.nodes[0, 2], place[1]
    if "SL-L" in bench.bars:
        sill = bench.bars["SL-L"].nodes
        up = max(up, sill[1, 2] + _OVER_SILL_BAR_MM)
        along = max(along, float(np.linalg.norm(sill[0] - side.nodes[0])) + _OVER_SILL_BAR_MM)
        reach_mm = min(reach_mm, 30.0)
    front = along_leg(side, 0, along, node=0, count=2, low_mm=-reach_mm, high_mm=reach_mm)
    return front, at_height(hoop, up, node=1, count=2, reach_mm=reach_mm)


def _door_bar(bench: Bench, name: str, place: tuple[float, float], *, reach_mm: float) -> Bar:
    """One bar in one piece, bent outward into the door when asked."""
    (front, up_front), (rear, up_rear) = _door_ends(bench, place, reach_mm)
    ends, wanted = (on("SB-L"), on("MH")), bench.wishes.door_out_mm
    if wanted < _SMALLEST_OUT_MM:
        start = bench.bar(f"{name}-L", [front, rear])
        return bench.lay(name, Role.DOOR_BAR, [(start, [up_front, up_rear])], ends, pair=True)

    def bowed(shares: tuple[float, float], out_mm: float, *, may_come_back: bool) -> Placed:
        nodes, back = _bowed([front, rear], out_mm, shares)
        slides = [_with_bends(up_front, shares, 0), _with_bends(up_rear, shares, 1)]
        slides += [back] if may_come_back else []
        return bench.placed(bench.bar(f"{name}-L", nodes), slides, ends, both_sides=True)

    best = bowed(_BENDS_AT[0], wanted, may_come_back=True)
    if _outward(best.bar, 0, -1) < wanted - _TOLD_SHORT_MM:
        best = _farthest_out(best, bowed, wanted)
    bench.findings.extend(best.findings)
    bench.add_pair(name, Role.DOOR_BAR, best.bar, ends)
    _tell_short(bench, f"{name}-L", best)
    return best.bar


def _farthest_out(start: Placed, bowed: Callable[..., Placed], wanted_mm: float) -> Placed:
    """The bar that goes farthest outward and holds, with its bends in several places.

    Pulling alone stops where the bar comes nearest to its gap, which need not be farthest out: so it is asked to
    hold at a fixed distance, at the wanted one first, then by halves.
    """
    best, low_mm = start, _outward(start.bar, 0, -1) if start.holds else 0.0
    short_mm: dict[tuple[float, float], float] = {}
    for shares in _BENDS_AT:
        one = bowed(shares, wanted_mm, may_come_back=False)
        if one.holds:
            return one
        short_mm[shares] = shortfall(one)
    shares = min(short_mm, key=lambda key: short_mm[key])
    high_mm = wanted_mm
    for _ in range(_HALVED):
        middle_mm = (low_mm + high_mm) / 2.0
        one = bowed(shares, middle_mm, may_come_back=False)
        if one.holds:
            best, low_mm = one, middle_mm
        else:
            high_mm = middle_mm
    return best


def _with_bends(end: Slide, shares: tuple[float, float], index: int) -> Slide:
    """The slide of an end, with the bends going along in share, so that they keep their place on the bar."""
    way = np.array(end.directions[index])
    first, last = shares
    by_node = {0: 1.0, 1: 1.0 - first, 2: 1.0 - last} if index == 0 else {3: 1.0, 2: last, 1: first}
    return Slide(
        directions=moves(4, {node: share * way for node, share in by_node.items()}),
        low_mm=end.low_mm,
        high_mm=end.high_mm,
    )


def _bowed(nodes: list[Vector], out_mm: float, shares: tuple[float, float]) -> tuple[list[Vector], Slide]:
    """Nodes with bends outward between the ends, and the slide that takes them back where there is no room."""
    first, last = nodes
    bends = [first + share * (last - first) + out_mm * _OUTWARD for share in shares]
    back = Slide(directions=moves(4, dict.fromkeys((1, 2), _OUTWARD)), low_mm=-out_mm, high_mm=0.0)
    return [first, *bends, last], back


def _door_cross(bench: Bench) -> None:
    """One bar through, from high at the hoop to low at the front; the other in two halves that meet it."""
    name, landed = "DB2", (("F", "SB-L"), ("B", "MH"))
    through = _door_bar(bench, "DB1", (_CROSS_HIGH[0], _CROSS_LOW[1]), reach_mm=50.0)
    (front, up_front), (rear, up_rear) = _door_ends(bench, (_CROSS_LOW[0], _CROSS_HIGH[1]), 50.0)
    nodes = through.nodes
    # the middle straight of a bowed bar, the whole of a straight one
    one, other = (nodes[1], nodes[2]) if len(nodes) == 4 else (nodes[0], nodes[1])
    out = _outward(through, 0, -1)
    meets = crossing(front + out * _OUTWARD, rear + out * _OUTWARD, one, other)
    for (letter, member), end, way in zip(landed, (front, rear), (up_front, up_rear), strict=True):
        whole = f"{name}{letter}"
        places = [end, meets] if out < _SMALLEST_OUT_MM else [end, _knee(end, meets, out), meets]
        count = len(places)
        moved = way.directions[0 if letter == "F" else 1]
        slides = [
            Slide(directions=moves(count, {0: np.array(moved)}), low_mm=way.low_mm, high_mm=way.high_mm)
        ]
        if count == 3:
            slides.append(Slide(directions=moves(3, {1: _OUTWARD}), low_mm=-out, high_mm=0.0))
        start = bench.bar(f"{whole}-L", places)
        bench.lay(whole, Role.DOOR_BAR, [(start, slides)], (on(member), on("DB1-L")), pair=True)
    # each mirrored half lands on the mirrored bar; `mirror_member` sees to it


def _knee(end: Vector, meets: Vector, out: float) -> Vector:
    """Where a half of a cross bends outward: as far along as its partner does."""
    inner = meets - out * _OUTWARD
    place: Vector = end + 2.0 * _BEND_AT * (inner - end) + out * _OUTWARD
    return place


def _outward(bar: Bar, front: int, rear: int) -> float:
    """How far a bar's bends lie outside the line between its ends."""
    nodes = bar.nodes
    if len(nodes) < 3:
        return 0.0
    run = nodes[rear] - nodes[front]
    share = float((nodes[1] - nodes[front])[0] / run[0])
    return float(nodes[1, 1] - (nodes[front] + share * run)[1])


def _tell_short(bench: Bench, name: str, placed: Placed) -> None:
    wanted, out = bench.wishes.door_out_mm, _outward(placed.bar, 0, -1)
    if out >= wanted - _TOLD_SHORT_MM:
        return
    sides = [
        gaps for gaps in (placed.gaps, placed.mirror_gaps) if gaps is not None and gaps.smallest is not None
    ]
    near = min((gaps.smallest for gaps in sides if gaps.smallest), key=lambda one: one.gap_mm, default=None)
    why = "what is near is not scanned" if near is None else _what_stops_it(near)
    bench.findings.append(
        Finding(
            code="FIT-051",
            sentence=f"Bar {name} goes {out:.0f} mm outward, not the {wanted:g} mm asked, wherever its bends were "
            f"tried: {why}.",
            todo="Ask for less, for a smaller gap, or cut the inside of the door away and scan it again.",
            objects=(name,),
            point_mm=None if near is None else near.axis_mm,
            measured=out,
            limit=wanted,
            unit="mm",
        )
    )


def _what_stops_it(near: GapPlace) -> str:
    return f"the gap to '{near.region}' is {near.gap_mm:.1f} mm there, {near.along_mm:.0f} mm from end A"


def sill_bars(bench: Bench) -> None:
    """Along the sill, low between the side bar's leg and the hoop's."""
    hoop, side = bench.bars["MH"], bench.bars["SB-L"]
    starts = []
    for at in (100.0, 160.0):
        front, front_slide = along_leg(side, 0, at, node=0, count=2, low_mm=-40.0, high_mm=80.0)
        rear, rear_slide = along_leg(hoop, 0, at, node=1, count=2, low_mm=-40.0, high_mm=80.0)
        starts.append((bench.bar("SL-L", [front, rear]), [front_slide, rear_slide]))
    bench.lay("SL", Role.SILL_BAR, starts, (on("SB-L"), on("MH")), pair=True)


def dash_bar(bench: Bench) -> None:
    """Across the car from side bar to side bar: at the top of the lower leg, else further down, else over the bend.

    Low in the screen it would hide the road, far down it would meet the knees: the middle place comes first.
    """
    side = bench.bars["SB-L"]
    low, high, _ = straight_of(side, 0)
    starts = [_across(bench, 0, high), _across(bench, 0, (low + 2.0 * high) / 3.0)]
    starts.append(_across(bench, 1, straight_of(side, 1)[0]))
    bench.lay("DA", Role.DASH_BAR, starts, (on("SB-L"), on("SB-R")))


def _across(bench: Bench, leg: int, at: float) -> _Start:
    side = bench.bars["SB-L"]
    place, one = along_leg(side, leg, at, node=0, count=2, low_mm=-_DASH_REACH_MM, high_mm=_DASH_REACH_MM)
    return bench.bar("DA", [place, place * MIRROR]), [both_sides(one)]


def strut_links(bench: Bench) -> None:
    """From the side bar's lower leg through the bulkhead to the front strut tops."""
    foot = bench.places.get("front_strut")
    if foot is None:
        bench.findings.append(
            Finding(
                code="FIT-052",
                sentence="The strut links were left out: the place of the front strut top is not known.",
                todo="Give the left-hand landmark front_strut as forward, left, up.",
                objects=("front_strut",),
            )
        )
        return
    side = bench.bars["SB-L"]
    at, slide = along_leg(side, 0, 1e9, node=0, count=2, low_mm=-_LINK_SLIDE_MM, high_mm=0.0)
    ends = (on("SB-L"), ON_SHELL)
    start = bench.bar("SK-L", [at, foot])
    placed = bench.placed(start, [slide], ends, both_sides=True)
    if not placed.findings and not placed.gaps.crossings:
        bench.add_pair("SK", Role.STRUT_LINK, placed.bar, ends)
        return
    link = best_link(bench, start, slide, placed.bar)
    bench.add_pair("SK", Role.STRUT_LINK, link.bar, ends)
    bench.add_holes(link.holes)
    bench.findings.extend(link.findings)
