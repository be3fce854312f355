"""How wide words are, how they break into lines, and what stands for letters that the face lacks.

The face is Bitstream Vera, which comes with reportlab and is put into each PDF, so that a sheet looks the
same on every machine; it is squeezed to the width of a common sheet face.
"""

import functools
import unicodedata
from pathlib import Path

import reportlab
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont

from hoopwright.papers.drawing import Anchor, Box, Point, Text

CAPITAL_SHARE = 0.729
"""Height of a capital per font size. Source: the OS/2 and glyph tables of Vera.ttf."""
SQUEEZE = 0.86
FACES = Path(reportlab.__file__).parent / "fonts"
_DESCENTS = ((frozenset("gjpqyQ@_|"), 0.30), (frozenset(",;()[]{}$/ç"), 0.20))
_LEVEL_SHARE = 0.03
SHARE_BEFORE: dict[Anchor, float] = {"left": 0.0, "middle": 0.5, "right": 1.0}
"""Share of a line of words that lies before its anchor."""
_FILES = {False: "Vera.ttf", True: "VeraBd.ttf"}
_STAND_INS = str.maketrans({"−": "-", "‐": "-", "‑": "-", "→": "->", "←": "<-", "′": "'", "″": '"'})


@functools.cache
def _font(*, bold: bool) -> TTFont:
    font = TTFont("hoopwright-bold" if bold else "hoopwright-plain", str(face_file(bold=bold)))
    registerFont(font)
    return font


def face_file(*, bold: bool) -> Path:
    """The file of the face."""
    return FACES / _FILES[bold]


def face(*, bold: bool) -> str:
    """Name by which a PDF canvas knows the face."""
    return str(_font(bold=bold).fontName)


def font_size(height_mm: float) -> float:
    """Font size, in the unit of `height_mm`, that gives capitals of that height."""
    return height_mm / CAPITAL_SHARE


def writable(text: str) -> str:
    """The text in letters that the face has: accents are dropped where need be, what is left over is `?`."""
    known = text.translate(_STAND_INS)
    return "".join(_writable_letter(letter) for letter in known if letter.isprintable())


def _writable_letter(letter: str) -> str:
    known = _font(bold=False).face.charToGlyph
    if ord(letter) in known:
        return letter
    plain = unicodedata.normalize("NFKD", letter)
    return "".join(part for part in plain if ord(part) in known and not unicodedata.combining(part)) or "?"


def width_mm(text: str, height_mm: float, *, bold: bool = False) -> float:
    """Width of a line of words with capitals of `height_mm`."""
    return float(_font(bold=bold).stringWidth(writable(text), font_size(height_mm))) * SQUEEZE


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
    """The rectangle that upright or quarter-turned words cover on the page, descenders included."""
    wide = width_mm(text.text, text.height_mm, bold=text.bold)
    before = SHARE_BEFORE[text.anchor] * wide
    below = _descent_share(text.text) * text.height_mm
    right, down = text.at_mm
    if text.turn_deg % 180.0 == 90.0:
        upward = text.turn_deg % 360.0 == 90.0
        left = right - text.height_mm if upward else right - below
        top = down - wide + before if upward else down - before
        return Box(left_mm=left, top_mm=top, width_mm=text.height_mm + below, height_mm=wide)
    return Box(
        left_mm=right - before, top_mm=down - text.height_mm, width_mm=wide, height_mm=text.height_mm + below
    )


def _descent_share(words: str) -> float:
    """How far the words go below the base line, per capital height."""
    letters = set(words)
    return next((share for low, share in _DESCENTS if letters & low), _LEVEL_SHARE)
