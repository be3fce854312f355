"""Names of a shell's regions."""

import re

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from hoopwright.geometry import Transform


def names_of(bodies, roll_deg, yaw_deg):
    """Names of the regions of the known section, scanned askew and laid back where it was."""
    turn = Rotation.from_euler("xz", [roll_deg, yaw_deg], degrees=True).as_matrix()
    shift = np.array([300.0, -200.0, 150.0])
    soup = np.asarray(bodies.section_soup()) @ turn.T + shift
    back = Transform(rotation=turn.T, shift_mm=-turn.T @ shift, source="scan", target="vehicle")
    return bodies.shell_of(bodies.as_scan(soup), back).region_names


@pytest.mark.parametrize(("roll_deg", "yaw_deg"), [(0.0, 0.0), (2.0, 1.2), (0.0, 30.0)])
def test_a_region_is_as_high_as_its_metal_however_the_scan_lies(bodies, roll_deg, yaw_deg):
    """The section is flat on top at 1118 and upright to 620: nothing of it lies higher, and no roof lower."""
    names = names_of(bodies, roll_deg, yaw_deg)
    assert "roof, up 1118" in names
    heights = [tuple(map(int, re.findall(r"-?\d+", name.split("up")[1]))) for name in names if "wall" in name]
    lower = [one for one in heights if one[0] == 0]
    assert len(lower) == 2  # left and right
    # a region may take a triangle of the sheet beside it where they meet
    assert all(top == pytest.approx(620, abs=62) for _, top in lower)
    assert max(max(one) for one in heights) <= 1118
