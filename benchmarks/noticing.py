"""How soon a batch that differs, a drift and a changed bender are noticed, and how often one is accused wrongly.

python -m benchmarks.noticing [SHOPS]
"""

import sys

import numpy as np

from hoopwright.bender import AngleSample, Samples
from hoopwright.bender.learning import BendReading, batch_notices, learn, notice_findings
from hoopwright.tubes import TubeSize

SCATTER_DEG, CONSTANT_DEG, PER_COMMAND = 0.25, 0.8, 0.03
KNOWN_BENDS = 15
OFF_DEG, OF_THE_BATCH = (0.0, 0.5, 1.0, 1.5), (1, 3, 6, 12)
DRIFTS = ((0.0, 60), (0.6, 60), (1.2, 60), (1.2, 120))
STEPS_DEG = (0.0, 0.5, 1.0)


def springback_deg(command_deg: float, rng: np.random.Generator) -> float:
    """Springback of one bend as it is read."""
    return CONSTANT_DEG + PER_COMMAND * command_deg + SCATTER_DEG * float(rng.standard_normal())


def reading(number: int, batch: str, more_deg: float, rng: np.random.Generator) -> BendReading:
    """One bend between 10 and 100 degrees that springs back by so much more."""
    command = float(rng.uniform(10.0, 100.0))
    if batch != "A":
        more_deg *= command / 90.0
    released = command - springback_deg(command, rng) - more_deg
    return BendReading(key=str(number), time="", batch=batch, command_deg=command, released_deg=released)


def samples(rng: np.random.Generator) -> Samples:
    """Three samples of batch A."""
    angles = tuple(
        AngleSample(command_deg=command, released_deg=command - max(0.0, springback_deg(command, rng)))
        for command in (20.0, 45.0, 90.0)
    )
    return Samples(tube=TubeSize(od_mm=45.0, wall_mm=2.5), batch="A", angles=angles)


def batch_noticed(off_deg: float, of_the_batch: int, seed: int) -> bool:
    """Whether batch B is called different after so many of its bends."""
    rng = np.random.default_rng([1, seed])
    bends = [reading(index, "A", 0.0, rng) for index in range(KNOWN_BENDS)]
    bends += [reading(KNOWN_BENDS + index, "B", off_deg, rng) for index in range(of_the_batch)]
    return any(one.batch == "B" and one.different for one in batch_notices(learn(samples(rng), bends)))


def told(code: str, more_deg: list[float], seed: int) -> bool:
    """Whether that is told of bends of one batch that spring back by so much more, one after the other."""
    rng = np.random.default_rng([2, seed])
    bends = [reading(index, "A", more, rng) for index, more in enumerate(more_deg)]
    return code in [finding.code for finding in notice_findings(learn(samples(rng), bends))]


def main() -> None:
    """Print the share of shops in which each is noticed."""
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    print(f"batch B off by so much at 90, called different after its bends ({shops} shops each)")
    for off in OFF_DEG:
        shares = [
            np.mean([batch_noticed(off, count, seed) for seed in range(shops)]) for count in OF_THE_BATCH
        ]
        print(
            f"  {off:.1f}°: " + ", ".join(f"{n} {s:.0%}" for n, s in zip(OF_THE_BATCH, shares, strict=True))
        )
    print("drift told")
    for grown, count in DRIFTS:
        path = list(np.linspace(0.0, grown, count))
        print(
            f"  {grown:.1f}° over {count}: {np.mean([told('LEARN-031', path, seed) for seed in range(shops)]):.0%}"
        )
    print("sudden change told 8 bends after it")
    for step in STEPS_DEG:
        path = [0.0] * 30 + [step] * 8
        print(f"  {step:.1f}°: {np.mean([told('LEARN-032', path, seed) for seed in range(shops)]):.0%}")


if __name__ == "__main__":
    main()
