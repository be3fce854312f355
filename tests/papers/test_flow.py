"""Parts over pages: nothing is lost, cut or out of order, and no last page holds a line alone."""

from hypothesis import given
from hypothesis import strategies as st

from hoopwright.papers.drawing import Box
from hoopwright.papers.flow import Part, flow, paragraph, table_parts
from hoopwright.papers.flow.parts import LEAST_ON_LAST_MM
from hoopwright.papers.tables import Column

ROOM = Box(left_mm=15.0, top_mm=20.0, width_mm=180.0, height_mm=230.0)
HEAD = Part(height_mm=6.0, draw=lambda _box: (), holds=True)


@st.composite
def many_parts(draw):
    heights = draw(st.lists(st.floats(3.0, 70.0), min_size=1, max_size=40))
    return [
        Part(
            height_mm=height,
            draw=lambda _box: (),
            head=draw(st.sampled_from([None, HEAD])),
            holds=draw(st.integers(0, 5)) == 0,
        )
        for height in heights
    ]


@given(many_parts(), st.floats(0.0, 200.0))
def test_all_parts_stand_once_in_order_and_within_their_page(parts, used_mm):
    pages = flow(parts, ROOM, used_mm=used_mm)
    placed = [part for page in pages for part, _ in page if part is not HEAD]
    assert list(map(id, placed)) == list(map(id, parts))
    for number, page in enumerate(pages):
        at = ROOM.top_mm + (used_mm if number == 0 else 0.0)
        for _, box in page:
            assert box.top_mm >= at - 1e-6
            at = box.bottom_mm


@given(many_parts(), st.floats(0.0, 200.0))
def test_a_last_page_holds_little_only_where_the_page_before_has_nothing_to_spare(parts, used_mm):
    pages = flow(parts, ROOM, used_mm=used_mm)
    if len(pages) < 2:
        return
    before, last = ([part for part, _ in page if part is not HEAD] for page in pages[-2:])
    little = sum(part.height_mm for part in last) < LEAST_ON_LAST_MM
    groups_before = sum(not part.holds for part in before)
    assert not little or groups_before <= 1 or _would_not_fit(before, last)


def _would_not_fit(before, last):
    """The last group of the page before is too tall for both."""
    taken = [before[-1]]
    for part in reversed(before[:-1]):
        if not part.holds:
            break
        taken.append(part)
    head = HEAD.height_mm if taken[-1].head is HEAD else 0.0
    return sum(part.height_mm for part in (*taken, *last)) + head > ROOM.height_mm


def test_a_note_under_a_table_that_fills_its_page_takes_rows_along():
    columns = (Column(head="bar", share=1.0), Column(head="what", share=2.0))
    rows = [[f"B{number}", "straight"] for number in range(41)]
    table = table_parts(columns, rows, ROOM.width_mm)
    assert sum(part.height_mm for part in table) < ROOM.height_mm
    pages = flow((*table, paragraph("Lengths as sawn. " * 4, ROOM.width_mm)), ROOM)
    assert len(pages) == 2
    assert len(pages[1]) >= 5  # the head again, rows, and the note
    assert pages[1][0][0] is table[0]
    assert sum(box.height_mm for _, box in pages[1]) >= LEAST_ON_LAST_MM
