"""A light mesh for drawing. Nothing is ever measured on it."""

import zipfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Transform
from hoopwright.shell.scan import Scan

DRAWN_TRIANGLES = 300_000
_CLUSTER_ABOVE = 1_500_000


@dataclass(frozen=True, eq=False, kw_only=True)
class DisplayMesh:
    """Points and triangles to draw, in the scan's frame.

    Args:
        points_mm: Shape (n, 3).
        triangles: Shape (m, 3); m is 0 for a cloud.
    """

    points_mm: NDArray[np.float32]
    triangles: NDArray[np.int32]


def make_display_mesh(scan: Scan, factor: float, *, wanted: int = DRAWN_TRIANGLES) -> DisplayMesh:
    """Thin a scan for drawing.

    Args:
        scan: The scan.
        factor: mm per unit of the scan.
        wanted: How many triangles, or points of a cloud, at most.
    """
    if scan.is_cloud:
        step = max(1, len(scan.points) // wanted)
        return DisplayMesh(points_mm=scan.points[::step] * np.float32(factor), triangles=scan.triangles)
    points, triangles = scan.points * np.float32(factor), scan.triangles
    if len(triangles) > _CLUSTER_ABOVE:
        # the simplifier's memory grows with its input: merge close corners first
        points, triangles = _clustered(points, triangles, _cell_for(points, triangles))
    if len(triangles) > wanted:
        import fast_simplification

        points, triangles = fast_simplification.simplify(
            points, triangles, target_reduction=1.0 - wanted / len(triangles), agg=8.0
        )
    return DisplayMesh(
        points_mm=np.ascontiguousarray(points, dtype=np.float32),
        triangles=np.ascontiguousarray(triangles, dtype=np.int32),
    )


def lighter(mesh: DisplayMesh, wanted: int) -> DisplayMesh:
    """About `wanted` triangles of a mesh, made in an instant by merging close corners; a cloud's points likewise."""
    if not len(mesh.triangles):
        return DisplayMesh(
            points_mm=mesh.points_mm[:: max(1, len(mesh.points_mm) // wanted)], triangles=mesh.triangles
        )
    if len(mesh.triangles) <= wanted:
        return mesh
    points, triangles = _clustered(
        mesh.points_mm, mesh.triangles, _cell_for(mesh.points_mm, mesh.triangles, wanted // 2)
    )
    return DisplayMesh(points_mm=points, triangles=triangles)


def ply_bytes(mesh: DisplayMesh, to_vehicle: Transform) -> bytes:
    """The mesh in vehicle axes (forward, left, up), mm, as binary PLY that any viewer opens."""
    points = to_vehicle.points(mesh.points_mm).astype("<f4")
    faces = np.empty(len(mesh.triangles), dtype=[("count", "u1"), ("corners", "<i4", (3,))])
    faces["count"], faces["corners"] = 3, mesh.triangles
    head = (
        "ply\nformat binary_little_endian 1.0\ncomment forward, left, up in mm\n"
        f"element vertex {len(points)}\nproperty float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    )
    return head.encode() + points.tobytes() + faces.tobytes()


def save_display(mesh: DisplayMesh, path: Path) -> None:
    """Keep a display mesh; a disk that is full costs the cache, never the job."""
    part = path.with_suffix(".part.npz")
    try:
        np.savez(part, points_mm=mesh.points_mm, triangles=mesh.triangles)
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)


def load_display(path: Path) -> DisplayMesh | None:
    """A kept display mesh, or None when it is not there or not whole."""
    try:
        with np.load(path) as kept:
            return DisplayMesh(points_mm=kept["points_mm"], triangles=kept["triangles"])
    except (OSError, ValueError, KeyError, zipfile.BadZipFile):
        return None


def _cell_for(points: NDArray[np.float32], triangles: NDArray[np.int32], cells: int = 500_000) -> float:
    """Cell size that leaves about twice `cells` triangles of the mesh's area."""
    some = triangles[:: max(1, len(triangles) // 100_000)]
    a, b, c = (points[some[:, k]].astype(np.float64) for k in range(3))
    mean_area = float(np.linalg.norm(np.cross(b - a, c - a), axis=1).mean()) / 2.0
    return float(np.sqrt(mean_area * len(triangles) / cells))


def _clustered(
    points: NDArray[np.float32], triangles: NDArray[np.int32], cell_mm: float
) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
    """One point per cell; triangles that fall together are dropped."""
    cell = np.floor((points - points.min(axis=0)) / np.float32(cell_mm)).astype(np.int64)
    shape = cell.max(axis=0) + 1
    key = (cell[:, 0] * shape[1] + cell[:, 1]) * shape[2] + cell[:, 2]
    _, first, number = np.unique(key, return_index=True, return_inverse=True)
    moved = number.astype(np.int32)[triangles]
    real = (moved[:, 0] != moved[:, 1]) & (moved[:, 1] != moved[:, 2]) & (moved[:, 2] != moved[:, 0])
    return points[first], moved[real]
