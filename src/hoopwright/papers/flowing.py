"""Headings, sentences and tables one below the other, carried over to further pages."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import Box, Item, Items, Text
from hoopwright.papers.lettering import wrapped
from hoopwright.papers.tables import HEAD_MM, ROW_MM, TableColumn, rows_that_fit, ruled_table

_HEADING_MM, _HEADING_ROOM_MM = 3.2, 9.0
_LINE_MM, _LINE_STEP_MM = 2.5, 4.2
_AFTER_MM = 3.0
_LEAST_ROWS = 2
_LEAST_LINES = 4


@dataclass(frozen=True, kw_only=True)
class Heading:
    """A line in bold; it never stands alone at the foot of a page."""

    words: str


@dataclass(frozen=True, kw_only=True)
class Sentences:
    """Sentences, each from a line of its own and broken into as many as it needs."""

    lines: tuple[str, ...]
    height_mm: float = _LINE_MM


@dataclass(frozen=True, kw_only=True)
class FlowTable:
    """A table; where it goes on, its head stands again."""

    columns: tuple[TableColumn, ...]
    rows: tuple[tuple[str, ...], ...]


Block = Heading | Sentences | FlowTable


def flow(blocks: Sequence[Block], inside: Box, *, taken_mm: float = 0.0) -> tuple[tuple[Items, ...], float]:
    """Blocks on as many pages as they need.

    Args:
        blocks: In order; a table without rows is left out.
        inside: What each page has room for.
        taken_mm: What is taken already at the top of the first page.

    Returns:
        What stands on each page, at least one, and how high the last page is filled from the top.
    """
    pages = _Pages(inside, taken_mm)
    for number, block in enumerate(blocks):
        following = blocks[number + 1] if number + 1 < len(blocks) else None
        match block:
            case Heading():
                pages.heading(block, _least_mm(following))
            case Sentences():
                pages.sentences(block)
            case FlowTable():
                pages.table(block)
    return pages.done, pages.filled_mm


class _Pages:
    """Pages while they are filled from top to bottom."""

    def __init__(self, inside: Box, taken_mm: float) -> None:
        self._inside = inside
        self._pages: list[list[Item]] = [[]]
        self._top_mm = inside.top_mm + taken_mm

    @property
    def done(self) -> tuple[Items, ...]:
        return tuple(map(tuple, self._pages))

    @property
    def filled_mm(self) -> float:
        return min(self._top_mm - self._inside.top_mm, self._inside.height_mm)

    @property
    def _left_mm(self) -> float:
        return self._inside.bottom_mm - self._top_mm

    def turn(self) -> None:
        self._pages.append([])
        self._top_mm = self._inside.top_mm

    def heading(self, block: Heading, follows_mm: float) -> None:
        if self._left_mm < _HEADING_ROOM_MM + follows_mm:
            self.turn()
        self._words(block.words, self._top_mm + _HEADING_ROOM_MM - 2.0, _HEADING_MM, bold=True)
        self._top_mm += _HEADING_ROOM_MM

    def sentences(self, block: Sentences) -> None:
        step = _LINE_STEP_MM * block.height_mm / _LINE_MM
        for sentence in block.lines:
            for words in wrapped(sentence, self._inside.width_mm, block.height_mm):
                if self._left_mm < step:
                    self.turn()
                self._top_mm += step
                self._words(words, self._top_mm, block.height_mm, bold=False)
        self._top_mm += _AFTER_MM

    def table(self, block: FlowTable) -> None:
        for part in self._parts(block.rows):
            box = Box(
                left_mm=self._inside.left_mm,
                top_mm=self._top_mm,
                width_mm=self._inside.width_mm,
                height_mm=0.0,
            )
            self._pages[-1] += ruled_table(block.columns, part, box)
            self._top_mm += HEAD_MM + ROW_MM * len(part)
        self._top_mm += _AFTER_MM if block.rows else 0.0

    def _parts(self, rows: Sequence[tuple[str, ...]]) -> Iterator[Sequence[tuple[str, ...]]]:
        done = 0
        while done < len(rows):
            room = rows_that_fit(self._left_mm)
            if room < min(_LEAST_ROWS, len(rows) - done):
                self.turn()
                room = max(1, rows_that_fit(self._left_mm))
            yield rows[done : done + room]
            done += room
            if done < len(rows):
                self.turn()

    def _words(self, words: str, down_mm: float, height_mm: float, *, bold: bool) -> None:
        at = (self._inside.left_mm, down_mm)
        self._pages[-1].append(Text(at_mm=at, text=words, height_mm=height_mm, bold=bold))


def _least_mm(following: Block | None) -> float:
    """What must stand on the same page as a heading."""
    if isinstance(following, FlowTable):
        return HEAD_MM + ROW_MM * min(_LEAST_ROWS, len(following.rows))
    return _LEAST_LINES * _LINE_STEP_MM if isinstance(following, Sentences) else 0.0
