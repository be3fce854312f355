"""Fitting bars to a real shell: time and mean gap for each number of bends, over the best known.

    HOOPWRIGHT_FIT_CASES=FOLDER python -m benchmarks.fit [--seed 1]

The folder holds `fit-cases.json` and the scan that it names (PLY in metres, vehicle axes). Each case gives ends or a
plane, tube, gap, clamp and the best mean gap known; gaps are judged as the file says.
"""

import argparse
import json
import math
import os
import time
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.timing import best_of, line
from hoopwright.bars import centreline
from hoopwright.fitting.bar_task import BarTask, FitEnd
from hoopwright.fitting.offers import Offer
from hoopwright.fitting.tradeoff import fit_bar
from hoopwright.fitting.warm import refit_bar
from hoopwright.geometry import Transform
from hoopwright.shell.prepared import prepare_scan
from hoopwright.shell.readers import read_scan
from hoopwright.shell.shell import Shell, make_shell
from hoopwright.tubes import TubeSize

_SCAN = "body_shell_200k.ply"


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seed", type=int, default=1)
    seed = parser.parse_args().seed
    folder = Path(os.environ["HOOPWRIGHT_FIT_CASES"])
    shell = _shell(folder / _SCAN)
    for case in json.loads((folder / "fit-cases.json").read_text())["cases"]:
        task = _task(case)
        bends = [known["bends"] for known in case["best"]]
        fit_bar(shell, task, bends[:1], seed=seed)
        print(f"{case['name']}, seed {seed}")
        start = time.perf_counter()
        table = fit_bar(shell, task, bends, seed=seed)
        line("  the table, with measuring the room", time.perf_counter() - start, "s", "under 8 s")
        for offer, known in zip(table.offers, case["best"], strict=True):
            _print_offer(shell, task, offer, known)
            start = time.perf_counter()
            fit_bar(shell, task, [offer.bends], seed=seed)
            taken = time.perf_counter() - start
            line(f"  {offer.bends} bends alone, with measuring the room", taken, "s", "under 3 s")
        moved = replace(task, end_a=replace(task.end_a, place_mm=_moved(task.end_a.place_mm)))
        bar = table.offers[-1].bar
        again = best_of(partial(refit_bar, shell, moved, bar), runs=3)
        line("  the last again after an end moved", again, "s", "under 1 s")


def _print_offer(shell: Shell, task: BarTask, offer: Offer, known: dict[str, Any]) -> None:
    path = centreline(offer.bar)
    every = path.at(np.arange(task.end_a.landing_mm, path.length_mm - task.end_b.landing_mm, 1.0))
    least = float(shell.nearest(every).distance_mm.min() - task.tube.od_mm / 2.0)
    ratio = offer.mean_gap_mm / known["mean_gap_mm"]
    print(
        f"  {offer.bends} bends: mean {offer.mean_gap_mm:.2f} mm, {ratio:.3f} x the best known (wanted: at most 1.1); "
        f"90 % {offer.p90_gap_mm:.1f}, greatest {offer.largest_gap_mm:.1f}, least at every mm {least:.2f}, "
        f"holds: {offer.holds}"
    )


def _moved(place: tuple[float, float, float]) -> tuple[float, float, float]:
    return place[0] - 10.0, place[1], place[2]


def _shell(file: Path) -> Shell:
    scan = read_scan(file)
    return make_shell(
        prepare_scan(scan, "m"),
        Transform(
            rotation=np.eye(3), shift_mm=np.asarray(scan.offset) * 1000.0, source="scan", target="vehicle"
        ),
    )


def _task(case: dict[str, Any]) -> BarTask:
    tube = TubeSize(od_mm=case["od_mm"], wall_mm=2.5)
    task = BarTask(
        name=case["name"],
        tube=tube,
        clr_mm=case["clr_mm"],
        end_a=FitEnd(place_mm=(0.0, 0.0, 0.0)),
        end_b=FitEnd(place_mm=(0.0, 0.0, 0.0)),
        gap_mm=case["gap_mm"],
        clamp_mm=case["clamp_mm"],
    )
    if "ends_mm" in case:
        ends = [FitEnd(place_mm=tuple(place)) for place in case["ends_mm"]]
        rough = tuple(tuple(place) for place in case["rough_path_mm"][1:-1])
        return replace(task, end_a=ends[0], end_b=ends[1], rough_mm=rough)
    plane = case["plane"]
    lean_rad = math.radians(plane["lean_deg"])
    forward, up = plane["forward_mm"], plane["at_up_mm"]
    across = 650.0
    rough = tuple(
        (forward - math.tan(lean_rad) * (height - up), left, height)
        for left, height in ((across, 800.0), (500.0, 1300.0), (-500.0, 1300.0), (-across, 800.0))
    )
    return replace(
        task,
        end_a=FitEnd(place_mm=(forward, across, up), slide=(0.0, 1.0, 0.0), low_mm=-120.0, high_mm=120.0),
        end_b=FitEnd(place_mm=(forward, -across, up)),
        rough_mm=rough,
        plane=((forward, 0.0, up), (math.cos(lean_rad), 0.0, math.sin(lean_rad))),
        symmetric=True,
    )


if __name__ == "__main__":
    main()
