"""What is typed of a bender and of a die."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from hoopwright.bender import ShopBender, ShopDie
from hoopwright.web.choice_entries import Choice
from hoopwright.web.entries import Entry, fine_entry, length_entry, text_entry
from hoopwright.web.number_entries import angle_entry

Fields = Mapping[str, Entry[Any] | Choice]
_SWINGS = MappingProxyType({"clockwise": "clockwise", "anticlockwise": "anticlockwise"})
_STAYS = "what was kept stays where empty"


def bender_fields(one: ShopBender | None) -> Fields:
    """What is kept of a bender; of a new one where there is none yet."""
    height = None if one is None else one.axis_height_mm
    return {
        "swings": Choice(
            "From above, its leading end swings", _SWINGS, value="" if one is None else one.swings
        ),
        "clamp_mm": _length("Straight that its clamp needs", None if one is None else one.clamp_mm),
        "axis_height_mm": _length(
            "Height of the tube over the floor",
            height,
            _STAYS if height is not None else "to its middle, if known",
        ),
        "reach_deg": angle_entry(
            "Greatest angle that its gauge reads",
            value="" if one is None else f"{one.reach_deg:g}",
            hint="180 where empty" if one is None else "",
        ),
        "note": text_entry("Note on the bender", value="" if one is None else one.note),
    }


def die_fields(one: ShopDie | None, benders: Sequence[str]) -> Fields:
    """What is kept of a die; of a new one where there is none yet."""
    clamp = None if one is None else one.clamp_mm
    return {
        "od_mm": fine_entry("Tube that fits it, outside", value="" if one is None else f"{one.od_mm:g}"),
        "clr_mm": _length("Centreline radius written on it", None if one is None else one.clr_mm),
        "reach_deg": angle_entry(
            "Greatest angle with this die", value="180" if one is None else f"{one.reach_deg:g}"
        ),
        "clamp_mm": _length(
            "Straight that this die's clamp needs",
            clamp,
            _STAYS if clamp is not None else "the bender's where empty",
        ),
        "bender": Choice(
            "Bender that it belongs to",
            {name: name for name in benders},
            value=benders[0] if one is None and len(benders) == 1 else "" if one is None else one.bender,
        ),
        "note": text_entry("Note on the die", value="" if one is None else one.note),
    }


def _length(label: str, value_mm: float | None, hint: str = "") -> Entry[float]:
    return length_entry(label, value="" if value_mm is None else f"{value_mm:g} mm", hint=hint)
