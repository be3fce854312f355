"""The members: as the drawing shows them, and as the table lists them."""

import numpy as np

from hoopwright.bars import bend_table, centreline, developed_mm
from hoopwright.cage import Member
from hoopwright.jobs.dossier.amounts import fine
from hoopwright.jobs.dossier.plates import sawn_leg
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.rule_facts.certificates import certificate_of, heat_of
from hoopwright.papers.dossier import RULED, Column, DrawnMember, Part, Section, paragraph, table_parts
from hoopwright.papers.numbered_view import NumberedTube
from hoopwright.papers.outline import SolidTube
from hoopwright.papers.words import angle, measure
from hoopwright.tubes import TubeSize
from hoopwright.tubes.paper_numbers import certificate_number, heat_number
from hoopwright.units import MM_PER_INCH, LengthUnit

_COLUMNS = (
    Column(head="no", share=8, anchor="right", bold=True),
    Column(head="bar", share=14, bold=True),
    Column(head="what", share=20),
    Column(head="outside", share=17, anchor="right"),
    Column(head="wall", share=15, anchor="right"),
    Column(head="steel", share=19),
    Column(head="heat number", share=19),
    Column(head="certificate", share=20),
    Column(head="length", share=21, anchor="right"),
    Column(head="bends", share=33),
    Column(head="as", share=14),
)
_NOTE = (
    "Lengths run along the axis from end to end, without what is cut off after the test fit. Radii are those of the "
    "axis. A dotted field is not known to the shop's records and is written in from the certificate by hand."
)


def numbers_of(source: DossierSource) -> dict[str, int]:
    """The number of each member that can be, in the cage's order, from 1."""
    return {member.member_id: number for number, member in enumerate(source.papers.wanted, start=1)}


def drawn_members(source: DossierSource) -> tuple[DrawnMember, ...]:
    """The members for the drawing, with the lines on which they meet others."""
    return tuple(
        DrawnMember(
            tube=NumberedTube(number=number, tube=_solid(source, source.papers.cage.member(name))),
            name=name,
            words=source.papers.cage.member(name).role.value,
        )
        for name, number in numbers_of(source).items()
    )


def _solid(source: DossierSource, member: Member) -> SolidTube:
    bar, saws = sawn_leg(source, source.bars[member.member_id])
    return SolidTube(
        path=centreline(bar),
        od_mm=bar.tube.od_mm,
        saw_a=saws.get("A"),
        saw_b=saws.get("B"),
        cut_a=member.end_a.kind == "bar",
        cut_b=member.end_b.kind == "bar",
        seams=tuple(
            np.concatenate([cut.weld.points_mm, cut.weld.points_mm[:1]])
            for cut in source.cuts
            if cut.bar_id == member.member_id and len(cut.weld.points_mm)
        ),
    )


def member_section(source: DossierSource) -> Section:
    """The table of members."""
    rows = [
        _row(source, source.papers.cage.member(name), number) for name, number in numbers_of(source).items()
    ]
    parts: tuple[Part, ...] = (
        *table_parts(_COLUMNS, rows, source.room_mm),
        paragraph("", source.room_mm),
        paragraph(_NOTE, source.room_mm, height_mm=2.1),
    )
    return Section(title="Members", parts=parts)


def _row(source: DossierSource, member: Member, number: int) -> tuple[str, ...]:
    name, bar = member.member_id, source.bars[member.member_id]
    steel, heat, certificate = tube_facts(source, member)
    length = developed_mm(bar)
    return (
        str(number),
        name,
        member.role.value,
        *_size(bar.tube, source.unit),
        steel or RULED,
        heat or RULED,
        certificate or RULED,
        measure(length, source.unit),
        _bends(source, name),
        "bent" if name in source.papers.bent else "drawn",
    )


def _size(tube: TubeSize, unit: LengthUnit) -> tuple[str, str]:
    """Outside diameter and wall; in inches as the trade writes them, in thousandths."""
    if unit == "mm":
        return f"{tube.od_mm:g} mm", f"{tube.wall_mm:g} mm"
    return f'{tube.od_mm / MM_PER_INCH:.3f}"', f'{tube.wall_mm / MM_PER_INCH:.3f}"'


def _bends(source: DossierSource, name: str) -> str:
    bar = source.bars[name]
    if not bar.bend_count:
        return "straight"
    angles = ", ".join(angle(one) for one in bend_table(bar).angles_deg)
    return f"{bar.bend_count} of radius {fine(bar.clr_mm, source.unit)}: {angles}"


def tube_facts(source: DossierSource, member: Member) -> tuple[str, str, str]:
    """Steel, heat number and certificate as they were said or kept in the shop; empty where there is no number."""
    used = source.project.tube_of.get(member.member_id)
    if used is None:
        return member.steel, "", ""
    batch = source.batches.get(used.batch)
    return (
        used.steel or ("" if batch is None else batch.steel) or member.steel,
        heat_number(heat_of(used, source.batches)),
        certificate_number(certificate_of(used, source.batches)),
    )
