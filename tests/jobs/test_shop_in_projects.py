"""What a project does not say of machine, die and calibration comes from the shop; what it says goes before."""

import pytest

from hoopwright.bender import LoggedBend
from hoopwright.jobs.shop_at_hand import machine_for, shop_at_hand
from hoopwright.store import ProjectFolder
from hoopwright.store.shop import Shop


@pytest.fixture
def stocked(hoopwright, tmp_path, monkeypatch):
    """A shop with the bender that swings the other way than is assumed."""
    monkeypatch.setenv("HOOPWRIGHT_SHOP", str(tmp_path / "shop.sqlite"))
    hoopwright.keys("bender", "add", "Red", "--swings", "anticlockwise", "--clamp", "75")
    hoopwright.keys("die", "add", "45", "--od", "45", "--clr", "137.5", "--reach", "120", "--bender", "Red")
    hoopwright.keys("batch", "add", "B1", "--tube", "45 x 2.5")


@pytest.fixture
def bars(hoopwright, empty, files):
    """A project with two bars and no scan."""
    hoopwright.keys("bar", "add", empty, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    hoopwright.keys("bar", "add", empty, "SB-L", "--role", "side bar", "--nodes", files / "side_bar.csv")
    return empty


def codes(keys):
    return {finding["code"] for finding in keys["findings"]}


def test_the_shop_s_calibration_is_found_where_the_project_has_none(hoopwright, stocked, bars, files):
    assert set(hoopwright.stops("sheets", bars)) == {"CAL-010"}
    hoopwright.keys("calibrate", files / "samples.toml", "--keep", "--batch", "B1")
    from_shop = hoopwright.keys("sheets", bars)["sheets"][0]
    assert from_shop["calibrated"]
    hoopwright.keys("calibrate", files / "samples.toml", "--project", bars)
    own = hoopwright.keys("sheets", bars)["sheets"][0]
    assert [step["mark_mm"] for step in own["steps"]] == [step["mark_mm"] for step in from_shop["steps"]]


def test_the_project_s_own_calibration_goes_before_the_shop_s(hoopwright, stocked, bars, files, tmp_path):
    hoopwright.keys("calibrate", files / "samples.toml", "--project", bars)
    before = hoopwright.keys("sheets", bars)["sheets"][0]
    other = tmp_path / "other.toml"
    other.write_text((files / "samples.toml").read_text().replace("clr_mm = 137.5", "clr_mm = 150.0"))
    hoopwright.keys("calibrate", other, "--keep")
    after = hoopwright.keys("sheets", bars)["sheets"][0]
    assert (after["identity"], after["revision"]) == (before["identity"], before["revision"])


def test_the_last_calibration_that_was_kept_is_in_force_and_a_corrected_one_is_not(
    hoopwright, stocked, bars, files, tmp_path
):
    first = hoopwright.keys("calibrate", files / "samples.toml", "--keep")["kept"]["key"]
    other = tmp_path / "other.toml"
    other.write_text((files / "samples.toml").read_text().replace("clr_mm = 137.5", "clr_mm = 150.0"))
    hoopwright.keys("calibrate", other, "--keep", "--corrects", first)
    assert hoopwright.keys("sheets", bars)["sheets"][0]["clr_mm"] == pytest.approx(150.0)
    assert hoopwright.stops(
        "calibrate", other, "--keep", "--die", "45", "--batch", "B1", "--corrects", first
    ) == ["SHOP-028"]


def test_bars_are_checked_with_the_shop_s_radius_too(hoopwright, stocked, bars, files, tmp_path):
    other = tmp_path / "other.toml"
    other.write_text((files / "samples.toml").read_text().replace("clr_mm = 137.5", "clr_mm = 150.0"))
    hoopwright.keys("calibrate", other, "--keep")
    rows = hoopwright.keys("check", bars)["checks"]
    assert any("radius 150.0 mm, clamp 75 mm" in row["where"] for row in rows)


def test_the_shop_s_bender_swings_unless_the_project_says_it(hoopwright, stocked, bars, files):
    hoopwright.keys("calibrate", files / "samples.toml", "--project", bars)
    of_shop = hoopwright.keys("sheets", bars)
    assert "SHEET-014" not in codes(of_shop)
    typed = hoopwright.keys("sheets", bars, "--swings", "anticlockwise")
    assert typed["sheets"][1]["identity"] == of_shop["sheets"][1]["identity"]
    hoopwright.keys("sheets", bars, "--swings", "clockwise")
    kept = hoopwright.keys("sheets", bars)
    assert kept["sheets"][1]["identity"] != of_shop["sheets"][1]["identity"]


def test_machine_die_and_reach_of_a_bar(hoopwright, stocked, bars):
    hoopwright.keys("die", "change", "45", "--clamp", "88")
    project = ProjectFolder(path=bars).open().project
    found = machine_for(project, project.cage.member("MH"), shop_at_hand())
    assert (found.machine.name, found.machine.swings) == ("Red", "anticlockwise")
    assert (found.machine.clamp_mm, found.machine.die_reach_deg) == (88.0, 120.0)
    assert found.die is not None
    assert found.is_swing_known


def test_a_clamp_that_was_typed_for_the_project_holds(hoopwright, stocked, files, tmp_path):
    car = tmp_path / "typed"
    hoopwright.keys("new", car, "--clamp", "61")
    hoopwright.keys("bar", "add", car, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    project = ProjectFolder(path=car).open().project
    assert machine_for(project, project.cage.member("MH"), shop_at_hand()).machine.clamp_mm == 61.0


def test_a_die_of_another_tube_is_left_out_and_told(hoopwright, stocked, bars, files):
    hoopwright.keys("die", "change", "45", "--od", "38")
    hoopwright.keys("calibrate", files / "samples.toml", "--project", bars)
    assert {"SHOP-046", "SHEET-014"} <= codes(hoopwright.keys("sheets", bars))


def test_a_retired_die_is_left_out(hoopwright, stocked, bars):
    hoopwright.keys("die", "retire", "45")
    project = ProjectFolder(path=bars).open().project
    assert machine_for(project, project.cage.member("MH"), shop_at_hand()).die is None


def test_a_shop_that_cannot_be_read_stops_what_needs_it(hoopwright, stocked, bars, tmp_path, monkeypatch):
    (tmp_path / "shop.sqlite").write_bytes(b"spilt")
    assert hoopwright.stops("sheets", bars) == ["SHOP-021"]
    assert list((bars / "papers").iterdir()) == []
    monkeypatch.setenv("HOOPWRIGHT_SHOP", "none")
    assert set(hoopwright.stops("sheets", bars)) == {"CAL-010"}


def test_the_plain_way_in_for_other_parts(hoopwright, stocked, tmp_path):
    """What a session at the bender and a fit need: open, add, read by die, batch and tube."""
    import datetime as dt

    with Shop.open(tmp_path / "shop.sqlite") as shop:
        bend = LoggedBend(
            key="s-1", time=dt.datetime.now(dt.UTC), bender="Red", die="45", batch="B1", wanted_deg=45.0,
            command_deg=47.0, released_deg=45.1, fed_from="B",
        )  # fmt: skip
        assert shop.add_bend(bend).is_new
        assert shop.bends(die="45", batch="B1", tube=shop.batch("B1").tube) == (bend,)
