"""The shop as a person types it: benders, dies, batches, sticks, the log, samples, copies."""

import csv
import json
from pathlib import Path

import pytest

from hoopwright.findings import UserError
from hoopwright.jobs import shops
from hoopwright.jobs.log_rows import log_rows
from hoopwright.jobs.logs import LogFilter


@pytest.fixture(autouse=True)
def own_shop(monkeypatch, tmp_path):
    """A shop of its own, named by the variable."""
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "data" / "shop.sqlite"))


@pytest.fixture
def stocked(hoopwright):
    hoopwright.keys("bender", "add", "Red", "--swings", "Clockwise", "--clamp", "4 3/4 in", "--height", "900")
    hoopwright.keys("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "120", "--bender", "Red")
    hoopwright.keys("batch", "add", "B1", "--tube", "45 x 2.5", "--heat", "4711", "--yield", "460.5")
    return hoopwright


BEND = (
    "log",
    "add",
    "--die",
    "45",
    "--batch",
    "B1",
    "--wanted",
    "90",
    "--command",
    "93,1",
    "--released",
    "90.2",
)


def test_a_bender_is_added_shown_changed_and_retired(stocked, tmp_path):
    stand = tmp_path / "stand.toml"
    stand.write_text('floor_mm = 0\n[[wall]]\nat_mm = [1500.0, 0]\nname = "back"\n', encoding="utf-8")
    (bender,) = stocked.keys("bender", "show")["benders"]
    assert bender["clamp_mm"] == pytest.approx(4.75 * 25.4)
    assert (bender["swings"], bender["axis_height_mm"], bender["version"]) == ("clockwise", 900.0, 1)
    changed = stocked.keys("bender", "change", "Red", "--clamp", "120", "--stand", stand)
    assert (changed["clamp_mm"], changed["axis_height_mm"], changed["version"]) == (120.0, 900.0, 2)
    assert changed["stand"] == {"floor_mm": 0, "wall": [{"at_mm": [1500.0, 0], "name": "back"}]}
    assert stocked.keys("bender", "retire", "Red")["retired"]
    assert stocked.keys("bender", "show")["benders"] == []
    assert len(stocked.keys("bender", "show", "--retired")["benders"]) == 1
    assert not stocked.keys("bender", "retire", "Red", "--back")["retired"]
    for words in (("bender", "show"), ("die", "show"), ("batch", "show"), ("shop", "show")):
        assert stocked.run(*words).status == 0
    assert "Red" in stocked.run("bender", "show").out


def test_dies_and_batches_are_changed_and_retired(stocked):
    assert stocked.keys("die", "change", "45", "--clamp", "95")["clamp_mm"] == 95.0
    assert stocked.keys("die", "change", "45", "--reach", "110")["clamp_mm"] == 95.0
    assert stocked.keys("batch", "change", "B1", "--certificate", "c.pdf")["heat_number"] == "4711"
    for word, many in (("die", "dies"), ("batch", "batches")):
        name = stocked.keys(word, "show")[many][0]["name"]
        assert stocked.keys(word, "retire", name)["retired"]
        assert stocked.keys(word, "show")[many] == []
        assert stocked.keys(word, "show", name)[many][0]["retired"]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("bender", "add", "", "--swings", "clockwise", "--clamp", "1"), "SHOP-001"),
        (("bender", "add", "x" * 101, "--swings", "clockwise", "--clamp", "1"), "SHOP-001"),
        (("bender", "add", "R", "--swings", "left", "--clamp", "1"), "TYPED-001"),
        (("bender", "add", "R", "--swings", "clockwise", "--clamp", "-1"), "SHOP-002"),
        (("bender", "add", "R", "--swings", "clockwise", "--clamp", "60 m"), "SHOP-002"),
        (("bender", "change", "Blue", "--clamp", "1"), "SHOP-025"),
        (("die", "add", "x", "--od", "45", "--clr", "20", "--reach", "90", "--bender", "Red"), "SHOP-002"),
        (("die", "add", "x", "--od", "45", "--clr", "90", "--reach", "0", "--bender", "Red"), "SHOP-002"),
        (("die", "add", "x", "--od", "45", "--clr", "90", "--reach", "90", "--bender", "Blue"), "SHOP-025"),
        (("die", "add", "45", "--od", "45", "--clr", "140", "--reach", "90", "--bender", "Red"), "SHOP-024"),
        (("batch", "add", "x", "--tube", "45 x 30"), "TUBE-001"),
        (("batch", "add", "x", "--tube", "45 x 2", "--yield", "-4"), "SHOP-002"),
        (("batch", "add", "x", "--tube", "45 x 2", "--yield", "nan"), "SHOP-002"),
        (("stick", "add", "x", "--batch", "B9", "--length", "6 m"), "SHOP-025"),
        (("stick", "add", "x", "--batch", "B1", "--length", "0"), "SHOP-002"),
        (("stick", "add", "x", "--batch", "B1", "--length", "6 m", "--count", "0"), "SHOP-041"),
        (("stick", "use", "x"), "SHOP-025"),
        (("log", "correct", "nothing", "--released", "3"), "SHOP-044"),
        (("log", "withdraw", "nothing"), "SHOP-044"),
        (("bender", "change", "Red", "--stand", "no-such.toml"), "SHOP-043"),
        (("restore", "no-such.sqlite"), "STORE-002"),
        (("shop", "import", "no-such"), "SHOP-032"),
        (("die", "show", "--shop", "none"), "SHOP-040"),
        (("die", "show", "--shop", "nosuch://x"), "SHOP-020"),
    ],
)
def test_what_cannot_be_stops(stocked, words, code):
    assert stocked.stops(*words) == [code]


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        (("--released", "93.2"), "SHOP-008"),
        (("--command", "120.5"), "SHOP-005"),
        (("--command", "-3"), "SHOP-002"),
        (("--command", "nan"), "UNIT-002"),
        (("--released", "-0.1"), "SHOP-002"),
        (("--die", "46"), "SHOP-025"),
        (("--bend", "0"), "SHOP-002"),
        (("--fed-from", "C"), "TYPED-001"),
        (("--time", "yesterday"), "TYPED-001"),
        (("--time", "1900-01-01T00:00+00:00"), "SHOP-007"),
    ],
)
def test_a_bend_that_cannot_be_stops(stocked, changes, code):
    assert code in stocked.stops(*BEND, *changes)
    assert stocked.keys("log", "show")["bends"] == []


