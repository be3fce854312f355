"""Backups, going back to one, and plain files: everything comes over, nothing is doubled, nothing is overwritten."""

import contextlib
import json
import shutil
import sqlite3
from dataclasses import replace

import pytest

from hoopwright.bender import AngleSample, CalibrationRecord, Samples, Stick
from hoopwright.findings import UserError
from hoopwright.store.shop import Shop
from hoopwright.store.shop.backup import back_up, restore
from hoopwright.store.shop.exchange import export_shop, import_shop
from hoopwright.store.shop_place import shop_place

FILES = ("benders", "dies", "batches", "sticks", "calibrations", "bends")


@pytest.fixture
def full(shop, makes):
    """A shop in which everything has been used: versions, offcuts, corrections, samples, a change of reach."""
    shop.add_bends([makes.bend("a", command_deg=119.0), makes.bend("b", note="line 1\nline 2\u2028 '\"\\ ✓")])
    shop.add_bends([makes.bend("b2", corrects="b", released_deg=89.0), makes.bend("old", counts=False)])
    shop.add_die(replace(shop.die("45"), reach_deg=100.0), change=True)  # under what "a" was bent to
    shop.use_stick(
        replace(shop.stick("S1"), state="used"),
        Stick(label="S1a", batch="B1", length_mm=900.0, cut_from="S1"),
    )
    samples = Samples(tube=makes.tube, angles=(AngleSample(command_deg=90.0, released_deg=86.1),), name="ü")
    shop.add_calibration(
        CalibrationRecord(key="c", die="45", batch="B1", samples=samples, given="od_mm = 45\n")
    )
    shop.add_batch(replace(shop.batch("C1"), retired=True), change=True)
    return shop


def all_of(shop):
    return (
        shop.benders(retired=True),
        shop.dies(retired=True),
        shop.batches(retired=True),
        shop.sticks(used=True),
        shop.calibrations(every=True),
        shop.bends(every=True),
        [die.version for die in shop.dies()],
        [bend.sequence for bend in shop.bends(every=True)],
    )


def codes(work, *words):
    with pytest.raises(UserError) as stopped:
        work(*words)
    return [finding.code for finding in stopped.value.findings]


# Backups --------------------------------------------------------------------------------------------------


def test_a_backup_holds_everything_and_can_be_gone_back_to(full, makes, tmp_path):
    before, copy = all_of(full), tmp_path / "copies" / "copy.sqlite"
    assert back_up(full, copy) == 4
    assert [path.name for path in copy.parent.iterdir()] == ["copy.sqlite"]
    kept = copy.read_bytes()
    later = full.add_bend(makes.bend("later", command_deg=95.0)).record
    made = restore(full.place, copy)
    assert (made.bends, made.bends_before) == (4, 5)
    assert all_of(full) == before
    with Shop.open(made.replaced) as replaced:
        assert replaced.bend("later") is not None
    made.replaced.unlink()
    assert copy.read_bytes() == kept
    assert full.add_bend(makes.bend("next", command_deg=95.0)).record.sequence == later.sequence


def test_a_backup_of_a_server_is_a_file_that_opens(postgres, makes, tmp_path):
    with Shop.open(postgres.fresh()) as shop:
        makes.furnished(shop).add_bend(makes.bend())
        back_up(shop, tmp_path / "copy.sqlite")
        with Shop.open(tmp_path / "copy.sqlite") as copy:
            assert all_of(copy) == all_of(shop)


def test_a_backup_overwrites_nothing(full, tmp_path):
    (tmp_path / "there").write_text("mine")
    assert codes(back_up, full, tmp_path / "there") == ["SHOP-031"]
    assert (tmp_path / "there").read_text() == "mine"


def test_a_backup_into_a_folder_that_cannot_be(full, tmp_path):
    (tmp_path / "file").write_text("x")
    assert codes(back_up, full, tmp_path / "file" / "copy.sqlite") == ["STORE-002"]


@pytest.mark.parametrize("fault", ["cut", "rubbish", "missing", "record", "newer"])
def test_a_copy_that_is_not_whole_changes_nothing(full, tmp_path, fault):
    before, copy = all_of(full), tmp_path / "copy.sqlite"
    back_up(full, copy)
    if fault == "cut":
        copy.write_bytes(copy.read_bytes()[:20_000])
    elif fault == "rubbish":
        copy.write_bytes(b"rubbish" * 100)
    elif fault == "missing":
        copy.unlink()
    else:
        change = {
            "record": "UPDATE shop_bend SET released_deg = 100.0",
            "newer": "UPDATE shop_version SET version_num = '0099'",
        }
        with contextlib.closing(sqlite3.connect(copy)) as raw:
            raw.execute(change[fault])
            raw.commit()
    assert codes(restore, full.place, copy)[0] in {"SHOP-021", "SHOP-022", "STORE-002"}
    assert all_of(full) == before


