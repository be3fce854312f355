"""Joints as a person reads them and as JSON."""

import math
from typing import TYPE_CHECKING

from hoopwright.cli.output import table_text
from hoopwright.units import format_inches

if TYPE_CHECKING:
    from hoopwright.jobs.joints import JointsReport
    from hoopwright.joints.cope import HoleSaw, SawCut
    from hoopwright.joints.meet import BarCut, EndCut, MetHeader
    from hoopwright.joints.meet.hand_cut import HandCut

_SHOWN_DEG = 0.05
_SHOWN_MM = 0.05
_TABLE_STEP_DEG = 30
_BRANCH_CUT = {
    "outside": "the outside skin touches all round; file the inside edge back where it stands in",
    "square": "cut straight in through the wall; nothing stands into the header",
    "radial": "cut straight in to the inside's line; bevel the outside round the heel",
}


def list_text(made: "JointsReport") -> str:
    """One line for each joint in the order of the copes, and one for each bar."""
    if not made.cuts.ends:
        return "no end of the cage is coped: none lands on a bar that it meets"
    heads = ["joint", "cope", "also cut to", "angle °", "off mm", "depth mm", "heel °", "hole saw", "on"]
    rows = [_row(cut, made.by_hand[cut.name]) for cut in made.cuts.ends]
    bars = [
        [
            bar.bar_id,
            f"{bar.cut_mm:.1f}",
            f"{bar.tube.blank_mm:.1f}",
            *(_saw_off(bar, letter) for letter in ("A", "B")),
        ]
        for bar in made.cuts.bars
        if bar.ends
    ]
    return "\n".join(
        [
            table_text(heads, rows),
            "heel: where the sharp side lies, round the tube from its datum line, clockwise looking from A to B",
            "",
            table_text(["bar", "tip to tip mm", "tube mm", "saw off at A", "at B"], bars),
            "along the tube before it is bent; saw off: what is beyond the tip",
            *(f"not cut: {name}" for name in made.cuts.uncut),
            f"order of assembly: {', '.join(made.cuts.order)}",
        ]
    )


def _row(cut: "EndCut", hand: "HandCut") -> list[str]:
    saw = hand.one_saw
    return [
        cut.name,
        str(cut.number),
        ", ".join(header.bar_id for header in cut.headers[1:]),
        f"{cut.main.angle_deg:.1f}",
        f"{abs(cut.main.offset_mm):.1f}",
        f"{cut.depth_mm:.1f}",
        f"{cut.clocking.heel_deg:.1f}",
        "no" if saw is None else f"{saw.saw_mm:g}",
        "straight" if cut.main.bend is None else f"bend {cut.main.bend}",
    ]


def _saw_off(bar: "BarCut", letter: str) -> str:
    cut = next((one for one in bar.ends if one.end == letter), None)
    return "-" if cut is None else f"{cut.saw_off_mm:.1f}"


def card_text(made: "JointsReport", bar: "BarCut") -> str:
    """Both ends of one bar, with all that is marked, sawn and measured."""
    lines = [
        f"{bar.bar_id}: {bar.cut_mm:.1f} mm along the tube from tip to tip, of a tube of {bar.tube.blank_mm:.1f} mm",
        f"datum line: {bar.datum.words}",
        *_bend_lines(bar),
        "",
        "measure:",
        *(f"  {_length(length.value_mm)}  {length.words}" for length in bar.lengths),
    ]
    for cut in bar.ends:
        lines += ["", *_end_lines(cut, made.by_hand[cut.name], len(made.cuts.order))]
    return "\n".join(lines)


def _bend_lines(bar: "BarCut") -> list[str]:
    sides = [f"bend {side.bend} at {_plain(side.outside_deg)}°" for side in bar.datum.bends]
    return [f"  outside of {', '.join(sides)} from it, clockwise looking from A to B"] if sides else []


def _plain(value: float) -> str:
    """To one place, without a minus before nought."""
    return f"{round(value, 1) + 0.0:.1f}"


def _whole(around_deg: float) -> int:
    """Whole degrees once round."""
    return round(around_deg) % 360


def _length(length_mm: float) -> str:
    return f"{length_mm:8.1f} mm  {format_inches(length_mm)}"


def _end_lines(cut: "EndCut", hand: "HandCut", bars: int) -> list[str]:
    gap = f", root gap {cut.root_gap_mm:g} mm" if cut.root_gap_mm else ""
    later = f"; later {', '.join(cut.later)} is cut to it" if cut.later else ""
    return [
        f"end {cut.end}: joint {cut.name}, cope {cut.number} in the order of assembly{later}",
        *(f"  {_header_words(header)}" for header in cut.headers),
        f"  {_BRANCH_CUT[cut.profile.cut]}{gap}",
        f"  heel {_heel_words(cut)}",
        *_from_bends(cut),
        f"  tip {_tip_words(cut)}; {_saw_off_words(cut)}",
        f"  depth {cut.depth_mm:.2f} mm",
        *_hand_lines(hand),
        *_wrap_lines(cut),
    ]


