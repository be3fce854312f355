import struct
import tomllib

import numpy as np
import pytest

from hoopwright.bender.fit import fit_calibration
from hoopwright.bender.sample_files import samples_from_text
from hoopwright.democar import DemoCar, build_demo_scan, demo_scenario, hidden_dies, write_binary_stl
from hoopwright.findings import UserError

TRIANGLES = np.array(
    [[[0, 0, 0], [1000, 0, 0], [0, 500, 250]], [[1, 2, 3], [4, 5, 6], [7, 8, 10]]], np.float32
)


@pytest.mark.parametrize(("unit", "mm"), [("mm", 1.0), ("m", 1000.0), ("in", 25.4)])
def test_stl_holds_the_corners_in_the_unit(tmp_path, unit, mm):
    path = tmp_path / "car.stl"
    write_binary_stl(path, TRIANGLES, unit=unit)
    data = path.read_bytes()
    assert len(data) == 84 + 50 * 2
    assert struct.unpack_from("<I", data, 80) == (2,)
    assert not data.startswith(b"solid")
    corners = struct.unpack_from("<9f", data, 84 + 12)
    assert np.array(corners) * mm == pytest.approx(TRIANGLES[0].ravel(), rel=1e-6)
    assert [entry.name for entry in tmp_path.iterdir()] == ["car.stl"]


def test_unknown_unit_and_missing_folder_are_refused(tmp_path):
    with pytest.raises(UserError, match="furlong") as stopped:
        write_binary_stl(tmp_path / "car.stl", TRIANGLES, unit="furlong")
    assert stopped.value.findings[0].code == "DEMO-002"
    with pytest.raises(UserError, match=r"car\.stl") as stopped:
        write_binary_stl(tmp_path / "nowhere" / "car.stl", TRIANGLES)
    assert stopped.value.findings[0].code == "DEMO-003"
    assert list(tmp_path.iterdir()) == []


def test_progress_is_told_in_order():
    told = []
    build_demo_scan(DemoCar(spacing_mm=50.0), progress=lambda _stage, share: told.append(share))
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_tape_readings_are_a_careful_persons():
    tape = demo_scenario().tape
    for reading in tape:
        assert 0.0 <= abs(reading.read_mm - reading.true_mm) < reading.true_mm / 1000.0
        assert (reading.read_mm * 2.0).is_integer()
        assert reading.true_mm == pytest.approx(np.linalg.norm(np.subtract(reading.end_mm, reading.start_mm)))
    assert sum(abs(reading.read_mm - reading.true_mm) > 0.1 for reading in tape) >= 3


def test_scenario_is_the_same_every_time():
    assert demo_scenario() == demo_scenario()
    assert demo_scenario(DemoCar(seed=8)).sample_bends != demo_scenario().sample_bends


@pytest.mark.parametrize("number", [0, 1])
@pytest.mark.parametrize("seed", [7, 8, 9])
def test_sample_bends_obey_the_hidden_machine(number, seed):
    """By the plain geometry of a square bend, not by the tool's fit."""
    die = hidden_dies()[number]
    keys = tomllib.loads(list(demo_scenario(DemoCar(seed=seed)).sample_bends.values())[number])
    assert (keys["od_mm"], keys["wall_mm"]) == (die.od_mm, die.wall_mm)
    radius = (keys["u"][0]["outside_mm"] - die.od_mm) / 2.0
    assert radius == pytest.approx(die.clr_mm, abs=0.7)
    for leg in keys["leg"]:
        reach = die.clr_mm + die.od_mm / 2.0
        assert leg["leg_a_mm"] - leg["mark_mm"] - reach == pytest.approx(die.start_offset_mm, abs=1.2)
        used = leg["cut_mm"] - (leg["leg_a_mm"] - reach) - (leg["leg_b_mm"] - reach)
        assert used / 90.0 == pytest.approx(die.used_per_deg_mm, abs=0.025)
    for angle in keys["angle"]:
        left = die.springback_constant_deg + die.springback_per_command_deg * angle["command_deg"]
        assert angle["command_deg"] - angle["released_deg"] == pytest.approx(left, abs=0.5)


@pytest.mark.parametrize("seed", [7, 8, 9])
def test_the_tool_finds_the_hidden_machine(seed):
    for (name, text), die in zip(
        demo_scenario(DemoCar(seed=seed)).sample_bends.items(), hidden_dies(), strict=True
    ):
        found = fit_calibration(samples_from_text(text, name))
        assert found.clr_mm == pytest.approx(die.clr_mm, abs=0.7)
        assert found.start_offset_mm == pytest.approx(die.start_offset_mm, abs=1.0)
        assert found.used_per_deg_mm == pytest.approx(die.used_per_deg_mm, abs=0.02)
