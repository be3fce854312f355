"""A landing from what was asked: fitted to the metal, unfolded flat, with the cut of the leg."""

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from hoopwright.bars import Bar, Node, as_node
from hoopwright.cage import EndLetter, Landing, LandingKind
from hoopwright.findings import Finding
from hoopwright.geometry import unit_vector
from hoopwright.joints.landing.bolts import bolt_pattern
from hoopwright.joints.landing.box import lay_box
from hoopwright.joints.landing.flat_plate import lay_plate, leg_reach_mm
from hoopwright.joints.landing.folded_plate import lay_folded
from hoopwright.joints.landing.ground import FORWARD, Ground, Wall, find_ground
from hoopwright.joints.landing.laid import Laid
from hoopwright.joints.landing.leg_cut import leg_cut
from hoopwright.joints.landing.leg_room import leg_findings
from hoopwright.joints.landing.panels import Panel, Sheet
from hoopwright.joints.landing.refusals import no_wall
from hoopwright.joints.landing.result import FittedLanding
from hoopwright.joints.landing.sizes import WELD_ROOM_MM, sheet_of, usual_sizes
from hoopwright.joints.landing.told import area_short, at_opening, bolts_close
from hoopwright.joints.landing.told_gaps import gap_findings
from hoopwright.joints.landing.unfold import setback_mm, unfold
from hoopwright.joints.meet.datum import TubeDatum, bend_datum, datum_along
from hoopwright.joints.meet.marked_tube import MarkedTube
from hoopwright.shell.shell import Shell

WALL_WITHIN_ODS = 2.5
"""A wall so near to a leg's axis, in diameters of the leg, asks for a folded plate: common practice, no source."""
_SIDE_WALL_RATIO = 0.7


def fit_landing(
    shell: Shell,
    bar: Bar,
    landing: Landing,
    *,
    landmarks: Mapping[str, Node] | None = None,
    tube: MarkedTube | None = None,
) -> FittedLanding:
    """Fit a landing to the metal under one foot.

    Args:
        shell: The scan in the vehicle frame.
        bar: The bar that stands, as it exists.
        landing: What was asked, under the name of this bar.
        landmarks: Of the cage, for the door opening.
        tube: The tube as marked, for the reference line of the leg's cut.

    Raises:
        UserError: `LAND-010` without metal under the foot, `LAND-012` on a cloud of points, `LAND-016` for a folded
            plate without a wall, `LAND-020` for a box that cannot stand.
    """
    ground = find_ground(shell, bar, landing.end)
    laid = _lay(shell, bar, ground, landing)
    sheet = sheet_of(landing)
    name = f"{bar.name} foot {landing.end}"
    root, bolt_findings = _bolted(laid, bar, landing, sheet, name)
    cut = leg_cut(bar, landing.end, laid.stands_on, foot_datum(bar), tube)
    area = math.fsum(face.area_mm2 for face in laid.faces)
    part = unfold(
        root, sheet, name=f"{name} {landing.kind.value}", metal_is_above=laid.metal_is_above,
        notes=_notes(landing, sheet),
    )  # fmt: skip
    fitted = FittedLanding(
        landing=landing,
        bar_id=bar.name,
        end=landing.end,
        length_mm=laid.length_mm,
        width_mm=laid.width_mm,
        wall_mm=laid.wall_mm,
        faces=laid.faces,
        area_mm2=area,
        mass_kg=part.mass_kg,
        moved_mm=laid.moved_mm,
        cut=cut,
        parts=(part,),
        findings=laid.findings,
        bolts_mm=tuple(as_node(hole.centre_mm) for hole in root.holes),
    )
    findings: list[Finding] = [
        *laid.findings,
        *(found for face in laid.faces for found in gap_findings(name, bar.name, face)),
        *leg_findings(name, bar, ground, laid, fitted, sheet),
        *area_short(name, fitted),
        *bolt_findings,
        *at_opening(name, bar.name, laid.faces, landmarks or {}),
    ]
    return replace(fitted, findings=tuple(findings))


