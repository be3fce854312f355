"""The wrap of a cope calculated by itself, on paper and as a file for cutting."""

import math
from dataclasses import dataclass
from pathlib import Path

from hoopwright.findings import Finding
from hoopwright.jobs.copes import CopeResult
from hoopwright.jobs.made_pdf import DrawnFiles, pdf_of
from hoopwright.joints import Wrap
from hoopwright.papers import A4, LETTER, cope_pages, wrap_dxf
from hoopwright.store.writing import write_whole
from hoopwright.units import MM_PER_INCH, LengthUnit

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


def write_cope_papers(made: CopeResult, wishes: CopePaperWishes) -> DrawnFiles:
    """Write the wrap as PDF, as DXF or both; all are made before the first is written.

    Raises:
        UserError: `PAPER-102` for numbers that no template can be made of, `STORE-002` when a file cannot be written.
    """
    wrap = cope_wrap(made, wishes.unit)
    thick = wishes.paper_thickness_mm
    files: dict[Path, bytes] = {}
    found: tuple[Finding, ...] = ()
    if wishes.paper_file is not None:
        size = LETTER if wishes.paper == "letter" else A4
        sizes = [_size(od_mm, wishes.unit) for od_mm in (made.branch.od_mm, made.header.od_mm)]
        title = f"cope {sizes[0]} on {sizes[1]} at {made.profile.angle_deg:g}°"
        pages = cope_pages(
            wrap,
            [(row.around_deg, row.along_mm) for row in made.rows],
            size,
            project=title,
            date=wishes.date,
            unit=wishes.unit,
            paper_thickness_mm=thick,
        )
        drawn = pdf_of(pages, title=title, date=wishes.date)
        files[wishes.paper_file], found = drawn.content, drawn.findings
    if wishes.dxf_file is not None:
        files[wishes.dxf_file] = wrap_dxf(wrap, wishes.date, paper_thickness_mm=thick)
    for path, content in files.items():
        write_whole(path, content)
    return DrawnFiles(files=tuple(map(str, files)), findings=found)


def cope_wrap(made: CopeResult, unit: LengthUnit = "mm") -> Wrap:
    """The cope as a wrap: its datum line is the heel, its travel runs from the header along the branch.

    Args:
        made: The cope.
        unit: Unit in which branch and header are called, and of the round figure at which the reference line lies.
    """
    profile = made.whole
    round_mm = _ROUND_MM if unit == "mm" else MM_PER_INCH / 2.0
    reference_mm = round_mm * math.ceil((profile.throat_mm + _CLEAR_MM) / round_mm)
    return Wrap(
        bar_id=f"branch {_size(made.branch.od_mm, unit)}",
        end="A",
        headers=(f"header {_size(made.header.od_mm, unit)} at {profile.angle_deg:g}°",),
        od_mm=made.branch.od_mm,
        around_deg=profile.around_deg,
        cut_mm=reference_mm - profile.along_mm,
        bridge_mm=reference_mm - profile.bridged_mm,
        corners=tuple((around, reference_mm - along) for around, along in profile.corners),
        reference_mm=reference_mm,
        heel_deg=None if made.is_square else 0.0,
        datum="one of the two sides that look along the header"
        if made.is_square
        else "the heel, the sharp side",
        measured_from=CROSSING,
    )


def _size(od_mm: float, unit: LengthUnit) -> str:
    return f"{od_mm:g}" if unit == "mm" else f'{od_mm / MM_PER_INCH:.4g}"'
