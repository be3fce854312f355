"""Shops whose true springback is known: do the 95 % bands hold the truth 95 times in 100?

    python -m benchmarks.simulated_shops [SHOPS]

A world says how true values are drawn; thousands of shops are drawn from it and fitted at once. The bender that
learns sees readings only.
"""

import math
import sys
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import truncnorm

from hoopwright.bender.learning.moments import CONSTANT, GROWTH, QUICK, SLOW, UNKNOWNS, design_rows, sum_up
from hoopwright.bender.learning.posterior import (
    BATCH_SD_DEG,
    BATCH_SD_SPREAD,
    MOST_BATCH_SD_DEG,
    SCATTER_WORTH,
    first_nodes,
    posterior,
)
from hoopwright.bender.learning.steels import FULL_DEG, LinePrior, line_prior
from hoopwright.bender.samples import DEFAULT_GAUGE_SD_DEG, PlainNumbers, Samples
from hoopwright.tubes import TubeSize

Vector = NDArray[np.float64]
LOW_SHARE, HIGH_SHARE = 0.025, 0.975
TUBE, RADIUS_MM, TYPED_YIELD_MPA = TubeSize(od_mm=45.0, wall_mm=2.5), 137.5, 500.0


def shop_prior(yield_mpa: float | None = TYPED_YIELD_MPA) -> LinePrior:
    """What a shop believes that typed this yield and nothing else."""
    known = PlainNumbers(clr_mm=RADIUS_MM)
    return line_prior(Samples(tube=TUBE, plains=(known,), yield_mpa=yield_mpa), clr_mm=RADIUS_MM)


