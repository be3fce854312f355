"""Records of the shop refuse what cannot be, name it, and go to plain keys and back."""

import datetime as dt
import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.bender import (
    LoggedBend,
    ShopBender,
    ShopDie,
    Stick,
    TubeBatch,
    record_as_keys,
    record_from_keys,
)
from hoopwright.findings import UserError
from hoopwright.tubes import TubeSize

BEND = {
    "key": "k",
    "time": dt.datetime(2026, 3, 14, tzinfo=dt.UTC),
    "bender": "Red",
    "die": "45",
    "batch": "B1",
    "wanted_deg": 90.0,
    "command_deg": 93.0,
    "released_deg": 90.0,
    "fed_from": "A",
}
GOOD = {
    ShopBender: {"name": "Red", "swings": "clockwise", "clamp_mm": 120.0},
    ShopDie: {"name": "45", "od_mm": 45.0, "clr_mm": 137.5, "reach_deg": 120.0, "bender": "Red"},
    TubeBatch: {"name": "B1", "tube": TubeSize(od_mm=45.0, wall_mm=2.5)},
    Stick: {"label": "S1", "batch": "B1", "length_mm": 6000.0},
    LoggedBend: BEND,
}


def codes(kind, **changes):
    with pytest.raises(UserError) as stopped:
        kind(**{**GOOD[kind], **changes})
    return {finding.code for finding in stopped.value.findings}


NO_NUMBERS = [math.nan, math.inf, -math.inf, -1.0, "3", None, True, 1e9]


@pytest.mark.parametrize("value", NO_NUMBERS)
@pytest.mark.parametrize(
    ("kind", "key"),
    [(ShopBender, "clamp_mm"), (ShopBender, "reach_deg"), (ShopDie, "od_mm"), (ShopDie, "clr_mm"),
     (ShopDie, "reach_deg"), (Stick, "length_mm"), (LoggedBend, "wanted_deg"), (LoggedBend, "command_deg"),
     (LoggedBend, "released_deg"), (LoggedBend, "bend_number")],
)  # fmt: skip
def test_a_number_that_cannot_be(kind, key, value):
    assert "SHOP-002" in codes(kind, **{key: value})


@pytest.mark.parametrize(
    "value", ["", " ", " x", "x ", "x" * 101, "a\nb", "a\0", "\ud800", "\x1b[31m", None, 3, ["x"]]
)
@pytest.mark.parametrize(
    ("kind", "key"),
    [(ShopBender, "name"), (ShopDie, "bender"), (TubeBatch, "name"), (Stick, "label"), (LoggedBend, "key"),
     (LoggedBend, "die")],
)  # fmt: skip
def test_a_name_that_cannot_be(kind, key, value):
    assert codes(kind, **{key: value}) == {"SHOP-001"}


def test_a_note_may_be_long_prose_but_not_control_letters():
    note = "Bent slow.\n\tThen \u201cfast\u201d \u00a0 \u2028 \U0001f529" * 20
    assert Stick(**GOOD[Stick], note=note).note == note
    assert codes(Stick, note="x\x07") == {"SHOP-001"}
    assert codes(Stick, note="x" * 2001) == {"SHOP-001"}


@pytest.mark.parametrize(
    "stand", [{"a": math.nan}, {"a": {1, 2}}, {1: 2}, {"a": (1, 2)}, {"a": b"x"}, {"a": "x" * 200_001}]
)
def test_a_stand_that_json_would_change(stand):
    assert codes(ShopBender, stand=stand) == {"SHOP-004"}


def test_a_stand_without_end():
    deep: dict = {}
    inner = deep
    for _ in range(100_000):
        inner["a"] = inner = {}
    assert codes(ShopBender, stand=deep) == {"SHOP-004"}


def test_a_radius_inside_the_tube():
    assert codes(ShopDie, clr_mm=22.5) == {"SHOP-002"}
    assert ShopDie(**{**GOOD[ShopDie], "clr_mm": math.nextafter(22.5, 30.0)})


def test_an_offcut_of_itself():
    assert codes(Stick, cut_from="S1") == {"SHOP-003"}


@pytest.mark.parametrize(
    "time", [dt.datetime(2026, 3, 14), dt.datetime(1989, 1, 1, tzinfo=dt.UTC), "2026-03-14", None]
)  # fmt: skip
def test_a_time_without_zone_or_out_of_all_reason(time):
    assert codes(LoggedBend, time=time) == {"SHOP-007"}


def test_released_more_than_commanded():
    assert codes(LoggedBend, released_deg=math.nextafter(93.0, 100.0)) == {"SHOP-008"}
    assert LoggedBend(**{**BEND, "released_deg": 93.0}).released_deg == 93.0


def test_every_fault_is_told_at_once():
    assert codes(LoggedBend, key="", released_deg=95.0, fed_from="C", counts=1, time=None) == {
        "SHOP-001", "SHOP-003", "SHOP-007", "SHOP-008",
    }  # fmt: skip


ODD = st.one_of(
    st.none(), st.booleans(), st.integers(-3, 1200), st.floats(), st.text(max_size=5), st.just("x" * 101),
    st.sampled_from([" x", "A", "B", "k", dt.datetime(2026, 1, 1), dt.datetime(2026, 1, 1, tzinfo=dt.UTC)]),
)  # fmt: skip


OPEN = {
    "project": "",
    "bar": "",
    "bend_number": 1,
    "rotation_deg": None,
    "note": "",
    "counts": True,
    "corrects": "",
}


@given(changes=st.dictionaries(st.sampled_from([*BEND, *OPEN]), ODD, max_size=4))
def test_the_glance_never_passes_what_the_rules_name(changes):
    """A log is read by a glance at each bend; it may only be stricter than the rules."""
    bend = object.__new__(LoggedBend)
    for key, value in {**BEND, **OPEN, **changes}.items():
        object.__setattr__(bend, key, value)
    assert not bend._is_plainly_good() or list(bend._faults()) == []


@pytest.mark.parametrize("kind", GOOD)
def test_keys_bring_the_record_back(kind):
    record = kind(**GOOD[kind])
    text = json.dumps(record_as_keys(record), allow_nan=False)
    assert record_from_keys(kind, json.loads(text), "here") == record


@pytest.mark.parametrize("kind", GOOD)
@pytest.mark.parametrize("keys", [None, [], "x", {}, {"name": "x"}, {"unheard": 1}])
def test_keys_of_no_record(kind, keys):
    with pytest.raises(UserError, match="here") as stopped:
        record_from_keys(kind, keys, "here")
    assert {finding.code for finding in stopped.value.findings} == {"SHOP-009"}
