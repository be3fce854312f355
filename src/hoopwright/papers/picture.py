"""A shaded picture of the shell and the bars in it."""

import io
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from hoopwright.geometry import Points, Vector, unit_vector
from hoopwright.papers.depth_paint import paint_triangles

Colour = tuple[int, int, int]
CutAway = Literal["", "left", "right", "front", "rear", "top"]

# Told apart by every kind of colour sight. Source: Okabe and Ito, Color Universal Design, 2008.
BAR_COLOURS: tuple[Colour, ...] = (
    (230, 159, 0),
    (0, 114, 178),
    (0, 158, 115),
    (204, 121, 167),
    (86, 180, 233),
    (213, 94, 0),
    (240, 228, 66),
    (70, 70, 70),
)
SHELL_COLOUR: Colour = (184, 193, 198)
GROUND_COLOUR: Colour = (247, 245, 240)
_LIGHT = (0.25, -0.55, 0.80)
_DARKEST, _LIT, _HEAD_ON = 0.50, 0.30, 0.26
_OVERSAMPLED = 2
_MARGIN = 0.04
# (axis in forward, left, up; sign of the half that is left out)
_CUTS: dict[CutAway, tuple[int, float]] = {
    "left": (1, 1.0),
    "right": (1, -1.0),
    "front": (0, 1.0),
    "rear": (0, -1.0),
    "top": (2, 1.0),
}


@dataclass(frozen=True, eq=False, kw_only=True)
class PaintedMesh:
    """Triangles of one colour.

    Args:
        vertices_mm: Vehicle frame, shape (n, 3).
        triangles: Indices, shape (m, 3).
        colour: Red, green, blue, 0 to 255.
    """

    vertices_mm: Points
    triangles: NDArray[np.integer]
    colour: Colour

    @property
    def corners(self) -> NDArray[np.float64]:
        """Corners of each triangle, shape (m, 3, 3)."""
        taken: NDArray[np.float64] = np.asarray(self.vertices_mm, dtype=np.float64)[self.triangles]
        return taken


@dataclass(frozen=True, eq=False, kw_only=True)
class Scene:
    """What is in the picture, and from where it is seen.

    Args:
        shell: Display mesh of the shell, or None. Its winding does not matter.
        bars: Skins of the bars.
        looking: Where the viewer looks, vehicle frame (forward, left, up); not straight up or down.
        cut_away: Half of the shell that is left out: the one on that side of its middle.
    """

    shell: PaintedMesh | None
    bars: tuple[PaintedMesh, ...]
    looking: tuple[float, float, float] = (-0.72, -0.58, -0.38)
    cut_away: CutAway = ""


def picture_png(scene: Scene, *, width_px: int = 1600, height_px: int = 1000) -> bytes:
    """The scene as a PNG, seen without perspective; the same scene gives the same bytes.

    Raises:
        ValueError: For a view straight up or down.
    """
    image = np.empty((height_px * _OVERSAMPLED, width_px * _OVERSAMPLED, 3), dtype=np.uint8)
    image[:] = GROUND_COLOUR
    looking = unit_vector(scene.looking)
    across = unit_vector(np.cross(looking, (0.0, 0.0, 1.0)))
    meshes = ([scene.shell] if scene.shell is not None else []) + list(scene.bars)
    if any(len(mesh.triangles) for mesh in meshes):
        corners = np.concatenate([mesh.corners for mesh in meshes])
        colours = np.concatenate([_shaded(mesh, looking) for mesh in meshes])
        past_cut = _past_cut(scene, len(corners))
        flat = np.stack([corners @ across, -(corners @ np.cross(across, looking))], axis=-1)
        dots = _dots(flat, past_cut <= 0.0, image.shape[1::-1])
        paint_triangles(dots, corners @ looking, past_cut, colours, image)
    out = io.BytesIO()
    small = Image.fromarray(image).resize((width_px, height_px), Image.Resampling.BOX)
    small.save(out, "PNG")
    return out.getvalue()


def _past_cut(scene: Scene, count: int) -> NDArray[np.float64]:
    """How far each corner lies past the cutting plane, shape (count, 3); bars are never cut."""
    past = np.full((count, 3), -1.0)
    if scene.shell is not None and scene.cut_away and len(scene.shell.triangles):
        axis, sign = _CUTS[scene.cut_away]
        along = scene.shell.corners[..., axis]
        past[: len(along)] = sign * (along - (along.min() + along.max()) / 2.0)
    return past


def _shaded(mesh: PaintedMesh, looking: Vector) -> NDArray[np.uint8]:
    """Flat colour of each triangle, shape (m, 3); both sides alike, since scans have no sure outside."""
    corners = mesh.corners
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    length = np.linalg.norm(normals, axis=1, keepdims=True)
    normals = np.divide(normals, length, out=np.zeros_like(normals), where=length > 0.0)
    toward = np.where((normals @ looking > 0.0)[:, None], -normals, normals)
    lit = np.clip(toward @ unit_vector(_LIGHT), 0.0, 1.0)
    share = _DARKEST + _LIT * lit + _HEAD_ON * np.abs(normals @ looking)
    shaded: NDArray[np.uint8] = np.clip(np.array(mesh.colour) * share[:, None], 0, 255).astype(np.uint8)
    return shaded


def _dots(
    flat: NDArray[np.float64], kept: NDArray[np.bool_], size_px: tuple[int, ...]
) -> NDArray[np.float64]:
    """Corners in pixels, what is kept of the scene as large as it goes within the margin, shape (m, 3, 2)."""
    low, high = flat[kept].min(axis=0), flat[kept].max(axis=0)
    size = np.array(size_px, dtype=np.float64)
    scale = float((size * (1.0 - 2.0 * _MARGIN) / np.maximum(high - low, 1e-9)).min())
    dots: NDArray[np.float64] = (flat - (low + high) / 2.0) * scale + size / 2.0
    return dots
