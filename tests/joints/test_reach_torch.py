"""Torches and wishes that cannot be, and how a torch is held."""

import math

import numpy as np
import pytest

from hoopwright.findings import UserError
from hoopwright.joints.reach.torch import Torch, check_torch, hold, ways_to_hold
from hoopwright.joints.reach.wish import Wish, check_wish, pedestal_mm


@pytest.mark.parametrize(
    "sizes",
    [
        {"nozzle_od_mm": math.nan},
        {"nozzle_od_mm": -22.0},
        {"nozzle_length_mm": 0.0},
        {"handle_length_mm": math.inf},
        {"lean_deg": -1.0},
        {"neck_deg": 180.0},
        {"stick_out_mm": 1e9},
    ],
)
def test_a_torch_that_cannot_be_is_refused_with_its_size(sizes):
    with pytest.raises(UserError) as stopped:
        check_torch(Torch(**sizes))
    (finding,) = stopped.value.findings
    assert finding.code == "REACH-001"
    ((name, value),) = sizes.items()
    assert name.rpartition("_")[0].replace("_", " ") in finding.sentence
    assert finding.measured == (value if math.isfinite(value) else None)


@pytest.mark.parametrize(
    "wish",
    [
        {"needs_mm": math.nan},
        {"needs_mm": -60.0},
        {"drop_mm": 5000.0},
        {"shift_mm": math.inf},
        {"tilt_deg": 90.0},
        {"pedestal_step_mm": 0.0},
        {"needs_mm": 60.0, "drop_mm": 50.0},
    ],
)
def test_a_wish_that_cannot_be_is_refused(wish):
    with pytest.raises(UserError) as stopped:
        check_wish(Wish(**wish))
    assert {finding.code for finding in stopped.value.findings} == {"REACH-002"}


@pytest.mark.parametrize(
    ("drop", "step", "height"),
    [(49.5, 10.0, 50.0), (50.0, 10.0, 50.0), (50.1, 10.0, 60.0), (0.0, 10.0, 0.0), (49.5, 25.4, 50.8)],
)
def test_pedestals_come_in_steps(drop, step, height):
    assert pedestal_mm(drop, step) == pytest.approx(height)


def test_the_middle_of_the_joint_is_tried_first():
    ways = ways_to_hold(Torch())
    assert ways[0] == (0.0, 0.0)
    assert len(set(ways)) == 15
    assert ways_to_hold(Torch(lean_deg=0.0, travel_deg=0.0)) == ((0.0, 0.0),)


def test_the_torch_keeps_its_sizes_however_it_is_held():
    torch = Torch()
    at, away, along = np.array([[10.0, 20.0, 30.0]]), np.array([[0.0, 0.0, 1.0]]), np.array([[1.0, 0.0, 0.0]])
    for way in ways_to_hold(torch):
        poses = hold(torch, at, away, along, lean_deg=way[0], travel_deg=way[1])
        axis = poses.nozzle_to_mm[0] - at[0]
        assert np.linalg.norm(axis) == pytest.approx(torch.stick_out_mm + torch.nozzle_length_mm)
        lean = math.degrees(math.acos(axis[2] / np.linalg.norm(axis)))
        wanted = math.degrees(math.acos(math.cos(math.radians(way[0])) * math.cos(math.radians(way[1]))))
        assert lean == pytest.approx(wanted, abs=1e-6)
        handles = poses.handles_to_mm[:, 0] - poses.nozzle_to_mm[0]
        assert np.linalg.norm(handles, axis=1) == pytest.approx(torch.handle_length_mm)
        necks = np.degrees(np.arccos(handles @ axis / np.linalg.norm(axis) / torch.handle_length_mm))
        assert necks == pytest.approx(torch.neck_deg)
