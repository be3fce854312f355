"""What is bought for a plan, on paper: sticks by size and steel, for the dealer or the shop's own shopping."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import A4, Page, PaperSize
from hoopwright.papers.flow import Column, Part, drawn_items, flow, page_with, paragraph, space, table_parts
from hoopwright.papers.plain_page import body, page_frame
from hoopwright.papers.words import CAUTIONS, count_words
from hoopwright.units import shown

_COLUMNS = (
    Column(head="tube", share=44, bold=True),
    Column(head="steel", share=36),
    Column(head="sticks", share=20, anchor="right", bold=True),
    Column(head="of", share=34, anchor="right"),
    Column(head="kg", share=24, anchor="right"),
    Column(head="price", share=28, anchor="right"),
)
_GAP_MM = 3.0
_PAPERS = "Ask for the certificate of each heat, with its number. Write the heat number on each stick before sawing."


@dataclass(frozen=True, kw_only=True)
class OrderRow:
    """Sticks of one size, steel and length.

    Args:
        tube: The size in words.
        steel: The steel; empty where the bars ask for none.
        count: How many.
        length: Length of one in words.
        mass_kg: All of them together.
        price: All of them together, in words; empty where it is not known.
        one_heat: Bars on them that are cut from one heat, in words.
    """

    tube: str
    steel: str
    count: int
    length: str
    mass_kg: float
    price: str
    one_heat: tuple[str, ...] = ()


def order_pages(
    rows: Sequence[OrderRow], *, total: str, project: str, date: str, identity: str, paper: PaperSize = A4
) -> tuple[Page, ...]:
    """The pages of an order; one that says so where nothing is bought.

    Args:
        rows: What is bought.
        total: Price of all, in words; empty where one is not known.
        project: Name of the project.
        date: Its day, ISO 8601.
        identity: Of the plan.
        paper: A4 or letter.
    """
    inside = body(paper, measured=False)
    bodies = list(map(drawn_items, flow(tuple(_parts(rows, total, inside.width_mm)), inside)))
    sticks = count_words(sum(row.count for row in rows), "stick")
    return tuple(
        page_with(
            paper,
            page_frame(
                paper,
                f"{project}: to buy",
                f"{sticks}    {date}    plan {identity}    page {number} of {len(bodies)}",
                cautions=CAUTIONS[:1],
                measured=False,
            ),
            items,
        )
        for number, items in enumerate(bodies, start=1)
    )


def _parts(rows: Sequence[OrderRow], total: str, wide_mm: float) -> Iterator[Part]:
    yield space(2.0)
    if not rows:
        yield paragraph("Nothing: the rack of the shop holds it all.", wide_mm)
        return
    cells = [
        (
            row.tube,
            row.steel or "not said",
            str(row.count),
            row.length,
            shown(row.mass_kg, 1),
            row.price,
        )
        for row in rows
    ]
    mass = shown(sum(row.mass_kg for row in rows), 1)
    cells.append(("in all", "", str(sum(row.count for row in rows)), "", mass, total))
    heats = [f"{row.tube}, {row.length}: of one heat for {bars}." for row in rows for bars in row.one_heat]
    yield from table_parts(_COLUMNS, cells, wide_mm)
    yield space(_GAP_MM)
    for line in (_PAPERS, *heats):
        yield paragraph(line, wide_mm)
