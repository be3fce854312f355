"""Every record comes back as it was given, on SQLite and on PostgreSQL; nothing measured is edited or doubled."""

import datetime as dt
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hoopwright.bender import (
    AngleSample,
    CalibrationRecord,
    LegSample,
    PlainNumbers,
    Samples,
    ShopBender,
    ShopDie,
    Stick,
    TubeBatch,
    USample,
)
from hoopwright.findings import UserError
from hoopwright.store.shop import Shop
from hoopwright.tubes import TubeSize


def codes(work, *words, **named):
    with pytest.raises(UserError) as stopped:
        work(*words, **named)
    return [finding.code for finding in stopped.value.findings]


def samples(**changes):
    values = {
        "tube": TubeSize(od_mm=45.0, wall_mm=2.5),
        "angles": (AngleSample(command_deg=20.1, released_deg=18.6), AngleSample(command_deg=90.0, released_deg=86.5)),
        "legs": (LegSample(cut_mm=900.0, mark_mm=300.0, leg_a_mm=471.5, leg_b_mm=536.5),),
        "us": (USample(outside_mm=320.0),),
        "plains": (PlainNumbers(clr_mm=137.5),),
        "name": "first",
        "die": "45",
    }  # fmt: skip
    return Samples(**{**values, **changes})


# What goes in comes out -----------------------------------------------------------------------------------

STAND = {
    "room": {"walls": [[0, 0.1], [1e-300, -2.5e10]], "name": "köçek ✓ \u2028 'x' \" \\ \x00 %s :p"},
    "flags": [True, False, None],
    "1": 1,
    "big": 2**70,
    "empty": {},
}


def test_how_a_bender_stands_is_kept_unchanged(shop):
    given_bender = ShopBender(name="B", swings="clockwise", clamp_mm=0.1 + 0.2, stand=STAND, note="a\nb")
    shop.add_bender(given_bender)
    kept = shop.bender("B")
    assert kept == given_bender
    assert dict(kept.stand) == STAND
    assert list(kept.stand) == list(STAND)
    assert [type(value) for value in kept.stand.values()] == [type(value) for value in STAND.values()]


FINITE = st.floats(min_value=5.0, max_value=100.0)
NAMES = st.text(min_size=1, max_size=100).filter(
    lambda text: (
        text.isprintable() and text == text.strip() and not any("\ud800" <= c <= "\udfff" for c in text)
    )
)
PROSE = st.text(
    alphabet=st.characters(exclude_categories=("Cs", "Cc"), include_characters="\n\t"), max_size=200
)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    key=NAMES, project=NAMES, note=PROSE, rotation=st.none() | st.floats(-360.0, 360.0), command=FINITE,
    seconds=st.integers(0, 10**9), micro=st.integers(0, 999_999), minutes=st.integers(-720, 840),
    number=st.integers(1, 999),
)  # fmt: skip
def test_any_bend_comes_back_to_the_last_digit(
    shop, makes, key, project, note, rotation, command, seconds, micro, minutes, number
):
    zone = dt.timezone(dt.timedelta(minutes=minutes))
    time = dt.datetime(2000, 1, 1, tzinfo=zone) + dt.timedelta(seconds=seconds, microseconds=micro)
    bend = makes.bend(
        key, time=time, project=project, note=note, rotation_deg=rotation, command_deg=command,
        released_deg=math.nextafter(command, 0.0), wanted_deg=command / 3.0, bend_number=number, fed_from="B",
    )  # fmt: skip
    known = shop.bend(key)
    if known is not None and known != bend:
        assert codes(shop.add_bend, bend) == ["SHOP-024"]
        return
    shop.add_bend(bend)
    kept = shop.bend(key)
    assert kept == bend
    assert kept.command_deg.hex() == bend.command_deg.hex()
    assert kept.time == time


def test_samples_are_kept_as_given(shop):
    record = CalibrationRecord(
        key="c", die="45", batch="B1", bender="Red", samples=samples(),
        given='od_mm = 45.0 # "x"\r\n', date="2026-03-14",
    )  # fmt: skip
    assert shop.add_calibration(record).is_new
    assert not shop.add_calibration(record).is_new
    (kept,) = shop.calibrations(die="45", batch="B1", bender="Red", tube=TubeSize(od_mm=45.0, wall_mm=2.5))
    assert kept == record
    assert kept.given == record.given
    assert shop.calibrations(die="38") == ()
    assert shop.calibrations(tube=TubeSize(od_mm=45.0, wall_mm=3.0)) == ()


