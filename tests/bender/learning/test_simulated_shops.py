"""Do the 95 % bands hold the truth 93 to 97 times in 100? Shops whose true values are known."""

import itertools

import pytest
from benchmarks.simulated_shops import MATCHED, PLANS, WORLDS, World, held

SMALL = 1500  # 95 % of 1500 is known to 0.6 % (one standard deviation)


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: plan.name)
def test_bands_hold_in_the_world_that_is_believed(plan):
    assert 0.93 <= held(MATCHED, plan, shops=SMALL, seed=1).share <= 0.97


# After three samples the typed yield no longer matters; far beyond the samples it does, and that is left out.
STILL_HONEST = [
    plan for plan in PLANS if sum(one == 0 for one in plan.batches) >= 3 and "beyond" not in plan.name
]


@pytest.mark.parametrize("world", WORLDS[1:3], ids=lambda world: world.name)
@pytest.mark.parametrize("plan", STILL_HONEST, ids=lambda plan: plan.name)
def test_a_yield_30_percent_off_does_no_harm_after_three_samples(world, plan):
    assert 0.93 <= held(world, plan, shops=SMALL, seed=2).share <= 0.975


@pytest.mark.parametrize("over_deg", [0.01, 2.0, 5.0, 10.0])
def test_small_angles_hold_however_the_slack_comes_in(over_deg):
    """At once, or over the first degrees: the learner does not know, and was never there with three samples."""
    (small,) = (plan for plan in PLANS if plan.name == "3 samples, small angles")
    world = World(name="slack", slack_over_deg=over_deg)
    assert 0.93 <= held(world, small, shops=SMALL, seed=6).share <= 0.98


def test_the_guard_is_seen_red():
    """Scatter far above the stated one, and three samples to learn it from: the bands are too narrow."""
    rough = World(name="rough", scatter_deg=0.6)
    (three,) = (plan for plan in PLANS if plan.name == "3 samples")
    (forty,) = (plan for plan in PLANS if plan.name == "3 samples and 40 bends of 4 batches")
    after_three, after_forty = (held(rough, plan, shops=SMALL, seed=3).share for plan in (three, forty))
    assert after_three < 0.9
    assert 0.93 <= after_forty <= 0.97


def test_more_bends_make_narrower_bands_and_smaller_errors():
    by_name = {plan.name: held(MATCHED, plan, shops=600, seed=4) for plan in PLANS}
    names = ("theory alone, no bend", "1 sample", "3 samples", "3 samples and 40 bends of 4 batches")
    for before, after in itertools.pairwise(names):
        assert by_name[after].half_band_deg < by_name[before].half_band_deg
        assert by_name[after].rms_deg < by_name[before].rms_deg
    new = by_name["3 samples, first bend of a new batch"]
    assert new.half_band_deg > by_name["3 samples"].half_band_deg
    small = by_name["3 samples, small angles"]
    assert small.half_band_deg > by_name["3 samples"].half_band_deg


@pytest.mark.slow
@pytest.mark.parametrize(
    "world", [world for world in WORLDS if "0.4" not in world.name], ids=lambda w: w.name
)
@pytest.mark.parametrize("plan", STILL_HONEST, ids=lambda plan: plan.name)
def test_four_thousand_shops_of_every_world(world, plan):
    assert 0.925 <= held(world, plan, shops=4000, seed=5).share <= 0.98
