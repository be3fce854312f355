"""Bars within the hoop and under the roof: hoop diagonals, harness bar, roof bars.

Where two of them cross, one runs through in one piece and the other is cut to it in two.
"""

import numpy as np

from hoopwright.cage import JOINT_LANDING_MM, Role
from hoopwright.fitting.joints_on import crossing, on_leg, top_end
from hoopwright.fitting.layout.bench import MIRROR, Bench, on
from hoopwright.fitting.layout.moves import at_height, both_sides
from hoopwright.fitting.pull import Slide, moves
from hoopwright.geometry import Vector

_SAME_NODE_MM = 120.0
_BESIDE_MM = 60.0


def hoop_diagonals(bench: Bench) -> None:
    """From the top of the hoop on the right to its left foot, and the mirror image in two halves for a cross."""
    hoop, cross = bench.bars["MH"], bench.wishes.hoop_diagonals == "cross"
    end, along_top = top_end(hoop)
    foot, up_leg = on_leg(hoop, 0, 80.0)
    slides = [
        Slide(directions=moves(2, {0: along_top * MIRROR}), low_mm=0.0, high_mm=120.0),
        Slide(directions=moves(2, {1: up_leg}), low_mm=0.0, high_mm=150.0),
    ]
    start = bench.bar("HD", [end * MIRROR, foot])
    through = bench.lay("HD", Role.HOOP_DIAGONAL, [(start, slides)], (on("MH"), on("MH")), both_sides=cross)
    if cross:
        top, foot = through.nodes * MIRROR
        _two_halves(bench, "HD2", Role.HOOP_DIAGONAL, (top, foot), "HD", ("MH", "MH"))


def harness_bar(bench: Bench) -> None:
    """Across the hoop at the shoulders, in pieces between the diagonals that it meets."""
    hoop = bench.bars["MH"]
    rise = hoop.nodes[2, 2] - hoop.nodes[0, 2]
    diagonal = bench.bars["HD"].nodes
    wanted = hoop.nodes[0, 2] + bench.wishes.harness_share * rise
    cross = bench.wishes.hoop_diagonals == "cross"
    middle = crossing(diagonal[0] * MIRROR, diagonal[1] * MIRROR, diagonal[0], diagonal[1])
    if cross and _spread(diagonal, middle, wanted) < _SAME_NODE_MM:
        wanted = float(middle[2])
    at, one = at_height(hoop, wanted, node=0, count=2, reach_mm=80.0)
    slide = both_sides(one)
    whole = bench.placed(bench.bar("HB", [at, at * MIRROR]), [slide], (on("MH"), on("MH")))
    bench.findings.extend(whole.findings)
    left, right = whole.bar.nodes
    if not cross:
        meets = crossing(left, right, diagonal[0], diagonal[1])
        pieces = [("HB-L", left, meets, "MH", "HD"), ("HB-R", right, meets, "MH", "HD")]
    else:
        pieces = _between_two(diagonal, middle, left, right)
    for name, start, stop, first, second in pieces:
        bench.add(name, Role.HARNESS_BAR, bench.bar(name, [start, stop]), (on(first), on(second)))


def _spread(diagonal: Vector, middle: Vector, up_mm: float) -> float:
    """Distance between the two diagonals of a cross at a height."""
    run = diagonal[1] - diagonal[0]
    return abs(2.0 * (up_mm - float(middle[2])) * float(run[1] / run[2]))


def _between_two(
    diagonal: Vector, middle: Vector, left: Vector, right: Vector
) -> list[tuple[str, Vector, Vector, str, str]]:
    """Pieces of a harness bar that meets both diagonals of a cross: name, ends, and what they land on."""
    meets = crossing(left, right, diagonal[0], diagonal[1])
    if abs(2.0 * meets[1]) < _SAME_NODE_MM / 2.0:
        return [("HB-L", left, meets, "MH", "HD"), ("HB-R", right, meets, "MH", "HD")]
    # below the crossing the through diagonal is on the left, above it on the right
    halves = ("HD2-R", "HD2-L") if meets[2] < middle[2] else ("HD2-L", "HD2-R")
    on_left, on_right = ("HD", halves[0]) if meets[1] > 0.0 else (halves[0], "HD")
    inner = np.array([meets[0], abs(meets[1]), meets[2]])
    return [
        ("HB-L", left, inner, "MH", on_left),
        ("HB-M", inner, inner * MIRROR, on_left, on_right),
        ("HB-R", right, inner * MIRROR, "MH", on_right),
    ]


def roof_bars(bench: Bench) -> None:
    """Between the top of the hoop and the screen bar."""
    kind = bench.wishes.roof
    end, inward = top_end(bench.bars["MH"])
    screen = bench.bars["SC"].nodes
    # inside the side bar's end, so that the two do not cross on their way forward
    inside = end + (_BESIDE_MM + (bench.bars["SB-L"].nodes[-1] - end) @ inward) * inward
    at_hoop = Slide(directions=moves(2, {0: inward * MIRROR}), low_mm=0.0, high_mm=120.0)
    if kind == "v":
        at_hoop = Slide(directions=moves(2, {0: inward}), low_mm=0.0, high_mm=120.0)
        start = bench.bar("RB-L", [inside, (screen[0] + screen[1]) / 2.0])
        bench.lay("RB", Role.ROOF_BAR, [(start, [at_hoop])], (on("MH"), on("SC")), pair=True)
        return
    across = np.array([0.0, -1.0, 0.0])
    at_screen = Slide(directions=moves(2, {1: across}), low_mm=-20.0, high_mm=150.0)
    start = bench.bar("RB", [inside * MIRROR, screen[0] + 60.0 * across])
    through = bench.lay(
        "RB",
        Role.ROOF_BAR,
        [(start, [at_hoop, at_screen])],
        (on("MH"), on("SC")),
        both_sides=kind == "cross",
    )
    if kind == "cross":
        rear, front = through.nodes * MIRROR
        _two_halves(bench, "RB2", Role.ROOF_BAR, (rear, front), "RB", ("MH", "SC"))


def _two_halves(
    bench: Bench, name: str, role: Role, ends: tuple[Vector, Vector], through: str, landed: tuple[str, str]
) -> None:
    """The mirror image of a bar that runs through, from each end to where they cross on the centre plane."""
    one, other = bench.bars[through].nodes[[0, -1]]
    middle = crossing(ends[0], ends[1], one, other)
    for end, member in zip(ends, landed, strict=True):
        half = f"{name}-{'L' if end[1] > 0.0 else 'R'}"
        if np.linalg.norm(end - middle) > 2.0 * JOINT_LANDING_MM:
            bench.add(half, role, bench.bar(half, [end, middle]), (on(member), on(through)))
