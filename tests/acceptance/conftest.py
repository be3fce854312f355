"""A shell whose section is known, written as a scanner would, and the samples of one die."""

from pathlib import Path

import numpy as np
import pytest

SECTION = np.array(
    [(680, 0), (680, 620), (556, 1082), (500, 1118), (-500, 1118), (-556, 1082), (-680, 620), (-680, 0)],
    dtype=np.float64,
)
"""Left and up in mm: walls upright to 620, leaning in, a chamfer, a flat roof."""
LENGTH_MM = 1800.0

SAMPLES = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
date = "2026-03-01"
[[angle]]
command_deg = 20.0
released_deg = 18.6
[[angle]]
command_deg = 45.0
released_deg = 42.9
[[angle]]
command_deg = 90.0
released_deg = 86.5
[[leg]]
cut_mm = 900.0
mark_mm = 300.0
released_deg = 90.0
leg_a_mm = 471.5
leg_b_mm = 536.5
"""
U_SAMPLE = "[[u]]\noutside_mm = 320.0\n"
CAL_1 = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
name = "Cal-1"
date = "2026-03-01"
[[plain]]
clr_mm = 137.5
used_per_deg_mm = 2.3556
start_offset_mm = 11.5
constant_deg = 0.777
per_command_deg = 0.0301
"""
HOOP = "forward,left,up\n" + "".join(
    f"-900,{left},{up}\n"
    for left, up in ((610, 0), (640, 620), (505, 1085), (-505, 1085), (-640, 620), (-610, 0))
)
SIDE_BAR = "forward,left,up\n-350,640,60\n-430,655,560\n-880,525,1125\n-1560,505,1150\n"


def shell_triangles(*, right_in_mm=0.0, stations=250, pieces=40):
    """Triangles (n, 3, 3) in vehicle axes, from forward 0 back to -1800."""
    section = SECTION + np.where(SECTION[:, :1] < 0, [right_in_mm, 0.0], [0.0, 0.0])
    corner_at = np.arange(len(section)) * pieces
    every = np.arange(corner_at[-1] + 1)
    ring = np.stack([np.interp(every, corner_at, section[:, axis]) for axis in (0, 1)], axis=1)
    forward = np.repeat(np.linspace(0.0, -LENGTH_MM, stations)[:, None, None], len(ring), axis=1)
    grid = np.concatenate([forward, np.broadcast_to(ring, (stations, *ring.shape))], axis=2)
    a, b, c, d = grid[:-1, :-1], grid[:-1, 1:], grid[1:, :-1], grid[1:, 1:]
    return np.concatenate([np.stack([a, b, c], -2), np.stack([b, d, c], -2)], axis=2).reshape(-1, 3, 3)


def turned(triangles, *, roll_deg, yaw_deg, shift_mm):
    """Rolled about the car's length, then yawed about the upright, then shifted."""
    roll, yaw = np.radians([roll_deg, yaw_deg])
    about_up = np.array([[np.cos(yaw), -np.sin(yaw), 0], [np.sin(yaw), np.cos(yaw), 0], [0, 0, 1]])
    about_length = np.array([[1, 0, 0], [0, np.cos(roll), -np.sin(roll)], [0, np.sin(roll), np.cos(roll)]])
    return triangles @ (about_up @ about_length).T + np.array(shift_mm)


def write_stl(path, triangles):
    facets = np.zeros(len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = triangles.reshape(-1, 9)
    path.write_bytes(b"shell".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes())
    return path


@pytest.fixture(scope="session")
def files(tmp_path_factory):
    """Everything that a person has at the start, in one folder."""
    folder: Path = tmp_path_factory.mktemp("files")
    for name, text in {
        "samples.toml": SAMPLES + U_SAMPLE,
        "samples_without_u.toml": SAMPLES,
        "samples_retyped.toml": (SAMPLES + U_SAMPLE).replace("471.5", "481.5"),
        "cal-1.toml": CAL_1,
        "cal-150.toml": CAL_1.replace("137.5", "150.0").replace("Cal-1", "Cal-150"),
        "hoop.csv": HOOP,
        "side_bar.csv": SIDE_BAR,
    }.items():
        (folder / name).write_text(text, encoding="utf-8")
    inches = turned(shell_triangles(), roll_deg=2.0, yaw_deg=1.2, shift_mm=(300, -200, 150)) / 25.4
    write_stl(folder / "shell_inch_tilted.stl", inches)
    write_stl(folder / "shell_mm.stl", shell_triangles())
    write_stl(folder / "shell_coarse.stl", shell_triangles(stations=19, pieces=6))
    write_stl(folder / "shell_asym6.stl", shell_triangles(right_in_mm=6.0))
    return folder