def test_batches_and_sticks_come_back(shop):
    batch = TubeBatch(
        name="D", tube=TubeSize(od_mm=44.45, wall_mm=2.413), steel="25CrMo4", heat_number="H-9", yield_mpa=0.1 + 600,
        certificate="c.pdf", note="two\nlines",
    )  # fmt: skip
    shop.add_batch(batch)
    assert shop.batch("D") == batch
    sticks = [Stick(label=f"T{k}", batch="D", length_mm=1000.0 / 3.0 + k) for k in range(3)]
    shop.add_sticks(sticks)
    assert shop.sticks(batch="D") == tuple(sticks)


# Nothing is edited ----------------------------------------------------------------------------------------


def test_a_name_with_other_values_is_refused_and_a_change_is_a_further_version(shop):
    old = shop.die("45")
    other = ShopDie(name="45", od_mm=45.0, clr_mm=140.0, reach_deg=120.0, bender="Red")
    assert codes(shop.add_die, other) == ["SHOP-024"]
    assert shop.die("45") == old
    assert shop.add_die(other, change=True).record.version == 2
    assert shop.die("45") == other


def test_a_change_made_on_an_old_version_is_refused(shop):
    from dataclasses import replace

    first = shop.bender("Red")
    shop.add_bender(replace(first, clamp_mm=121.0), change=True)
    assert codes(shop.add_bender, replace(first, clamp_mm=122.0), change=True) == ["SHOP-026"]
    assert shop.bender("Red").clamp_mm == 121.0


def test_the_same_reading_twice_is_kept_once(shop, makes):
    first = shop.add_bend(makes.bend())
    again = shop.add_bend(makes.bend())
    assert (first.is_new, again.is_new) == (True, False)
    assert first.record.sequence == again.record.sequence
    assert len(shop.bends()) == 1


def test_the_same_key_with_other_numbers_stops(shop, makes):
    shop.add_bend(makes.bend())
    with pytest.raises(UserError, match=r"released_deg 90\.2, not 89\.0") as stopped:
        shop.add_bend(makes.bend(released_deg=89.0))
    assert stopped.value.findings[0].code == "SHOP-024"
    assert shop.bends()[0].released_deg == 90.2


def test_the_same_key_twice_in_one_turn(shop, makes):
    stored = shop.add_bends([makes.bend("a"), makes.bend("a"), makes.bend("b")])
    assert [one.is_new for one in stored] == [True, False, True]
    assert codes(shop.add_bends, [makes.bend("c"), makes.bend("c", note="x")]) == ["SHOP-024"]
    assert [bend.key for bend in shop.bends()] == ["a", "b"]


def test_a_correction_takes_the_place_and_the_old_one_stays(shop, makes):
    shop.add_bend(makes.bend("a"))
    shop.add_bend(makes.bend("b", released_deg=89.0, corrects="a"))
    shop.add_bend(makes.bend("c", released_deg=88.0, corrects="b"))
    assert [bend.key for bend in shop.bends()] == ["c"]
    assert [bend.key for bend in shop.bends(every=True)] == ["a", "b", "c"]
    assert shop.bend("a") == makes.bend("a")
    assert codes(shop.add_bend, makes.bend("d", corrects="a")) == ["SHOP-028"]
    assert codes(shop.add_bend, makes.bend("e", corrects="nothing")) == ["SHOP-028"]
    assert codes(shop.add_bend, makes.bend("f", corrects="f")) == ["SHOP-028"]


def test_a_reading_taken_back_is_used_no_more(shop, makes):
    shop.add_bends([makes.bend("a"), makes.bend("b", corrects="a", counts=False)])
    assert shop.bends() == ()
    assert len(shop.bends(every=True)) == 2


def test_a_calibration_is_corrected_by_another(shop):
    first = CalibrationRecord(key="a", die="45", samples=samples())
    shop.add_calibration(first)
    shop.add_calibration(CalibrationRecord(key="b", die="45", samples=samples(name="second"), corrects="a"))
    assert [one.key for one in shop.calibrations()] == ["b"]
    assert [one.key for one in shop.calibrations(every=True)] == ["a", "b"]
    assert codes(shop.add_calibration, CalibrationRecord(key="a", die="45", samples=samples(name="x"))) == [
        "SHOP-024"
    ]


# What cannot be is not kept -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"command_deg": 120.01, "released_deg": 110.0}, "SHOP-005"),
        ({"batch": "C1"}, "SHOP-006"),
        ({"die": "38"}, "SHOP-006"),
        ({"bender": "Blue"}, "SHOP-025"),
        ({"die": "46"}, "SHOP-025"),
        ({"batch": "B2"}, "SHOP-025"),
        ({"batch": "b1"}, "SHOP-025"),
    ],
)
def test_a_bend_that_cannot_be_with_its_tools_is_not_kept(shop, makes, changes, code):
    assert code in codes(shop.add_bends, [makes.bend("good"), makes.bend("bad", **changes)])
    assert shop.bends(every=True) == ()


