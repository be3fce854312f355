"""How long a pose takes that is asked of a hoop in the demo car, against the mesh at every ball, and a whole order.

python -m benchmarks.ways PROJECT
"""

import sys
import time
from pathlib import Path

import numpy as np

from benchmarks.timing import best_of, line
from hoopwright.jobs.assembly import plan_assembly
from hoopwright.joints.ways.carried import carried
from hoopwright.joints.ways.poses import quaternion
from hoopwright.shell.moving import measure, room
from hoopwright.store import ProjectFolder

_POSES = 2000


def main() -> None:
    """Measure and print."""
    folder = ProjectFolder(path=Path(sys.argv[1]))
    start = time.perf_counter()
    report = plan_assembly(folder, use="auto")
    line(f"order of {len(report.steps)} bars", time.perf_counter() - start, "s", "a few minutes")
    step = report.steps[0]
    around = report.place.around.with_capsules(())
    body = carried(around, step.way.carried.part, 3.0).free_body
    random = np.random.default_rng(1)
    poses = [
        np.concatenate(
            [random.uniform(-400.0, 400.0, 3), quaternion(random.normal(size=3), random.uniform(0, 180))]
        )
        for _ in range(_POSES)
    ]
    fast = best_of(lambda: [room(around, body, pose) for pose in poses], runs=3) / _POSES
    exact = best_of(lambda: [measure(around, body, pose) for pose in poses], runs=3) / _POSES
    line(f"a pose of {step.group[0]}, {len(body.balls)} balls", 1e6 * fast, "us", "under 50")
    line("the mesh asked at every ball, times as long", exact / fast, "x", "over 5")


if __name__ == "__main__":
    main()
