"""A real four-door body taken in from start to end, against truth by exact rays on the same model.

The model: a real car, taken apart and digitised by NCAC for the US Federal Highway Administration (D. Marzougui et
al., 13th International LS-DYNA Users Conference). It is fetched from the package registry, where the MIT-licensed
wheel `ansys-dyna-core` 0.10.0 carries it; nothing of it is kept in this project.
"""

import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path

import numpy as np
import pytest

from hoopwright.bars import Bar, check_bendable
from hoopwright.cage import Landing, bars_of
from hoopwright.findings import Severity
from hoopwright.fitting import LayoutWishes, lay_out_cage
from hoopwright.fitting.bar_task import BarTask, FitEnd
from hoopwright.fitting.landmark_search import pitched, search_landmarks
from hoopwright.fitting.measuring import as_tube
from hoopwright.fitting.tradeoff import fit_bar
from hoopwright.geometry import Transform
from hoopwright.joints.landing.fit import fit_landing
from hoopwright.shell.axes import propose_axes
from hoopwright.shell.clearance import measure_gaps
from hoopwright.shell.landmarks import align_by_landmarks
from hoopwright.shell.prepared import prepare_scan
from hoopwright.shell.records import ScanLandmark
from hoopwright.shell.scan import Scan
from hoopwright.shell.shell import make_shell
from hoopwright.shell.sides import compare_sides
from hoopwright.shell.sizing import propose_units
from hoopwright.tubes import TubeSize

pytestmark = [pytest.mark.data, pytest.mark.slow]

REQUIREMENT = "ansys-dyna-core==0.10.0"
CACHE = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "hoopwright-tests"
NOT_SHELL = re.compile(r"windshield|windowrear|ipbeam|bumperfront|bumperrear$|radiator|cowlupper|tray", re.I)
FEET_PER_MM = 1.0 / 304.8
# as scanned: rolled, pitched, yawed and shifted, mm
TURN_DEG, SHIFT_MM = (2.0, -1.5, 31.0), (4100.0, -2300.0, 870.0)
# truth by exact rays: start, direction and the distance to the metal, vehicle axes, mm
RAYS = {
    "roof at left 300": ((-2400.0, 300.0, 1425.0), (0.0, 0.0, 1.0), 1434.0),
    "floor at left 300": ((-2400.0, 300.0, 600.0), (0.0, 0.0, -1.0), 174.0),
    "left at 700": ((-2400.0, 0.0, 700.0), (0.0, 1.0, 0.0), 814.0),
    "right at 700": ((-2400.0, 0.0, 700.0), (0.0, -1.0, 0.0), -816.0),
    "left at 900": ((-2400.0, 0.0, 900.0), (0.0, 1.0, 0.0), 724.0),
    "right at 900": ((-2400.0, 0.0, 900.0), (0.0, -1.0, 0.0), -726.0),
    "left at 1100": ((-2400.0, 0.0, 1100.0), (0.0, 1.0, 0.0), 700.0),
    "right at 1100": ((-2400.0, 0.0, 1100.0), (0.0, -1.0, 0.0), -701.0),
}
WAYS = {"forward": (0, 1), "back": (0, -1), "left": (1, 1), "right": (1, -1), "up": (2, 1), "down": (2, -1)}
LANDMARKS = {
    "hoop_foot": (-2450.0, 650.0, 200.0),
    "front_foot": (-1230.0, 670.0, 330.0),
    "screen_corner": (-1900.0, 580.0, 1290.0),
    "backstay_foot": (-3640.0, 560.0, 956.0),
}

FRONT_STRUT = (-840.0, 600.0, 883.0)
FOUND_WITHIN_MM = {
    "hoop_foot": 50.0,
    "front_foot": 90.0,
    "screen_corner": 80.0,
    "backstay_foot": 90.0,
    "front_strut": 90.0,
}


def wheel():
    CACHE.mkdir(parents=True, exist_ok=True)
    kept = list(CACHE.glob("ansys_dyna_core-0.10.0-*.whl"))
    if not kept:
        asked = subprocess.run(
            [sys.executable, "-m", "pip", "download", "--no-deps", "--quiet", "-d", str(CACHE), REQUIREMENT],
            capture_output=True, text=True, timeout=600, check=False,
        )  # fmt: skip
        kept = list(CACHE.glob("ansys_dyna_core-0.10.0-*.whl"))
        if asked.returncode != 0 or not kept:
            last = (asked.stderr.strip().splitlines() or ["no answer"])[-1]
            pytest.skip(f"the package registry gave no {REQUIREMENT}: {last}")
    return kept[0]


