"""The list to saw by: every blank, with a field for its heat number."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from hoopwright.bender.sheet import BarSheet
from hoopwright.papers.drawing import A4, Box, Items, Page, PaperSize, Text
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.tables import HEAD_MM, ROW_MM, TICK, Column, rows_that_fit, ruled_table
from hoopwright.papers.words import count_words, measure, other_unit, tube_words
from hoopwright.tubes import TubeSize, section_properties
from hoopwright.units import MM_PER_FOOT, MM_PER_UNIT, LengthUnit, shown

_PIECES = (
    Column(head="cut", share=9, anchor="middle"),
    Column(head="bar", share=20, bold=True),
    Column(head="what", share=32),
    Column(head="tube", share=42),
    Column(head="length", share=25, anchor="right", bold=True),
    Column(head="", share=24, anchor="right"),
    Column(head="heat number", share=40),
)
_TOTALS = (
    Column(head="tube", share=60),
    Column(head="pieces", share=20, anchor="right"),
    Column(head="metres", share=30, anchor="right"),
    Column(head="feet", share=30, anchor="right"),
    Column(head="kg", share=30, anchor="right"),
)
_GAP_MM = 9.0


@dataclass(frozen=True, kw_only=True)
class CutPiece:
    """One blank to saw."""

    bar_id: str
    title: str
    tube: TubeSize
    length_mm: float


@dataclass(frozen=True, kw_only=True)
class SizeTotal:
    """What the pieces of one tube size come to."""

    tube: TubeSize
    pieces: int
    length_mm: float
    mass_kg: float


def cut_pieces(sheets: Iterable[BarSheet]) -> tuple[CutPiece, ...]:
    """The blanks of the sheets, by tube size, the longest first."""
    pieces = [CutPiece(bar_id=s.bar_id, title=s.title, tube=s.bar.tube, length_mm=s.blank_mm) for s in sheets]
    return tuple(sorted(pieces, key=lambda piece: (piece.tube, -piece.length_mm, piece.bar_id)))


def size_totals(pieces: Iterable[CutPiece]) -> tuple[SizeTotal, ...]:
    """Pieces, length and mass for each tube size; the saw's kerf and offcuts are not in it."""
    by_size: dict[TubeSize, list[float]] = {}
    for piece in pieces:
        by_size.setdefault(piece.tube, []).append(piece.length_mm)
    return tuple(
        SizeTotal(
            tube=tube,
            pieces=len(lengths),
            length_mm=sum(lengths),
            mass_kg=section_properties(tube).kg_per_m * sum(lengths) / MM_PER_UNIT["m"],
        )
        for tube, lengths in sorted(by_size.items())
    )


def cut_list_pages(
    pieces: Sequence[CutPiece], *, project: str, date: str, unit: LengthUnit = "mm", paper: PaperSize = A4
) -> tuple[Page, ...]:
    """The pieces with tick boxes and heat-number fields, and the totals by size on the last page.

    Args:
        pieces: What to saw, in the order of the list.
        project: Name of the project.
        date: Day of issue, ISO 8601.
        unit: Unit of the lengths; the other stands beside it.
        paper: A4 or letter.
    """
    inside = body(paper)
    rows = [_row(piece, unit) for piece in pieces]
    totals = [_total_row(total, unit) for total in size_totals(pieces)]
    more = rows_that_fit(inside.height_mm)
    parts = [rows[k : k + more] for k in range(0, len(rows), more)] or [[]]
    totals_mm = _GAP_MM + HEAD_MM + ROW_MM * len(totals)
    if HEAD_MM + ROW_MM * len(parts[-1]) + totals_mm > inside.height_mm:
        parts.append([])
    bodies = [_body(part, totals if part is parts[-1] else [], inside) for part in parts]
    return tuple(
        Page(
            width_mm=paper.width_mm,
            height_mm=paper.height_mm,
            items=(
                *page_frame(
                    paper,
                    f"{project}: cut list",
                    f"{count_words(len(pieces), 'piece')}    {date}    kerf and offcuts not included"
                    f"    page {number} of {len(bodies)}",
                ),
                *items,
            ),
        )
        for number, items in enumerate(bodies, start=1)
    )


def _body(rows: list[tuple[str, ...]], totals: list[tuple[str, ...]], inside: Box) -> Items:
    pieces = ruled_table(_PIECES, rows, inside) if rows else ()
    if not totals:
        return pieces
    top = inside.top_mm + (HEAD_MM + ROW_MM * len(rows) + _GAP_MM if rows else 6.0)
    box = Box(left_mm=inside.left_mm, top_mm=top, width_mm=inside.width_mm, height_mm=0.0)
    words = Text(at_mm=(inside.left_mm, top - 1.6), text="totals by tube size", height_mm=2.8, bold=True)
    return (*pieces, words, *ruled_table(_TOTALS, totals, box))


def _row(piece: CutPiece, unit: LengthUnit) -> tuple[str, ...]:
    return (
        TICK,
        piece.bar_id,
        piece.title,
        tube_words(piece.tube, unit),
        measure(piece.length_mm, unit),
        measure(piece.length_mm, other_unit(unit)),
        "",
    )


def _total_row(total: SizeTotal, unit: LengthUnit) -> tuple[str, ...]:
    feet = total.length_mm / MM_PER_FOOT
    return (
        tube_words(total.tube, unit),
        str(total.pieces),
        shown(total.length_mm / MM_PER_UNIT["m"], 3),
        shown(feet, 2),
        shown(total.mass_kg, 2),
    )
