"""What stands under and between the bars: landings, joints, gussets."""

from hoopwright.cage import Foot, feet_of
from hoopwright.jobs.dossier.amounts import area, fine
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.gussets import ListedGusset
from hoopwright.jobs.hand_measures import foot_name
from hoopwright.joints.landing import FittedLanding
from hoopwright.joints.meet import EndCut
from hoopwright.papers.dossier import Column, Part, Section, paragraph, table_parts
from hoopwright.papers.words import angle, figure, measure

_LANDINGS = (
    Column(head="foot", share=22, bold=True),
    Column(head="kind", share=24),
    Column(head="sides", share=32),
    Column(head="sheet", share=18, anchor="right"),
    Column(head="area", share=24, anchor="right"),
    Column(head="planes", share=14, anchor="right"),
    Column(head="held by", share=26),
    Column(head="farthest from the metal", share=30, anchor="right"),
)
_JOINTS = (
    Column(head="joint", share=30, bold=True),
    Column(head="branch", share=18),
    Column(head="end", share=10, anchor="middle"),
    Column(head="is cut to", share=34),
    Column(head="angle", share=18, anchor="right"),
    Column(head="axes apart", share=22, anchor="right"),
    Column(head="depth of cut", share=24, anchor="right"),
    Column(head="weld line", share=24, anchor="right"),
)
_GUSSETS = (
    Column(head="gusset", share=22, bold=True),
    Column(head="kind", share=30),
    Column(head="between", share=40),
    Column(head="leg along each bar", share=30, anchor="right"),
    Column(head="sheet", share=20, anchor="right"),
    Column(head="hole", share=20, anchor="right"),
    Column(head="angle", share=24, anchor="right"),
)


def landing_section(source: DossierSource) -> Section:
    """The feet, and what each stands on."""
    made = {(one.bar_id, one.end): one for one in source.landings}
    feet = [foot for foot in feet_of(source.papers.cage) if foot.bar_id in source.bars]
    rows = [_landing_row(source, foot, made.get((foot.bar_id, foot.end))) for foot in feet]
    words = (
        "Feet that stand on the shell, each with the plate or box under it as it was fitted to the scan. Areas are of "
        "all planes together."
        if feet
        else "No bar stands on the shell."
    )
    return Section(
        title="Landings",
        parts=(paragraph(words, source.room_mm), *table_parts(_LANDINGS, rows, source.room_mm)),
    )


def _landing_row(source: DossierSource, foot: Foot, fitted: FittedLanding | None) -> tuple[str, ...]:
    name = foot_name(foot.bar_id, foot.end)
    if foot.landing is None:
        return (name, "none chosen", "", "", "", "", "", "")
    if fitted is None:
        return (name, foot.landing.kind.value, "could not be fitted", "", "", "", "", "")
    landing = fitted.landing
    sides = f"{figure(fitted.length_mm, source.unit)} x {measure(fitted.width_mm, source.unit)}"
    if fitted.wall_mm > 0.0:
        sides += f", {measure(fitted.wall_mm, source.unit)} up the wall"
    bolts = f"{landing.bolts} bolts M{landing.bolt_mm:g}" if landing.bolts else "weld all round"
    gaps = [face.gap.largest_mm for face in fitted.faces if face.gap is not None]
    return (
        name,
        landing.kind.value,
        sides,
        fine(landing.thickness_mm, source.unit),
        area(fitted.area_mm2, source.unit),
        str(len(fitted.faces)),
        bolts,
        fine(max(gaps), source.unit) if gaps else "",
    )


def joint_section(source: DossierSource) -> Section:
    """Each coped end, and each gusset."""
    rows = [_joint_row(source, cut) for cut in source.cuts]
    words = (
        "Each end of a bar that is cut to other bars. The joint has the name of the bar that runs through, then that "
        "of the branch and its end. Angles are between the axes."
        if rows
        else "No end of a bar is cut to another."
    )
    parts: list[Part] = [
        paragraph(words, source.room_mm),
        *table_parts(_JOINTS, rows, source.room_mm),
    ]
    if source.gussets:
        parts += [
            paragraph("", source.room_mm),
            *table_parts(_GUSSETS, [_gusset_row(source, one) for one in source.gussets], source.room_mm),
        ]
    return Section(title="Joints", parts=tuple(parts), new_page=False)


def _joint_row(source: DossierSource, cut: EndCut) -> tuple[str, ...]:
    return (
        cut.name,
        cut.bar_id,
        cut.end,
        ", ".join(header.bar_id for header in cut.headers),
        angle(cut.main.angle_deg),
        fine(abs(cut.main.offset_mm), source.unit),
        fine(cut.depth_mm, source.unit),
        measure(cut.weld.length_mm, source.unit),
    )


def _gusset_row(source: DossierSource, one: ListedGusset) -> tuple[str, ...]:
    gusset = one.gusset
    return (
        gusset.name,
        gusset.kind.value if one.made is not None else f"{gusset.kind.value}: cannot be made",
        f"{gusset.bar_id} and {gusset.other or 'the shell'}",
        measure(gusset.leg_mm, source.unit),
        fine(gusset.thickness_mm, source.unit),
        measure(gusset.hole_mm, source.unit) if gusset.hole_mm else "",
        "" if one.made is None else angle(one.made.angle_deg),
    )
