"""Distances taped on a finished bar: what counts of them, and what is not taken."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.bender.test_bending_session import read, started

from hoopwright.bars import bend_table
from hoopwright.bender import tape_checks
from hoopwright.bender.as_bent import TapeEntry, bar_distances, fit_tape
from hoopwright.bender.rescue.records import Correction, Decision, Taped, Withdrawal
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.taping import distances_of, placed, refuse_overtaken
from hoopwright.findings import UserError


def taped(name="feet", measured_mm=1266.0, key="t"):
    return Taped(name=name, measured_mm=measured_mm, at="", key=key)


def bent(bodies):
    records = [started(bodies)]
    for number in range(4):
        records.append(read(standing(records), 0.0, f"r{number}"))
    return records


def counting(records):
    return {one.name: one.measured_mm for one in standing(records).taped}


def code_of(act):
    with pytest.raises(UserError) as stop:
        act()
    return stop.value.findings[0].code


def test_a_later_one_of_the_same_name_takes_the_place(bodies):
    records = [*bent(bodies), taped(), taped("knees", 1326.0), taped("feet", 1268.0)]
    now = standing(records)
    assert now.phase == "done"
    assert counting(records) == {"feet": 1268.0, "knees": 1326.0}
    # nothing of the bends has changed, so neither has what they cost
    assert (now.records, now.bend_record) == (8, 5)
    assert replace(now, records=5, taped=()) == standing(records[:5])


@given(st.lists(st.tuples(st.sampled_from(["feet", "knees", "height"]), st.floats(1.0, 3000.0)), max_size=12))
def test_the_last_of_each_name_counts_in_whatever_order(bodies, several):
    records = [
        *bent(bodies),
        *(taped(name, value, f"t{number}") for number, (name, value) in enumerate(several)),
    ]
    assert counting(records) == dict(several)


def test_what_was_taped_before_a_bend_was_made_is_of_another_bar(bodies):
    records = [*bent(bodies), taped()]
    under = replace(records[4], released_deg=records[4].released_deg - 1.0)
    records.append(Correction(of=5, reading=under, reason="", at="", key="c"))
    assert standing(records).phase == "add"
    left = Decision(
        choice="go on", plan=standing(records).plan, worst_miss_mm=0, least_gap_mm=None, at="", key="d"
    )
    # left as it is, it is the bar that was taped; pulled again it is not
    assert counting([*records, left]) == {"feet": 1266.0}
    again = [*records, read(standing(records), 0.0, "r5")]
    assert standing(again).phase == "done"
    assert counting(again) == {}


def test_a_reading_put_right_leaves_what_was_taped(bodies):
    records = [*bent(bodies), taped()]
    for of in (5, 3):
        right = replace(records[of - 1], released_deg=records[of - 1].released_deg + 0.1)
        records.append(Correction(of=of, reading=right, reason="", at="", key=f"c{of}"))
        assert counting(records) == {"feet": 1266.0}


def test_a_bend_taken_back_takes_what_was_taped_after_it_along(bodies):
    records = [*bent(bodies), taped(), Withdrawal(of=5, reason="", at="", key="w")]
    assert standing(records).phase == "bend"
    assert counting(records) == {}
    assert counting([*records, read(standing(records), 0.0, "r5")]) == {}


@pytest.mark.parametrize(
    ("name", "value", "code"),
    [
        ("feet", math.nan, "ASBENT-003"),
        ("feet", math.inf, "ASBENT-003"),
        ("feet", -1265.0, "ASBENT-003"),
        ("feet", 0.0, "ASBENT-003"),
        ("feet", 49.8, "ASBENT-003"),
        ("feet", 12650.0, "ASBENT-003"),
        ("hands", 1265.0, "ASBENT-001"),
        ("", 1265.0, "ASBENT-001"),
        ("back 1", 1265.0, "ASBENT-001"),
    ],
)
def test_what_cannot_be_is_refused(bodies, name, value, code):
    assert code_of(lambda: placed(standing(bent(bodies)), taped(name, value))) == code


def test_inches_typed_as_mm_are_told(bodies):
    with pytest.raises(UserError) as stop:
        placed(standing(bent(bodies)), taped("feet", 49.8))
    assert 'type 49.8"' in stop.value.findings[0].todo


def test_a_bar_that_is_not_bent_is_not_taped(bodies):
    for count in range(1, 5):
        assert code_of(lambda count=count: placed(standing(bent(bodies)[:count]), taped())) == "BEND-004"
    scrapped = [
        *bent(bodies)[:3],
        Decision(choice="scrap", plan=None, worst_miss_mm=0, least_gap_mm=None, at="", key="d"),
    ]
    assert code_of(lambda: placed(standing(scrapped), taped())) == "BEND-004"


def test_a_name_is_kept_as_the_bar_has_it(bodies):
    now = standing(bent(bodies))
    diagonal = next(one for one in distances_of(now) if one.key == "diagonal A")
    assert placed(now, taped(" Diagonal  a ", diagonal.drawn_mm)).name == "diagonal A"


def test_only_a_distance_that_the_device_had_seen_is_replaced(bodies):
    none, one = standing(bent(bodies)), standing([*bent(bodies), taped(key="first")])
    refuse_overtaken(none, taped(key="n"), "")
    refuse_overtaken(one, taped(key="n"), "first")
    refuse_overtaken(one, taped(key="n"), None)
    refuse_overtaken(one, taped("knees", key="n"), "")
    assert code_of(lambda: refuse_overtaken(one, taped(key="n"), "")) == "BEND-003"
    assert code_of(lambda: refuse_overtaken(one, taped(key="n"), "second")) == "BEND-003"
    assert code_of(lambda: refuse_overtaken(none, taped(key="n"), "first")) == "BEND-003"


def test_the_distances_are_those_of_the_sheet_and_what_was_taped_beside(bodies):
    now = standing([*bent(bodies), taped()])
    bar = now.started.job.bar
    rows = distances_of(now)
    assert {one.key for one in rows} == {one.key for one in tape_checks(bar, bend_table(bar))}
    assert {one.key: one.taped.measured_mm for one in rows if one.taped} == {"feet": 1266.0}


SHAPES = {
    "one bend": ((610.0, 0.0), (0.0, 900.0), (-610.0, 0.0)),
    "two bends": ((610.0, 0.0), (505.0, 1085.0), (-505.0, 1085.0), (-610.0, 0.0)),
    "three bends": ((610.0, 0.0), (610.0, 700.0), (0.0, 1100.0), (-610.0, 700.0), (-610.0, 0.0)),
    "three bends, by another sum": (
        (610.1, 0.3),
        (610.1, 700.7),
        (0.0, 1100.3),
        (-610.1, 700.7),
        (-610.1, 0.3),
    ),
}


@pytest.mark.parametrize("shape", SHAPES)
def test_a_name_means_the_same_on_the_sheet_and_to_the_tape(bodies, shape):
    """A bend on the centre plane is on neither side: rounding does not choose the diagonal."""
    bar = bodies.hoop(left_up=SHAPES[shape])
    ours = {one.key: one for one in bar_distances(bar)}
    sheet = {check.key: check.value_mm for check in tape_checks(bar, bend_table(bar))}
    assert set(sheet) == set(ours)
    assert {key: one.measure(bar) for key, one in ours.items()} == pytest.approx(sheet)
    assert ("diagonal A" in sheet) is (shape != "one bend")
    fit = fit_tape(bar, [TapeEntry(key="feet", tape_mm=sheet["feet"])])
    assert fit.errors.angles_deg == pytest.approx([0.0] * bar.bend_count, abs=1e-6)
