"""GLB (binary glTF 2.0), through trimesh. The standard states metres."""

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.progress import Progress
from hoopwright.shell.readers.gathering import as_scan, localise
from hoopwright.shell.readers.glb_check import check_glb
from hoopwright.shell.readers.refusals import library_guard, nothing_in_it
from hoopwright.shell.scan import Scan


def read_glb(path: Path, progress: Progress) -> Scan:
    """Read the triangles and points of a GLB file with the transforms of its nodes.

    Raises:
        UserError: `SCAN-002` for packed files, `SCAN-003` to `SCAN-006` and `SCAN-009`.
    """
    data = path.read_bytes()
    with library_guard(path, "trimesh"):
        check_glb(path, data)
        progress("reading triangles", 0.0)
        parts = list(_parts(data))
    if not parts:
        raise nothing_in_it(path)
    points, offset = localise([part for part, _ in parts])
    starts = np.cumsum([0, *(len(part) for part, _ in parts)])
    meshes = [faces + start for (_, faces), start in zip(parts, starts, strict=False) if len(faces)]
    triangles = np.concatenate(meshes) if meshes else None
    return as_scan(path, points, offset, triangles, declared=("m", "the glTF 2.0 standard"))


def _parts(data: bytes) -> Iterator[tuple[NDArray[np.float64], NDArray[np.int64]]]:
    """Points and triangles of each node, in the frame of the scene."""
    import trimesh

    scene = trimesh.load_scene(io.BytesIO(data), file_type="glb", process=False, skip_materials=True)
    for node in scene.graph.nodes_geometry:
        transform, name = scene.graph[node]
        geometry: Any = scene.geometry[name]
        if not isinstance(geometry, trimesh.Trimesh | trimesh.PointCloud):
            continue
        points = np.asarray(geometry.vertices, dtype=np.float64)
        faces = np.empty((0, 3), dtype=np.int64)
        if isinstance(geometry, trimesh.Trimesh):
            faces = np.asarray(geometry.faces, dtype=np.int64)
        if len(points):
            with np.errstate(all="ignore"):
                yield points @ transform[:3, :3].T + transform[:3, 3], faces
