"""The face that papers are lettered in: its files, the letters that it has, and how far each reaches.

It is DejaVu Sans, put into each PDF as the letters that are used, so that a sheet looks the same on every machine.
It is Bitstream Vera with Greek, Cyrillic and all Latin letters added: docs/decisions/0018.
"""

import functools
import importlib.util
import unicodedata
from pathlib import Path

from PIL import ImageFont
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont

from hoopwright.findings import Finding, Severity, UserError

CAPITAL_SHARE = 0.729
"""Height of a capital per font size. Source: the OS/2 and glyph tables of DejaVuSans.ttf."""
UNKNOWN = "?"
"""Stands for a letter that cannot be printed."""
_HOME = "matplotlib"
_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
_STAND_INS = str.maketrans({"−": "-", "‐": "-", "‑": "-", "→": "->", "←": "<-", "′": "'", "″": '"'})
_MEASURED_PX = 1000
_FROM_RIGHT = frozenset({"R", "AL", "AN"})


def face_file(*, bold: bool) -> Path:
    """The file of the face.

    It lies in the data of a plotting library. The library is looked for, not imported: importing it makes folders
    in the person's home.

    Raises:
        UserError: `PAPER-003` where the library, or the face in it, is not installed.
    """
    spec = importlib.util.find_spec(_HOME)
    for place in (spec.submodule_search_locations if spec else None) or ():
        file = Path(place) / "mpl-data" / "fonts" / "ttf" / _FILES[bold]
        if file.exists():
            return file
    raise UserError(
        Finding(
            code="PAPER-003",
            severity=Severity.STOP,
            sentence=f"The letters that papers are printed in, {_FILES[bold]}, are not on this machine.",
            todo=f"Install the package {_HOME} with pip: it brings them.",
            objects=(_FILES[bold],),
        )
    )


@functools.cache
def font(*, bold: bool) -> TTFont:
    """The face as a PDF canvas knows it."""
    made = TTFont("hoopwright-bold" if bold else "hoopwright-plain", str(face_file(bold=bold)))
    registerFont(made)
    return made


def writable(text: str) -> str:
    """The text as it is printed: each letter as itself where it can be, in a stand-in, else as `?`."""
    return "".join(map(_written, _letters(text)))


def unwritable(text: str) -> tuple[str, ...]:
    """Letters of the text that are not printed as themselves, each once: `?` or a letter without its accent."""
    return tuple(dict.fromkeys(letter for letter in _letters(text) if not _is_kept(letter)))


@functools.cache
def reach(letter: str, *, bold: bool) -> tuple[float, float]:
    """How far a letter that can be printed goes above and below the base line, per capital height."""
    _left, top, _right, bottom = _measuring(bold=bold).getbbox(letter, anchor="ls")
    capital = CAPITAL_SHARE * _MEASURED_PX
    return (max(0.0, -top / capital), max(0.0, bottom / capital))


@functools.cache
def _measuring(*, bold: bool) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(face_file(bold=bold)), _MEASURED_PX)


def _letters(text: str) -> str:
    """Accents joined to their letters, odd spaces as spaces, and nothing that does not print."""
    known = unicodedata.normalize("NFC", text.translate(_STAND_INS))
    spaced = (" " if unicodedata.category(letter) == "Zs" else letter for letter in known)
    return "".join(letter for letter in spaced if letter.isprintable())


def _written(letter: str) -> str:
    if _has(letter):
        return letter
    return (
        "".join(part for part in _parts(letter) if _has(part) and not unicodedata.combining(part)) or UNKNOWN
    )


def _is_kept(letter: str) -> bool:
    """Whether it prints as itself, or as others that say the same (a wide letter as a common one)."""
    return _written(letter) == _parts(letter) if _written(letter) != letter else _has(letter)


def _parts(letter: str) -> str:
    return unicodedata.normalize("NFKD", letter)


@functools.cache
def _has(letter: str) -> bool:
    """Whether the face has it; letters that are written from the right would stand in the wrong order."""
    if unicodedata.bidirectional(letter) in _FROM_RIGHT:
        return False
    return all(ord(letter) in font(bold=bold).face.charToGlyph for bold in (False, True))
