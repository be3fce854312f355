"""What a person should know of bars and joints together."""

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

import numpy as np
from scipy.spatial import cKDTree

from hoopwright.bars import as_node
from hoopwright.cage import Cage, Clash, clashes
from hoopwright.cage.meeting import MEETS_MM
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Vector
from hoopwright.joints.meet.bar_cut import BarCut
from hoopwright.joints.meet.end_cut import EndCut
from hoopwright.joints.meet.met_bars import MetBars
from hoopwright.joints.meet.solid_tube import SolidTube
from hoopwright.joints.meet.wishes import CutWishes

_MOST_OUT_RATIO = 1.5
"""No bend is that far out of round: a rule book's limit is 0.85 to 0.90 of smaller over larger diameter."""
LEAST_LEFT_MM = 10.0
"""Tube between the edges of two copes of one bar, so that two welds do not run into one; common practice, no source."""
LEAST_APART_MM = 6.0
"""Between the welds of two branches on one header, about two legs of a fillet; common practice, no source."""


def refuse_wishes(
    cage: Cage, wishes: CutWishes, joints: Sequence[str], solids: Mapping[str, SolidTube]
) -> None:
    """Stop on wishes for bars, joints or bends that are not there.

    Raises:
        UserError: `JOINT-014`; `JOINT-017` for a section that no bend of that tube has.
    """
    for name in wishes.order:
        if name not in cage:
            known = f"The bars are: {', '.join(member.member_id for member in cage.members)}."
            raise UserError(_unknown(f"There is no bar '{name}' to put in an order.", known, name))
    for name in wishes.root_gaps_mm:
        if name not in joints:
            raise UserError(
                _unknown(f"There is no joint '{name}'.", f"The joints are: {', '.join(joints)}.", name)
            )
    for (bar, bend), oval in wishes.oval_bends.items():
        count = solids[bar].bar.bend_count if bar in solids else 0
        if not 1 <= bend <= count:
            raise UserError(
                _unknown(
                    f"Bar '{bar}' has no bend {bend} whose ovality could be typed: it has {count}.",
                    "Name a bar of the cage and one of its bends, counted from end A.",
                    bar,
                )
            )
        for measured_mm in (oval.in_plane_mm, oval.across_mm):
            _refuse_section(f"bend {bend} of {bar}", solids[bar].bar.tube.od_mm, measured_mm)


def _refuse_section(name: str, od_mm: float, measured_mm: float) -> None:
    if not od_mm / _MOST_OUT_RATIO <= measured_mm <= od_mm * _MOST_OUT_RATIO:
        raise UserError(
            Finding(
                code="JOINT-017",
                severity=Severity.STOP,
                sentence=f"{name}: {measured_mm:g} mm over the outside cannot be for a tube of {od_mm:g} mm.",
                todo="Measure over the outside, in the plane of the bend and across; check the unit.",
                objects=(name,),
                measured=measured_mm if math.isfinite(measured_mm) else None,
                limit=od_mm,
                unit="mm",
            )
        )


def bar_findings(bar: BarCut) -> tuple[Finding, ...]:
    """Two copes of one straight bar that leave too little tube between them."""
    if len(bar.ends) < 2 or bar.tube.starts_mm:
        return ()
    first, last = bar.ends
    around = first.wrap.around_deg
    edges = [_on_tube(cut) for cut in (first, last)]
    left = edges[1] - edges[0]
    if np.isnan(left).all() or float(np.nanmin(left)) >= LEAST_LEFT_MM:
        return ()
    least, at = float(np.nanmin(left)), float(around[int(np.nanargmin(left))])
    what = (
        f"the copes of its two ends eat each other by {-least:.1f} mm"
        if least <= 0.0
        else f"only {least:.1f} mm of tube are left between the copes of its two ends"
    )
    return (
        Finding(
            code="JOINT-007",
            sentence=f"{bar.bar_id}: {what}, {at:.0f}° round from its datum line (limit {LEAST_LEFT_MM:g} mm).",
            todo=f"Move {first.main.bar_id} and {last.main.bar_id} {LEAST_LEFT_MM - least:.0f} mm or more farther "
            "apart there, turn the bar squarer to them, or close the corner with a gusset plate.",
            objects=(bar.bar_id, first.name, last.name),
            point_mm=first.tip_mm,
            measured=least,
            limit=LEAST_LEFT_MM,
            unit="mm",
        ),
    )


