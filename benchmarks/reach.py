"""Weld reach of every joint of a project's cage, and the whole plan of welding.

    hoopwright demo FOLDER
    python -m benchmarks.reach FOLDER

Beside it the gaps of the same bars to the same shell, as the reference of that run.
"""

import argparse
from functools import partial
from pathlib import Path

from benchmarks.timing import best_of, line
from hoopwright.cage import Cage, bars_of
from hoopwright.fitting.measuring import as_tube
from hoopwright.jobs.shells import open_shell
from hoopwright.joints.reach import Torch, Wish, plan_welding, reach_of
from hoopwright.joints.reach.hanging import seams_of
from hoopwright.joints.reach.obstacles import rods_of
from hoopwright.shell.clearance import measure_gaps
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("project", type=Path)
    folder = ProjectFolder(path=parser.parse_args().project)
    project = folder.open().project
    cage, shell = project.cage, open_shell(folder, project)
    bars = bars_of(cage)
    joints = len(seams_of(cage, bars))
    print(f"{len(shell.prepared.tree.corners):,} triangles; {len(bars)} bars, {joints} joints")
    tubes = [as_tube(bar) for bar in bars.values()]
    measure_gaps(shell, tubes)
    _reach_all(cage, shell)
    gaps_s = best_of(partial(measure_gaps, shell, tubes), runs=3)
    reach_s = best_of(partial(_reach_all, cage, shell), runs=3)
    line("gaps of all bars: the reference", gaps_s, "s", "-")
    line("weld reach of all joints in place", reach_s, "s", "under 10 s")
    line("the same over the reference", reach_s / gaps_s, "x", "-")
    for name, wish in (("60 mm needed", Wish(needs_mm=60.0)), ("places tried", Wish())):
        plan = partial(plan_welding, cage, bars, shell, torch=Torch(), wish=wish)
        line(f"the whole plan, {name}", best_of(plan, runs=1), "s", "-")


def _reach_all(cage: Cage, shell: Shell) -> float:
    bars = bars_of(cage)
    rods, torch = rods_of(bars), Torch()
    return sum(reach_of(seam, torch, shell, rods).share for seam in seams_of(cage, bars))


if __name__ == "__main__":
    main()