def test_a_damaged_shop_is_gone_back_from_and_kept_aside(tmp_path, makes):
    file, copy = tmp_path / "shop.sqlite", tmp_path / "copy.sqlite"
    with Shop.open(file) as shop:
        makes.furnished(shop).add_bend(makes.bend())
        back_up(shop, copy)
    file.write_bytes(b"spilt coffee")
    made = restore(shop_place(str(file)), copy)
    assert made.replaced.read_bytes() == b"spilt coffee"
    assert made.bends_before is None
    with Shop.open(file) as shop:
        assert shop.bends() == (makes.bend(),)


def test_going_back_where_there_is_no_shop_yet(tmp_path, makes):
    with Shop.open(tmp_path / "first.sqlite") as shop:
        makes.furnished(shop).add_bend(makes.bend())
        back_up(shop, tmp_path / "copy.sqlite")
    restore(shop_place(str(tmp_path / "new" / "shop.sqlite")), tmp_path / "copy.sqlite")
    with Shop.open(tmp_path / "new" / "shop.sqlite") as shop:
        assert shop.bends() == (makes.bend(),)


def test_a_shop_that_is_open_elsewhere_sees_what_was_gone_back_to(full, makes, tmp_path):
    back_up(full, tmp_path / "copy.sqlite")
    full.add_bend(makes.bend("later", command_deg=95.0))
    with Shop.open(full.place) as other:
        restore(full.place, tmp_path / "copy.sqlite")
        assert other.bend("later") is None
        assert other.add_bend(makes.bend("again", command_deg=95.0)).is_new
    assert full.bend("again") is not None


# Plain files ----------------------------------------------------------------------------------------------


def test_an_export_read_into_an_empty_shop_is_the_same_shop(full, tmp_path):
    export_shop(full, tmp_path / "out")
    with Shop.open(tmp_path / "other.sqlite") as other:
        made = import_shop(other, tmp_path / "out")
        assert made.new == made.counts
        assert all_of(other) == all_of(full)
        export_shop(other, tmp_path / "again")
    for name in ("shop.json", *(f"{one}.jsonl" for one in FILES)):
        assert (tmp_path / "again" / name).read_bytes() == (tmp_path / "out" / name).read_bytes()


def test_an_export_from_before_devices_were_kept_is_read(full, tmp_path):
    """Format 1 had the same records, without the device that a bend was read on."""
    out = tmp_path / "out"
    export_shop(full, out)
    head = json.loads((out / "shop.json").read_text())
    assert head["format"] == 2
    (out / "shop.json").write_text(json.dumps(head | {"format": 1}))
    bends = [json.loads(line) for line in (out / "bends.jsonl").read_text().rstrip("\n").split("\n")]
    assert bends
    for one in bends:
        assert one.pop("device") == ""
    (out / "bends.jsonl").write_text("".join(json.dumps(one) + "\n" for one in bends))
    with Shop.open(tmp_path / "other.sqlite") as other:
        import_shop(other, out)
        assert all_of(other) == all_of(full)
    (out / "shop.json").write_text(json.dumps(head | {"format": 3}))
    with Shop.open(tmp_path / "third.sqlite") as third, pytest.raises(UserError) as stopped:
        import_shop(third, out)
    assert stopped.value.findings[0].code == "SHOP-032"


def test_read_in_twice_doubles_nothing(full, tmp_path):
    export_shop(full, tmp_path / "out")
    before = all_of(full)
    for _ in range(2):
        assert set(import_shop(full, tmp_path / "out").new.values()) == {0}
    assert all_of(full) == before


def test_only_what_is_new_comes_in(full, makes, tmp_path):
    with Shop.open(tmp_path / "other.sqlite") as other:
        export_shop(full, tmp_path / "first")
        import_shop(other, tmp_path / "first")
        full.add_bend(makes.bend("late", command_deg=95.0))
        full.add_bender(replace(full.bender("Red"), clamp_mm=130.0), change=True)
        export_shop(full, tmp_path / "second")
        new = import_shop(other, tmp_path / "second").new
        assert {word: count for word, count in new.items() if count} == {"benders": 1, "bends": 1}
        assert all_of(other) == all_of(full)


def test_two_shops_that_went_different_ways_are_not_mixed(full, tmp_path):
    with Shop.open(tmp_path / "other.sqlite") as other:
        export_shop(full, tmp_path / "out")
        import_shop(other, tmp_path / "out")
        other.add_bender(replace(other.bender("Red"), clamp_mm=99.0), change=True)
        full.add_bender(replace(full.bender("Red"), clamp_mm=130.0), change=True)
        export_shop(full, tmp_path / "later")
        before = all_of(other)
        with pytest.raises(UserError, match=r"benders\.jsonl, line 2") as stopped:
            import_shop(other, tmp_path / "later")
        assert stopped.value.findings[0].code == "SHOP-024"
        assert all_of(other) == before


