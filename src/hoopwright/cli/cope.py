"""`hoopwright cope`: the end of a branch that drops on its header."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli.cope_text import cope_text
from hoopwright.cli.output import AsJson, show, stopping_on_findings
from hoopwright.cli.paper_options import day_of, paper_of, unit_of
from hoopwright.cli.typed import maybe, one_of
from hoopwright.units import LengthUnit, parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.copes import CopeResult
    from hoopwright.jobs.made_pdf import DrawnFiles
    from hoopwright.joints.cope import CutKind

_CUTS: tuple["CutKind", ...] = ("outside", "square", "radial")


def cope(
    header_od: Annotated[str, typer.Option(help="Outside diameter of the tube that runs through.")],
    branch_od: Annotated[str, typer.Option(help="Outside diameter of the tube that is cut.")],
    angle: Annotated[str, typer.Option(help="Between the two tubes, degrees; 90 is square.")],
    offset: Annotated[
        str, typer.Option(help="How far the axes pass each other; positive toward the side at 90°.")
    ] = "0",
    wall: Annotated[
        str | None, typer.Option(help="Wall of the branch, cut straight in; without it the outside counts.")
    ] = None,
    points: Annotated[int, typer.Option(help="How many points round the branch.")] = 360,
    cut: Annotated[
        str | None, typer.Option(help="With --wall: 'square' (straight in, nothing stands in) or 'radial'.")
    ] = None,
    saw: Annotated[
        list[str] | None, typer.Option(help="A hole saw that you have; again for each. The best is shown.")
    ] = None,
    paper: Annotated[
        Path | None, typer.Option(help="Write the wrap at full size (PDF) to this file.")
    ] = None,
    dxf: Annotated[Path | None, typer.Option(help="Write the wrap for cutting (DXF) to this file.")] = None,
    paper_size: Annotated[str, typer.Option(help="With --paper: A4 or letter.")] = "A4",
    paper_thickness: Annotated[
        str, typer.Option(help="With --paper or --dxf: thickness of what goes round the tube.")
    ] = "0",
    unit: Annotated[str, typer.Option(help="mm or in: what is printed, here and on paper.")] = "mm",
    date: Annotated[
        str | None, typer.Option(help="With --paper or --dxf: day of making, ISO 8601; today without.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Profile, depth, hole-saw set-up, two straight saw cuts and wrap of a branch on a straight header."""
    if paper is None and dxf is None and (paper_size, paper_thickness, date) != ("A4", "0", None):
        raise typer.BadParameter(
            "--paper-size, --paper-thickness and --date go with --paper or --dxf",
            param_hint="--paper",
        )
    from hoopwright.jobs import copes

    with stopping_on_findings(as_json):
        shown = unit_of(unit)
        made = copes.cope(
            header_od_mm=parse_length_mm(header_od),
            branch_od_mm=parse_length_mm(branch_od),
            angle_deg=parse_angle_deg(angle),
            offset_mm=parse_length_mm(offset),
            wall_mm=maybe(parse_length_mm, wall),
            points=points,
            cut=None if cut is None else one_of(cut, _CUTS, "how the wall is cut"),
            saws_mm=[parse_length_mm(text) for text in saw or []],
        )
        written = _written(
            made, paper, dxf, size=paper_size, thickness=paper_thickness, unit=shown, date=date
        )
        files, found = ((), ()) if written is None else (written.files, written.findings)
        text = "\n".join([cope_text(made, shown), *(f"written: {file}" for file in files)])
        show(
            as_json,
            lambda: {**copes.cope_keys(made), "files": list(files)},
            text,
            (*made.findings, *found),
        )


def _written(
    made: "CopeResult",
    paper: Path | None,
    dxf: Path | None,
    *,
    size: str,
    thickness: str,
    unit: LengthUnit,
    date: str | None,
) -> "DrawnFiles | None":
    if paper is None and dxf is None:
        return None
    from hoopwright.jobs.cope_papers import CopePaperWishes, write_cope_papers

    wishes = CopePaperWishes(
        date=day_of(date),
        paper_file=paper,
        dxf_file=dxf,
        paper=paper_of(size),
        unit=unit,
        paper_thickness_mm=parse_length_mm(thickness),
    )
    return write_cope_papers(made, wishes)
