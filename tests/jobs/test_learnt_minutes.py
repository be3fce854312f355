"""Minutes of a bend from the log: the median between readings of one stick, pauses and typed-in logs left out."""

import datetime as dt

import pytest

from hoopwright.bender import LoggedBend
from hoopwright.jobs.learnt_minutes import learnt_findings, learnt_minutes, minutes_of

START = dt.datetime(2026, 3, 2, 8, 0, tzinfo=dt.UTC)


def bend(number, minutes, *, bar="MH", project="coupe", die="45"):
    return LoggedBend(
        key=f"{project}-{bar}-{number}-{minutes}", time=START + dt.timedelta(minutes=minutes), bender="floor", die=die,
        batch="B1", wanted_deg=70.0, command_deg=73.0, released_deg=70.0, fed_from="A", project=project, bar=bar,
        bend_number=number,
    )  # fmt: skip


def test_the_median_of_one_stick():
    found = minutes_of([bend(2, 0.0), bend(3, 10.0), bend(1, 24.0), bend(4, 36.0)])
    assert (found.per_bend_min, found.readings, found.sticks, found.left_out) == (12.0, 3, 1, 0)


def test_the_time_from_one_stick_to_the_next_is_no_bend():
    first = [bend(1, 0.0), bend(2, 9.0)]
    second = [bend(1, 40.0), bend(2, 51.0)]
    found = minutes_of([*first, *second])
    assert (found.per_bend_min, found.readings, found.sticks) == (10.0, 2, 2)


def test_bars_bent_in_turn_are_kept_apart():
    found = minutes_of([bend(1, 0.0), bend(1, 1.0, bar="SB"), bend(2, 8.0), bend(2, 13.0, bar="SB")])
    assert (found.per_bend_min, found.readings) == (10.0, 2)


def test_pauses_and_bends_typed_in_together_are_left_out():
    found = minutes_of([bend(1, 0.0), bend(2, 0.0), bend(3, 12.0), bend(4, 12.0 + 61.0)])
    assert (found.per_bend_min, found.readings, found.left_out) == (12.0, 1, 2)


def test_trials_of_no_bar_do_not_count():
    assert minutes_of([bend(1, 0.0, bar="", project=""), bend(2, 9.0, bar="", project="")]).readings == 0


@pytest.mark.parametrize(("count", "code"), [(0, "COST-021"), (1, "COST-021"), (3, "COST-022"), (11, None)])
def test_few_times_are_told(count, code):
    told = learnt_findings(minutes_of([bend(n + 1, 10.0 * n) for n in range(count)]))
    assert [one.code for one in told] == ([] if code is None else [code])


def test_without_a_shop_nothing_is_learnt_and_none_is_made(tmp_path):
    assert learnt_minutes(str(tmp_path / "shop.sqlite")).per_bend_min is None
    assert list(tmp_path.iterdir()) == []
