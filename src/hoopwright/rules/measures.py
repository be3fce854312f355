"""Named distances, angles and ratios between parts of a cage: what each means, and how we take it."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Dimension = Literal["distance", "angle", "ratio"]


@dataclass(frozen=True, kw_only=True)
class MeasureMeaning:
    """A measure that a rule can name.

    Args:
        dimension: What it is: mm, degrees, or a plain number.
        how: How it is taken; printed beside the value.
        other: The other way of taking it, whose value is printed too; empty where there is none.
        give: What a person must give where it is missing.
        by_hand: Whether no model has it: a person measures it.
    """

    dimension: Dimension
    how: str
    other: str = ""
    give: str = ""
    by_hand: bool = False


_ALONG = "along the tube between the places where axes cross"
_STRAIGHT = "straight between the same places"


def _distance(how: str, give: str, other: str = "", *, by_hand: bool = False) -> MeasureMeaning:
    return MeasureMeaning(dimension="distance", how=how, other=other, give=give, by_hand=by_hand)


def _angle(how: str, give: str, other: str = "") -> MeasureMeaning:
    return MeasureMeaning(dimension="angle", how=how, other=other, give=give)


def _ratio(how: str, give: str, other: str = "") -> MeasureMeaning:
    return MeasureMeaning(dimension="ratio", how=how, other=other, give=give)


MEASURES: Mapping[str, MeasureMeaning] = MappingProxyType(
    {
        "below hoop top": _distance(
            "upright, from the highest place of the main hoop's axis to where the axes cross",
            "a bar that ends on the main hoop",
            "along the hoop's tube",
        ),
        "below front hoop top": _distance(
            "upright, from the highest place of the front hoop's axis to where the axes cross",
            "a bar that ends on the front hoop",
            "along the hoop's tube",
        ),
        "end to foot": _distance(
            f"{_ALONG}: lower end of the bar to the foot of the bar that it ends on",
            "a bar that ends near a foot",
            _STRAIGHT,
        ),
        "end to backstay joint": _distance(
            f"{_ALONG}: upper end of the bar to the joint of the backstay with the hoop",
            "a bar that ends on the hoop, and a backstay on that side",
            _STRAIGHT,
        ),
        "end to hoop corner": _distance(
            f"{_ALONG}: upper end of the bar to the middle of the hoop's top bend on the driver's side",
            "a bar that ends on the main hoop, and the driver's side",
            _STRAIGHT,
        ),
        "end to junction": _distance(
            f"{_ALONG}: each end of the bar to the nearest junction of two other bars",
            "a bar with both ends on bars",
            _STRAIGHT,
        ),
        "apex gap": _distance(
            "between the ends of two bars that form a V, along the bar that they end on",
            "the bars of the V",
            _STRAIGHT,
        ),
        "between legs": _distance(
            "inside, between the two lowest straights of a hoop, at their feet", "a hoop with two legs"
        ),
        "foot behind foremost": _distance(
            "level, from the foremost place of the bar's axis back to its front foot",
            "a bar that stands on the shell",
        ),
        "width at shoulders": _distance(
            "level, between the insides of the main hoop's legs at the height of the driver's shoulder",
            "the driver's shoulder, and a main hoop that reaches above it",
            "between their axes",
        ),
        "pillar gap": _distance(
            "dimension A of the windscreen pillar, as the book draws it", "the distance by hand", by_hand=True
        ),
        "hoop to steering wheel": _distance(
            "level, from the wheel's middle to the hoop's axis above it", "the steering wheel"
        ),
        "hoop above steering wheel": _distance(
            "top of the hoop over the top of the wheel; negative below it", "the steering wheel"
        ),
        "hoop above helmet": _distance(
            "top of the main hoop over the top of the helmet; negative below it", "the helmet"
        ),
        "helmet to hoop": _distance("from the back of the helmet to the hoop's tube", "the helmet"),
        "bar below shoulders": _distance(
            "shoulder to the bar's axis, upright; negative above", "the shoulder point"
        ),
        "leg to cabin side": _distance(
            "level and across the car, from the tube of the hoop's leg to the first metal of the scan, at the height "
            "of the driver's shoulder",
            "the scan and the driver's shoulder",
            "to the nearest metal in any direction",
        ),
        "longest straight": _distance(
            "between the ends or joints of a straight bar, on its axis", "a straight bar"
        ),
        "bar spacing": _distance(
            "between the ends of two door bars, along the bar that they end on", "two door bars"
        ),
        "door opening front A": _distance(
            "the book's dimension A of the door opening left free", "the distance by hand", by_hand=True
        ),
        "door opening top B": _distance(
            "the book's dimension B of the door opening left free", "the distance by hand", by_hand=True
        ),
        "door opening rear C": _distance(
            "the book's dimension C of the door opening left free", "the distance by hand", by_hand=True
        ),
        "sleeve length": _distance("of the sleeve over a butt joint", "the sleeve's length", by_hand=True),
        "sleeve each side": _distance(
            "sleeve on the shorter side of the joint", "the sleeve's length on each side", by_hand=True
        ),
        "lug thickness": _distance("of the lug's steel", "the lug's thickness", by_hand=True),
        "displacement, main hoop": _distance("lasting, along the load", "a load test", by_hand=True),
        "displacement, front hoop": _distance("lasting, along the load", "a load test", by_hand=True),
        "weld undercut": _distance("deepest, measured by hand", "a look at the welds", by_hand=True),
        "hoop lean": _angle("side view, plane of the hoop from the vertical, to either side", "a hoop"),
        "hoop lean above": _angle("side view, hoop above the side structure, from the vertical", "a hoop"),
        "hoop lean below, rearward": _angle(
            "side view, hoop below the side structure, rearward from the vertical", "a hoop"
        ),
        "bar to hoop": _angle(
            "between the bar and the plane of the hoop", "a bar that ends on the hoop", "in side view"
        ),
        "bolt spacing": _angle(
            "the least between two neighbouring bolts about the tube's axis, seen along it",
            "the bolts of the foot",
            "seen square to the plate",
        ),
        "support out of plane": _angle(
            "between a supporting tube and the plane of the bend", "the supporting tube"
        ),
        "height in door opening": _ratio(
            "height where the bar crosses the opening, over the opening's height",
            "the corners of the door opening and a door bar",
        ),
        "hoop width ratio": _ratio(
            "narrowest outside width of the hoop from the driver's shoulder up to where its top bends begin, over the "
            "inside width of the scan at the shoulder, both level at the hoop",
            "the scan and the driver's shoulder",
            "the hoop's width at the shoulder itself",
        ),
        "tab edge ratio": _ratio("hole's middle to the tab's edge over the hole's diameter", "the tab"),
    }
)
"""A measure that is missing here is added here, and in what derives it from a project."""
