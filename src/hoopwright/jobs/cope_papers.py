"""The wrap of a cope calculated by itself, on paper and as a file for cutting."""

import math
from dataclasses import dataclass
from pathlib import Path

from hoopwright.jobs.copes import CopeResult
from hoopwright.joints import Wrap
from hoopwright.papers import A4, LETTER, cope_pages, pdf_bytes, wrap_dxf
from hoopwright.store.writing import write_whole
from hoopwright.units import LengthUnit

CROSSING = "where the axes cross"
_CLEAR_MM = 45.0
_ROUND_MM = 10.0


@dataclass(frozen=True, kw_only=True)
class CopePaperWishes:
    """Which files of a cope are wanted, and how.

    Args:
        date: Day of making, ISO 8601.
        paper_file: Where the PDF goes; none without.
        dxf_file: Where the DXF goes; none without.
        paper: `A4` or `letter`.
        unit: Unit of the figures on paper.
        paper_thickness_mm: Of what is wrapped round the tube.
    """

    date: str
    paper_file: Path | None = None
    dxf_file: Path | None = None
    paper: str = "A4"
    unit: LengthUnit = "mm"
    paper_thickness_mm: float = 0.0


def write_cope_papers(made: CopeResult, wishes: CopePaperWishes) -> tuple[Path, ...]:
    """Write the wrap as PDF, as DXF or both; all are made before the first is written.

    Raises:
        UserError: `PAPER-102` for numbers that no template can be made of, `STORE-002` when a file cannot be written.
    """
    wrap = cope_wrap(made)
    thick = wishes.paper_thickness_mm
    files: dict[Path, bytes] = {}
    if wishes.paper_file is not None:
        size = LETTER if wishes.paper == "letter" else A4
        title = f"cope {made.branch.od_mm:g} on {made.header.od_mm:g} at {made.profile.angle_deg:g}°"
        pages = cope_pages(
            wrap,
            [(row.around_deg, row.along_mm) for row in made.rows],
            size,
            project=title,
            date=wishes.date,
            unit=wishes.unit,
            paper_thickness_mm=thick,
        )
        files[wishes.paper_file] = pdf_bytes(pages, title=title, date=wishes.date)
    if wishes.dxf_file is not None:
        files[wishes.dxf_file] = wrap_dxf(wrap, wishes.date, paper_thickness_mm=thick)
    for path, content in files.items():
        write_whole(path, content)
    return tuple(files)


def cope_wrap(made: CopeResult) -> Wrap:
    """The cope as a wrap: its datum line is the heel, its travel runs from the header along the branch."""
    profile = made.whole
    reference_mm = _ROUND_MM * math.ceil((profile.throat_mm + _CLEAR_MM) / _ROUND_MM)
    return Wrap(
        bar_id=f"branch {made.branch.od_mm:g}",
        end="A",
        headers=(f"header {made.header.od_mm:g} at {profile.angle_deg:g}°",),
        od_mm=made.branch.od_mm,
        around_deg=profile.around_deg,
        cut_mm=reference_mm - profile.along_mm,
        bridge_mm=reference_mm - profile.bridged_mm,
        corners=tuple((around, reference_mm - along) for around, along in profile.corners),
        reference_mm=reference_mm,
        heel_deg=0.0,
        datum="the heel, the sharp side",
        measured_from=CROSSING,
    )