def lines_of(archive, ending):
    name = next(name for name in archive.namelist() if name.endswith(ending))
    return archive.read(name).decode("ascii", errors="replace").splitlines()


def blocks(lines):
    """Keyword, and its lines without comments."""
    keyword, block = "", []
    for line in lines:
        if line.startswith("*"):
            yield keyword, block
            keyword, block = line.strip(), []
        elif not line.startswith("$"):
            block.append(line)
    yield keyword, block


def read_body(path):
    """Points (n, 3) in mm, forward, left, up, and triangles (m, 3) of the shell without glass and beams."""
    with zipfile.ZipFile(path) as archive:
        node_lines = lines_of(archive, "Camry_V1_NoSusAndPowerTrain_impl7_nodes.k")
        part_lines = lines_of(archive, "Camry_V1_NoSusAndPowerTrain_impl7.k")
    nodes = next(block for keyword, block in blocks(node_lines) if keyword == "*NODE")
    ids = np.array([int(line[:8]) for line in nodes])
    points = np.array([(line[8:24], line[24:40], line[40:56]) for line in nodes], dtype=np.float64)
    titles, rows = {}, []
    for keyword, block in blocks(part_lines):
        if keyword == "*PART":
            titles[int(block[1][:10])] = block[0].strip()
        elif keyword == "*ELEMENT_SHELL":
            rows += [[int(line[at : at + 8]) for at in range(8, 48, 8)] for line in block]
    elements = np.array(rows)
    kept = np.array([not NOT_SHELL.search(titles[part]) for part in elements[:, 0]])
    order = np.argsort(ids)
    quads = order[np.searchsorted(ids[order], elements[kept, 1:])]
    four = quads[:, 3] != quads[:, 2]
    triangles = np.concatenate([quads[:, :3], quads[four][:, [0, 2, 3]]])
    used, renumbered = np.unique(triangles, return_inverse=True)
    return points[used].astype(np.float32), renumbered.reshape(-1, 3).astype(np.int32)


@pytest.fixture(scope="module")
def body():
    kept = CACHE / "real_body.npz"
    if not kept.exists():
        points, triangles = read_body(wheel())
        part = kept.with_name("real_body.part.npz")
        np.savez(part, points=points, triangles=triangles)
        part.replace(kept)
    with np.load(kept) as arrays:
        return arrays["points"], arrays["triangles"]


@pytest.fixture(scope="module")
def pose():
    r, p, y = np.radians(TURN_DEG)
    about_x = np.array([[1, 0, 0], [0, np.cos(r), -np.sin(r)], [0, np.sin(r), np.cos(r)]])
    about_y = np.array([[np.cos(p), 0, np.sin(p)], [0, 1, 0], [-np.sin(p), 0, np.cos(p)]])
    about_z = np.array([[np.cos(y), -np.sin(y), 0], [np.sin(y), np.cos(y), 0], [0, 0, 1]])
    return Transform(
        rotation=about_z @ about_y @ about_x, shift_mm=np.array(SHIFT_MM), source="vehicle", target="scan"
    )


@pytest.fixture(scope="module")
def scan(body, pose):
    points, triangles = body
    return Scan(
        points=(pose.points(points) * FEET_PER_MM).astype(np.float32),
        triangles=triangles,
        offset=np.zeros(3),
        declared_unit=None,
        declared_by="",
        source_name="body.stl",
    )


@pytest.fixture(scope="module")
def prepared(scan):
    return prepare_scan(scan, "ft")


@pytest.fixture(scope="module")
def aligned(pose):
    """Places that a person can find on this car, found in the scan to within a millimetre or so."""
    places = {
        "left strut top": (-840.0, 600.0, 883.0),
        "right strut top": (-840.0, -600.0, 883.0),
        "left rocker front": (-1107.0, 700.0, 175.0),
        "right rocker front": (-1107.0, -700.0, 175.0),
        "left pillar": (-2576.0, 668.0, 469.0),
        "right pillar": (-2576.0, -668.0, 469.0),
        "rear left": (-3640.0, 560.0, 956.0),
    }
    slips = np.random.default_rng(5).uniform(-1.0, 1.0, (len(places), 3))
    return align_by_landmarks(
        [
            ScanLandmark(
                name=name,
                scan_mm=tuple(map(float, pose.points(np.array(place) + slip))),
                forward_mm=place[0],
                left_mm=place[1],
                up_mm=place[2],
            )
            for (name, place), slip in zip(places.items(), slips, strict=True)
        ]
    )