def _on_tube(cut: EndCut) -> Vector:
    """Where each generator of the wrap ends, along the tube."""
    sign = -1.0 if cut.end == "A" else 1.0
    height = cut.wrap.cut_mm if cut.wrap.bridge_mm is None else cut.wrap.bridge_mm
    return cut.wrap.reference_mm + sign * height


def cage_findings(
    cage: Cage,
    solids: Mapping[str, SolidTube],
    order: Sequence[str],
    met: Sequence[MetBars],
    ends: Sequence[EndCut],
) -> tuple[Finding, ...]:
    """What a person should know of joints together.

    Args:
        cage: The cage, without bars that cannot be.
        solids: Its bars.
        order: Order of assembly.
        met: What meets at each end.
        ends: The cuts that were made.
    """
    return (
        *_order_findings(order, met),
        *(found for pair in combinations(ends, 2) for found in _welds_close(*pair)),
        *(_through(clash) for clash in clashes(cage) if not _is_joint(clash, met, solids)),
    )


def _is_joint(clash: Clash, met: Sequence[MetBars], solids: Mapping[str, SolidTube]) -> bool:
    """Whether two bars run into each other where one is cut to the other: at a small angle a cut reaches far."""
    pair = {clash.first, clash.second}
    for one in met:
        if {one.bar_id} | ({one.main, *one.further} & pair) == pair:
            path = solids[one.bar_id].path
            along = path.nearest_mm(clash.place_mm)
            inward = along if one.end == "A" else path.length_mm - along
            if inward <= one.clear_mm + solids[one.bar_id].radius_mm:
                return True
    return False


def _order_findings(order: Sequence[str], met: Sequence[MetBars]) -> Iterator[Finding]:
    for one in met:
        if order.index(one.main) > order.index(one.bar_id) and not one.is_mutual:
            yield Finding(
                code="JOINT-008",
                sentence=f"{one.bar_id} comes before {one.main} in the order of assembly, and its end {one.end} lands "
                f"on {one.main}: it is coped to a bar that is not there yet.",
                todo=f"Put {one.main} before {one.bar_id} in the order.",
                objects=(one.bar_id, one.main),
                measured=float(order.index(one.main) + 1),
                limit=float(order.index(one.bar_id) + 1),
            )


def _welds_close(first: EndCut, second: EndCut) -> Iterator[Finding]:
    """Two welds that come near each other although neither end is cut to the other's bar; not a cross at one node."""
    names = {header.bar_id for cut in (first, second) for header in cut.headers}
    if first.bar_id == second.bar_id or {first.bar_id, second.bar_id} & names:
        return
    if {header.bar_id for header in first.headers}.isdisjoint(header.bar_id for header in second.headers):
        return
    if float(np.linalg.norm(np.subtract(first.main.place_mm, second.main.place_mm))) <= MEETS_MM:
        return
    apart, at = cKDTree(first.weld.points_mm).query(second.weld.points_mm)
    least = float(np.min(apart))
    if least < LEAST_APART_MM:
        place = first.weld.points_mm[int(np.asarray(at)[int(np.argmin(apart))])]
        yield Finding(
            code="JOINT-009",
            sentence=f"{first.name} and {second.name}: their welds come within {least:.1f} mm of each other (limit "
            f"{LEAST_APART_MM:g} mm), and neither is cut to the other.",
            todo=f"Move one of them {LEAST_APART_MM - least:.0f} mm or more away, or bring both to one node.",
            objects=(first.name, second.name),
            point_mm=as_node(place),
            measured=least,
            limit=LEAST_APART_MM,
            unit="mm",
        )


def _through(clash: Clash) -> Finding:
    return Finding(
        code="JOINT-010",
        sentence=f"{clash.first} and {clash.second} run {clash.overlap_mm:.0f} mm into each other where neither ends: "
        "nothing is cut there.",
        todo="Make one of them two bars that end on the other, or move one.",
        objects=(clash.first, clash.second),
        point_mm=clash.place_mm,
        measured=clash.overlap_mm,
        limit=0.0,
        unit="mm",
    )


def _unknown(sentence: str, todo: str, name: str) -> Finding:
    return Finding(code="JOINT-014", severity=Severity.STOP, sentence=sentence, todo=todo, objects=(name,))