def test_an_export_overwrites_nothing(full, tmp_path):
    export_shop(full, tmp_path / "out")
    assert codes(export_shop, full, tmp_path / "out") == ["SHOP-031"]


def last_line(file, change):
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    keys = json.loads(lines[-1])
    change(keys)
    file.write_text("".join([*lines[:-1], json.dumps(keys) + "\n"]), encoding="utf-8")


CHANGES = {
    "released over command": ("bends", lambda keys: keys.update(key="z", released_deg=99.0), "SHOP-008"),
    "not a number": ("bends", lambda keys: keys.update(key="z", released_deg=float("nan")), "SHOP-002"),
    "infinite": ("bends", lambda keys: keys.update(key="z", command_deg=float("inf")), "SHOP-002"),
    "text for a number": ("bends", lambda keys: keys.update(key="z", command_deg="93"), "SHOP-002"),
    "true for a number": ("bends", lambda keys: keys.update(key="z", command_deg=True), "SHOP-002"),
    "a list for a name": ("bends", lambda keys: keys.update(key=["z"]), "SHOP-001"),
    "no time": ("bends", lambda keys: keys.pop("time"), "SHOP-009"),
    "a time without a zone": ("bends", lambda keys: keys.update(key="z", time="2026-01-01T00:00"), "SHOP-007"),
    "a key that is not known": ("bends", lambda keys: keys.update(relaesed_deg=1.0), "SHOP-009"),
    "a missing number": ("bends", lambda keys: keys.pop("command_deg"), "SHOP-009"),
    "another reading under its key": ("bends", lambda keys: keys.update(released_deg=80.0), "SHOP-024"),
    "a die that is not there": ("bends", lambda keys: keys.update(key="z", die="77"), "SHOP-025"),
    "no sequence": ("bends", lambda keys: keys.pop("sequence"), "SHOP-032"),
    "a sequence of text": ("bends", lambda keys: keys.update(sequence="x"), "SHOP-032"),
    "no version": ("dies", lambda keys: keys.update(version=0), "SHOP-032"),
    "a version too far": ("dies", lambda keys: keys.update(version=9), "SHOP-032"),
    "a wall of nothing": ("batches", lambda keys: keys.update(wall_mm=0.0), "TUBE-001"),
    "a wall of text": ("batches", lambda keys: keys.update(wall_mm="x"), "SHOP-009"),
    "samples of another die": ("calibrations", lambda keys: keys["samples"].update(die="9"), "SHOP-006"),
    "samples of nothing": ("calibrations", lambda keys: keys.update(samples={}), "CAL-004"),
    "samples that are a list": ("calibrations", lambda keys: keys.update(samples=[1]), "SHOP-009"),
    "a state that is none": ("sticks", lambda keys: keys.update(state="lost"), "SHOP-003"),
    "a stand that is a number": ("benders", lambda keys: keys.update(stand=3), "SHOP-004"),
    "a swing that is none": ("benders", lambda keys: keys.update(swings="up"), "SHOP-003"),
}  # fmt: skip


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
@pytest.mark.parametrize("what", CHANGES)
def test_a_record_changed_by_hand_stops_the_whole_import(full, tmp_path, what):
    name, change, code = CHANGES[what]
    export_shop(full, tmp_path / "out")
    last_line(tmp_path / "out" / f"{name}.jsonl", change)
    before = all_of(full)
    found = codes(import_shop, full, tmp_path / "out")
    assert code in found
    assert all_of(full) == before


@pytest.mark.parametrize(
    "fault", ["cut", "no bends", "no head", "head of another", "not JSON", "deep", "binary"]
)
def test_an_export_that_is_not_whole_is_refused(full, tmp_path, fault):
    out = tmp_path / "out"
    export_shop(full, out)
    bends = out / "bends.jsonl"
    if fault == "cut":
        bends.write_bytes(bends.read_bytes().rpartition(b"\n")[0].rpartition(b"\n")[0] + b"\n")
    elif fault == "no bends":
        bends.unlink()
    elif fault == "no head":
        (out / "shop.json").unlink()
    elif fault == "head of another":
        (out / "shop.json").write_text('{"kind": "other", "format": 1, "counts": {}}')
    elif fault == "not JSON":
        bends.write_bytes(bends.read_bytes()[:-10])
    elif fault == "deep":
        bends.write_text("[" * 100_000 + "\n" * 4)
    else:
        bends.write_bytes(b"\xff\xfe" * 50)
    before = all_of(full)
    assert set(codes(import_shop, full, out)) == {"SHOP-032"}
    assert all_of(full) == before


def test_an_export_can_be_carried_through_an_editor_that_changes_line_ends(full, tmp_path):
    out = tmp_path / "out"
    export_shop(full, out)
    for file in out.iterdir():
        file.write_bytes(file.read_bytes().replace(b"\n", b"\r\n"))
    shutil.move(out, tmp_path / "moved")
    assert set(import_shop(full, tmp_path / "moved").new.values()) == {0}
