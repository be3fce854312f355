"""The cut of one end from its bar, its headers and its datum line."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hoopwright.bars import as_node
from hoopwright.cage import EndLetter
from hoopwright.geometry import FilletedPath, Vector, unit_vector, wrap_deg
from hoopwright.joints.cope import Branch, CopeProfile, Header, Meeting, OvalBend, cope_profile, meeting
from hoopwright.joints.cope.cutting import scene_of
from hoopwright.joints.cope.profile import along_by
from hoopwright.joints.meet.datum import TubeDatum, datum_along
from hoopwright.joints.meet.end_cut import Clocking, EndCut, WeldCurve
from hoopwright.joints.meet.header_places import bend_stretches, met_headers
from hoopwright.joints.meet.marked_tube import MarkedTube, TubeMark, end_straight_mm, on_tube_mm
from hoopwright.joints.meet.met_bars import MetBars
from hoopwright.joints.meet.solid_tube import SolidTube, nearest_on
from hoopwright.joints.meet.tips import Tip, tips_of
from hoopwright.joints.meet.wishes import CutWishes
from hoopwright.joints.wrap import Wrap

SQUARE_WITHIN_DEG = 0.5
"""A protractor on a tube reads to about this; common practice, no source."""
_PAPER_MM = 30.0
_ROUND_MM = 5.0
_TIP_ZOOMS = 4
_ROUNDING_DEG = 1e-9


def joint_name(main: str, bar_id: str, end: EndLetter) -> str:
    """The name of a joint: the bar that runs through, and the end that lands on it."""
    return f"{main}/{bar_id}-{end}"


def header_of(solid: SolidTube, wishes: CutWishes, *, is_main: bool = True) -> Header:
    """A bar as a header, with the sections of its bends as measured.

    The bar that an end lands on goes on beyond its own ends, so that a cut past them can be told; others stop there.
    """
    name = solid.bar.name
    ovals = tuple(wishes.oval_bends.get((name, bend)) for bend in bend_stretches(solid.path))
    return Header(
        name=name,
        path=solid.path,
        od_mm=solid.bar.tube.od_mm,
        oval_bends=ovals if any(oval is not None for oval in ovals) else (),
        is_endless=is_main,
    )


def branch_of(solid: SolidTube, end: EndLetter, side: Vector | None = None) -> Branch:
    """An end as a branch: its origin is the drawn end, its direction goes into the bar.

    Args:
        solid: The bar.
        end: Which of its ends.
        side: Where its datum line lies; any side without.
    """
    pieces, length = solid.path.pieces, solid.path.length_mm
    inward = pieces[0].direction if end == "A" else -solid.path.directions_at(length)[0]
    if side is None:
        side = np.eye(3)[int(np.argmin(np.abs(inward)))]
    tube = solid.bar.tube
    return Branch(
        origin_mm=solid.path.at(0.0 if end == "A" else length)[0],
        direction=inward,
        datum=unit_vector(side - inward * float(side @ inward)),
        od_mm=tube.od_mm,
        wall_mm=tube.wall_mm,
        name=solid.bar.name,
    )


def straight_datum(solid: SolidTube, ends: Sequence[tuple[EndLetter, Header]]) -> TubeDatum:
    """The datum line of a bar without a bend: through the heel of its first coped end.

    Args:
        solid: The bar.
        ends: Its coped ends, A before B, each with the bar that it lands on.
    """
    if not ends:
        return datum_along(
            solid.bar, branch_of(solid, "A").datum, "any line along the tube: no end of it is coped"
        )
    end, header = ends[0]
    met = meeting(branch_of(solid, end), header)
    if 90.0 - met.angle_deg <= SQUARE_WITHIN_DEG:
        words = (
            f"a line along the tube from end {end}, on the side that looks along {header.name} to its end B"
        )
    else:
        words = f"a line along the tube through the heel of end {end}, its sharp side on {header.name}"
    return datum_along(solid.bar, met.heel, words)


def cut_end(
    solid: SolidTube,
    met: MetBars,
    headers: Sequence[Header],
    datum: TubeDatum,
    tube: MarkedTube,
    wishes: CutWishes,
    *,
    number: int,
) -> EndCut:
    """The cut of one end, without findings of its own.

    Args:
        solid: The bar.
        met: What meets at the end.
        headers: The bar that it lands on and the further ones; of those, one that cuts nothing is left out.
        datum: The bar's datum line.
        tube: The bar's tube as marked.
        wishes: How it is wanted.
        number: Place in the order in which the copes are made.

    Raises:
        UserError: `COPE-...` where it cannot be cut.
    """
    name = joint_name(met.main, met.bar_id, met.end)
    branch = branch_of(solid, met.end, datum.side(met.end))
    tight = cope_profile(branch, headers, points=wishes.points, cut="outside")
    takes_part = [k == 0 or bool((tight.header_index == k).any()) for k in range(len(headers))]
    if not all(takes_part):
        headers = [header for header, does in zip(headers, takes_part, strict=True) if does]
        tight = cope_profile(branch, headers, points=wishes.points, cut="outside")
    gap = wishes.gap_of_mm(name)
    grown = [opened(header, gap) for header in headers] if gap else list(headers)
    cut = tight
    if gap or wishes.cut != "outside":
        cut = replace(
            cope_profile(branch, grown, points=wishes.points, cut=wishes.cut), findings=tight.findings
        )
    skin = branch.skin_mm(tight.around_deg, tight.outside_mm)
    tips = _tips(branch, grown, cut, met.end)
    first = tips[0]
    at = on_tube_mm(tube, solid.path, met.end, first.inward_mm)
    saw_off = at if met.end == "A" else tube.blank_mm - at
    mark = _nearest_mark(tube, at)
    wrap = _wrap(solid, met, headers, datum, tube, cut)
    around = -first.around_deg if met.end == "B" else first.around_deg
    return EndCut(
        name=name,
        number=number,
        bar_id=met.bar_id,
        end=met.end,
        headers=met_headers(headers, tight, skin),
        later=met.later,
        branch=branch,
        header_tubes=tuple(headers),
        profile=cut,
        root_gap_mm=gap,
        clocking=_clocking(datum, met.end, tight.meetings[0], branch.od_mm),
        tips=tips,
        tip_mm=as_node(branch.skin_mm([around], [first.inward_mm])[0]),
        tip_on_tube_mm=at,
        saw_off_mm=saw_off,
        from_mark_mm=abs(mark.at_mm - at),
        mark=mark.name,
        wrap_from_mark_mm=abs(mark.at_mm - wrap.reference_mm),
        wrap=wrap,
        weld=_weld(branch, headers, tight, skin, met.end),
        findings=cut.findings,
    )


def once_round_deg(angle_deg: float) -> float:
    """The same place round a tube in [0, 360); what lies within rounding of a whole turn is 0."""
    turned = angle_deg % 360.0
    return 0.0 if turned > 360.0 - _ROUNDING_DEG or turned < _ROUNDING_DEG else turned


def by_travel(values: Vector, end: EndLetter) -> Vector:
    """Values at even generators about the direction into the branch, as they follow about the travel."""
    return values if end == "A" else np.roll(values[::-1], 1)


def opened(header: Header, gap_mm: float) -> Header:
    """A header grown by the root gap all round."""
    ovals = tuple(
        None
        if oval is None
        else OvalBend(in_plane_mm=oval.in_plane_mm + 2.0 * gap_mm, across_mm=oval.across_mm + 2.0 * gap_mm)
        for oval in header.oval_bends
    )
    return replace(header, od_mm=header.od_mm + 2.0 * gap_mm, oval_bends=ovals)


def _tips(branch: Branch, headers: Sequence[Header], profile: CopeProfile, end: EndLetter) -> tuple[Tip, ...]:
    """The tips, looked for more closely than the generators lie; angles about the travel."""
    scene = scene_of(branch, headers, profile.meetings, profile.around_deg)
    along_at = along_by(scene, profile.cut)
    found = []
    for tip in tips_of(profile.around_deg, profile.along_mm, within_mm=0.5):
        best, step = tip, 360.0 / len(profile.around_deg)
        for _ in range(_TIP_ZOOMS):
            angles = best.around_deg + np.linspace(-step, step, 21)
            along = along_at(angles)
            if not np.isnan(along).all():
                low = int(np.nanargmin(along))
                best = Tip(around_deg=float(angles[low]), inward_mm=float(along[low]))
            step /= 10.0
        turned = best.around_deg if end == "A" else -best.around_deg
        found.append(replace(best, around_deg=once_round_deg(turned)))
    lowest = min(tip.inward_mm for tip in found)
    kept = [tip for tip in found if tip.inward_mm <= lowest + 0.05]
    return tuple(sorted(kept, key=lambda tip: (round(tip.inward_mm, 3), tip.around_deg)))


def _nearest_mark(tube: MarkedTube, at_mm: float) -> TubeMark:
    """The mark nearest to a place on the tube; its ends count where it has no other."""
    ends = (
        TubeMark(name="end A of the tube", at_mm=0.0),
        TubeMark(name="end B of the tube", at_mm=tube.blank_mm),
    )
    return min(tube.marks or ends, key=lambda mark: abs(mark.at_mm - at_mm))


def _clocking(datum: TubeDatum, end: EndLetter, met: Meeting, od_mm: float) -> Clocking:
    heel = once_round_deg(datum.around_deg(end, met.heel))
    return Clocking(
        heel_deg=heel,
        heel_mm=np.pi * od_mm * heel / 360.0,
        from_bends_deg=tuple((side.bend, wrap_deg(heel - side.outside_deg)) for side in datum.bends),
        is_square=90.0 - met.angle_deg <= SQUARE_WITHIN_DEG,
    )


def _wrap(
    solid: SolidTube,
    met: MetBars,
    headers: Sequence[Header],
    datum: TubeDatum,
    tube: MarkedTube,
    profile: CopeProfile,
) -> Wrap:
    inward = by_travel(profile.bridged_mm, met.end)
    deepest = float(np.nanmax(inward))
    reference = _reference_mm(tube, solid.path, met.end, deepest)
    sign = -1.0 if met.end == "A" else 1.0
    places = np.array([on_tube_mm(tube, solid.path, met.end, value) for value in inward])
    heel = profile.heel_deg if met.end == "A" else -profile.heel_deg
    mark = _nearest_mark(tube, reference) if tube.marks else None
    return Wrap(
        bar_id=met.bar_id,
        end=met.end,
        headers=tuple(header.name for header in headers),
        od_mm=solid.bar.tube.od_mm,
        around_deg=profile.around_deg,
        cut_mm=sign * (places - reference),
        reference_mm=reference,
        heel_deg=once_round_deg(heel),
        datum=datum.words,
        mark="" if mark is None else mark.name,
        mark_mm=None if mark is None else mark.at_mm,
    )


def _reference_mm(tube: MarkedTube, path: FilletedPath, end: EndLetter, deepest_mm: float) -> float:
    """Where the line square round the tube lies: a round figure clear of the cut, before the first bend."""
    straight = end_straight_mm(path, end)
    wanted = min(deepest_mm + _PAPER_MM, max(straight, deepest_mm))
    at = on_tube_mm(tube, path, end, wanted)
    last = on_tube_mm(tube, path, end, straight)
    rounded = _ROUND_MM * (np.ceil(at / _ROUND_MM) if end == "A" else np.floor(at / _ROUND_MM))
    inside = rounded <= last if end == "A" else rounded >= last
    return float(rounded if inside else at)


def _weld(
    branch: Branch, headers: Sequence[Header], profile: CopeProfile, skin: Vector, end: EndLetter
) -> WeldCurve:
    around = profile.around_deg if end == "A" else (-profile.around_deg) % 360.0
    order = np.argsort(around, kind="stable")
    order = order[profile.header_index[order] >= 0]
    points, index = skin[order], profile.header_index[order]
    out = np.zeros_like(points)
    for number, header in enumerate(headers):
        here = index == number
        if here.any():
            away = points[here] - nearest_on(header.path, points[here])[1]
            out[here] = away / np.linalg.norm(away, axis=1)[:, None]
    return WeldCurve(
        around_deg=around[order],
        points_mm=points,
        branch_out=branch.sides(profile.around_deg[order]),
        header_out=out,
        header=index,
    )
