"""The demo scan: the car with everything that real scans have, in the pose in which it was scanned."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.democar.body import scan_sheets
from hoopwright.democar.car import DemoCar, as_it_stands
from hoopwright.democar.defects import (
    DOUBLED_SHARE,
    FLIPPED_SHARE,
    Hole,
    draw_holes,
    draw_waves,
    loose_pieces,
    noise_across,
    outside_holes,
    specks,
)
from hoopwright.democar.landmarks import Place, TrueDistance, true_distances, true_landmarks
from hoopwright.democar.sheets import Sheet, SheetMesh, mesh_sheet
from hoopwright.geometry import Points, Transform, rotation_about
from hoopwright.progress import Progress, silent

YAW_DEG, PITCH_DEG, ROLL_DEG = 17.0, 2.5, 4.0
SHIFT_MM = (2840.0, -1460.0, 930.0)
_OPEN_EVERY = 17
_SPECK_BOX_MM = ((-3600.0, -900.0, -170.0), (100.0, 900.0, 1250.0))
_LOOSE_BOXES_MM = (
    ((-3300.0, -500.0, -120.0), (-1200.0, 500.0, -60.0)),
    ((-650.0, -320.0, 250.0), (-200.0, 320.0, 480.0)),
)
_Streams = tuple[np.random.Generator, ...]


@dataclass(frozen=True, kw_only=True)
class ScanPiece:
    """Where one piece's triangles lie in the scan.

    Args:
        name: Name of the sheet, or `loose pieces`, `specks`, `doubled triangles`.
        first: Index of its first triangle.
        count: How many follow.
        of_car: False for what is no part of the car, and for triangles that are in the scan twice.
        flipped: Whether its winding is turned over.
    """

    name: str
    first: int
    count: int
    of_car: bool
    flipped: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class DemoScan:
    """A scan whose truth is known.

    Args:
        triangles: Triangle soup in the scan frame, mm, shape (n, 3, 3).
        pose: From vehicle to scan.
        landmarks: Name to true place (forward, left, up), mm, on the surface without noise.
        tape: True distances between landmarks.
        pieces: Which triangles belong to what.
        holes: What the scanner did not see, in vehicle axes.
    """

    triangles: NDArray[np.float32]
    pose: Transform
    landmarks: dict[str, Place]
    tape: tuple[TrueDistance, ...]
    pieces: tuple[ScanPiece, ...]
    holes: tuple[Hole, ...]


def scan_pose() -> Transform:
    """From vehicle to scan: turned about all three axes and metres away."""
    yaw = rotation_about((0.0, 0.0, 1.0), YAW_DEG)
    pitch = rotation_about((0.0, 1.0, 0.0), PITCH_DEG)
    roll = rotation_about((1.0, 0.0, 0.0), ROLL_DEG)
    return Transform(
        rotation=yaw @ pitch @ roll, shift_mm=np.array(SHIFT_MM), source="vehicle", target="scan"
    )


def build_demo_scan(car: DemoCar, progress: Progress = silent) -> DemoScan:
    """Build the scan; the same car gives the same bytes.

    Args:
        car: The car and how it was scanned.
        progress: Told how far it is.
    """
    sheets = scan_sheets()
    streams = tuple(np.random.Generator(np.random.PCG64([car.seed, key])) for key in range(6))
    progress("laying out the sheets", 0.0)
    meshes = [_standing(mesh_sheet(sheet, car.spacing_mm, streams[0]), car) for sheet in sheets]
    landmarks = true_landmarks(car)
    holes = _holes(sheets, meshes, car, np.array(list(landmarks.values())), streams[1])
    progress("adding what a scanner adds", 0.5)
    soups, pieces = _soups(sheets, meshes, car, holes, streams)
    _append_dirt(soups, pieces, car, np.array(list(landmarks.values())), streams)
    pose = scan_pose()
    progress("turning the car as it was scanned", 0.8)
    triangles = _posed(soups, pose)
    progress("turning the car as it was scanned", 1.0)
    return DemoScan(
        triangles=triangles,
        pose=pose,
        landmarks=landmarks,
        tape=true_distances(landmarks),
        pieces=tuple(pieces),
        holes=tuple(holes),
    )


def _standing(mesh: SheetMesh, car: DemoCar) -> SheetMesh:
    corners = as_it_stands(mesh.corners.reshape(-1, 3), car).reshape(mesh.corners.shape)
    return SheetMesh(corners=corners, triangles=mesh.triangles)


def _holes(
    sheets: Sequence[Sheet],
    meshes: Sequence[SheetMesh],
    car: DemoCar,
    keep_mm: Points,
    rng: np.random.Generator,
) -> list[Hole]:
    pairs = [pair for pair in zip(sheets, meshes, strict=True) if pair[0].of_car]
    seen = [mesh.corners.reshape(-1, 3)[::_OPEN_EVERY] for sheet, mesh in pairs if not sheet.hidden]
    hidden = [mesh.corners.reshape(-1, 3) for sheet, mesh in pairs if sheet.hidden]
    return draw_holes(car.hole_count, np.concatenate(seen), np.concatenate(hidden), keep_mm, rng)


def _soups(
    sheets: Sequence[Sheet],
    meshes: Sequence[SheetMesh],
    car: DemoCar,
    holes: Sequence[Hole],
    streams: _Streams,
) -> tuple[list[NDArray[np.float32]], list[ScanPiece]]:
    """Each sheet's triangles with noise, holes and winding, in vehicle axes."""
    waves = draw_waves(streams[2])
    flips = streams[3].random(len(sheets)) < FLIPPED_SHARE
    soups: list[NDArray[np.float32]] = []
    pieces: list[ScanPiece] = []
    first = 0
    for sheet, mesh, flip in zip(sheets, meshes, flips, strict=True):
        points = mesh.corners.reshape(-1, 3)
        triangles = outside_holes(points, mesh.triangles, holes)
        error = noise_across(points, waves, car.noise_mm, streams[4])
        noisy = (points + error[:, None] * mesh.normals.reshape(-1, 3)).astype(np.float32)
        soups.append(noisy[triangles[:, ::-1] if flip else triangles])
        pieces.append(
            ScanPiece(
                name=sheet.name, first=first, count=len(triangles), of_car=sheet.of_car, flipped=bool(flip)
            )
        )
        first += len(triangles)
    return soups, pieces


