"""A folder of files that others wrote, held against the libraries that belong to each kind.

The folder is named by HOOPWRIGHT_READER_SAMPLES. Useful ones are the test files of laspy, libE57Format,
PDAL, pye57 and trimesh.
"""

import os
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from hoopwright.findings import UserError
from hoopwright.shell.readers import read_scan
from hoopwright.shell.scan import Scan

FOLDER = os.environ.get("HOOPWRIGHT_READER_SAMPLES", "")
FILES = sorted(path for path in Path(FOLDER).iterdir() if path.is_file()) if FOLDER else []

pytestmark = [
    pytest.mark.data,
    pytest.mark.skipif(not FOLDER, reason="HOOPWRIGHT_READER_SAMPLES names no folder of sample files"),
]


def theirs(path: Path) -> tuple[NDArray[Any], NDArray[Any] | None] | None:
    """Points, and corners of the triangles of a mesh, by another reader; None where it has none."""
    by_kind = {".las": _las, ".laz": _las, ".e57": _e57, ".ptx": _ptx, ".xyz": _text, ".pts": _text}
    try:
        points, corners = by_kind.get(path.suffix.lower(), _trimesh)(path)
    except Exception:
        return None
    return (points, corners) if len(points) else None


def _las(path: Path) -> tuple[NDArray[Any], None]:
    laspy = pytest.importorskip("laspy")
    return np.asarray(laspy.read(path).xyz), None


def _e57(path: Path) -> tuple[NDArray[Any], None]:
    pye57 = pytest.importorskip("pye57")
    parts = []
    with pye57.E57(str(path)) as file:
        for number in range(file.scan_count):
            if file.get_header(number).point_count:
                data = file.read_scan(number, ignore_missing_fields=True)
                parts.append(np.stack([data[f"cartesian{axis}"] for axis in "XYZ"], axis=1))
    return np.concatenate(parts), None


def _ptx(path: Path) -> tuple[NDArray[Any], None]:
    lines = path.read_text().split("\n")
    assert sum(len(line.split()) == 1 for line in lines) == 2, "one scan"
    pose = np.array([line.split() for line in lines[6:10]], dtype=float)
    rows = np.array([line.split()[:3] for line in lines[10:] if line.strip()], dtype=float)
    rows = rows[np.abs(rows).max(axis=1) > 0]
    return rows @ pose[:3, :3] + pose[3, :3], None


def _text(path: Path) -> tuple[NDArray[Any], None]:
    return np.loadtxt(path, usecols=(0, 1, 2), skiprows=int(path.suffix == ".pts")), None


def _trimesh(path: Path) -> tuple[NDArray[Any], NDArray[Any] | None]:
    trimesh = pytest.importorskip("trimesh")
    found = trimesh.load(path, process=False, maintain_order=True)
    corners = np.asarray(found.triangles) if isinstance(found, trimesh.Trimesh) else None
    return np.asarray(found.vertices), corners


def _corner_sets(triangles: NDArray[Any]) -> Counter[frozenset[tuple[float, ...]]]:
    """Triangles whatever their order and the corner that they begin with."""
    return Counter(frozenset(map(tuple, corners)) for corners in triangles.astype(np.float32).tolist())


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_sample(path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    other = theirs(path)
    capfd.readouterr()
    scan: Scan | None = None
    try:
        scan = read_scan(path)
    except UserError as error:
        words = str(error)
        assert words.startswith("SCAN-0")
        assert other is None, f"{words}; but another reader finds {len(other[0])} points"
    printed = capfd.readouterr()
    assert printed.out == printed.err == ""
    if scan is None:
        return
    assert other is not None
    points, corners = other
    extent = float(np.ptp(points, axis=0).max()) or 1.0
    placed = scan.points.astype(np.float64) + scan.offset
    if corners is None:
        assert scan.is_cloud
        assert len(placed) == len(points)
        np.testing.assert_allclose(placed, points, atol=2e-7 * extent)
    else:
        assert _corner_sets(placed[scan.triangles]) == _corner_sets(corners)