def test_a_bend_on_another_bender_than_its_die_s(shop, makes):
    shop.add_bender(ShopBender(name="Blue", swings="clockwise", clamp_mm=100.0))
    assert codes(shop.add_bend, makes.bend(bender="Blue")) == ["SHOP-006"]


@pytest.mark.parametrize(
    ("record", "code"),
    [
        ({"die": "38", "samples": samples(die="")}, "SHOP-006"),
        ({"die": "45", "batch": "C1"}, "SHOP-006"),
        ({"die": "45", "bender": "Blue"}, "SHOP-025"),
        (
            {"die": "45", "samples": samples(angles=(AngleSample(command_deg=121.0, released_deg=119.0),))},
            "SHOP-005",
        ),
        ({"die": "46", "samples": samples(die="")}, "SHOP-025"),
    ],
)
def test_samples_that_cannot_be_with_their_tools_are_not_kept(shop, record, code):
    keys = {"key": "c", "samples": samples(), **record}
    assert codes(shop.add_calibration, CalibrationRecord(**keys)) == [code]
    assert shop.calibrations(every=True) == ()


def test_samples_under_another_die_or_batch_than_they_name():
    assert codes(CalibrationRecord, key="c", die="38", samples=samples()) == ["SHOP-006"]
    assert codes(CalibrationRecord, key="c", die="45", batch="B1", samples=samples(batch="B2")) == [
        "SHOP-006"
    ]


def test_a_die_of_no_bender_and_a_stick_of_no_batch(shop):
    die = ShopDie(name="x", od_mm=45.0, clr_mm=137.5, reach_deg=90.0, bender="Blue")
    assert codes(shop.add_die, die) == ["SHOP-025"]
    sticks = [Stick(label=batch, batch=batch, length_mm=5.0) for batch in ("B1", "B9")]
    assert codes(shop.add_sticks, sticks) == ["SHOP-025"]
    assert [stick.label for stick in shop.sticks()] == ["S1"]


# Order ----------------------------------------------------------------------------------------------------


def test_a_clock_set_back_is_told_and_the_order_of_keeping_holds(shop, makes):
    at = makes.bend().time
    assert shop.add_bend(makes.bend("a", time=at)).findings == ()
    assert shop.add_bend(makes.bend("b", time=at - dt.timedelta(seconds=4))).findings == ()
    back = shop.add_bend(makes.bend("c", time=at - dt.timedelta(hours=2)))
    assert [(f.code, f.measured) for f in back.findings] == [("SHOP-027", 7200.0)]
    still = shop.add_bend(makes.bend("d", time=at - dt.timedelta(hours=1)))
    assert [f.code for f in still.findings] == ["SHOP-027"]
    assert shop.add_bend(makes.bend("e", time=at + dt.timedelta(minutes=1))).findings == ()
    kept = shop.bends()
    assert [bend.key for bend in kept] == list("abcde")
    assert [bend.sequence for bend in kept] == sorted(bend.sequence for bend in kept)


def test_sequences_run_without_gaps_also_over_what_was_refused(shop, makes):
    first = shop.add_bend(makes.bend("a")).record.sequence
    codes(shop.add_bends, [makes.bend("x"), makes.bend("y", die="none")])
    assert shop.add_bend(makes.bend("b")).record.sequence == first + 1


def test_what_is_out_of_use_is_told(shop, makes):
    from dataclasses import replace

    shop.add_batch(replace(shop.batch("B1"), retired=True), change=True)
    assert [f.code for f in shop.add_bend(makes.bend()).findings] == ["SHOP-033"]
    assert [b.name for b in shop.batches()] == ["C1"]
    assert [b.name for b in shop.batches(retired=True)] == ["B1", "C1"]


def test_bends_are_found_by_what_they_are_of(shop, makes):
    shop.add_bends([
        makes.bend("a", project="car", bar="MH"),
        makes.bend("b", project="car", bar="SB"),
        makes.bend("c", die="38", batch="C1"),
    ])  # fmt: skip

    def keys(**wanted):
        return [bend.key for bend in shop.bends(**wanted)]

    assert keys(die="45") == ["a", "b"]
    assert keys(batch="C1") == ["c"]
    assert keys(tube=makes.tube) == ["a", "b"]
    assert keys(tube=TubeSize(od_mm=50.0, wall_mm=2.0)) == []
    assert keys(project="car", bar="SB") == ["b"]
    assert keys(after_sequence=shop.bend("b").sequence) == ["c"]
    assert keys(bender="Blue") == []


def test_what_was_kept_is_there_on_the_next_opening(place, makes):
    with Shop.open(place) as first:
        makes.furnished(first).add_bend(makes.bend())
    with Shop.open(place) as second:
        assert second.findings == ()
        assert second.bends() == (makes.bend(),)
        assert second.sticks() == (Stick(label="S1", batch="B1", length_mm=6000.0),)