def test_a_bend_is_logged_corrected_taken_back_and_written_as_a_table(stocked, tmp_path):
    first = stocked.keys(
        *BEND, "--project", "car", "--bar", "MH", "--bend", "2", "--rotation", "-90", "--note", 'a, "b"\nc'
    )
    assert (first["command_deg"], first["bender"], first["rotation_deg"]) == (93.1, "Red", -90.0)
    again = stocked.keys(*BEND, "--key", "k1", "--time", "2026-03-14T09:30:00+01:00")
    assert (again["key"], again["is_new"]) == ("k1", True)
    assert not stocked.keys(*BEND, "--key", "k1", "--time", "2026-03-14T08:30:00+00:00")["is_new"]
    assert stocked.stops(*BEND, "--key", "k1", "--time", "2026-03-14T08:31:00+00:00") == ["SHOP-024"]
    corrected = stocked.keys("log", "correct", "k1", "--released", "89.9")
    assert (corrected["corrects"], corrected["released_deg"], corrected["command_deg"]) == ("k1", 89.9, 93.1)
    assert [bend["key"] for bend in stocked.keys("log", "show")["bends"]] == [first["key"], corrected["key"]]
    stocked.keys("log", "withdraw", corrected["key"], "--note", "kinked")
    assert [bend["key"] for bend in stocked.keys("log", "show")["bends"]] == [first["key"]]
    assert len(stocked.keys("log", "show", "--every")["bends"]) == 4
    assert len(stocked.keys("log", "show", "--every", "--last", "2")["bends"]) == 2
    assert stocked.keys("log", "show", "--bar", "SB")["bends"] == []
    table = tmp_path / "log.csv"
    assert stocked.keys("log", "export", table, "--every")["bends"] == 4
    with table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert rows[0]["note"] == 'a, "b"\nc'
    assert [float(row["released_deg"]) for row in rows] == [90.2, 90.2, 89.9, 89.9]
    assert stocked.stops("log", "export", table) == ["SHOP-031"]
    assert "93.1" in stocked.run("log", "show").out


def test_sticks_are_used_and_what_is_left_goes_back(stocked):
    stocked.keys("stick", "add", "S", "--batch", "B1", "--length", "6 m", "--count", "2")
    used, left = stocked.keys("stick", "use", "S-1", "--offcut", "900")["sticks"]
    assert (used["state"], left["label"], left["cut_from"], left["length_mm"]) == (
        "used",
        "S-1a",
        "S-1",
        900.0,
    )
    assert stocked.stops("stick", "use", "S-1") == ["SHOP-042"]
    assert stocked.stops("stick", "use", "S-2", "--offcut", "6 m") == ["SHOP-042"]
    assert stocked.stops("stick", "use", "S-2", "--offcut", "800", "--offcut-label", "S-1a") == ["SHOP-024"]
    assert [s["label"] for s in stocked.keys("stick", "show")["sticks"]] == ["S-1a", "S-2"]
    assert len(stocked.keys("stick", "show", "--used")["sticks"]) == 3


