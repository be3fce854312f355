"""The bars of a cage in tables: members, bends, nodes, pieces to cut."""

from collections.abc import Iterator

from hoopwright.bars import bend_table, developed_mm
from hoopwright.cage import Member
from hoopwright.findings import UserError
from hoopwright.jobs.calibrations import calibrations_at_hand
from hoopwright.jobs.paper_source import PaperSource
from hoopwright.jobs.sheets import SheetWishes, sheet_of
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.jobs.table_columns import BAR, PLACE
from hoopwright.papers.table_files import Cell, FileColumn, FileTable
from hoopwright.tubes import section_properties
from hoopwright.units import MM_PER_UNIT


def members_table(source: PaperSource) -> FileTable:
    """Each bar: what it is, its tube, length and mass, and what its ends land on."""
    return FileTable(
        name="members",
        columns=(
            BAR,
            FileColumn(head="role"),
            FileColumn(head="mirrors"),
            FileColumn(head="tube outside", kind="length"),
            FileColumn(head="tube wall", kind="length"),
            FileColumn(head="die"),
            FileColumn(head="centreline radius", kind="length"),
            FileColumn(head="bends", kind="count"),
            FileColumn(head="length along axis", kind="length"),
            FileColumn(head="mass", kind="mass"),
            FileColumn(head="end A on"),
            FileColumn(head="end B on"),
            FileColumn(head="stands as"),
        ),
        rows=tuple(_member_row(source, member) for member in source.wanted),
    )


def _member_row(source: PaperSource, member: Member) -> tuple[Cell, ...]:
    bar = source.bars[member.member_id]
    length = developed_mm(bar)
    return (
        member.member_id,
        member.role.value,
        member.mirror_of or "",
        bar.tube.od_mm,
        bar.tube.wall_mm,
        member.die,
        bar.clr_mm if bar.bend_count else None,
        bar.bend_count,
        length,
        section_properties(bar.tube).kg_per_m * length / MM_PER_UNIT["m"],
        *(end.on or end.kind for end in (member.end_a, member.end_b)),
        "bent" if member.member_id in source.bent else "drawn",
    )


def bends_table(source: PaperSource) -> FileTable:
    """Each bend of each bar from end A; a bar's last row is its last straight alone."""
    return FileTable(
        name="bends",
        columns=(
            BAR,
            FileColumn(head="bend", kind="count"),
            FileColumn(head="straight before", kind="length"),
            FileColumn(head="turn before", kind="angle"),
            FileColumn(head="turn from bend 1", kind="angle"),
            FileColumn(head="bend angle", kind="angle"),
            FileColumn(head="arc", kind="length"),
        ),
        rows=tuple(row for member in source.wanted for row in _bend_rows(source, member)),
    )


def _bend_rows(source: PaperSource, member: Member) -> Iterator[tuple[Cell, ...]]:
    table = bend_table(source.bars[member.member_id])
    bends = zip(
        table.straights_mm,
        table.rotations_deg,
        table.rotations_total_deg,
        table.angles_deg,
        table.arcs_mm,
        strict=False,
    )
    for number, bend in enumerate(bends, start=1):
        yield (member.member_id, number, *bend)
    yield (member.member_id, None, table.straights_mm[-1], None, None, None, None)


def nodes_table(source: PaperSource) -> FileTable:
    """Each node of each bar in the car."""
    return FileTable(
        name="nodes",
        columns=(BAR, FileColumn(head="node", kind="count"), *PLACE),
        rows=tuple(
            (member.member_id, number, *node)
            for member in source.wanted
            for number, node in enumerate(source.bars[member.member_id].nodes_mm, start=1)
        ),
    )


def cut_list_table(source: PaperSource) -> FileTable:
    """Each blank as its sheet has it; empty where no sheet can be made."""
    return FileTable(
        name="cut-list",
        columns=(
            BAR,
            FileColumn(head="role"),
            FileColumn(head="tube outside", kind="length"),
            FileColumn(head="tube wall", kind="length"),
            FileColumn(head="blank", kind="length"),
            FileColumn(head="trim at A", kind="length"),
            FileColumn(head="trim at B", kind="length"),
            FileColumn(head="mass", kind="mass"),
            FileColumn(head="calibration"),
        ),
        rows=tuple(_cut_rows(source)),
    )


def _cut_rows(source: PaperSource) -> Iterator[tuple[Cell, ...]]:
    members = source.wanted
    calibrations, shop = calibrations_at_hand(source.folder, members), shop_at_hand()
    wishes = SheetWishes(date=source.date, placeholder=True)
    for member in members:
        own = source.project.cage.member(member.member_id)
        first = (member.member_id, member.role.value, member.tube.od_mm, member.tube.wall_mm)
        try:
            sheet = sheet_of(source.project, own, calibrations, wishes, shop)
        except UserError as error:
            yield (*first, None, None, None, None, f"no sheet: {error.findings[0].code}")
            continue
        yield (
            *first,
            *(sheet.blank_mm, sheet.trim_a_mm, sheet.trim_b_mm),
            section_properties(member.tube).kg_per_m * sheet.blank_mm / MM_PER_UNIT["m"],
            sheet.calibration_name if sheet.calibrated else "NOT CALIBRATED",
        )
