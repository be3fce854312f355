"""Joints as JSON carries them."""

import math
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from hoopwright.jobs.joints import JointsReport
    from hoopwright.joints.cope import HoleSaw
    from hoopwright.joints.meet import BarCut, EndCut, MetHeader
    from hoopwright.joints.meet.hand_cut import HandCut


def list_keys(made: "JointsReport") -> dict[str, Any]:
    """All joints as JSON keys."""
    return {
        "order": list(made.cuts.order),
        "bent": list(made.bent),
        "joints": [_joint_keys(cut, made.by_hand[cut.name]) for cut in made.cuts.ends],
        "bars": [_bar_keys(bar) for bar in made.cuts.bars if bar.ends],
        "uncut": list(made.cuts.uncut),
    }


def card_keys(made: "JointsReport", bar: "BarCut") -> dict[str, Any]:
    """One bar as JSON keys, with its wraps."""
    return {
        **_bar_keys(bar),
        "order": list(made.cuts.order),
        "joints": [{**_joint_keys(cut, made.by_hand[cut.name]), "wrap": _wrap_keys(cut)} for cut in bar.ends],
    }


def _joint_keys(cut: "EndCut", hand: "HandCut") -> dict[str, Any]:
    saw = hand.one_saw
    saws = [_saw_keys(*one) for one in zip(hand.saws, hand.off_toward_deg, strict=True)]
    return {
        "name": cut.name,
        "cope": cut.number,
        "bar": cut.bar_id,
        "end": cut.end,
        "headers": [_header_keys(header) for header in cut.headers],
        "later": list(cut.later),
        "angle_deg": cut.main.angle_deg,
        "offset_mm": cut.main.offset_mm,
        "depth_mm": cut.depth_mm,
        "cut": cut.profile.cut,
        "root_gap_mm": cut.root_gap_mm,
        "heel_deg": cut.clocking.heel_deg,
        "heel_round_mm": cut.clocking.heel_mm,
        "heel_from_bends_deg": {str(bend): turn for bend, turn in cut.clocking.from_bends_deg},
        "tips": [vars(tip) for tip in cut.tips],
        "tip_mm": list(cut.tip_mm),
        "tip_on_tube_mm": cut.tip_on_tube_mm,
        "saw_off_mm": cut.saw_off_mm,
        "mark": cut.mark,
        "from_mark_mm": cut.from_mark_mm,
        "weld_length_mm": cut.weld.length_mm,
        "overhang_mm": cut.profile.overhang_mm,
        "hole_saw": None if saw is None else saws[0],
        "hole_saws": saws,
        "saw_cuts": None
        if hand.saw_cuts is None
        else {
            "cuts": [vars(one) for one in hand.saw_cuts.cuts],
            "left_on_mm": hand.saw_cuts.left_on_mm,
        },
    }


def _saw_keys(saw: "HoleSaw", toward_deg: float) -> dict[str, Any]:
    keys = {**vars(saw), "off_toward_deg": toward_deg}
    return {**keys, "gap_mm": saw.gap_mm if math.isfinite(saw.gap_mm) else None}


def _header_keys(header: "MetHeader") -> dict[str, Any]:
    keys = {**vars(header), "place_mm": list(header.place_mm)}
    return {**keys, "to_bend_mm": header.to_bend_mm if math.isfinite(header.to_bend_mm) else None}


def _wrap_keys(cut: "EndCut") -> dict[str, Any]:
    wrap = cut.wrap
    return {
        "reference_mm": wrap.reference_mm,
        "heel_deg": wrap.heel_deg,
        "od_mm": wrap.od_mm,
        "around_deg": wrap.around_deg.tolist(),
        "cut_mm": [None if math.isnan(value) else value for value in wrap.cut_mm.tolist()],
        "corners": [{"around_deg": around, "cut_mm": height} for around, height in wrap.corners],
    }


def _bar_keys(bar: "BarCut") -> dict[str, Any]:
    return {
        "bar": bar.bar_id,
        "datum": bar.datum.words,
        "bends": [vars(side) for side in bar.datum.bends],
        "cut_mm": bar.cut_mm,
        "tube_mm": bar.tube.blank_mm,
        "sheet": bar.tube.sheet,
        "lengths": [vars(length) for length in bar.lengths],
    }
