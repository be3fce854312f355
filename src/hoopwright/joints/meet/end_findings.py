"""What a person should know of one end: bends, lengths, axes that miss, tubes that lie along each other."""

from collections.abc import Iterator, Mapping

from hoopwright.cage import EndLetter
from hoopwright.cage.meeting import MEETS_MM
from hoopwright.findings import Finding, Severity
from hoopwright.joints.meet.end_cut import EndCut, MetHeader
from hoopwright.joints.meet.header_places import bend_stretches
from hoopwright.joints.meet.marked_tube import MarkedTube, end_straight_mm
from hoopwright.joints.meet.met_bars import LOOKED_AT_MM, MetBars
from hoopwright.joints.meet.solid_tube import SolidTube

NEAR_BEND_MM = 5.0
"""Between a cut and a bend of its header: a mark that slipped puts it on the bend; common practice, no source."""


def end_findings(
    cut: EndCut, met: MetBars, solids: Mapping[str, SolidTube], tube: MarkedTube
) -> tuple[Finding, ...]:
    """What a person should know of one end, besides what its cope says.

    Args:
        cut: The cut.
        met: What meets there.
        solids: The bars of the cage, by name.
        tube: The tube of the bar that is cut, as marked.
    """
    return tuple(_found(cut, met, solids, tube))


def _found(cut: EndCut, met: MetBars, solids: Mapping[str, SolidTube], tube: MarkedTube) -> Iterator[Finding]:
    for header in cut.headers:
        if header.to_bend_mm < NEAR_BEND_MM:
            yield _at_bend(cut, header, solids[header.bar_id])
    if abs(cut.main.offset_mm) > MEETS_MM:
        yield _axes_miss(cut)
    straight = end_straight_mm(solids[cut.bar_id].path, cut.end)
    if tube.starts_mm and cut.profile.throat_mm > straight:
        yield _into_own_bend(cut, straight)
    if cut.saw_off_mm < 0.0:
        yield _too_short(cut, tube)
    if met.is_mutual:
        yield _each_to_the_other(cut, met)
    if not met.is_clear:
        yield _alongside(cut, met)


def way_off_bend(header: MetHeader, solid: SolidTube) -> tuple[float, EndLetter] | None:
    """The shortest way along a header by which a cut comes `NEAR_BEND_MM` clear of its bends.

    Returns:
        How far in mm, and toward which end of the header; None where no straight of it has room.
    """
    bends = sorted(bend_stretches(solid.path).values())
    edges = [
        0.0,
        *(
            edge - way
            for bend in bends
            for edge, way in zip(bend, (NEAR_BEND_MM, -NEAR_BEND_MM), strict=True)
        ),
    ]
    edges.append(solid.path.length_mm)
    ways: list[tuple[float, EndLetter]] = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start < header.to_mm - header.from_mm:
            continue
        if header.from_mm < start:
            ways.append((start - header.from_mm, "B"))
        elif header.to_mm > end:
            ways.append((header.to_mm - end, "A"))
    return min(ways, default=None)


def _at_bend(cut: EndCut, header: MetHeader, solid: SolidTube) -> Finding:
    way = way_off_bend(header, solid)
    where = (
        f"reaches bend {header.bend}"
        if header.bend is not None
        else f"stops {header.to_bend_mm:.1f} mm from a bend"
    )
    move = (
        f"No straight of {header.bar_id} has room for it: measure the bend in its plane and across, and type both."
        if way is None
        else f"Moved {way[0]:.0f} mm along {header.bar_id} toward its end {way[1]} it lies on straight tube, "
        f"{NEAR_BEND_MM:g} mm clear of the bend; else measure the bend in its plane and across, and type both."
    )
    return Finding(
        code="JOINT-001",
        severity=Severity.NOTE,
        sentence=f"{cut.name}: the cut on {header.bar_id} {where}. Bent tube is not round.",
        todo=move,
        objects=(cut.name, header.bar_id),
        point_mm=header.place_mm,
        measured=header.to_bend_mm,
        limit=NEAR_BEND_MM,
        unit="mm",
    )


def _axes_miss(cut: EndCut) -> Finding:
    offset = abs(cut.main.offset_mm)
    return Finding(
        code="JOINT-002",
        sentence=f"{cut.name}: the axes miss each other by {offset:.1f} mm (limit {MEETS_MM:g} mm). The cut is made "
        "for that.",
        todo=f"Cut it so if the bars lie so; else move end {cut.end} of {cut.bar_id} onto the axis of "
        f"{cut.main.bar_id}.",
        objects=(cut.name, cut.main.bar_id),
        point_mm=cut.main.place_mm,
        measured=offset,
        limit=MEETS_MM,
        unit="mm",
    )


def _into_own_bend(cut: EndCut, straight_mm: float) -> Finding:
    over = cut.profile.throat_mm - straight_mm
    return Finding(
        code="JOINT-003",
        sentence=f"{cut.name}: the cut goes {cut.profile.throat_mm:.1f} mm into {cut.bar_id}, whose last straight is "
        f"only {straight_mm:.1f} mm: it reaches the bar's own bend and is not right there.",
        todo=f"Move the bend {over:.0f} mm or more away from the end.",
        objects=(cut.name, cut.bar_id),
        point_mm=cut.tip_mm,
        measured=straight_mm,
        limit=cut.profile.throat_mm,
        unit="mm",
    )


def _too_short(cut: EndCut, tube: MarkedTube) -> Finding:
    trim = tube.trim_a_mm if cut.end == "A" else tube.trim_b_mm
    return Finding(
        code="JOINT-004",
        sentence=f"{cut.name}: the tube ends {-cut.saw_off_mm:.1f} mm before the tip of the cut; {trim:g} mm of trim "
        f"are left at end {cut.end}.",
        todo=f"Leave {trim - cut.saw_off_mm:.0f} mm of trim or more before the bar is cut to length.",
        objects=(cut.name, cut.bar_id),
        point_mm=cut.tip_mm,
        measured=cut.saw_off_mm,
        limit=0.0,
        unit="mm",
    )


def _each_to_the_other(cut: EndCut, met: MetBars) -> Finding:
    return Finding(
        code="JOINT-005",
        sentence=f"{cut.name}: {met.bar_id} ends on {met.main}, and {met.main} ends on {met.bar_id} at the same place. "
        "Each would be cut to the other, and neither runs through.",
        todo=f"Let one run through: type that its end is free there and let it go on {cut.branch.od_mm:.0f} mm.",
        objects=(cut.name, met.main),
        point_mm=cut.tip_mm,
    )


def _alongside(cut: EndCut, met: MetBars) -> Finding:
    names = " and ".join(header.bar_id for header in cut.headers)
    return Finding(
        code="JOINT-006",
        sentence=f"{cut.name}: {met.bar_id} lies along {names} and has not come clear of it {met.clear_mm:.0f} mm from "
        "its end.",
        todo="Move its other end away from them, or leave one of the bars out.",
        objects=(cut.name, *(header.bar_id for header in cut.headers)),
        point_mm=cut.tip_mm,
        measured=met.clear_mm,
        limit=LOOKED_AT_MM,
        unit="mm",
    )