@pytest.fixture(scope="module")
def shell(prepared, aligned):
    return make_shell(prepared, aligned.to_vehicle)


def test_it_is_the_whole_shell(body):
    points, triangles = body
    assert len(triangles) == pytest.approx(1_680_000, rel=0.01)
    assert points[:, 0].min() == pytest.approx(-4564.0, abs=120.0)


def test_feet_are_proposed(scan):
    best, second = propose_units(scan)[:2]
    assert best.unit == "ft"
    assert 3800.0 < best.size_mm[0] < 4700.0
    assert best.is_believable
    assert second.misfit > best.misfit + 1.0


def test_landmarks_place_it_within_3_mm_of_the_truth(shell, aligned):
    assert aligned.rms_mm < 1.5
    for name, (start, way, wanted) in RAYS.items():
        hit = shell.first_hits(np.array([start]), np.array([way])).place_mm[0]
        assert hit[int(np.argmax(np.abs(way)))] == pytest.approx(wanted, abs=3.0), name


def test_by_itself_it_finds_the_same_car(prepared, pose):
    found = propose_axes(prepared.tree, prepared.surfels)
    made = make_shell(prepared, found.to_vehicle)
    moved = pose.then(found.to_vehicle)
    # no flat floor fixes the pitch, and the file's own zero is another one: the truth is moved with the car
    assert np.degrees(np.arccos(moved.rotation[0, 0])) < 2.5
    assert abs(moved.rotation[1, 0]) < np.radians(0.15)
    assert abs(moved.rotation[1, 2]) < np.radians(0.15)
    assert moved.points([-2400.0, 0.0, 700.0])[1] == pytest.approx(0.0, abs=3.0)
    for name, (start, way, wanted) in RAYS.items():
        place = np.array(start)
        place[int(np.argmax(np.abs(way)))] = wanted
        hit = made.first_hits(moved.points([start]), moved.directions([way])).place_mm[0]
        assert np.linalg.norm(hit - moved.points(place)) < 3.0, name


def test_its_sides_differ_by_millimetres(shell):
    report = compare_sides(shell)
    assert report is not None
    assert report.matched_share > 0.5
    assert 0.2 < report.typical_mm < 3.0
    assert abs(report.right_closer_mm) < 3.0


@pytest.mark.parametrize("pitch_deg", [-2.5, 0.0, 2.5])
def test_landmarks_found_in_it_lie_near_those_picked_by_hand(shell, pitch_deg):
    """Picked by hand to about 30 mm; a foot or a strut top is a place as wide as a hand."""
    pitched_shell = pitched(shell, pitch_deg)
    turn = pitched_shell.to_vehicle.rotation @ shell.to_vehicle.rotation.T
    search = search_landmarks(make_shell(pitched_shell.prepared, pitched_shell.to_vehicle))
    assert search.missing == {}
    for name, place in (LANDMARKS | {"front_strut": FRONT_STRUT}).items():
        found = search.found[name]
        assert found.sure, f"{name}: {found.doubt}"
        off = np.linalg.norm(found.place_mm - turn @ np.array(place))
        assert off < FOUND_WITHIN_MM[name], name
    # two sills of one car, so that the pitch is read to a tenth of a degree
    level = search_landmarks(shell).climb_deg
    assert search.climb_deg == pytest.approx(level - pitch_deg, abs=0.1)


def test_a_cage_laid_out_in_it_keeps_its_gap_and_can_be_bent(shell):
    wishes = LayoutWishes(lean_deg=2.0)
    layout = lay_out_cage(shell, LANDMARKS, wishes)
    assert layout.findings == ()
    bars = bars_of(layout.cage)
    assert len(bars) >= 12
    tubes = [
        as_tube(
            bar,
            landing_a_mm=layout.cage.member(name).end_a.landing_mm,
            landing_b_mm=layout.cage.member(name).end_b.landing_mm,
        )
        for name, bar in bars.items()
    ]
    for name, gaps in zip(bars, measure_gaps(shell, tubes), strict=True):
        assert gaps.smallest is None or gaps.smallest.gap_mm > 10.0 - 0.1, name
        assert gaps.crossings == (), name
        assert gaps.outside == (), name
        stops = [f for f in check_bendable(bars[name], clamp_mm=60.0) if f.severity is Severity.STOP]
        assert stops == [], name


