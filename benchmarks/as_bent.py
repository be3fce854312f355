"""Bars as bent: time and error from simulated scans of known bars, and time from a tape.

    python -m benchmarks.as_bent [--seed 1] [--points 200000]

Each scan sees one side of the bar, with a normal error of 0.5 mm in every coordinate, and a floor close under it.
"""

import argparse
from functools import partial

import numpy as np
from numpy.typing import NDArray

from benchmarks.timing import best_of, line
from hoopwright.bars import Bar, BendTable, bend_table, nodes_from_table, skin_mesh
from hoopwright.bender.as_bent import TapeEntry, bar_distances, fit_tape, what_it_tells
from hoopwright.bender.as_bent.scanned import ScannedBar, bar_in_scan, match_scanned, points_on_mesh
from hoopwright.tubes import TubeSize

NOISE_MM, FLOOR_SHARE, SEEN_FROM = 0.5, 0.3, np.array([0.3, 0.5, 0.8])
TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--points", type=int, default=200_000)
    asked = parser.parse_args()
    for bar in (_hoop(), _side_bar(), _eight_bends()):
        points = _scan(bar, asked.points, np.random.default_rng(asked.seed))
        bar_in_scan(points[::20])
        found = bar_in_scan(points)
        seconds = best_of(partial(bar_in_scan, points), runs=3)
        print(f"{bar.name}, {len(points)} points, seed {asked.seed}")
        line("  bar in the scan", seconds, "s", "under 5 s")
        _print_errors(bar, found)
    hoop = _hoop()
    taken = [TapeEntry(key=d.key, tape_mm=d.measure(hoop) - 1.0) for d in bar_distances(hoop)]
    line(
        "hoop from five tape distances",
        best_of(lambda: what_it_tells(fit_tape(hoop, taken))),
        "s",
        "under 1 s",
    )


def _print_errors(bar: Bar, found: ScannedBar) -> None:
    errors = match_scanned(bar, found).errors
    line("  worst straight", max(map(abs, errors.straights_mm)), "mm", "within 1 mm")
    line("  worst angle", max(map(abs, errors.angles_deg)), "deg", "within 0.2 deg")
    line("  worst rotation", max(map(abs, errors.rotations_deg)), "deg", "within 0.2 deg")
    line("  outside diameter", abs(found.od_mm - bar.tube.od_mm), "mm", "within 0.1 mm")
    line("  centreline radius", abs(found.table.clr_mm - bar.clr_mm), "mm", "within 1 mm")


def _scan(bar: Bar, count: int, rng: np.random.Generator) -> NDArray[np.float64]:
    mesh = skin_mesh(bar, around=128, arc_step_deg=1.0)
    corners = mesh.vertices_mm[mesh.triangles]
    facing = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) @ SEEN_FROM
    seen = mesh.triangles[facing > 0.0]
    on_floor = int(FLOOR_SHARE * count)
    points = points_on_mesh(mesh.vertices_mm, seen, count=count - on_floor)
    low, high = points.min(axis=0), points.max(axis=0)
    floor = rng.uniform(low - 200.0, high + 200.0, (on_floor, 3))
    thin = int(np.argmin(high - low))
    floor[:, thin] = low[thin] - 18.0
    points = np.concatenate([points, floor])
    noisy: NDArray[np.float64] = points + rng.normal(0.0, NOISE_MM, points.shape)
    return noisy


def _hoop() -> Bar:
    nodes = tuple(
        (0.0, float(left), float(up))
        for left, up in ((610, 0), (640, 620), (505, 1085), (-505, 1085), (-640, 620), (-610, 0))
    )
    return Bar(name="main hoop", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)


def _side_bar() -> Bar:
    nodes = ((-350.0, 640.0, 60.0), (-430.0, 655.0, 560.0), (-880.0, 525.0, 1125.0), (-1560.0, 505.0, 1150.0))
    return Bar(name="side bar", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)


def _eight_bends() -> Bar:
    table = BendTable(
        straights_mm=(150.0, 90.0, 120.0, 80.0, 100.0, 200.0, 70.0, 150.0, 300.0),
        rotations_deg=(0.0, 90.0, -45.0, 180.0, 30.0, -120.0, 60.0, 10.0),
        angles_deg=(45.0, 30.0, 90.0, 20.0, 60.0, 15.0, 75.0, 35.0),
        clr_mm=114.0,
    )
    bar = Bar(
        name="bar of eight bends",
        nodes_mm=nodes_from_table(table),
        clr_mm=114.0,
        tube=TubeSize(od_mm=38.0, wall_mm=2.0),
    )
    assert len(bend_table(bar).angles_deg) == 8
    return bar


if __name__ == "__main__":
    main()