@dataclass(frozen=True, kw_only=True)
class World:
    """How true values are drawn.

    Args:
        name: In words.
        yield_factor: True yield over the typed one; None draws it as the prior believes.
        batch_constant_sd_deg: Spread of the constant between batches; the learner knows of none.
        reading_step_deg: To what the gauge is read; 0 for exactly.
        tails: Degrees of freedom of the scatter; None for normal.
        scatter_deg: True scatter of every shop; None draws it as the prior believes.
        slack_over_deg: The constant comes in over the first degrees of command, as 1 - exp(-command / this).
    """

    name: str
    yield_factor: float | None = None
    batch_constant_sd_deg: float = 0.0
    reading_step_deg: float = 0.0
    tails: float | None = None
    scatter_deg: float | None = None
    slack_over_deg: float | None = None


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What each shop bends before it is asked.

    Args:
        name: In words.
        batches: Batch of each bend, in order.
        commands: Commands of the first bends; those after are drawn between 8 and 100 degrees.
        asked_batch: Batch of the bend that is foretold; -1 for one never bent.
        asked_deg: Its command is drawn between these.
    """

    name: str
    batches: tuple[int, ...]
    commands: tuple[float, ...] = ()
    asked_batch: int = 0
    asked_deg: tuple[float, float] = (8.0, 100.0)


PLANS = (
    Plan(name="theory alone, no bend", batches=()),
    Plan(name="1 sample", batches=(0,), commands=(90.0,)),
    Plan(name="2 samples", batches=(0, 0), commands=(20.0, 90.0)),
    Plan(name="3 samples", batches=(0, 0, 0), commands=(20.0, 45.0, 90.0)),
    Plan(
        name="3 samples, small angles",
        batches=(0, 0, 0),
        commands=(20.0, 45.0, 90.0),
        asked_deg=(2.0, 8.0),
    ),
    Plan(
        name="3 samples, beyond them",
        batches=(0, 0, 0),
        commands=(20.0, 30.0, 40.0),
        asked_deg=(90.0, 130.0),
    ),
    Plan(
        name="3 samples, first bend of a new batch",
        batches=(0,) * 3,
        commands=(20.0, 45.0, 90.0),
        asked_batch=-1,
    ),
    Plan(
        name="3 samples and 12 bends of 2 batches, new batch",
        batches=(0,) * 3 + (1,) * 6 + (2,) * 6,
        commands=(20.0, 45.0, 90.0),
        asked_batch=-1,
    ),
    Plan(
        name="the same, second bend of the third batch",
        batches=(0,) * 3 + (1,) * 6 + (2,),
        commands=(20.0, 45.0, 90.0),
        asked_batch=2,
    ),
    Plan(
        name="3 samples and 40 bends of 4 batches",
        batches=(0,) * 3 + (0,) * 10 + (1,) * 10 + (2,) * 10 + (3,) * 10,
        commands=(20.0, 45.0, 90.0),
        asked_batch=3,
    ),
    Plan(
        name="the same, small angles",
        batches=(0,) * 3 + (0,) * 10 + (1,) * 10 + (2,) * 10 + (3,) * 10,
        commands=(20.0, 45.0, 90.0),
        asked_batch=3,
        asked_deg=(2.0, 8.0),
    ),
)
MATCHED = World(name="as believed")
WORLDS = (
    MATCHED,
    World(name="yield 30 % above the typed one", yield_factor=1.3),
    World(name="yield 30 % below the typed one", yield_factor=0.7),
    World(name="gauge read to half degrees", reading_step_deg=0.5),
    World(name="constant differs by 0.1° between batches", batch_constant_sd_deg=0.1),
    World(name="heavy tails (5 degrees of freedom)", tails=5.0),
    World(name="a straight line down to 0°", slack_over_deg=0.01),
    World(name="slack taken up over the first 2°", slack_over_deg=2.0),
    World(name="slack taken up over the first 5°", slack_over_deg=5.0),
    World(name="slack taken up over the first 10°", slack_over_deg=10.0),
    World(name="scatter 0.4° where 0.25° was stated", scatter_deg=0.4),
)


@dataclass(frozen=True, kw_only=True)
class Held:
    """How often the bands held.

    Args:
        share: Share of shops whose next bend lay in its 95 % band.
        half_band_deg: Half of the band's width, middle of all shops, as 1.96 standard deviations.
        rms_deg: Root mean square error of what was foretold.
    """

    share: float
    half_band_deg: float
    rms_deg: float


def held(world: World, plan: Plan, *, shops: int, seed: int = 0) -> Held:
    """Draw shops from a world, let each bend by a plan, and foretell one more bend of each."""
    rng = np.random.default_rng([seed, len(plan.batches), round(plan.asked_deg[0])])
    prior = shop_prior()
    batch = np.array(plan.batches, dtype=np.intp)
    count = len(batch)
    command = rng.uniform(8.0, 100.0, (shops, count))
    command[:, : len(plan.commands)] = plan.commands
    asked = rng.uniform(*plan.asked_deg, (shops, 1))
    asked_number = int(batch.max(initial=-1)) + 1 if plan.asked_batch < 0 else plan.asked_batch
    rows = design_rows(np.concatenate([command, asked], axis=1), np.arange(count + 1.0))
    springback = _true_springback(world, prior, rows, np.append(batch, asked_number), rng)
    values = springback - rows @ prior.mean_deg
    moments = sum_up(rows[:, :count], values[:, :count], batch, int(batch.max(initial=0)) + 1)
    found = posterior(prior, moments, first_nodes(DEFAULT_GAUGE_SD_DEG))
    number = -1 if plan.asked_batch < 0 or plan.asked_batch not in plan.batches else plan.asked_batch
    foretold = found.springback(rows[:, count:], np.array([number]))
    below = foretold.below(springback[:, count:])
    inside = (below > LOW_SHARE) & (below < HIGH_SHARE)
    error = springback[:, count:] - foretold.mean()
    return Held(
        share=float(np.mean(inside)),
        half_band_deg=1.96 * float(np.median(foretold.sd())),
        rms_deg=float(np.sqrt(np.mean(error**2))),
    )


def _true_springback(
    world: World, prior: LinePrior, rows: Vector, batch: NDArray[np.intp], rng: np.random.Generator
) -> Vector:
    """What each bend of each shop springs back as it is read, shape (shops, n)."""
    shops = len(rows)
    truth = prior.mean_deg + prior.sd_deg * rng.standard_normal((shops, UNKNOWNS))
    if world.yield_factor is not None:
        true_prior = shop_prior(world.yield_factor * TYPED_YIELD_MPA)
        truth[:, GROWTH] = true_prior.mean_deg[GROWTH]
    scatter = DEFAULT_GAUGE_SD_DEG * np.sqrt(SCATTER_WORTH / rng.chisquare(SCATTER_WORTH, (shops, 1)))
    if world.scatter_deg is not None:
        scatter = np.full((shops, 1), world.scatter_deg)
    beyond = math.log(MOST_BATCH_SD_DEG / BATCH_SD_DEG) / BATCH_SD_SPREAD
    spread = BATCH_SD_DEG * np.exp(
        BATCH_SD_SPREAD * truncnorm.rvs(-9.0, beyond, size=(shops, 1), random_state=rng)
    )
    batches = int(batch.max()) + 1
    growth = (spread * rng.standard_normal((shops, batches)))[:, batch]
    constant = (world.batch_constant_sd_deg * rng.standard_normal((shops, batches)))[:, batch]
    noise = rng.standard_normal(growth.shape)
    if world.tails is not None:
        noise = rng.standard_t(world.tails, growth.shape) * np.sqrt((world.tails - 2.0) / world.tails)
    if world.slack_over_deg is not None:
        share = 1.0 - np.exp(-rows[..., GROWTH] * FULL_DEG / world.slack_over_deg)
        constant = constant + np.abs(truth[:, CONSTANT, None]) * share
        truth[:, [CONSTANT, QUICK, SLOW]] = 0.0
    exact = np.einsum("sni,si->sn", rows, truth) + growth * rows[..., GROWTH] + constant + scatter * noise
    if world.reading_step_deg:
        return np.round(exact / world.reading_step_deg) * world.reading_step_deg
    return exact


def main() -> None:
    """Print how often the bands held, for each world and plan."""
    shops = int(sys.argv[1]) if len(sys.argv) > 1 else 4000
    for world in WORLDS:
        print(f"\n{world.name} ({shops} shops)")
        for plan in PLANS:
            found = held(world, plan, shops=shops)
            print(
                f"  {plan.name:<50} held {found.share:6.1%}   half band {found.half_band_deg:.2f}°   "
                f"rms {found.rms_deg:.2f}°"
            )


if __name__ == "__main__":
    main()
