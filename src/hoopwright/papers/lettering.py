"""How wide words are, and how they break into lines. The face is squeezed to the width of a common sheet face."""

from hoopwright.papers.drawing import Anchor, Box, Point, Text
from hoopwright.papers.face import CAPITAL_SHARE, font, reach, writable

SQUEEZE = 0.86
SHARE_BEFORE: dict[Anchor, float] = {"left": 0.0, "middle": 0.5, "right": 1.0}
"""Share of a line of words that lies before its anchor."""
_LEVEL_SHARE = 0.03
_ACCENT_SHARE = 1.05
"""Strokes of b, d and brackets go up to 5 % over a capital; what goes further is an accent."""


def face(*, bold: bool) -> str:
    """Name by which a PDF canvas knows the face."""
    return str(font(bold=bold).fontName)


def font_size(height_mm: float) -> float:
    """Font size, in the unit of `height_mm`, that gives capitals of that height."""
    return height_mm / CAPITAL_SHARE


def width_mm(text: str, height_mm: float, *, bold: bool = False) -> float:
    """Width of a line of words with capitals of `height_mm`."""
    return float(font(bold=bold).stringWidth(writable(text), font_size(height_mm))) * SQUEEZE


def height_to_fit(text: str, room_mm: float, tallest_mm: float, *, bold: bool = False) -> float:
    """The greatest height up to `tallest_mm` at which the words fit in `room_mm`."""
    wide = width_mm(text, tallest_mm, bold=bold)
    return tallest_mm if wide <= room_mm else tallest_mm * room_mm / wide


def shortened(text: str, room_mm: float, height_mm: float, *, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it does not fit in `room_mm`."""
    if width_mm(text, height_mm, bold=bold) <= room_mm:
        return text
    kept = text
    while kept and width_mm(kept.rstrip() + "…", height_mm, bold=bold) > room_mm:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def fitted(
    text: str,
    at_mm: Point,
    room_mm: float,
    tallest_mm: float,
    *,
    least_mm: float = 1.8,
    anchor: Anchor = "left",
    bold: bool = False,
) -> Text:
    """Words in at most `room_mm`: smaller down to `least_mm` first, then cut with an ellipsis."""
    height = max(least_mm, height_to_fit(text, room_mm * (1.0 - 1e-9), tallest_mm, bold=bold))
    shown = shortened(text, room_mm, height, bold=bold)
    return Text(at_mm=at_mm, text=shown, height_mm=height, anchor=anchor, bold=bold)


def wrapped(text: str, room_mm: float, height_mm: float, *, bold: bool = False) -> tuple[str, ...]:
    """The text in lines of at most `room_mm`; a word longer than that is broken."""
    lines: list[str] = []
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and width_mm(joined, height_mm, bold=bold) <= room_mm:
            lines[-1] = joined
        else:
            lines.extend(_pieces(word, room_mm, height_mm, bold=bold))
    return tuple(lines)


def _pieces(word: str, room_mm: float, height_mm: float, *, bold: bool) -> list[str]:
    pieces = [""]
    for letter in word:
        if pieces[-1] and width_mm(pieces[-1] + letter, height_mm, bold=bold) > room_mm:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def text_box(text: Text) -> Box:
    """The rectangle that upright or quarter-turned words cover on the page, accents and descenders included."""
    wide = width_mm(text.text, text.height_mm, bold=text.bold)
    before = SHARE_BEFORE[text.anchor] * wide
    above, below = (share * text.height_mm for share in _reach_shares(text))
    right, down = text.at_mm
    if text.turn_deg % 180.0 == 90.0:
        upward = text.turn_deg % 360.0 == 90.0
        left = right - above if upward else right - below
        top = down - wide + before if upward else down - before
        return Box(left_mm=left, top_mm=top, width_mm=above + below, height_mm=wide)
    return Box(left_mm=right - before, top_mm=down - above, width_mm=wide, height_mm=above + below)


def _reach_shares(text: Text) -> tuple[float, float]:
    """How far the words go above and below the base line, per capital height."""
    reaches = [reach(letter, bold=text.bold) for letter in set(writable(text.text))]
    above = max((up for up, _ in reaches), default=1.0)
    below = max((down for _, down in reaches), default=0.0)
    return (above if above > _ACCENT_SHARE else 1.0, max(below, _LEVEL_SHARE))