def test_a_mark_on_a_stick_is_taken_back_with_what_was_left_of_it(stocked):
    stocked.keys(
        "stick", "add", "S", "--batch", "B1", "--length", "6 m", "--count", "2", "--note", "bent tail"
    )
    whole = stocked.keys("stick", "show", "--used")["sticks"]
    assert stocked.stops("stick", "put-back", "S-1") == ["SHOP-052"]
    stocked.keys("stick", "use", "S-1", "--offcut", "900")
    back, gone = stocked.keys("stick", "put-back", "S-1")["sticks"]
    assert (back["label"], back["state"], gone["label"], gone["state"]) == ("S-1", "kept", "S-1a", "used")
    # the tube on the rack is what it was: no piece is there twice
    assert stocked.keys("stick", "show")["sticks"] == [
        {**one, "version": there["version"]}
        for one, there in zip(whole, stocked.keys("stick", "show")["sticks"], strict=True)
    ]
    assert stocked.stops("stick", "put-back", "S-1a") == ["SHOP-052"]
    # used again, what is left has a label of its own; sawn on from that, the stick cannot be whole any more
    assert stocked.keys("stick", "use", "S-1", "--offcut", "800")["sticks"][1]["label"] == "S-1b"
    stocked.keys("stick", "use", "S-1b")
    before = stocked.keys("stick", "show", "--used")
    assert stocked.stops("stick", "put-back", "S-1") == ["SHOP-052"]
    assert stocked.keys("stick", "show", "--used") == before
    stocked.keys("stick", "put-back", "S-1b")
    stocked.keys("stick", "put-back", "S-1")
    assert [one["label"] for one in stocked.keys("stick", "show")["sticks"]] == ["S-1", "S-2"]
    assert stocked.stops("stick", "put-back", "S-9") == ["SHOP-025"]


def test_a_change_of_what_another_kept_since_is_refused(stocked):
    (shown,) = shops.batches(None, "B1")
    shops.change(None, "batch", "B1", {"certificate": "C-7"}, shown=shown.version)
    for late in (
        lambda: shops.change(None, "batch", "B1", {"heat_number": "8822"}, shown=shown.version),
        lambda: shops.retire(None, "batch", "B1", shown=shown.version),
    ):
        with pytest.raises(UserError) as stopped:
            late()
        assert [one.code for one in stopped.value.findings] == ["SHOP-026"]
    (now,) = shops.batches(None, "B1")
    assert (now.certificate, now.heat_number, now.retired) == ("C-7", shown.heat_number, False)
    shops.change(None, "batch", "B1", {"heat_number": "8822"}, shown=now.version)
    assert shops.batches(None, "B1")[0].heat_number == "8822"


def test_the_log_is_looked_through_with_what_became_of_each_bend(stocked):
    assert log_rows(LogFilter()) == ()
    for key, bar in (("k1", "MH"), ("k2", "MH"), ("k3", "SB")):
        stocked.keys(*BEND, "--key", key, "--project", "car", "--bar", bar)
    later = stocked.keys("log", "correct", "k1", "--released", "89.9")["key"]
    taken = stocked.keys("log", "withdraw", "k2", "--note", "kinked")["key"]
    rows = log_rows(LogFilter(every=True))
    assert [(row.bend.key, row.state, row.later and row.later.key) for row in rows] == [
        (later, "counts", None), ("k3", "counts", None), ("k2", "taken back", taken), ("k1", "corrected since", later),
    ]  # fmt: skip
    # those that count are those that are learnt from
    counting = {row.bend.key for row in log_rows(LogFilter())}
    assert counting == {bend["key"] for bend in stocked.keys("log", "show")["bends"]}
    assert [row.bend.key for row in log_rows(LogFilter(bar="MH", every=True, last=1))] == [later]


