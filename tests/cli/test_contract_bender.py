"""`hoopwright calibrate`, `command` and `tube`: keys, kinds and outside values."""

import json
import math

import pytest


def test_calibrate_keys(hoopwright, samples):
    keys = hoopwright.keys("calibrate", samples)
    for name in ("clr_mm", "clr_sd_mm", "used_per_deg_mm", "start_offset_mm"):
        assert type(keys[name]) is float, name
    assert {name: type(keys["springback"][name]) for name in ("constant_deg", "per_command_deg")} == {
        "constant_deg": float,
        "per_command_deg": float,
    }
    assert isinstance(keys["findings"], list)


def test_used_per_degree_counts_degrees_of_the_finished_bend(hoopwright, samples):
    """By hand: tube used for 90 is 900 + 2 x (137.5 + 22.5) - 471.5 - 536.5 = 212."""
    keys = hoopwright.keys("calibrate", samples)
    assert keys["used_per_deg_mm"] == pytest.approx(212.0 / 90.0)


def test_springback_is_the_line_through_the_readings(hoopwright, samples):
    """Least squares by hand over (20, 1.4), (45, 2.1), (90, 3.5)."""
    slope = (-31.6667 * -0.93333 + -6.6667 * -0.23333 + 38.3333 * 1.16667) / (
        31.6667**2 + 6.6667**2 + 38.3333**2
    )
    line = hoopwright.keys("calibrate", samples)["springback"]
    assert line["per_command_deg"] == pytest.approx(slope, abs=1e-5)
    assert line["constant_deg"] == pytest.approx(7.0 / 3.0 - slope * 155.0 / 3.0, abs=1e-3)


def test_command_keys(hoopwright, samples):
    keys = hoopwright.keys("command", "72.5", "--calibration", samples)
    assert type(keys["command_deg"]) is float
    assert type(keys["sd_deg"]) is float
    assert keys["findings"] == []


def test_command_reads_what_calibrate_printed(hoopwright, samples, tmp_path):
    printed = tmp_path / "printed.json"
    printed.write_text(hoopwright.run("calibrate", samples, "--json").out, encoding="utf-8")
    assert hoopwright.keys("command", "72.5", "--calibration", printed) == hoopwright.keys(
        "command", "72.5", "--calibration", samples
    )


def test_command_beyond_the_samples_is_said(hoopwright, samples):
    keys = hoopwright.keys("command", "120", "--calibration", samples)
    assert [finding["code"] for finding in keys["findings"]] == ["CAL-012"]


def test_command_without_a_springback_line_stops(hoopwright, tmp_path):
    file = tmp_path / "plain.toml"
    file.write_text("od_mm = 45.0\nwall_mm = 2.5\n[[plain]]\nclr_mm = 137.5\n", encoding="utf-8")
    assert hoopwright.stops("command", "72.5", "--calibration", file) == ["CAL-011"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("od_mm = 45.0\nwall_mm = ", "CAL-002"),
        ("od_mm = 45.0\nwall_mm = 2.5\nradius = 1\n", "CAL-003"),
        ("od_mm = 45.0\nwall_mm = 25.0\n[[u]]\noutside_mm = 320\n", "TUBE-001"),
        ("od_mm = 45.0\nwall_mm = 2.5\n", "CAL-008"),
    ],
)
def test_bad_sample_file_stops(hoopwright, tmp_path, text, code):
    file = tmp_path / "bad.toml"
    file.write_text(text, encoding="utf-8")
    assert code in hoopwright.stops("calibrate", file)


def test_hostile_printed_calibration_stops(hoopwright, samples, tmp_path):
    printed = hoopwright.keys("calibrate", samples)
    for wrong in ({"springback": 5}, {"clr_mm": "x"}, {"od_mm": -1.0}, {"covariance": [[1]]}, {"kind": "x"}):
        file = tmp_path / "bad.json"
        file.write_text(json.dumps(printed | wrong), encoding="utf-8")
        (code, *_) = hoopwright.stops("command", "72.5", "--calibration", file)
        assert code.startswith(("CAL-", "TUBE-")), wrong


def test_tube_keys_by_hand(hoopwright):
    keys = hoopwright.keys("tube", "45", "2.5")
    outer, inner = 45.0, 40.0
    assert keys["area_mm2"] == pytest.approx(math.pi / 4 * (outer**2 - inner**2), rel=1e-12)
    assert keys["i_mm4"] == pytest.approx(math.pi / 64 * (outer**4 - inner**4), rel=1e-12)
    assert keys["z_mm3"] == pytest.approx(keys["i_mm4"] / 22.5, rel=1e-12)
    assert keys["zp_mm3"] == pytest.approx((outer**3 - inner**3) / 6, rel=1e-12)
    assert keys["kg_per_m"] == pytest.approx(keys["area_mm2"] * 7850e-6, rel=1e-12)


def test_tube_in_inches(hoopwright):
    inches = hoopwright.keys("tube", "1 3/4", ".095 in")
    assert (inches["od_mm"], inches["wall_mm"]) == pytest.approx((44.45, 2.413))
    # 1.750 x .095 weighs 1.679 lb/ft in mill tables (ASTM A513 sizes)
    assert inches["kg_per_m"] == pytest.approx(1.679 * 0.45359237 / 0.3048, rel=2e-3)


@pytest.mark.parametrize("sizes", [("45", "22.5"), ("45", "30"), ("0", "0")])
def test_tube_that_cannot_be(hoopwright, sizes):
    assert hoopwright.stops("tube", *sizes) == ["TUBE-001"]


def test_tube_that_cannot_be_read(hoopwright):
    assert hoopwright.stops("tube", "forty", "2.5") == ["UNIT-001"]
