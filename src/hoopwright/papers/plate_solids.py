"""Sheet metal as solids: each flat face with its thickness, corners sharp, faces that touch as one."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from hoopwright.geometry import Points, Vector
from hoopwright.papers.kernel import fused, is_valid, prism, require_kernel


@dataclass(frozen=True, kw_only=True, eq=False)
class PlateFace:
    """A flat face of a plate in the car.

    Args:
        outline_mm: Its corners without the first again, vehicle frame; shape (n, 3).
        through_mm: From that side to the other, shape (3,).
    """

    outline_mm: Points
    through_mm: Vector


def plate_solids(faces: Sequence[PlateFace]) -> tuple[Any, ...]:
    """The kernel's solids of a plate: one where its faces touch, else one for each face.

    Raises:
        UserError: `FILE-101` without the kernel.
        ValueError: For an outline that is not flat.
    """
    require_kernel()
    prisms = [prism(face.outline_mm, face.through_mm) for face in faces]
    whole = fused(prisms)
    return whole if len(whole) == 1 and is_valid(whole[0]) else tuple(prisms)
