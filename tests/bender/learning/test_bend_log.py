"""Lists of logged bends: what is refused, what is said, what is taken."""

import math
from dataclasses import replace

import pytest

from hoopwright.bender.learning import BendReading, bend_log_from_text, read_bend_log, tidy_log
from hoopwright.findings import UserError

ONE = BendReading(key="MH-1", time="2026-03-14T10:00", batch="A", command_deg=75.0, released_deg=72.0)
HEAD = "key,time,batch,command_deg,released_deg\n"


def codes(findings):
    return [finding.code for finding in findings]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"released_deg": 76.0}, "springs back, never on"),
        ({"released_deg": -3.0}, "more than 0"),
        ({"command_deg": 0.0}, "more than 0"),
        ({"command_deg": 250.0}, "reaches 200"),
        ({"command_deg": math.nan}, "not a number"),
        ({"released_deg": math.inf}, "not a number"),
        ({"time": "last Tuesday"}, "is no time"),
    ],
)
def test_readings_that_no_bend_gives_stop_and_name_the_bend(change, words):
    with pytest.raises(UserError) as stopped:
        tidy_log([ONE, replace(ONE, key="bad", **change)])
    (finding,) = stopped.value.findings
    assert finding.code == "LEARN-003"
    assert finding.objects == ("bad",)
    assert words in finding.sentence


def test_a_bend_beyond_the_reach_of_the_die_stops():
    assert tidy_log([ONE], die_reach_deg=120.0).bends == (ONE,)
    with pytest.raises(UserError, match="reaches 60"):
        tidy_log([ONE], die_reach_deg=60.0)


def test_many_bad_rows_are_counted_not_listed():
    bad = [replace(ONE, key=str(index), released_deg=-1.0) for index in range(500)]
    with pytest.raises(UserError) as stopped:
        tidy_log(bad)
    assert len(stopped.value.findings) == 9
    assert "492 more" in stopped.value.findings[-1].sentence


def test_a_shallow_bend_may_read_more_by_the_gauge_alone():
    log = tidy_log([replace(ONE, command_deg=3.0, released_deg=3.3)])
    assert len(log.bends) == 1
    assert codes(log.findings) == ["LEARN-006"]


def test_the_same_row_twice_is_one_bend():
    log = tidy_log([ONE, replace(ONE, time="2026-03-14T11:00"), ONE])
    assert log.bends == (ONE,)
    assert log.findings == ()


def test_one_key_with_other_numbers_is_no_bend():
    other = replace(ONE, key="MH-2")
    log = tidy_log([ONE, replace(ONE, released_deg=71.0), other])
    assert log.bends == (other,)
    (finding,) = log.findings
    assert finding.code == "LEARN-004"
    assert finding.objects == ("MH-1",)
    assert "75 to 71" in finding.sentence


def test_times_going_backwards_are_said_and_put_in_order():
    early = replace(ONE, key="early", time="2026-03-13")
    log = tidy_log([ONE, early])
    assert log.bends == (early, ONE)
    (finding,) = log.findings
    assert finding.code == "LEARN-005"
    assert finding.objects == ("early",)


def test_times_of_several_zones_are_compared_as_moments():
    east = replace(ONE, key="east", time="2026-03-14T11:30+02:00")
    assert tidy_log([east, ONE]).bends == (east, ONE)
    assert tidy_log([ONE, east]).bends == (east, ONE)


def test_without_times_the_list_is_the_order():
    first, second = replace(ONE, key="1", time=""), replace(ONE, key="2", time="")
    assert tidy_log([second, first]).bends == (second, first)
    assert tidy_log([second, first]).findings == ()
    assert codes(tidy_log([second, ONE]).findings) == ["LEARN-005"]


def test_a_batch_that_is_not_named_is_said():
    assert codes(tidy_log([replace(ONE, batch="")]).findings) == ["LEARN-007"]


def test_names_that_are_nearly_the_same_are_said():
    log = tidy_log([replace(ONE, key=name, batch=name) for name in ("A17", "a-17", "A 18", "A18", "B")])
    assert codes(log.findings) == ["LEARN-015", "LEARN-015"]
    assert log.findings[0].objects == ("A17", "a-17")


def test_no_bend_and_one_bend():
    assert tidy_log([]).bends == ()
    assert tidy_log([ONE]).bends == (ONE,)


def test_a_table_is_read(tmp_path):
    file = tmp_path / "bends.csv"
    file.write_text("\ufeffKey, Time,batch,command_deg,released_deg,who\nMH-1,2026-03-14T10:00,A,75,72°,me\n")
    assert read_bend_log(file) == (ONE,)
    semicolons = "key;time;batch;command_deg;released_deg\nMH-1;2026-03-14T10:00;A;75,0;72,0\n"
    assert bend_log_from_text(semicolons, "x.csv") == (ONE,)
    assert bend_log_from_text(HEAD, "x.csv") == ()


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("", "LEARN-008", "key, time, batch, command_deg, released_deg is missing"),
        ("key,time,batch,command_deg\na,,b,1\n", "LEARN-008", "released_deg is missing"),
        (HEAD + "a,,b,x,1\n", "LEARN-009", "line 2"),
        (HEAD + "a,,b,2,1\nb,,b,2\n", "LEARN-009", "line 3"),
        (HEAD + ",,b,2,1\n", "LEARN-009", "no key"),
        (HEAD + "a,,b,nan,1\n", "LEARN-009", "nan"),
        (HEAD + "a,,b,1e999,1\n", "LEARN-009", "1e999"),
        (HEAD + 'a,,"b,2,1\n' + "x" * 200_000, "LEARN-008", "no table"),
    ],
)
def test_tables_that_cannot_be_read_say_where(text, code, words):
    with pytest.raises(UserError) as stopped:
        bend_log_from_text(text, "bends.csv")
    assert stopped.value.findings[0].code == code
    assert "bends.csv" in stopped.value.findings[0].sentence
    assert words.replace("no table", "not a table") in stopped.value.findings[0].sentence


def test_files_that_are_none(tmp_path):
    binary = tmp_path / "binary.csv"
    binary.write_bytes(b"\xff\xfe\x00key")
    for file in (tmp_path / "missing.csv", tmp_path, binary):
        with pytest.raises(UserError) as stopped:
            read_bend_log(file)
        assert codes(stopped.value.findings) == ["LEARN-008"]
