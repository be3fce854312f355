"""`hoopwright cope`: the end of a branch that drops on its header."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from hoopwright.cli.output import AsJson, show, stopping_on_findings, table_text
from hoopwright.cli.typed import day, maybe, one_of, today
from hoopwright.units import parse_angle_deg, parse_length_mm

if TYPE_CHECKING:
    from hoopwright.jobs.copes import CopeResult
    from hoopwright.joints.cope import CutKind, HoleSaw, SawCut

_SQUARE_WITHIN_DEG = 0.05
_SHOWN_MM = 0.005
_CUTS: tuple["CutKind", ...] = ("outside", "square", "radial")
_CUT_WORDS = {
    "outside": "the outside",
    "square": "a wall cut straight in",
    "radial": "a wall cut straight in to the inside's line; bevel the outside round the heel",
}


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
    unit: Annotated[str, typer.Option(help="With --paper: mm or in.")] = "mm",
    date: Annotated[
        str | None, typer.Option(help="With --paper or --dxf: day of making, ISO 8601; today without.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Profile, depth, hole-saw set-up, two straight saw cuts and wrap of a branch on a straight header."""
    if paper is None and dxf is None and (paper_size, paper_thickness, unit, date) != ("A4", "0", "mm", None):
        raise typer.BadParameter(
            "--paper-size, --paper-thickness, --unit and --date go with --paper or --dxf",
            param_hint="--paper",
        )
    from hoopwright.jobs import copes

    with stopping_on_findings(as_json):
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
        written = _written(made, paper, dxf, size=paper_size, thickness=paper_thickness, unit=unit, date=date)
        text = "\n".join([_text(made), *(f"written: {file}" for file in written)])
        show(
            as_json, lambda: {**copes.cope_keys(made), "files": list(map(str, written))}, text, made.findings
        )


def _written(
    made: "CopeResult",
    paper: Path | None,
    dxf: Path | None,
    *,
    size: str,
    thickness: str,
    unit: str,
    date: str | None,
) -> tuple[Path, ...]:
    if paper is None and dxf is None:
        return ()
    from hoopwright.jobs.cope_papers import CopePaperWishes, write_cope_papers

    wishes = CopePaperWishes(
        date=today() if date is None else day(date),
        paper_file=paper,
        dxf_file=dxf,
        paper=one_of(size, ("A4", "letter"), "a paper"),
        unit="in" if one_of(unit, ("mm", "in"), "a unit") == "in" else "mm",
        paper_thickness_mm=parse_length_mm(thickness),
    )
    return write_cope_papers(made, wishes)


def _text(made: "CopeResult") -> str:
    profile = made.profile
    heads = ["from heel °", "round mm", "along mm"]
    rows = [
        [f"{row.around_deg:g}", f"{row.round_mm:.1f}", "-" if row.along_mm is None else f"{row.along_mm:.2f}"]
        for row in made.rows
    ]
    return "\n".join(
        [
            _heading(made),
            table_text(heads, rows),
            f"depth {profile.depth_mm:.2f} mm, for {_CUT_WORDS[profile.cut]}; wrap {made.wrap_width_mm:.1f} mm wide",
            f"along the branch, from where the axes cross (or are nearest); 0° is {_zero(profile.angle_deg)};",
            "degrees run clockwise, looking from the header along the branch",
            "",
            *_hole_saw_lines(made.hole_saw),
            "",
            *_saw_lines(made),
        ]
    )


def _heading(made: "CopeResult") -> str:
    wall_mm, offset_mm = made.branch.wall_mm, made.profile.meetings[0].offset_mm
    wall = "" if wall_mm is None else f" x {wall_mm:g}"
    off = "axes crossing" if abs(offset_mm) < _SHOWN_MM else f"offset {offset_mm:g} mm"
    sizes = f"branch {made.branch.od_mm:g}{wall} mm on header {made.header.od_mm:g} mm"
    return f"{sizes} at {made.profile.angle_deg:g}°, {off}"


def _zero(angle_deg: float) -> str:
    square = abs(angle_deg - 90.0) < _SQUARE_WITHIN_DEG
    return "one of the two sides that look along the header" if square else "the heel, the sharp side"


def _hole_saw_lines(saw: "HoleSaw") -> list[str]:
    if not saw.does_it:
        return [f"hole saw: no, {saw.why_not}"]
    toward_deg = 90 if saw.offset_mm > 0.0 else 270
    offset = f"offset {abs(saw.offset_mm):.1f} mm, the branch off toward its {toward_deg}° side"
    if abs(saw.offset_mm) < _SHOWN_MM:
        offset = "axes crossing"
    gap = "" if saw.gap_mm < 0.05 else f"; it leaves a gap of up to {saw.gap_mm:.1f} mm"
    set_up = f"{saw.from_square_deg:.1f}° from square, {offset}"
    return [
        f"hole saw: {saw.saw_mm:g} mm, {set_up},",
        f"  travel {saw.depth_mm:.1f} mm, its axis at {saw.along_mm:.1f} mm along the branch{gap}",
    ]


def _saw_lines(made: "CopeResult") -> list[str]:
    if made.saw_cuts is None:
        return ["two straight saw cuts: no, part of the end is not cut"]
    left = made.saw_cuts.left_on_mm
    return [
        "two straight saw cuts that take nothing too much:",
        *(_saw_line(cut) for cut in made.saw_cuts.cuts),
        "  they leave nothing to file off"
        if left < 0.05
        else f"  they leave up to {left:.1f} mm to file off",
    ]


def _saw_line(cut: "SawCut") -> str:
    if cut.from_square_deg < _SQUARE_WITHIN_DEG:
        return f"  square across at {cut.sides_mm:.1f} mm"
    return (
        f"  {cut.from_square_deg:.1f}° from square: {cut.deepest_mm:.1f} mm at {cut.clock_deg:.0f}° from the heel, "
        f"{cut.sides_mm:.1f} mm at 90° to either side"
    )