def test_samples_are_kept_once_and_the_contract_of_calibrate_stays(stocked, samples):
    alone = stocked.keys("calibrate", samples)
    kept = stocked.keys("calibrate", samples, "--keep", "--batch", "B1")
    assert {key: value for key, value in kept.items() if key != "kept"} == alone
    assert (kept["kept"]["die"], kept["kept"]["batch"], kept["kept"]["is_new"]) == ("45", "B1", True)
    assert not stocked.keys("calibrate", samples, "--keep", "--batch", "B1")["kept"]["is_new"]
    shown = stocked.keys("shop", "show")
    assert shown["counts"]["calibrations"] == 1
    assert shown["calibrations"][0]["key"] == kept["kept"]["key"]
    stocked.keys("die", "add", "46", "--od", "45", "--clr", "137.5", "--reach", "120", "--bender", "Red")
    assert stocked.stops("calibrate", samples, "--keep", "--die", "46") == ["SHOP-006"]
    assert stocked.stops("calibrate", samples, "--keep", "--batch", "B9") == ["SHOP-025"]
    samples.write_text(samples.read_text().replace('die = "45"', ""))
    assert stocked.stops("calibrate", samples, "--keep") == ["SHOP-045"]


def test_samples_over_the_die_s_reach_are_not_kept(stocked, samples):
    stocked.keys("die", "change", "45", "--reach", "80")
    assert stocked.stops("calibrate", samples, "--keep") == ["SHOP-005"]


def test_backup_restore_export_and_import(stocked, tmp_path):
    stocked.keys(*BEND, "--key", "k1")
    assert stocked.keys("backup", tmp_path / "copy.sqlite")["bends"] == 1
    stocked.keys(*BEND, "--key", "k2")
    made = stocked.keys("restore", tmp_path / "copy.sqlite")
    assert (made["bends"], made["bends_before"]) == (1, 2)
    assert Path(made["replaced"]).is_file()
    assert stocked.keys("shop", "export", tmp_path / "out")["counts"]["bends"] == 1
    assert stocked.keys("shop", "import", tmp_path / "out")["new"]["bends"] == 0
    other = ("--shop", tmp_path / "other.sqlite")
    assert stocked.keys("shop", "import", tmp_path / "out", *other)["new"]["bends"] == 1
    assert stocked.keys("log", "show", *other)["bends"] == stocked.keys("log", "show")["bends"]


def test_looking_at_a_project_makes_no_shop(hoopwright, samples, tmp_path):
    hoopwright.keys("new", tmp_path / "car")
    hoopwright.keys("calibrate", samples, "--project", tmp_path / "car")
    hoopwright.keys("check", tmp_path / "car")
    assert not (tmp_path / "data").exists()


def test_json_numbers_are_not_rounded(stocked):
    bend = stocked.keys(*BEND, "--rotation", "-0.1234567890123")
    assert json.dumps(bend["rotation_deg"]) == "-0.1234567890123"


LEGS_IN_INCHES = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
batch = "B1"
[[angle]]
command_deg = 20.0
released_deg = 18.6
[[leg]]
cut_mm = 900.0
mark_mm = 300.0
leg_a_mm = 18.56
leg_b_mm = 21.12
[[u]]
outside_mm = 320.0
"""


def test_samples_in_another_unit_are_not_kept(stocked, tmp_path):
    (tmp_path / "inches.toml").write_text(LEGS_IN_INCHES)
    assert stocked.stops("calibrate", tmp_path / "inches.toml", "--keep") == ["CAL-027"]


def test_the_same_samples_are_in_force_again_after_others(stocked, tmp_path):
    good = LEGS_IN_INCHES.replace("18.56", "471.5").replace("21.12", "536.5")
    for name, text in (("good", good), ("other", good.replace("471.5", "473.0"))):
        (tmp_path / f"{name}.toml").write_text(text)
        assert stocked.keys("calibrate", tmp_path / f"{name}.toml", "--keep")["kept"]["is_new"]
    again = stocked.keys("calibrate", tmp_path / "good.toml", "--keep")["kept"]
    assert again["is_new"]
    assert not stocked.keys("calibrate", tmp_path / "good.toml", "--keep")["kept"]["is_new"]


def test_a_bend_ahead_of_the_clock_is_refused_and_much_springback_told(stocked):
    assert stocked.stops(*BEND, "--time", "2099-01-01T10:00:00+00:00") == ["SHOP-049"]
    much = tuple("40" if word == "90.2" else word for word in BEND)
    assert "SHOP-050" in [one["code"] for one in stocked.keys(*much)["findings"]]


def test_a_shop_that_is_not_there_is_not_read_as_an_empty_one(stocked, tmp_path):
    assert stocked.stops("log", "show", "--shop", tmp_path / "mistyped.sqlite") == ["SHOP-020"]
    assert not (tmp_path / "mistyped.sqlite").exists()


def test_a_key_given_twice_without_a_time_is_kept_once(stocked):
    first, second = (stocked.keys(*BEND, "--key", "t2") for _ in range(2))
    assert first["is_new"]
    assert not second["is_new"]
