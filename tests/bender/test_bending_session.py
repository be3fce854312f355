"""The step of a bar follows from its records alone, whatever is read, decided and corrected in which order."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hoopwright.bender import BendNumbers, Springback, a_to_b, middle_outward
from hoopwright.bender.bend_job import plan_job
from hoopwright.bender.rescue.records import Bands, Correction, Decision, Reading, Started, Withdrawal
from hoopwright.bender.rescue.refusals import (
    counting,
    in_words,
    refuse_correction,
    refuse_decision,
    refuse_reading,
)
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.standing import asked
from hoopwright.findings import UserError

LINE = Springback(
    constant_deg=0.777, per_command_deg=0.0301, covariance=((0.0, 0.0), (0.0, 0.0)), scatter_sd_deg=0.25
)


def started(bodies, order=a_to_b):
    numbers = BendNumbers(clr_mm=137.5, used_per_deg_mm=2.3556, start_offset_mm=11.5)
    job, plan = plan_job(bodies.hoop(), numbers, order(4), trim_a_mm=30.0, trim_b_mm=30.0, clamp_mm=30.0)
    return Started(
        bar_id="MH", revision=1, identity="", stick=1, job=job, plan=plan, line=LINE, die_reach_deg=180.0,
        swings="clockwise", bands=Bands(), calibration="", die="", batch="", at="", key="0",
    )  # fmt: skip


def read(now, off_deg, key, **more):
    target = asked(now).target_deg
    return Reading(step=now.step, released_deg=target + off_deg, at="", key=key, reason="test", **more)


actions = st.lists(
    st.tuples(
        st.sampled_from(["read", "read", "read", "go on", "scrap", "correct last", "correct first"]),
        st.floats(-2.0, 1.5),
    ),
    max_size=14,
)


@settings(max_examples=150)
@given(actions=actions, order=st.sampled_from([a_to_b, middle_outward]))
def test_any_order_of_events(bodies, actions, order):
    records = [started(bodies, order)]
    for number, (what, off) in enumerate(actions):
        now = standing(records)
        assert now.records == len(records)
        assert in_words(now)
        try:
            record = event(now, what, off, str(number))
        except UserError:
            continue
        records.append(record)
        then = standing(records)
        assert then.plan == (record.plan or now.plan) if what in ("go on", "scrap") else True
        if what == "read":
            assert len(then.taken) == len(now.taken) + 1
            assert {"bend": 0, "done": 0, "decide": 0, "add": 1}[then.phase] == (off < -0.3)
        steps = [one.reading.step for one in then.finished]
        assert steps == list(range(1, len(steps) + 1))
        assert [made.released_deg for made in then.made] == [
            one.reading.released_deg for one in then.finished
        ]
        assert (then.phase == "scrapped") == then.scrapped
        assert (then.phase == "done") <= (len(steps) == 4)


def event(now, what, off, key):
    """A record, if it is taken now."""
    if what == "read":
        if now.phase not in ("bend", "add"):
            refuse_reading(now, Reading(step=now.step, released_deg=1.0, at="", key=key))
        record = read(now, off, key)
        refuse_reading(now, record)
        return record
    if what in ("go on", "scrap"):
        refuse_decision(now, go_on=what == "go on")
        plan = now.plan if what == "go on" else None
        return Decision(choice=what, plan=plan, worst_miss_mm=0.0, least_gap_mm=None, at="", key=key)
    counted = list(counting(now))
    of = counted[-1 if what == "correct last" else 0] if counted else None
    good = Reading(
        step=of.reading.step if of else 1, released_deg=(of.target_deg if of else 1.0) + off, at="", key=key,
        reason="test",
    )  # fmt: skip
    record = Correction(of=of.record if of else 1, reading=good, reason="", at="", key=key)
    refuse_correction(now, record)
    return record


@pytest.mark.parametrize("off", [1.2, -1.0, 0.1])
def test_the_last_reading_corrected_is_as_if_it_had_been_typed_so(bodies, off):
    first = [started(bodies), read(standing([started(bodies)]), 0.0, "a")]
    now = standing(first)
    wrong, right = read(now, off, "b"), read(now, -0.2, "b")
    decided = [Decision(choice="scrap", plan=None, worst_miss_mm=0, least_gap_mm=None, at="", key="c")]
    fixed = standing([*first, wrong, *decided, Correction(of=3, reading=right, reason="", at="", key="d")])
    plain = standing([*first, right])
    assert replace(fixed, records=0, bend_record=0) == replace(plain, records=0, bend_record=0)


def test_two_corrections_of_one_reading_leave_the_last(bodies):
    records = [started(bodies)]
    records.append(read(standing(records), 5.0, "a"))
    for k, off in enumerate((3.0, 0.0)):
        good = read(standing(records[:1]), off, "a")
        records.append(Correction(of=2, reading=good, reason="", at="", key=f"c{k}"))
    now = standing(records)
    assert (now.phase, now.step, len(now.taken)) == ("bend", 2, 1)


def corrected(records, of, off_deg):
    right = replace(records[of - 1], released_deg=records[of - 1].released_deg + off_deg)
    return Correction(of=of, reading=right, reason="", at="", key=f"c{len(records)}")


def test_a_correction_of_an_earlier_bend_survives_the_taking_back_of_the_last(bodies):
    records = [started(bodies)]
    for number in range(2):
        records.append(read(standing(records), 0.0, f"r{number}"))
    mended = [records[0], replace(records[1], released_deg=records[1].released_deg + 0.1)]
    records.append(corrected(records, 2, 0.1))
    records.append(Withdrawal(of=3, reason="", at="", key="w"))
    now, wanted = standing(records), standing(mended)
    assert now.phase == "bend"
    assert replace(now, records=0, bend_record=0) == replace(wanted, records=0, bend_record=0)
    # and a correction of what was taken back says nothing of the bend that is the last now
    again = [*records[:3], corrected(records, 3, 0.2), records[-1], corrected(records, 2, 0.1)]
    assert replace(standing(again), records=0, bend_record=0) == replace(wanted, records=0, bend_record=0)


def test_an_earlier_correction_survives_one_of_the_last(bodies):
    records = [started(bodies)]
    records.append(read(standing(records), 0.0, "a"))
    records.append(read(standing(records), 0.0, "b"))
    earlier = replace(records[1], released_deg=records[1].released_deg + 1.0)
    records.append(Correction(of=2, reading=earlier, reason="", at="", key="c"))
    last = replace(records[2], released_deg=records[2].released_deg + 0.1)
    records.append(Correction(of=3, reading=last, reason="", at="", key="d"))
    now = standing(records)
    assert [made.released_deg for made in now.made] == [earlier.released_deg, last.released_deg]
    assert now.phase == "decide"
