"""The frame of a first cage: main hoop, side bars, screen bar and backstays."""

import numpy as np

from hoopwright.cage import Role
from hoopwright.fitting.hoop import HoopPlane, hoop_slides, hoop_start
from hoopwright.fitting.joints_on import top_end
from hoopwright.fitting.layout.bench import MIRROR, ON_SHELL, Bench, on
from hoopwright.fitting.layout.moves import one_axis, setback
from hoopwright.fitting.pull import Slide, moves
from hoopwright.geometry import unit_vector


def main_hoop(bench: Bench) -> None:
    """The hoop in its plane, as near to the shell as it may."""
    wishes, foot = bench.wishes, bench.places["hoop_foot"]
    plane = HoopPlane(foot_mm=(float(foot[0]), float(foot[1]), float(foot[2])), lean_deg=wishes.lean_deg)
    room = wishes.limits.gap_mm + wishes.hoop_tube.od_mm / 2.0
    start = hoop_start(
        bench.shell, plane, tube=wishes.hoop_tube, clr_mm=wishes.hoop_clr_mm, room_mm=room, name="MH"
    )
    bench.lay("MH", Role.MAIN_HOOP, [(start, hoop_slides(plane))], (ON_SHELL, ON_SHELL))


def side_bars(bench: Bench) -> None:
    """From the floor up the A-pillar and along the roof rail to the hoop."""
    foot, corner = bench.places["front_foot"], bench.places["screen_corner"]
    end, along_top = top_end(bench.bars["MH"])
    top = corner - np.array([0.0, 70.0, 70.0])
    bend = np.array(
        [foot[0] + 0.15 * (top[0] - foot[0]), foot[1] - 15.0, foot[2] + 0.47 * (top[2] - foot[2])]
    )
    start = bench.bar("SB-L", [foot, bend, top, end], is_hoop=True)
    slides = [
        *(one_axis(4, 1, axis) for axis in range(3)),
        *(one_axis(4, 2, axis) for axis in range(3)),
        one_axis(4, 0, 1, reach_mm=30.0),
        one_axis(4, 0, 0, reach_mm=30.0),
        Slide(directions=moves(4, {3: along_top}), low_mm=0.0, high_mm=80.0),
    ]
    bench.lay("SB", Role.SIDE_BAR, [(start, slides)], (ON_SHELL, on("MH")), pair=True)


def screen_bar(bench: Bench) -> None:
    """Over the screen, from side bar to side bar."""
    side = bench.bars["SB-L"]
    back = unit_vector(side.nodes[3] - side.nodes[2])
    at = side.nodes[2] + (setback(side, 2) + 30.0) * back
    slide = Slide(directions=moves(2, {0: back, 1: back * MIRROR}), low_mm=0.0, high_mm=250.0)
    start = bench.bar("SC", [at, at * MIRROR])
    bench.lay("SC", Role.SCREEN_BAR, [(start, [slide])], (on("SB-L"), on("SB-R")))


def backstays(bench: Bench) -> None:
    """From the top of the hoop to the rear feet."""
    end, along_top = top_end(bench.bars["MH"])
    start = bench.bar("BS-L", [end + 60.0 * along_top, bench.places["backstay_foot"]])
    slide = Slide(directions=moves(2, {0: along_top}), low_mm=-60.0, high_mm=200.0)
    bench.lay("BS", Role.BACKSTAY, [(start, [slide])], (on("MH"), ON_SHELL), pair=True)
