"""A cope by its numbers as a person reads it, in mm or in inches."""

from typing import TYPE_CHECKING

from hoopwright.cli.output import table_text
from hoopwright.units import MM_PER_INCH, LengthUnit

if TYPE_CHECKING:
    from hoopwright.jobs.copes import CopeResult
    from hoopwright.joints.cope import HoleSaw, SawCut

_SHOWN_MM = 0.005
_FLAT_DEG = 0.05
_CUT_WORDS = {
    "outside": "the outside",
    "square": "a wall cut straight in",
    "radial": "a wall cut straight in to the inside's line; bevel the outside round the heel",
}


def cope_text(made: "CopeResult", unit: LengthUnit) -> str:
    """Columns, depth, hole saw and straight saw cuts of a cope."""
    profile = made.profile
    heads = ["from 0 side °" if made.is_square else "from heel °", f"round {unit}", f"along {unit}"]
    rows = [
        [
            f"{row.around_deg:g}",
            _figure(row.round_mm, unit, 1),
            "-" if row.along_mm is None else _figure(row.along_mm, unit, 2),
        ]
        for row in made.rows
    ]
    depth, wide = _length(profile.depth_mm, unit, 2), _length(made.wrap_width_mm, unit, 1)
    return "\n".join(
        [
            _heading(made, unit),
            table_text(heads, rows),
            f"depth {depth}, for {_CUT_WORDS[profile.cut]}; wrap {wide} wide",
            f"along the branch, from where the axes cross (or are nearest); 0° is {_zero(made)};",
            "degrees run clockwise, looking from the header along the branch",
            "",
            *_hole_saw_lines(made.hole_saw, unit),
            "",
            *_saw_lines(made, unit),
        ]
    )


def _figure(length_mm: float, unit: LengthUnit, decimals: int) -> str:
    """A length without its unit; in inches to a thousandth."""
    if unit == "mm":
        return f"{round(length_mm, decimals) + 0.0:.{decimals}f}"
    return f"{round(length_mm / MM_PER_INCH, 3) + 0.0:.3f}"


def _length(length_mm: float, unit: LengthUnit, decimals: int) -> str:
    return f"{_figure(length_mm, unit, decimals)} {unit}"


def _size(length_mm: float, unit: LengthUnit) -> str:
    """A size as it was typed, without its unit."""
    return f"{length_mm:g}" if unit == "mm" else f"{length_mm / MM_PER_INCH:.4g}"


def _heading(made: "CopeResult", unit: LengthUnit) -> str:
    wall_mm, offset_mm = made.branch.wall_mm, made.profile.meetings[0].offset_mm
    wall = "" if wall_mm is None else f" x {_size(wall_mm, unit)}"
    off = "axes crossing" if abs(offset_mm) < _SHOWN_MM else f"offset {_size(offset_mm, unit)} {unit}"
    branch, header = _size(made.branch.od_mm, unit), _size(made.header.od_mm, unit)
    return f"branch {branch}{wall} {unit} on header {header} {unit} at {made.profile.angle_deg:g}°, {off}"


def _zero(made: "CopeResult") -> str:
    return "one of the two sides that look along the header" if made.is_square else "the heel, the sharp side"


def _hole_saw_lines(saw: "HoleSaw", unit: LengthUnit) -> list[str]:
    if not saw.does_it:
        return [f"hole saw: no, {saw.why_not}"]
    toward_deg = 90 if saw.offset_mm > 0.0 else 270
    offset = f"offset {_length(abs(saw.offset_mm), unit, 1)}, the branch off toward its {toward_deg}° side"
    if abs(saw.offset_mm) < _SHOWN_MM:
        offset = "axes crossing"
    gap = "" if saw.gap_mm < 0.05 else f"; it leaves a gap of up to {_length(saw.gap_mm, unit, 1)}"
    set_up = f"{saw.from_square_deg:.1f}° from square, {offset}"
    return [
        f"hole saw: {_size(saw.saw_mm, unit)} {unit}, {set_up},",
        f"  travel {_length(saw.depth_mm, unit, 1)}, its axis at {_length(saw.along_mm, unit, 1)} along the branch"
        f"{gap}",
    ]


def _saw_lines(made: "CopeResult", unit: LengthUnit) -> list[str]:
    if made.saw_cuts is None:
        return ["two straight saw cuts: no, part of the end is not cut"]
    left = made.saw_cuts.left_on_mm
    zero = "the 0° side" if made.is_square else "the heel"
    return [
        "two straight saw cuts that take nothing too much:",
        *(_saw_line(cut, zero, unit) for cut in made.saw_cuts.cuts),
        "  they leave nothing to file off"
        if left < 0.05
        else f"  they leave up to {_length(left, unit, 1)} to file off",
    ]


def _saw_line(cut: "SawCut", zero: str, unit: LengthUnit) -> str:
    if cut.from_square_deg < _FLAT_DEG:
        return f"  square across at {_length(cut.sides_mm, unit, 1)}"
    clock_deg = round(cut.clock_deg) % 360
    at = f"at {clock_deg}° from {zero}" if clock_deg else f"at {zero}"
    return (
        f"  {cut.from_square_deg:.1f}° from square: {_length(cut.deepest_mm, unit, 1)} {at}, "
        f"{_length(cut.sides_mm, unit, 1)} at 90° to either side"
    )