def test_a_side_bar_and_a_hoop_are_fitted(shell):
    """Marks from long global searches on the same body thinned to 200,000 triangles: 17.1, 9.7, 8.8 and 52.8 mm."""
    tube = TubeSize(od_mm=45.0, wall_mm=2.5)
    side = BarTask(
        name="SB",
        tube=tube,
        clr_mm=137.5,
        end_a=FitEnd(place_mm=(-1230.0, 670.0, 330.0)),
        end_b=FitEnd(place_mm=(-2450.0, 515.0, 1345.0)),
        gap_mm=5.0,
    )
    found = fit_bar(shell, side, (1, 2, 3)).offers
    lean_rad = np.radians(2.0)
    foot = (-2450.0, 650.0, 200.0)
    hoop = BarTask(
        name="MH",
        tube=tube,
        clr_mm=137.5,
        end_a=FitEnd(place_mm=foot, slide=(0.0, 1.0, 0.0), low_mm=-120.0, high_mm=120.0),
        end_b=FitEnd(place_mm=(-2450.0, -650.0, 200.0)),
        gap_mm=5.0,
        rough_mm=((-2490.0, 500.0, 1330.0), (-2490.0, -500.0, 1330.0)),
        plane=(foot, (np.cos(lean_rad), 0.0, np.sin(lean_rad))),
        symmetric=True,
    )
    found = [*found, *fit_bar(shell, hoop, (2,)).offers]
    for offer, mark in zip(found, (17.08, 9.70, 8.81, 52.76), strict=True):
        assert offer.holds
        assert offer.smallest_gap_mm >= 4.95
        assert offer.mean_gap_mm <= 1.15 * mark


def foot_on(shell, forward, left):
    """A leg that leans a little, its end on the first metal below a place in the cabin; None over a hole."""
    hit = shell.first_hits(np.array([[forward, left, 600.0]]), np.array([0.0, 0.0, -1.0]))
    if hit.triangle[0] < 0:
        return None
    up = float(hit.place_mm[0, 2])
    return Bar(
        name="T",
        nodes_mm=((forward, left, up), (forward + 20.0, 1.05 * left, up + 400.0)),
        clr_mm=137.5,
        tube=TubeSize(od_mm=45.0, wall_mm=2.5),
    )


def test_plates_lie_on_its_metal(shell):
    """Its pressed floor has no even place the size of a hand but a few: those are found, and plates lie within 1.5 mm.

    Everywhere else the plate says how much of it lies within 1.5 mm and where the worst is.
    """
    asked = Landing(bar_id="T", end="A", length_mm=120.0, width_mm=100.0)
    within, moved, far = [], [], []
    for side in (1.0, -1.0):
        for forward in np.arange(-2450.0, -1250.0, 150.0):
            for left in (450.0, 560.0):
                bar = foot_on(shell, forward, side * left)
                if bar is None:
                    continue
                fitted = fit_landing(shell, bar, asked)
                gap = fitted.faces[0].gap
                within.append(gap.within_ratio)
                codes = [found.code for found in fitted.findings]
                if gap.largest_mm > 1.5:
                    assert {"LAND-018", "LAND-019"} & set(codes)
                place = next((found for found in fitted.findings if found.code == "LAND-028"), None)
                if place is None or place.measured is None:
                    continue
                shift = np.zeros(3)
                for length, name in re.findall(r"(\d+) mm (\w+)", place.todo):
                    axis, sign = WAYS[name]
                    shift[axis] = sign * float(length)
                there = fit_landing(shell, bar.with_nodes(bar.nodes + shift), asked)
                moved.append(there.faces[0].gap.largest_mm)
                far.append(place.measured)
                assert there.faces[0].gap.seen_ratio == 1.0
    assert len(within) >= 28
    assert np.median(within) > 0.7
    assert len(moved) >= 2
    assert max(moved) <= 1.5
