"""Landings and gussets: how the drawing numbers and shows them."""

import math
from collections.abc import Iterator

import numpy as np

from hoopwright.bars import Bar, as_node
from hoopwright.cage import EndLetter, feet_of
from hoopwright.geometry import Plane, unit_vector
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.hand_measures import foot_name
from hoopwright.joints.gusset import MadeGusset
from hoopwright.joints.landing.result import LegCut
from hoopwright.papers.dossier import DrawnSheet
from hoopwright.papers.numbered_view import NumberedSheet
from hoopwright.papers.outline import Sheet, sheet_of_faces, sheet_of_strip

_BEYOND_MM = 1.0


def landing_numbers(source: DossierSource) -> dict[tuple[str, EndLetter], str]:
    """`L1`, `L2` and so on for each landing that could be fitted, in the order of the feet."""
    fitted = {(one.bar_id, one.end) for one in source.landings}
    feet = [(foot.bar_id, foot.end) for foot in feet_of(source.papers.cage)]
    return {foot: f"L{number}" for number, foot in enumerate((one for one in feet if one in fitted), start=1)}


def gusset_numbers(source: DossierSource) -> dict[str, str]:
    """`G1`, `G2` and so on for each gusset and tie that could be made, by its name."""
    names = [one.gusset.name for one in source.gussets if one.made is not None]
    return {name: f"G{number}" for number, name in enumerate(names, start=1)}


def drawn_sheets(source: DossierSource) -> tuple[DrawnSheet, ...]:
    """Landings, then gussets, as the drawing shows them."""
    return (*_landings(source), *_gussets(source))


def _landings(source: DossierSource) -> Iterator[DrawnSheet]:
    made = {(one.bar_id, one.end): one for one in source.landings}
    for foot, number in landing_numbers(source).items():
        fitted = made[foot]
        sheet = sheet_of_faces([face.outline_mm for face in fitted.faces])
        words = f"{foot_name(*foot)}  {fitted.landing.kind.value}"
        yield DrawnSheet(sheet=NumberedSheet(number=number, sheet=sheet), words=words)


def _gussets(source: DossierSource) -> Iterator[DrawnSheet]:
    numbers = gusset_numbers(source)
    for one in source.gussets:
        if one.made is not None:
            sheet = NumberedSheet(number=numbers[one.gusset.name], sheet=_gusset_sheet(one.made))
            yield DrawnSheet(sheet=sheet, words=f"{one.gusset.name}  {one.gusset.kind.value}")


def _gusset_sheet(made: MadeGusset) -> Sheet:
    if made.folded is None:
        return sheet_of_faces([made.outline_mm])
    corners = made.folded.corners_mm
    return sheet_of_strip((corners[:, 0] + corners[:, 3]) / 2.0, (corners[:, 1] + corners[:, 2]) / 2.0)


def sawn_leg(source: DossierSource, bar: Bar) -> tuple[Bar, dict[EndLetter, Plane]]:
    """A bar drawn on until its skin reaches the saw cuts of its feet, and those cuts."""
    nodes, saws = bar.nodes.copy(), {}
    for end, last, inner in (("A", 0, 1), ("B", -1, -2)):
        letter: EndLetter = "A" if end == "A" else "B"
        fitted = source.papers.landing(bar.name, letter)
        if fitted is None:
            continue
        saws[letter] = fitted.cut.plane
        outward = unit_vector(nodes[last] - nodes[inner])
        nodes[last] = nodes[last] + outward * max(0.0, _reach_mm(fitted.cut, bar.tube.od_mm))
    longer = Bar(
        name=bar.name,
        nodes_mm=tuple(as_node(node) for node in np.asarray(nodes)),
        clr_mm=bar.clr_mm,
        tube=bar.tube,
    )
    return longer, saws


def _reach_mm(cut: LegCut, od_mm: float) -> float:
    """How far the longest point of a sawn leg lies beyond the drawn end, and a little more."""
    return od_mm / 2.0 * math.tan(math.radians(cut.angle_deg)) - cut.shorten_mm + _BEYOND_MM
