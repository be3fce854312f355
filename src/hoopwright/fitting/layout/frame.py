"""The frame of a first cage: main hoop, side bars, screen bar and backstays."""

import contextlib

import numpy as np

from hoopwright.bars import Bar, as_node
from hoopwright.cage import JOINT_LANDING_MM, SHELL_LANDING_MM, Role
from hoopwright.findings import UserError
from hoopwright.fitting.bar_task import BarTask, FitEnd
from hoopwright.fitting.hoop import HoopPlane, hoop_slides, hoop_start
from hoopwright.fitting.joints_on import top_end
from hoopwright.fitting.layout.bench import MIRROR, ON_SHELL, Bench, on
from hoopwright.fitting.layout.moves import along_leg, both_sides, one_axis, straight_of
from hoopwright.fitting.pull import Slide, moves
from hoopwright.fitting.tradeoff import fit_near

_FOOT_REACH_MM = 30.0
_TOP_REACH_MM = 80.0
_SEED = 1
_NODE_REACH_MM = (500.0, 400.0)
_SCREEN_BAR_REACH_MM = 150.0


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
        one_axis(4, 0, 1, reach_mm=_FOOT_REACH_MM),
        one_axis(4, 0, 0, reach_mm=_FOOT_REACH_MM),
        Slide(directions=moves(4, {3: along_top}), low_mm=0.0, high_mm=_TOP_REACH_MM),
    ]
    found = _searched(bench, start, as_node(along_top))
    starts = [(bar, slides) for bar in (*found, start)]
    bench.lay("SB", Role.SIDE_BAR, starts, (ON_SHELL, on("MH")), pair=True, closest=True)


def _searched(bench: Bench, rough: Bar, along_top: tuple[float, float, float]) -> tuple[Bar, ...]:
    """The bar that follows the left side best with its bends near these, or nothing where none is found that holds."""
    wishes, nodes = bench.wishes, rough.nodes_mm
    task = BarTask(
        name=rough.name,
        tube=rough.tube,
        clr_mm=rough.clr_mm,
        end_a=FitEnd(
            place_mm=nodes[0],
            slide=(0.0, 1.0, 0.0),
            low_mm=-_FOOT_REACH_MM,
            high_mm=_FOOT_REACH_MM,
            landing_mm=SHELL_LANDING_MM,
        ),
        end_b=FitEnd(place_mm=nodes[-1], slide=along_top, high_mm=_TOP_REACH_MM, landing_mm=JOINT_LANDING_MM),
        gap_mm=wishes.limits.gap_mm,
        clamp_mm=wishes.limits.clamp_mm,
        rough_mm=nodes[1:-1],
        keep_clear=bench.keep_clear,
    )
    with contextlib.suppress(UserError):
        return tuple(
            offer.bar
            for offer in fit_near(bench.shell, task, rough.nodes, _NODE_REACH_MM, seed=_SEED).offers
            if offer.holds
        )
    return ()


def screen_bar(bench: Bench) -> None:
    """Over the screen, from side bar to side bar, on the straight that comes nearest to the screen's corner."""
    side, corner = bench.bars["SB-L"], bench.places["screen_corner"]
    starts = []
    for leg in range(1, len(side.nodes) - 1):
        direction = straight_of(side, leg)[2]
        at, slide = along_leg(
            side,
            leg,
            float((corner - side.nodes[leg]) @ direction),
            node=0,
            count=2,
            low_mm=-_SCREEN_BAR_REACH_MM,
            high_mm=_SCREEN_BAR_REACH_MM,
        )
        starts.append(
            (float(np.linalg.norm(at - corner)), bench.bar("SC", [at, at * MIRROR]), both_sides(slide))
        )
    starts.sort(key=lambda one: one[0])
    bench.lay("SC", Role.SCREEN_BAR, [(bar, [slide]) for _, bar, slide in starts], (on("SB-L"), on("SB-R")))


def backstays(bench: Bench) -> None:
    """From the top of the hoop to the rear feet."""
    end, along_top = top_end(bench.bars["MH"])
    start = bench.bar("BS-L", [end + 60.0 * along_top, bench.places["backstay_foot"]])
    slide = Slide(directions=moves(2, {0: along_top}), low_mm=-60.0, high_mm=200.0)
    bench.lay("BS", Role.BACKSTAY, [(start, [slide])], (on("MH"), ON_SHELL), pair=True)