def _append_dirt(
    soups: list[NDArray[np.float32]],
    pieces: list[ScanPiece],
    car: DemoCar,
    keep_mm: Points,
    streams: _Streams,
) -> None:
    """Doubled triangles, loose pieces and specks, after the sheets."""
    rng, scale = streams[5], np.array(car.scale)
    doubled = [soup[rng.random(len(soup)) < DOUBLED_SHARE] for soup in soups]
    loose = [
        loose_pieces(np.array(low) * scale, np.array(high) * scale, car.spacing_mm, rng)
        for low, high in _LOOSE_BOXES_MM
    ]
    low, high = (np.array(corner) * scale for corner in _SPECK_BOX_MM)
    dirt = {
        "doubled triangles": np.concatenate(doubled),
        "loose pieces": np.concatenate(loose),
        "specks": specks(low, high, car.speck_count, keep_mm, rng),
    }
    for name, soup in dirt.items():
        first = pieces[-1].first + pieces[-1].count
        soups.append(soup)
        pieces.append(ScanPiece(name=name, first=first, count=len(soup), of_car=False))


def _posed(soups: list[NDArray[np.float32]], pose: Transform) -> NDArray[np.float32]:
    """All triangles in the scan frame; each soup is let go as soon as it is turned."""
    triangles = np.empty((sum(len(soup) for soup in soups), 3, 3), dtype=np.float32)
    first = 0
    while soups:
        soup = soups.pop(0)
        triangles[first : first + len(soup)] = pose.points(soup.reshape(-1, 3)).reshape(-1, 3, 3)
        first += len(soup)
    return triangles
