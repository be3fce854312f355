"""The cage in tables: members, bends, nodes, joints, pieces to cut, landings, gussets."""

from collections.abc import Iterator

from hoopwright.bars import bend_table, centreline, developed_mm
from hoopwright.cage import EndLetter, Member
from hoopwright.findings import UserError
from hoopwright.jobs.calibrations import calibrations_at_hand
from hoopwright.jobs.paper_source import MadePapers, PaperSource
from hoopwright.jobs.sheets import SheetWishes, sheet_of
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.papers.table_files import Cell, FileColumn, FileTable, csv_bytes, xlsx_bytes
from hoopwright.papers.words import CAUTIONS
from hoopwright.tubes import section_properties
from hoopwright.units import MM_PER_UNIT

_ENDS: tuple[EndLetter, EndLetter] = ("A", "B")
_BAR = FileColumn(head="bar")
_PLACE = tuple(FileColumn(head=head, kind="length") for head in ("forward", "left", "up"))


def table_papers(source: PaperSource) -> MadePapers:
    """One workbook with a sheet for each table, and each table as CSV.

    Raises:
        UserError: `CAL-...` and `SHOP-...` for files that cannot be read.
    """
    tables = (
        members_table(source),
        bends_table(source),
        nodes_table(source),
        joints_table(source),
        cut_list_table(source),
        landings_table(source),
        gussets_table(source),
    )
    book = xlsx_bytes(
        tables,
        about=_about(source),
        title=f"{source.project.name} cage",
        date=source.date,
        unit=source.unit,
    )
    folder = "/".join(("tables", *filter(None, ("-".join(source.only),))))
    files = {f"{folder}/{table.name}.csv": csv_bytes(table, source.unit) for table in tables}
    return MadePapers(files={f"{folder}/cage.xlsx": book, **files})


def _about(source: PaperSource) -> tuple[tuple[str, str], ...]:
    bent = ", ".join(source.bent) or "none"
    return (
        ("project", source.project.name),
        ("date", source.date),
        ("identity", source.identity),
        ("lengths", "millimetres" if source.unit == "mm" else "inches, decimal"),
        ("axes", "forward, left, up; the origin on the centre plane of the car"),
        (
            "turns",
            "the turn of the bend plane before a bend: positive is clockwise looking from end A to end B",
        ),
        ("as bent", f"bars that were bent and measured stand as they came out: {bent}"),
        ("caution", CAUTIONS[0]),
        ("caution", CAUTIONS[1]),
    )