def _header_words(header: "MetHeader") -> str:
    what = "cut to" if header.is_main else "and to"
    offset = "" if abs(header.offset_mm) < _SHOWN_DEG else f", axes {abs(header.offset_mm):.1f} mm apart"
    where = f"{header.along_mm:.1f} mm from its end A"
    bend = f", on its bend {header.bend}" if header.bend is not None else ""
    near = (
        f", {header.to_bend_mm:.0f} mm from its nearest bend"
        if header.bend is None and math.isfinite(header.to_bend_mm)
        else ""
    )
    return f"{what} {header.bar_id} at {header.angle_deg:.1f}°{offset}, {where}{bend}{near}"


def _heel_words(cut: "EndCut") -> str:
    clock = cut.clocking
    round_mm = f"{clock.heel_deg:.1f}° from the datum line, {clock.heel_mm:.1f} mm round the skin"
    square = "; the tubes are square, the heel is the side toward its end B" if clock.is_square else ""
    return f"{round_mm}{square}"


def _from_bends(cut: "EndCut") -> list[str]:
    if not cut.clocking.from_bends_deg:
        return []
    turns = [f"{turn:+.1f}° from the outside of bend {bend}" for bend, turn in cut.clocking.from_bends_deg]
    return [f"    that is {', '.join(turns)}"]


def _tip_words(cut: "EndCut") -> str:
    around = ", ".join(f"{_whole(tip.around_deg)}°" for tip in cut.tips)
    return f"at {around} from the datum line, {cut.from_mark_mm:.1f} mm from {cut.mark}"


def _saw_off_words(cut: "EndCut") -> str:
    if cut.saw_off_mm < 0.0:
        return f"the tube is {-cut.saw_off_mm:.1f} mm too short"
    return f"saw {cut.saw_off_mm:.1f} mm off, square, before coping"


def _hand_lines(hand: "HandCut") -> list[str]:
    lines = []
    for saw, toward_deg in zip(hand.saws, hand.off_toward_deg, strict=True):
        lines += _hole_saw_lines(saw, toward_deg, named=len(hand.saws) > 1)
    if hand.saw_cuts is None:
        return [*lines, "  two straight saw cuts: no, part of the end is not cut"]
    return [
        *lines,
        f"  two straight saw cuts leave up to {hand.saw_cuts.left_on_mm:.1f} mm to file off:",
        *(f"    {_saw_line(one)}" for one in hand.saw_cuts.cuts),
    ]


def _hole_saw_lines(saw: "HoleSaw", toward_deg: float, *, named: bool) -> list[str]:
    name = f" for {saw.header}" if named else ""
    if not saw.does_it:
        return [f"  hole saw{name}: no, {saw.why_not}"]
    gap = "" if saw.gap_mm < _SHOWN_DEG else f"; it leaves a gap of up to {saw.gap_mm:.1f} mm"
    where = "beyond" if saw.along_mm < 0.0 else "inside"
    return [
        f"  hole saw{name}: {saw.saw_mm:g} mm, {saw.from_square_deg:.1f}° from square, "
        f"offset {abs(saw.offset_mm):.1f} mm{_side(saw, toward_deg)},",
        f"    its axis {abs(saw.along_mm):.1f} mm {where} the squared end, travel {saw.depth_mm:.1f} mm{gap}",
    ]


def _side(saw: "HoleSaw", toward_deg: float) -> str:
    return "" if abs(saw.offset_mm) < _SHOWN_MM else f", the tube off toward its {_whole(toward_deg)}° side"


def _saw_line(cut: "SawCut") -> str:
    if cut.from_square_deg < _SHOWN_DEG:
        return f"square across, {_plain(cut.sides_mm)} mm from the squared end"
    return (
        f"{cut.from_square_deg:.1f}° from square: {_plain(cut.deepest_mm)} mm from the squared end at "
        f"{_whole(cut.clock_deg)}° from the datum line, {_plain(cut.sides_mm)} mm at 90° to either side"
    )


def _wrap_lines(cut: "EndCut") -> list[str]:
    wrap = cut.wrap
    step = max(1, len(wrap.around_deg) * _TABLE_STEP_DEG // 360)
    cells = [
        [f"{wrap.around_deg[k]:.0f}°", "-" if math.isnan(wrap.cut_mm[k]) else f"{wrap.cut_mm[k]:.1f}"]
        for k in range(0, len(wrap.around_deg), step)
    ]
    table = "  ".join(f"{around} {along}" for around, along in cells)
    return [
        f"  wrap: its line square round the tube {wrap.reference_mm:.1f} mm from end A of the tube{_from_mark(cut)},",
        f"  marked before anything is sawn off; from it toward end {wrap.end}, mm at degrees from the datum line:",
        f"    {table}",
    ]


def _from_mark(cut: "EndCut") -> str:
    """How far from the nearest mark, where the tube is bent and its end A is no place to measure from."""
    if not cut.mark.startswith("the mark"):
        return ""
    return f" ({cut.wrap_from_mark_mm:.1f} mm from {cut.mark})"
