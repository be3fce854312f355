"""Calibration from one 90 with legs, one U and three angles."""

import json
import math

import pytest


def test_numbers_of_the_die(hoopwright, files):
    keys = hoopwright.keys("calibrate", files / "samples.toml")
    assert keys["clr_mm"] == pytest.approx(137.5, abs=0.3)
    assert keys["start_offset_mm"] == pytest.approx(11.5, abs=0.3)
    assert 90.0 * keys["used_per_deg_mm"] == pytest.approx(212.0, abs=0.3)
    assert keys["findings"] == []
    under = 1.0 - keys["used_per_deg_mm"] / (keys["clr_mm"] * math.pi / 180.0)
    assert under == pytest.approx(0.018, abs=0.001)


@pytest.mark.parametrize(("wanted", "command"), [(72.5, 75.55), (12.0, 13.17)])
def test_command_angle(hoopwright, files, wanted, command):
    keys = hoopwright.keys("command", wanted, "--calibration", files / "samples.toml")
    assert keys["command_deg"] == pytest.approx(command, abs=0.1)
    assert 0.0 < keys["sd_deg"] < 1.0


def test_command_angle_from_a_printed_calibration(hoopwright, files, tmp_path):
    printed = tmp_path / "printed.json"
    printed.write_text(json.dumps(hoopwright.keys("calibrate", files / "samples.toml")), encoding="utf-8")
    from_print = hoopwright.keys("command", "72.5", "--calibration", printed)
    from_samples = hoopwright.keys("command", "72.5", "--calibration", files / "samples.toml")
    assert from_print == from_samples


def test_without_the_u_the_radius_is_uncertain_and_says_why(hoopwright, files):
    keys = hoopwright.keys("calibrate", files / "samples_without_u.toml")
    assert keys["clr_sd_mm"] >= 2.0
    (finding,) = (one for one in keys["findings"] if one["code"] == "CAL-020")
    assert "radius" in finding["sentence"]
    assert keys["prior"]
    text = hoopwright.run("calibrate", files / "samples_without_u.toml")
    assert keys["prior"][0] in text.out
    assert "U" in finding["todo"]


def test_a_leg_retyped_10_mm_long_is_flagged(hoopwright, files):
    keys = hoopwright.keys("calibrate", files / "samples_retyped.toml")
    assert 90.0 * keys["used_per_deg_mm"] == pytest.approx(202.0, abs=0.3)
    (finding,) = (one for one in keys["findings"] if one["code"] == "CAL-021")
    for words in ("202.0", "216.0", "6.5%"):
        assert words in finding["sentence"]
    assert abs(finding["measured"]) == pytest.approx(6.5, abs=0.05)
    assert finding["limit"] == 4.0