def usual_landing(shell: Shell, bar: Bar, end: EndLetter) -> Landing:
    """The landing that is taken where nothing was said: folded where a side wall is in reach, else flat.

    Raises:
        UserError: As `fit_landing`.
    """
    ground = find_ground(shell, bar, end)
    wall = folding_wall(ground)
    near = wall is not None and wall.off_mm <= WALL_WITHIN_ODS * bar.tube.od_mm
    kind = LandingKind.FOLDED if near else LandingKind.PLATE
    return Landing(bar_id=bar.name, end=end, kind=kind)


def folding_wall(ground: Ground) -> Wall | None:
    """The wall that a plate is folded up: the nearest to the side of the car, such as the sill's, else the nearest."""
    sides = [wall for wall in ground.walls if abs(float(wall.plane.normal[1])) > _SIDE_WALL_RATIO]
    return next(iter((*sides, *ground.walls)), None)


def foot_datum(bar: Bar) -> TubeDatum:
    """The line along the tube: outside its first bend, or for a straight bar the side to the front, or up."""
    found = bend_datum(bar)
    if found is not None:
        return found
    along = unit_vector(bar.nodes[-1] - bar.nodes[0])
    if abs(float(along @ FORWARD)) < 0.9:
        return datum_along(bar, FORWARD, "the side of the tube that looks to the front of the car")
    return datum_along(bar, np.array([0.0, 0.0, 1.0]), "the upper side of the tube")


def _lay(shell: Shell, bar: Bar, ground: Ground, landing: Landing) -> Laid:
    od = bar.tube.od_mm
    if landing.kind is LandingKind.BOX:
        return lay_box(shell, bar, ground, landing, usual_sizes(landing, od))
    if landing.kind is LandingKind.PLATE:
        return lay_plate(shell, bar, ground, landing, usual_sizes(landing, od))
    wall = folding_wall(ground)
    needs = 0.0 if wall is None else wall.off_mm + leg_reach_mm(bar, ground) + WELD_ROOM_MM
    sizes = usual_sizes(landing, od, width_at_least_mm=needs)
    if wall is None or (landing.width_mm is not None and landing.width_mm <= wall.off_mm):
        off = None if wall is None else wall.off_mm
        raise no_wall(bar.name, landing.end, ground.sole.origin_mm, off, sizes.width_mm)
    return lay_folded(shell, bar, ground, wall, landing, sizes)


def _bolted(
    laid: Laid, bar: Bar, landing: Landing, sheet: Sheet, name: str
) -> tuple[Panel, tuple[Finding, ...]]:
    """The panels with their bolt holes."""
    if not landing.bolts:
        return laid.root, ()
    root = laid.root
    bent = {edge for edge, _ in root.hung}
    back = setback_mm(90.0, sheet, outside=True)
    keep_off = tuple(back if edge in bent else 0.0 for edge in range(len(root.outline_mm)))
    pattern = bolt_pattern(
        root.outline_mm, keep_off, count=landing.bolts, bolt_mm=landing.bolt_mm,
        leg_mm=laid.leg_at_mm, od_mm=bar.tube.od_mm,
    )  # fmt: skip
    return replace(root, holes=pattern.holes), bolts_close(name, bar.name, pattern)


def _notes(landing: Landing, sheet: Sheet) -> tuple[str, ...]:
    side = "this side toward the leg" if landing.kind is not LandingKind.BOX else "this side out"
    notes = [f"{sheet.thickness_mm:g} mm steel, {side}"]
    if landing.kind is not LandingKind.PLATE:
        notes.append(f"inside radius {sheet.inside_radius_mm:g} mm, K {sheet.k_ratio:g}")
    if landing.bolts:
        notes.append(f"{landing.bolts} x M{landing.bolt_mm:g}")
    return tuple(notes)
