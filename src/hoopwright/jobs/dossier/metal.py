"""What stands under and between the bars: landings, joints, gussets."""

from collections.abc import Mapping

from hoopwright.cage import Foot, feet_of
from hoopwright.findings import Severity
from hoopwright.jobs.dossier.amounts import area, fine, in_mm
from hoopwright.jobs.dossier.members import numbers_of
from hoopwright.jobs.dossier.plates import gusset_numbers, landing_numbers
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.gussets import ListedGusset
from hoopwright.jobs.hand_measures import foot_name
from hoopwright.jobs.rule_facts.feet import sides_mm
from hoopwright.joints.landing import FittedLanding
from hoopwright.joints.meet import EndCut
from hoopwright.papers.dossier import Column, Part, Section, paragraph, space, table_parts
from hoopwright.papers.words import angle, figure, measure

_LANDINGS = (
    Column(head="no", share=10, anchor="right", bold=True),
    Column(head="foot", share=24, bold=True),
    Column(head="kind", share=22),
    Column(head="flat parts", share=50),
    Column(head="sheet", share=18, anchor="right"),
    Column(head="area", share=22, anchor="right"),
    Column(head="held by", share=26),
    Column(head="farthest from the metal", share=26, anchor="right"),
)
_OPEN = (
    Column(head="what was found at the landings", share=110),
    Column(head="what to do", share=80),
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
    Column(head="no", share=10, anchor="right", bold=True),
    Column(head="gusset", share=22, bold=True),
    Column(head="kind", share=30),
    Column(head="between", share=40),
    Column(head="leg along each bar", share=30, anchor="right"),
    Column(head="sheet", share=20, anchor="right"),
    Column(head="hole", share=20, anchor="right"),
    Column(head="angle", share=24, anchor="right"),
)
_TOLD = (Severity.WARNING, Severity.STOP)


def landing_section(source: DossierSource) -> Section:
    """The feet, and what each stands on."""
    made = {(one.bar_id, one.end): one for one in source.landings}
    feet = [foot for foot in feet_of(source.papers.cage) if foot.bar_id in source.bars]
    rows = [_landing_row(source, foot, made.get((foot.bar_id, foot.end))) for foot in feet]
    words = (
        "Feet that stand on the shell, each with the plate or box under it as it was fitted to the scan. Areas are of "
        f"all flat parts together. The numbers are those of the line drawing.{in_mm(source.unit)}"
        if feet
        else "No bar stands on the shell."
    )
    parts = [paragraph(words, source.room_mm), *table_parts(_LANDINGS, rows, source.room_mm)]
    left = [(one.sentence, one.todo) for one in source.papers.metal.findings if one.severity in _TOLD]
    if left:
        parts += [space(4.0), *table_parts(_OPEN, left, source.room_mm)]
    return Section(title="Landings", parts=tuple(parts), new_page=False)


def _landing_row(source: DossierSource, foot: Foot, fitted: FittedLanding | None) -> tuple[str, ...]:
    name = foot_name(foot.bar_id, foot.end)
    if foot.landing is None:
        by_hand = any(one.about == name for one in source.project.measures_in_force)
        return ("", name, "measured by hand: see As built" if by_hand else "none chosen", "", "", "", "", "")
    if fitted is None:
        return ("", name, foot.landing.kind.value, "could not be fitted", "", "", "", "")
    landing = fitted.landing
    flat = [
        f"{face.name} {figure(long, source.unit)} x {measure(wide, source.unit)}"
        for face in fitted.faces
        for long, wide in (sides_mm(face),)
    ]
    bolts = f"{landing.bolts} bolts M{landing.bolt_mm:g}" if landing.bolts else "weld all round"
    gaps = [face.gap.largest_mm for face in fitted.faces if face.gap is not None]
    return (
        landing_numbers(source)[foot.bar_id, foot.end],
        name,
        landing.kind.value,
        ", ".join(flat),
        fine(landing.thickness_mm, source.unit),
        area(fitted.area_mm2, source.unit),
        bolts,
        fine(max(gaps), source.unit) if gaps else "",
    )


def joint_section(source: DossierSource) -> Section:
    """Each coped end, and each gusset."""
    numbers = numbers_of(source)
    rows = [_joint_row(source, cut, numbers) for cut in source.cuts]
    words = (
        "Each end of a bar that is cut to other bars. The joint has the name of the bar that runs through, then that "
        "of the branch and its end; in brackets the numbers of the line drawing. Angles are between the axes."
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
            *table_parts(
                _GUSSETS,
                [_gusset_row(source, one, number) for one, number in _numbered_gussets(source)],
                source.room_mm,
            ),
        ]
    return Section(title="Joints", parts=tuple(parts), new_page=False)


def _joint_row(source: DossierSource, cut: EndCut, numbers: Mapping[str, int]) -> tuple[str, ...]:
    def numbered(name: str) -> str:
        return f"{name} ({numbers[name]})" if name in numbers else name

    return (
        cut.name,
        numbered(cut.bar_id),
        cut.end,
        ", ".join(numbered(header.bar_id) for header in cut.headers),
        angle(cut.main.angle_deg),
        fine(abs(cut.main.offset_mm), source.unit),
        fine(cut.depth_mm, source.unit),
        measure(cut.weld.length_mm, source.unit),
    )


def _numbered_gussets(source: DossierSource) -> list[tuple[ListedGusset, str]]:
    numbers = gusset_numbers(source)
    return [(one, numbers.get(one.gusset.name, "")) for one in source.gussets]


def _gusset_row(source: DossierSource, one: ListedGusset, number: str) -> tuple[str, ...]:
    gusset = one.gusset
    return (
        number,
        gusset.name,
        gusset.kind.value if one.made is not None else f"{gusset.kind.value}: cannot be made",
        f"{gusset.bar_id} and {gusset.other or 'the shell'}",
        measure(gusset.leg_mm, source.unit),
        fine(gusset.thickness_mm, source.unit),
        measure(gusset.hole_mm, source.unit) if gusset.hole_mm else "",
        "" if one.made is None else angle(one.made.angle_deg),
    )
