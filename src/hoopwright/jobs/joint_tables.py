"""What joins the bars of a cage and carries them in tables: joints, landings, gussets."""

from collections.abc import Iterator

from hoopwright.bars import centreline
from hoopwright.cage import EndLetter, Member
from hoopwright.jobs.paper_source import PaperSource
from hoopwright.jobs.table_columns import BAR, PLACE
from hoopwright.papers.table_files import Cell, FileColumn, FileTable

_ENDS: tuple[EndLetter, EndLetter] = ("A", "B")


def joints_table(source: PaperSource) -> FileTable:
    """Each end that lands on a bar: angle and offset of the axes, heel, depth, and its tip on the marked tube."""
    return FileTable(
        name="joints",
        columns=(
            BAR,
            FileColumn(head="end"),
            FileColumn(head="cut to"),
            FileColumn(head="angle of axes", kind="angle"),
            FileColumn(head="axes miss by", kind="length"),
            FileColumn(head="heel from datum line", kind="angle"),
            FileColumn(head="depth of cut", kind="length"),
            FileColumn(head="tip from end A of the tube", kind="length"),
            FileColumn(head="tube beyond the tip", kind="length"),
            *PLACE,
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


def landings_table(source: PaperSource) -> FileTable:
    """What each leg stands on, as fitted; with empty cells what was chosen and could not be fitted."""
    return FileTable(
        name="landings",
        columns=(
            BAR,
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
