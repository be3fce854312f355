"""Cutting plans of cages and of several cages, beside first-fit decreasing and a plain whole programme.

python -m benchmarks.cuts [SEEDS]
"""

import sys
import time
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

from benchmarks.timing import line
from hoopwright.stock import CutRules, CutTask, Piece, StickOffer, plan_cuts

STICK_MM, KERF_MM = 6000.0, 3.0
REFERENCE_LIMIT_S = 5.0


@dataclass(frozen=True, kw_only=True)
class Case:
    """A list of pieces of one seed."""

    name: str
    lengths_mm: tuple[float, ...]
    counts: tuple[int, ...]

    @property
    def each_mm(self) -> list[float]:
        """Length of every single piece."""
        return [
            length for length, count in zip(self.lengths_mm, self.counts, strict=True) for _ in range(count)
        ]


def sixty(seed: int) -> Case:
    """60 pieces of 300 to 2500 mm, to 0.1 mm."""
    draw = np.random.default_rng(seed)
    return _case(f"60 pieces, seed {seed}", draw.uniform(300.0, 2500.0, 60), np.ones(60))


def sixty_with_hoops(seed: int) -> Case:
    """52 pieces as above, and 8 of 3400 to 5200 mm."""
    draw = np.random.default_rng(1000 + seed)
    lengths = np.concatenate([draw.uniform(3400.0, 5200.0, 8), draw.uniform(300.0, 2500.0, 52)])
    return _case(f"60 pieces with 8 hoops, seed {seed}", lengths, np.ones(60))


def sixty_in_steps(seed: int) -> Case:
    """60 pieces in steps of 50 mm: many that are alike, so that the best plans are full to the end."""
    draw = np.random.default_rng(2000 + seed)
    return _case(f"60 pieces in steps of 50, seed {seed}", 50.0 * draw.integers(8, 50, 60), np.ones(60))


def two_hundred(seed: int) -> Case:
    """200 pieces of 40 lengths."""
    draw = np.random.default_rng(3000 + seed)
    counts = draw.multinomial(160, np.full(40, 1.0 / 40.0)) + 1
    return _case(f"200 pieces of 40 lengths, seed {seed}", draw.uniform(300.0, 2500.0, 40), counts)


def main(seeds: int = 10) -> None:
    """Measure and print."""
    for make, target, limit_s in (
        (sixty, "proven, under 5 s", 5.0),
        (sixty_with_hoops, "proven, under 5 s", 5.0),
        (sixty_in_steps, "proven, under 5 s", 5.0),
        (two_hundred, "within 1 stick, under 20 s", 20.0),
    ):
        _measure([make(seed) for seed in range(seeds)], target, limit_s)


def _measure(cases: list[Case], target: str, limit_s: float) -> None:
    times, proven, gaps, greedy, ratios, unsolved = [], 0, [], 0, [], 0
    for case in cases:
        start = time.perf_counter()
        plan = plan_cuts(_task(case, limit_s))
        times.append(time.perf_counter() - start)
        proven += plan.proven_optimal
        gaps.append(plan.stick_count - plan.lower_bound)
        greedy += first_fit(case) > plan.stick_count
        start = time.perf_counter()
        reference = plain_programme(case, first_fit(case))
        seconds = time.perf_counter() - start
        assert reference is None or reference >= plan.lower_bound
        assert reference is None or reference >= plan.stick_count, "the reference found a better plan"
        unsolved += reference is None
        ratios.append(seconds / times[-1])
    name = cases[0].name.rpartition(",")[0]
    line(f"{name}: longest of {len(cases)}", max(times), "s", target)
    line(f"{name}: median", float(np.median(times)), "s", "-")
    line(f"{name}: proven", proven, "", f"{len(cases)}")
    line(f"{name}: largest gap to the bound", max(gaps), "", "0 or 1")
    line(f"{name}: first-fit takes more sticks in", greedy, "", "-")
    line(f"{name}: plain programme over this, median", float(np.median(ratios)), "x", "over 1")
    line(f"{name}: plain programme without proof in {REFERENCE_LIMIT_S:g} s", unsolved, "", "-")


def _case(name: str, lengths: np.ndarray, counts: np.ndarray) -> Case:
    return Case(
        name=name,
        lengths_mm=tuple(round(float(length), 1) for length in lengths),
        counts=tuple(int(count) for count in counts),
    )


def _task(case: Case, limit_s: float) -> CutTask:
    rows = zip(case.lengths_mm, case.counts, strict=True)
    return CutTask(
        pieces=tuple(Piece(name=f"p{k}", length_mm=mm, count=n) for k, (mm, n) in enumerate(rows)),
        offers=(StickOffer(length_mm=STICK_MM),),
        rules=CutRules(kerf_mm=KERF_MM, time_limit_s=limit_s),
    )


def first_fit(case: Case) -> int:
    """Sticks that first-fit decreasing takes."""
    rooms: list[float] = []
    for length in sorted(case.each_mm, reverse=True):
        at = next((k for k, room in enumerate(rooms) if room >= length + KERF_MM), None)
        if at is None:
            rooms.append(STICK_MM + KERF_MM)
            at = len(rooms) - 1
        rooms[at] -= length + KERF_MM
    return len(rooms)


def plain_programme(case: Case, sticks: int) -> int | None:
    """Sticks by giving each length to sticks in one whole programme; None where it proves nothing in its time."""
    sorts = len(case.lengths_mm)
    wide = sorts * sticks + sticks
    costs = np.concatenate([np.zeros(sorts * sticks), np.ones(sticks)])
    room = [(at, k * sticks + at, case.lengths_mm[k] + KERF_MM) for k in range(sorts) for at in range(sticks)]
    room += [(at, sorts * sticks + at, -(STICK_MM + KERF_MM)) for at in range(sticks)]
    every = [(k, k * sticks + at, 1.0) for k in range(sorts) for at in range(sticks)]
    made = milp(
        costs,
        constraints=[
            LinearConstraint(_sparse(room, sticks, wide), ub=0.0),
            LinearConstraint(_sparse(every, sorts, wide), lb=case.counts, ub=case.counts),
        ],
        integrality=np.ones(wide),
        bounds=Bounds(0.0, np.concatenate([np.repeat(case.counts, sticks), np.ones(sticks)])),
        options={"time_limit": REFERENCE_LIMIT_S},
    )
    return round(made.fun) if made.status == 0 else None


def _sparse(entries: list[tuple[int, int, float]], rows: int, columns: int) -> coo_matrix:
    where = np.array(entries)
    places = (where[:, 0].astype(int), where[:, 1].astype(int))
    return coo_matrix((where[:, 2], places), shape=(rows, columns)).tocsr()


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
