"""Whether a leg stands on the flat of its landing, clear of its wall, and reaches it at all."""

import numpy as np

from hoopwright.bars import Bar, as_node
from hoopwright.findings import Finding, Severity
from hoopwright.geometry import Plane, Points, unit_vector
from hoopwright.joints.landing.ground import Ground
from hoopwright.joints.landing.laid import Laid
from hoopwright.joints.landing.panels import Sheet
from hoopwright.joints.landing.result import FittedLanding
from hoopwright.joints.landing.unfold import setback_mm

_SHORT_MM = 5.0
_ROUND = 72


def leg_findings(
    name: str, bar: Bar, ground: Ground, laid: Laid, fitted: FittedLanding, sheet: Sheet
) -> tuple[Finding, ...]:
    """`LAND-021`: a leg over an edge or a bend; `LAND-022`: one in the plate's wall; `LAND-023`: an end far off."""
    return (
        *_over_the_edge(name, bar, ground, laid, sheet),
        *_in_the_wall(name, bar, ground, laid, sheet),
        *_far_off(name, bar, ground, fitted),
    )


def footprint_mm(bar: Bar, ground: Ground, laid: Laid) -> Points:
    """The ellipse in which a leg's skin meets what it stands on; shape (n, 3)."""
    outward, plane = ground.outward, laid.stands_on
    side = unit_vector(np.cross(outward, np.eye(3)[int(np.argmin(np.abs(outward)))]))
    turn = np.arange(_ROUND) * 2.0 * np.pi / _ROUND
    skin = (
        bar.tube.od_mm
        / 2.0
        * (np.outer(np.cos(turn), side) + np.outer(np.sin(turn), np.cross(outward, side)))
    )
    start = ground.sole.origin_mm + skin
    along = (plane.offset_mm - start @ plane.normal) / float(outward @ plane.normal)
    return np.asarray(start + along[:, None] * outward)


def _over_the_edge(name: str, bar: Bar, ground: Ground, laid: Laid, sheet: Sheet) -> tuple[Finding, ...]:
    outline, normal = laid.root.outline_mm, laid.root.normal
    back = setback_mm(90.0, sheet, outside=True)
    bent = {edge for edge, _ in laid.root.hung}
    skin = footprint_mm(bar, ground, laid)
    room, edge_of = np.inf, 0
    for k in range(len(outline)):
        along = unit_vector(outline[(k + 1) % len(outline)] - outline[k])
        inward = np.cross(normal, along)
        off = float(((skin - outline[k]) @ inward).min()) - (back if k in bent else 0.0)
        room, edge_of = min((room, edge_of), (off, k))
    if room >= 0.0:
        return ()
    what = "the bend" if edge_of in bent else "the edge"
    return (
        Finding(
            code="LAND-021",
            sentence=f"{name}: the leg's skin stands {-room:.0f} mm over {what} of its {laid.root.name}.",
            todo="Make it larger on that side, or move the foot.",
            objects=(bar.name,),
            point_mm=as_node(laid.leg_at_mm),
            measured=room,
            limit=0.0,
            unit="mm",
        ),
    )


def _in_the_wall(name: str, bar: Bar, ground: Ground, laid: Laid, sheet: Sheet) -> tuple[Finding, ...]:
    if not laid.metal_is_above:
        return ()
    told = []
    for _, panel in laid.root.hung:
        plane = Plane.through(panel.outline_mm[0], panel.normal)
        tall = float((panel.outline_mm @ laid.root.normal).max() - laid.leg_at_mm @ laid.root.normal)
        rise = float(-ground.outward @ laid.root.normal)
        axis = laid.leg_at_mm - np.outer([0.0, max(0.0, tall) / rise], ground.outward)
        lean = float(np.linalg.norm(panel.normal - ground.outward * float(panel.normal @ ground.outward)))
        room = float(plane.distance_mm(axis).min()) - sheet.thickness_mm - bar.tube.od_mm / 2.0 * lean
        if room < 0.0:
            told.append(
                Finding(
                    code="LAND-022",
                    sentence=f"{name}: the leg cuts {-room:.1f} mm into the plate's {panel.name}.",
                    todo="Make the plate lower on that wall or thinner, or move the leg off it.",
                    objects=(bar.name,),
                    point_mm=as_node(laid.leg_at_mm),
                    measured=room,
                    limit=0.0,
                    unit="mm",
                )
            )
    return tuple(told)


def _far_off(name: str, bar: Bar, ground: Ground, fitted: FittedLanding) -> tuple[Finding, ...]:
    """The drawn end against what it is to stand on."""
    off = fitted.cut.shorten_mm - (fitted.landing.height_mm or fitted.landing.thickness_mm) / max(
        0.1, float(-ground.outward @ ground.sole.normal)
    )
    if abs(off) <= _SHORT_MM:
        return ()
    where = "in the air over" if off < 0.0 else "in"
    return (
        Finding(
            code="LAND-023",
            severity=Severity.WARNING,
            sentence=f"{name}: the drawn end is {abs(off):.0f} mm {where} the metal that it is to stand on.",
            todo=f"The cut is given for the landing; from the drawn end the leg is cut {fitted.cut.shorten_mm:.0f} mm "
            "shorter."
            if fitted.cut.shorten_mm >= 0.0
            else f"The leg needs {-fitted.cut.shorten_mm:.0f} mm more than is drawn: move its end node to the metal.",
            objects=(bar.name,),
            point_mm=as_node(ground.end_mm),
            measured=off,
            limit=_SHORT_MM,
            unit="mm",
        ),
    )