def members_table(source: PaperSource) -> FileTable:
    """Each bar: what it is, its tube, length and mass, and what its ends land on."""
    return FileTable(
        name="members",
        columns=(
            _BAR,
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
            _BAR,
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
        columns=(_BAR, FileColumn(head="node", kind="count"), *_PLACE),
        rows=tuple(
            (member.member_id, number, *node)
            for member in source.wanted
            for number, node in enumerate(source.bars[member.member_id].nodes_mm, start=1)
        ),
    )


def joints_table(source: PaperSource) -> FileTable:
    """Each end that lands on a bar: angle and offset of the axes, heel, depth, and its tip on the marked tube."""
    return FileTable(
        name="joints",
        columns=(
            _BAR,
            FileColumn(head="end"),
            FileColumn(head="cut to"),
            FileColumn(head="angle of axes", kind="angle"),
            FileColumn(head="axes miss by", kind="length"),
            FileColumn(head="heel from datum line", kind="angle"),
            FileColumn(head="depth of cut", kind="length"),
            FileColumn(head="tip from end A of the tube", kind="length"),
            FileColumn(head="tube beyond the tip", kind="length"),
            *_PLACE,
        ),
        rows=tuple(_joint_rows(source)),
    )


def _joint_rows(source: PaperSource) -> Iterator[tuple[Cell, ...]]:
    for member in source.wanted:
        for end in _ENDS:
            cut = source.cut(member.member_id, end)
            if cut is not None:
                main = cut.main
                yield (
                    *(member.member_id, end, ", ".join(header.bar_id for header in cut.headers)),
                    *(main.angle_deg, main.offset_mm, cut.clocking.heel_deg, cut.depth_mm),
                    *(cut.tip_on_tube_mm, cut.saw_off_mm, *main.place_mm),
                )
            elif source.headers(member, end):
                yield _loose_joint_row(source, member, end)


def _loose_joint_row(source: PaperSource, member: Member, end: EndLetter) -> tuple[Cell, ...]:
    """A joint whose cope is not worked out: what the axes say."""
    bar, on = source.bars[member.member_id], source.headers(member, end)[0]
    axis, header = centreline(bar), centreline(source.bars[on])
    at = 0.0 if end == "A" else axis.length_mm
    place = bar.nodes_mm[0 if end == "A" else -1]
    return (
        member.member_id,
        end,
        on,
        None,
        header.distance_to_mm(axis.at(at)[0]),
        None,
        None,
        None,
        None,
        *place,
    )


def cut_list_table(source: PaperSource) -> FileTable:
    """Each blank as its sheet has it; empty where no sheet can be made."""
    return FileTable(
        name="cut-list",
        columns=(
            _BAR,
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


def landings_table(source: PaperSource) -> FileTable:
    """What each leg stands on, as fitted; with empty cells what was chosen and could not be fitted."""
    return FileTable(
        name="landings",
        columns=(
            _BAR,
            FileColumn(head="end"),
            FileColumn(head="kind"),
            FileColumn(head="length", kind="length"),
            FileColumn(head="width", kind="length"),
            FileColumn(head="thickness", kind="length"),
            FileColumn(head="height", kind="length"),
            FileColumn(head="bolts", kind="count"),
            FileColumn(head="bolt diameter", kind="length"),
            FileColumn(head="folds", kind="count"),
            FileColumn(head="largest gap to metal", kind="length"),
            FileColumn(head="leg cut off square", kind="angle"),
            FileColumn(head="leg shorter by", kind="length"),
            FileColumn(head="area", kind="area"),
            FileColumn(head="mass", kind="mass"),
        ),
        rows=tuple(_landing_rows(source)),
    )


def _landing_rows(source: PaperSource) -> Iterator[tuple[Cell, ...]]:
    for fitted in source.metal.landings:
        chosen = fitted.landing
        gaps = [face.gap.largest_mm for face in fitted.faces if face.gap is not None]
        yield (
            *(fitted.bar_id, fitted.end, chosen.kind.value, fitted.length_mm, fitted.width_mm),
            *(chosen.thickness_mm, chosen.height_mm, chosen.bolts, chosen.bolt_mm or None),
            *(sum(len(part.folds) for part in fitted.parts), max(gaps, default=None)),
            *(fitted.cut.angle_deg, fitted.cut.shorten_mm, fitted.area_mm2, fitted.mass_kg),
        )
    wanted = {member.member_id for member in source.wanted}
    for chosen in source.cage.landings:
        if chosen.bar_id in wanted and source.landing(chosen.bar_id, chosen.end) is None:
            yield (
                *(chosen.bar_id, chosen.end, f"{chosen.kind.value}, not fitted"),
                *(chosen.length_mm, chosen.width_mm, chosen.thickness_mm, chosen.height_mm),
                *(chosen.bolts, chosen.bolt_mm or None, None, None, None, None, None, None),
            )


def gussets_table(source: PaperSource) -> FileTable:
    """Gussets and ties as they come out."""
    return FileTable(
        name="gussets",
        columns=(
            FileColumn(head="name"),
            FileColumn(head="kind"),
            FileColumn(head="on"),
            FileColumn(head="to"),
            FileColumn(head="leg", kind="length"),
            FileColumn(head="thickness", kind="length"),
            FileColumn(head="hole", kind="length"),
            FileColumn(head="angle of bars", kind="angle"),
            FileColumn(head="widest gap", kind="length"),
            FileColumn(head="mass", kind="mass"),
        ),
        rows=tuple(
            (
                *(made.gusset.name, made.gusset.kind.value, made.gusset.bar_id, made.gusset.other or "shell"),
                *(made.gusset.leg_mm, made.gusset.thickness_mm, made.gusset.hole_mm or None),
                *(made.angle_deg, made.gap_mm, made.mass_kg),
            )
            for made in source.metal.gussets
        ),
    )
