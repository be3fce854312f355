"""Pages to fill in by hand: what the builder declares, and what the inspector finds."""

from hoopwright.cage import Role
from hoopwright.jobs.dossier.amounts import fine
from hoopwright.jobs.dossier.members import numbers_of
from hoopwright.jobs.dossier.source import DossierSource
from hoopwright.jobs.hand_measures import OVALITY
from hoopwright.papers.dossier import (
    RULED,
    Column,
    Section,
    fill_in,
    heading,
    paragraph,
    ruled_lines,
    signature_lines,
    space,
    table_parts,
    tick_lines,
)
from hoopwright.papers.words import tube_short

_DECLARED = (
    "The cage was made by me or under my eyes from the tubes in the table of members. Size, wall, steel, heat number "
    "and certificate there are those of the tube that was used.",
    "Heat numbers written in by hand were read from the tube or from its certificate. Copies of the certificates are "
    "attached.",
    "All bars were bent cold on a die of their size. No bend has a kink, a ripple or a crack.",
    "The cage stands in the car as the line drawing and the tables show it. What is otherwise is written below.",
    "Every joint is welded all round by the persons named below, and no weld was ground away.",
    "Every photo in this file shows this cage in this car.",
)
_MEASURED = (
    Column(head="what", share=74, bold=True),
    Column(head="in this file", share=36, anchor="right"),
    Column(head="measured", share=36),
    Column(head="remark", share=44),
)


def declaration_section(source: DossierSource) -> Section:
    """The builder's declaration."""
    car = source.project.car
    fields = (
        ("builder", car.builder),
        ("address", ""),
        ("car", car.words),
        ("chassis number", car.chassis_number),
        ("number stamped on the cage", car.cage_number),
        ("stamped where", ""),
    )
    welding = (
        ("welded by", ""),
        ("qualification", ""),
        ("process", ""),
        ("filler", ""),
    )
    members = len(numbers_of(source))
    return Section(
        title="Declaration of the builder",
        parts=(
            *fill_in(fields, across=2),
            space(3.0),
            paragraph(
                f"Of the cage in this file, of {members} members, I declare what is ticked:", source.room_mm
            ),
            *tick_lines(_DECLARED, source.room_mm),
            *fill_in(welding, across=2),
            heading("What is otherwise than in this file"),
            *ruled_lines(8),
            signature_lines(("place and day", "name in capitals", "signature")),
        ),
    )


def inspection_section(source: DossierSource) -> Section:
    """The inspector's page."""
    pin, held = source.project.book, source.report.held
    fields = (
        ("inspected on", ""),
        ("at", ""),
        ("by", ""),
        ("for which body", "" if held is None else held.book.body),
        ("book", "" if pin is None else pin.book_id),
        ("edition", "" if pin is None else pin.edition),
    )
    rows = [(what, value, RULED, RULED) for what, value in _to_measure(source)]
    rows += [(RULED, "", RULED, RULED)] * 2
    return Section(
        title="Inspection",
        parts=(
            *fill_in(fields, across=2),
            space(3.0),
            *table_parts(_MEASURED, rows, source.room_mm),
            heading("Remarks"),
            *ruled_lines(3),
            heading("To be put right, and seen again on"),
            *ruled_lines(2),
            heading("Outcome, in the inspector's words"),
            *ruled_lines(1),
            signature_lines(("place and day", "name and number or stamp", "signature")),
        ),
    )


def _to_measure(source: DossierSource) -> list[tuple[str, str]]:
    """What a caliper, a tape or a gauge can hold against this file."""
    sizes: dict[str, list[str]] = {}
    for name in numbers_of(source):
        sizes.setdefault(tube_short(source.bars[name].tube, source.unit), []).append(name)
    rows = [(f"tube of {names[0]}{_and_more(names)}: outside x wall", size) for size, names in sizes.items()]
    walls = {
        source.bars[one.member_id].tube.wall_mm for one in source.papers.wanted if one.role is Role.MAIN_HOOP
    }
    shown = ", ".join(fine(wall, source.unit) for wall in sorted(walls))
    rows.append(("wall through the inspection hole of the main hoop", shown))
    rows.append(("ovality in the worst bend: greatest and least diameter", _worst_ovality(source)))
    radii = [bar.clr_mm for bar in source.bars.values() if bar.bend_count]
    if radii:
        rows.append(("least radius of a bend, on the axis", fine(min(radii), source.unit)))
    sheets = sorted({fitted.landing.thickness_mm for fitted in source.landings})
    if sheets:
        rows.append(("thinnest sheet of the landings", fine(sheets[0], source.unit)))
    rows.append(("helmet to the nearest bar, driver belted in", ""))
    return rows


def _worst_ovality(source: DossierSource) -> str:
    """Both widths of the flattest bend that was measured by hand; empty where none was."""
    taken = [
        (one.measured / one.other, one)
        for one in source.project.measures_in_force
        if one.name == OVALITY and one.measured and one.other and one.about in source.bars
    ]
    if not taken:
        return ""
    _, worst = min(taken, key=lambda pair: pair[0])
    widths = " and ".join(fine(width, source.unit) for width in (worst.other or 0.0, worst.measured or 0.0))
    return f"{widths} ({worst.about} bend {worst.bend})"


def _and_more(names: list[str]) -> str:
    return f" and {len(names) - 1} more" if len(names) > 1 else ""
