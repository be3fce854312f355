"""Flat parts at full size."""

import math
from collections.abc import Sequence

import numpy as np

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.joints import FlatPart
from hoopwright.papers.drawing import A4, Page, PaperSize
from hoopwright.papers.flat_part_block import LEGEND, block_height_mm, block_width_mm, flat_part_block
from hoopwright.papers.template_pages import Block, laid_out, numbered
from hoopwright.units import LengthUnit, shown

_LARGEST_MM = 5000.0


def flat_part_pages(
    parts: Sequence[FlatPart], size: PaperSize = A4, *, project: str, date: str, unit: LengthUnit = "mm"
) -> tuple[Page, ...]:
    """Flat parts at 1:1, several to a page where they fit; a larger one goes over several pages after a map of them.

    Args:
        parts: As they are cut; the printed face is the one toward which a positive fold goes up.
        size: A4 or letter.
        project: Name of the project.
        date: Day of issue, ISO 8601.
        unit: Unit of the dimensions.

    Raises:
        UserError: `PAPER-103` for a part that cannot be drawn.
    """
    for part in parts:
        check_flat_part(part)
    sheets = laid_out([_block(part, unit) for part in parts], size, "flat part", unit)
    return numbered(sheets, project, date, LEGEND)


def _block(part: FlatPart, unit: LengthUnit) -> Block:
    return Block(
        name=part.name,
        heading=part.name,
        width_mm=block_width_mm(part),
        height_mm=block_height_mm(part, unit),
        draw=lambda corner_mm: flat_part_block(part, corner_mm, unit),
    )


def check_flat_part(part: FlatPart) -> None:
    """Stop at a part that cannot be drawn or cut.

    Raises:
        UserError: `PAPER-103`.
    """
    outline = np.asarray(part.outline_mm, dtype=np.float64)
    numbers = [part.thickness_mm]
    for hole in part.holes:
        numbers += [*hole.centre_mm, hole.diameter_mm]
    for fold in part.folds:
        numbers += [*fold.start_mm, *fold.end_mm, fold.angle_deg, fold.inside_radius_mm, fold.allowance_mm]
    shaped = outline.ndim == 2 and outline.shape[1:] == (2,) and len(outline) >= 3
    finite = shaped and bool(np.isfinite(outline).all()) and all(map(math.isfinite, numbers))
    span = float(np.ptp(outline, axis=0).max()) if finite else 0.0
    faults = (
        (not shaped, "its outline has fewer than three points"),
        (shaped and not finite, "one of its numbers is none"),
        (
            finite and span > _LARGEST_MM,
            f"it is {shown(span, 0)} mm long, and the limit is {shown(_LARGEST_MM, 0)} mm",
        ),
        (finite and part.outline_area_mm2 < 1.0, "its outline encloses nothing, or runs clockwise"),
        (finite and any(hole.diameter_mm <= 0.0 for hole in part.holes), "a hole has no diameter"),
        (finite and any(fold.start_mm == fold.end_mm for fold in part.folds), "a fold has no length"),
    )
    for wrong, words in faults:
        if wrong:
            raise UserError(
                Finding(
                    code="PAPER-103",
                    severity=Severity.STOP,
                    sentence=f"The flat part '{part.name}' cannot be drawn: {words}.",
                    todo="Correct what it is made from, and check the unit; nothing was written.",
                    objects=(part.name,),
                )
            )
