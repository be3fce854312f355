"""Timing shared by the benchmarks."""

import time
from collections.abc import Callable


def best_of(work: Callable[[], object], *, runs: int = 5) -> float:
    """Shortest of some runs, s."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def line(name: str, value: float, unit: str, target: str) -> None:
    """Print one figure beside its target."""
    print(f"{name:<58} {value:10.3f} {unit:<4} (wanted: {target})")
