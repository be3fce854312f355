"""Meshes to a GLB file for looking (glTF 2.0, ISO/IEC 12113): the same meshes give the same bytes."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points
from hoopwright.papers.picture import Colour
from hoopwright.units import MM_PER_UNIT

_ROUGHNESS, _METALLIC = 0.55, 0.1
_OPAQUE = 255


@dataclass(frozen=True, kw_only=True, eq=False)
class LookMesh:
    """A mesh to look at.

    Args:
        name: Of its node.
        vertices_mm: Vehicle frame (forward, left, up), shape (n, 3).
        triangles: Shape (m, 3).
        colour: Red, green, blue, 0 to 255.
        material: Name of what is painted in that colour, such as a role.
        normals: Unit normals at the vertices, shape (n, 3); None leaves them to the viewer.
        opacity: 0 to 255.
    """

    name: str
    vertices_mm: Points
    triangles: NDArray[np.integer]
    colour: Colour
    material: str
    normals: Points | None = None
    opacity: int = _OPAQUE


def glb_bytes(meshes: Sequence[LookMesh], *, title: str, date: str, made_from: str = "") -> bytes:
    """Meshes as one GLB, a named node each, in metres with Y up and the car's front along +Z.

    Args:
        meshes: At least one.
        title: Of the scene.
        date: ISO 8601; the clock is never read.
        made_from: What the file was made from, kept with the scene.

    Raises:
        ValueError: Without meshes.
    """
    import trimesh

    if not meshes:
        msg = "a GLB file needs at least one mesh"
        raise ValueError(msg)
    told = {"title": title, "date": date, "made_from": made_from}
    scene = trimesh.Scene(metadata=told)
    for mesh in meshes:
        scene.add_geometry(_mesh(mesh), node_name=mesh.name, geom_name=mesh.name)
    written: bytes = scene.export(file_type="glb", include_normals=True)
    return written


def y_up(places: Points) -> Points:
    """Vehicle axes as glTF has them: left along X, up along Y, forward along Z. Source: ISO/IEC 12113, 3.4."""
    return np.asarray(places)[:, [1, 2, 0]]


def _mesh(mesh: LookMesh) -> Any:
    import trimesh
    from trimesh.visual import TextureVisuals
    from trimesh.visual.material import PBRMaterial

    material = PBRMaterial(
        name=mesh.material,
        baseColorFactor=[*(round(255.0 * _linear(value)) for value in mesh.colour), mesh.opacity],
        metallicFactor=_METALLIC,
        roughnessFactor=_ROUGHNESS,
        alphaMode="OPAQUE" if mesh.opacity == _OPAQUE else "BLEND",
        doubleSided=mesh.opacity != _OPAQUE,
    )
    return trimesh.Trimesh(
        vertices=y_up(mesh.vertices_mm) / MM_PER_UNIT["m"],
        faces=mesh.triangles,
        vertex_normals=None if mesh.normals is None else y_up(mesh.normals),
        visual=TextureVisuals(material=material),
        process=False,
    )


def _linear(value: int) -> float:
    """A screen's colour value as light, 0 to 1, which glTF takes. Source: IEC 61966-2-1, sRGB."""
    share = value / 255.0
    return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)
